"""The fullest board round one piece: a subset sum over the pieces that are left."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple


class Fill(NamedTuple):
    """A stock length and the cuts from it; ``used`` includes a kerf for every cut."""

    stock: int
    used: int
    cuts: tuple[int, ...]


def fills(left: Mapping[int, int], stock: Sequence[int], kerf: int) -> list[Fill]:
    """Return, for each stock length that holds the longest piece left, the fullest board with it.

    Args:
        left: Piece length to how many are left, whole units.
        stock: Stock lengths, same unit.
        kerf: Saw kerf, same unit.

    >>> fills({60: 1, 30: 2, 20: 1}, [96, 120], 1)
    [Fill(stock=96, used=92, cuts=(60, 30)), Fill(stock=120, used=113, cuts=(60, 30, 20))]
    """
    first = max(left)
    rest = {length: count for length, count in left.items() if length != first}
    if left[first] > 1:
        rest[first] = left[first] - 1
    ascending = sorted(rest.items())
    # A board ends without a kerf, so it holds cuts that each bring one if it were one kerf longer.
    room = {length: length - first for length in stock if length >= first}
    reached = _reached(ascending, max(room.values()), kerf)
    return [_fill(length, first, ascending, reached, room[length], kerf) for length in room]


def _reached(ascending: Sequence[tuple[int, int]], most: int, kerf: int) -> list[int]:
    """Bit n of entry m is set when some of the first m lengths, with their kerfs, take up exactly n."""
    limit = (1 << (most + 1)) - 1
    sums = [1]
    for length, count in ascending:
        step, bits = length + kerf, sums[-1]
        for _ in range(min(count, most // step)):
            bits |= (bits << step) & limit
        sums.append(bits)
    return sums


def _fill(
    stock: int, first: int, ascending: Sequence[tuple[int, int]], reached: Sequence[int], room: int, kerf: int
) -> Fill:
    target = (reached[-1] & ((1 << (room + 1)) - 1)).bit_length() - 1
    cuts, rest = [first], target
    for place in range(len(ascending), 0, -1):
        length, count = ascending[place - 1]
        taken = _most(reached[place - 1], rest, length + kerf, count)
        cuts += [length] * taken
        rest -= taken * (length + kerf)
    return Fill(stock, first + kerf + target, tuple(sorted(cuts, reverse=True)))


def _most(before: int, rest: int, step: int, count: int) -> int:
    """The most pieces of one length that still lets the shorter ones make up the rest."""
    return next(n for n in range(min(count, rest // step), -1, -1) if before >> (rest - n * step) & 1)

"""Posts along a beam, and where its plies are joined."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise


def post_positions(length_in: float, count: int, overhang_in: float) -> tuple[float, ...]:
    """Return post centres from the beam's start, in, at even spans rounded to whole inches.

    >>> post_positions(192, 3, 12)
    (12, 96.0, 180)
    """
    span = (length_in - 2 * overhang_in) / (count - 1)
    inner = (float(int(overhang_in + span * i + 0.5)) for i in range(1, count - 1))
    return (overhang_in, *inner, length_in - overhang_in)


def spans(positions_in: Sequence[float]) -> tuple[float, ...]:
    """Return the spans between neighbouring posts, in.

    >>> spans((12, 96, 180))
    (84, 84)
    """
    return tuple(b - a for a, b in pairwise(positions_in))


def _pieces_fit(length_in: float, cuts: Sequence[float], stock_in: float) -> bool:
    edges = (0.0, *cuts, length_in)
    return max(b - a for a, b in pairwise(edges)) <= stock_in


def _cut_sets(
    length_in: float, positions: Sequence[float], free: Sequence[int], stock_in: float
) -> Iterator[tuple[int, ...]]:
    for count in range(len(free) + 1):
        for chosen in combinations(free, count):
            if _pieces_fit(length_in, [positions[i] for i in chosen], stock_in):
                yield chosen
                if count == 0:
                    return


def _assign(
    length_in: float, positions: Sequence[float], room: dict[int, int], plies: int, stock_in: float
) -> list[tuple[int, ...]] | None:
    if plies == 0:
        return []
    free = [i for i in sorted(room) if room[i] > 0]
    for chosen in _cut_sets(length_in, positions, free, stock_in):
        left = {i: n - (i in chosen) for i, n in room.items()}
        rest = _assign(length_in, positions, left, plies - 1, stock_in)
        if rest is not None:
            return [chosen, *rest]
    return None


def ply_splices(
    length_in: float, positions_in: Sequence[float], plies: int, stock_in: float
) -> list[tuple[int, ...]] | None:
    """Return, for each ply, the posts (by index) it is joined over, or None where no rule allows it.

    Joints only on interior posts, at most half the plies at one post; so a single ply is never joined.

    >>> ply_splices(360, (12, 124, 236, 348), 2, 240)
    [(1,), (2,)]
    >>> ply_splices(360, (12, 180, 348), 1, 240) is None
    True
    """
    room = dict.fromkeys(range(1, len(positions_in) - 1), plies // 2)
    return _assign(length_in, positions_in, room, plies, stock_in)

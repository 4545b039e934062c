"""Posts along a beam, and where its plies are joined."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

Cuts = tuple[tuple[int, int], ...]  # (ply, post index), as joined from the beam's start
Joints = tuple[tuple[int, ...], ...]  # for each ply, the posts it is joined over, by index
MOST_WAYS = 200


def post_positions(
    length_in: float, count: int, overhang_in: float, far_overhang_in: float | None = None
) -> tuple[float, ...]:
    """Return post centres from the beam's start, in, at even spans rounded to whole inches.

    >>> post_positions(192, 3, 12), post_positions(192, 2, 12, 18)
    ((12, 96.0, 180), (12, 174))
    """
    far = overhang_in if far_overhang_in is None else far_overhang_in
    span = (length_in - overhang_in - far) / (count - 1)
    inner = (float(int(overhang_in + span * i + 0.5 + 1e-6)) for i in range(1, count - 1))
    return (overhang_in, *inner, length_in - far)


def spans(positions_in: Sequence[float]) -> tuple[float, ...]:
    """Return the spans between neighbouring posts, in.

    >>> spans((12, 96, 180))
    (84, 84)
    """
    return tuple(b - a for a, b in pairwise(positions_in))


def _step(
    states: dict[tuple[int, ...], Cuts], xs: Sequence[float], at: int, plies: int, stock_in: float
) -> dict[tuple[int, ...], Cuts]:
    """Go on to post ``at``: join no ply there, or one (half of two or three plies)."""
    out: dict[tuple[int, ...], Cuts] = {}
    for last, cuts in states.items():
        if xs[at] - xs[min(last)] > stock_in:
            continue  # some ply can't reach even this post
        options = [(last, cuts)]
        whole = last.count(0)  # plies change places: of those not joined yet the first is joined first
        for ply in range(min(plies, plies - whole + 1) if plies > 1 else 0):
            options.append(((*last[:ply], at, *last[ply + 1 :]), (*cuts, (ply, at))))
        for state, made in options:
            if state not in out or _rank(made) < _rank(out[state]):
                out[state] = made
    return out


def _rank(cuts: Cuts) -> tuple[int, Cuts]:
    """What decides between ways to join plies, less is better."""
    return len(cuts), cuts


def ply_splices(
    length_in: float, positions_in: Sequence[float], plies: int, stock_in: float
) -> list[tuple[int, ...]] | None:
    """Return, for each ply, the posts (by index) it is joined over, or None where no rule allows it.

    Joints only on interior posts, at most half the plies at one post; so a single ply is never joined. The
    fewest joints are taken; of ways with as few, the one that comes first when its joints are listed from the
    beam's start, each as its ply and then its post (convention of this service, so that answers repeat).

    >>> ply_splices(360, (12, 124, 236, 348), 2, 240)
    [(1,), (2,)]
    >>> ply_splices(347, (6, 54, 102, 150, 197, 245, 293, 341), 2, 144)
    [(1, 3, 6), (2, 5)]
    >>> ply_splices(360, (12, 180, 348), 1, 240) is None
    True
    """
    xs = (0.0, *positions_in[1:-1], length_in)
    states: dict[tuple[int, ...], Cuts] = {(0,) * plies: ()}
    for at in range(1, len(xs) - 1):
        states = _step(states, xs, at, plies, stock_in)
    fitting = [cuts for last, cuts in states.items() if length_in - xs[min(last)] <= stock_in]
    if not fitting:
        return None
    best = min(fitting, key=_rank)
    return [tuple(at for ply, at in best if ply == number) for number in range(plies)]


def ply_ways(
    length_in: float, positions_in: Sequence[float], plies: int, stock_in: float, more: int = 0
) -> tuple[Joints, ...]:
    """Return the ways the plies may be joined, by the rules of ``ply_splices``: for each ply, the posts by index.

    No more joints are made than the fewest there can be and ``more``; the fewest come first. Plies can change
    places, so that of ways alike but for that only one is given. Of more than ``MOST_WAYS`` at a post those with
    the fewest joints go on.

    >>> ply_ways(360, (12, 124, 236, 348), 2, 240)
    (((1,), (2,)),)
    >>> ply_ways(192, (12, 96, 180), 2, 240, more=1)
    (((), ()), ((), (1,)))
    """
    xs = (0.0, *positions_in[1:-1], length_in)
    ways: list[Joints] = [((),) * plies]
    for at in range(1, len(xs)):
        reach = (way for way in ways if all(xs[at] - xs[cuts[-1] if cuts else 0] <= stock_in for cuts in way))
        found = {joined for way in reach for joined in _joined(way, at if at < len(xs) - 1 else None)}
        ways = sorted(found, key=lambda way: (joint_count(way), way))[:MOST_WAYS]
    return tuple(way for way in ways if joint_count(way) <= joint_count(ways[0]) + more)


def _joined(way: Joints, at: int | None) -> Iterator[Joints]:
    """A way, and where there is an interior post and another ply beside it, the same with one ply joined there."""
    yield way
    if at is not None and len(way) > 1:
        for ply, cuts in enumerate(way):
            yield tuple(sorted((*way[:ply], (*cuts, at), *way[ply + 1 :])))


def joint_count(way: Joints) -> int:
    """Return how many joints a way has."""
    return sum(map(len, way))

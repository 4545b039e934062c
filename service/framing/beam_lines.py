"""Posts along a beam, and where its plies are joined."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

Cuts = tuple[tuple[int, int], ...]  # (ply, post index), as joined from the beam's start


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
        for ply in range(plies if plies > 1 else 0):
            joined = tuple(at if p == ply else i for p, i in enumerate(last))
            options.append((joined, (*cuts, (ply, at))))
        for state, made in options:
            if state not in out or len(made) < len(out[state]):
                out[state] = made
    return out


def ply_splices(
    length_in: float, positions_in: Sequence[float], plies: int, stock_in: float
) -> list[tuple[int, ...]] | None:
    """Return, for each ply, the posts (by index) it is joined over, or None where no rule allows it.

    Joints only on interior posts, at most half the plies at one post; so a single ply is never joined. The
    fewest joints are taken.

    >>> ply_splices(360, (12, 124, 236, 348), 2, 240)
    [(1,), (2,)]
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
    best = min(fitting, key=lambda cuts: (len(cuts), cuts))
    return [tuple(at for ply, at in best if ply == number) for number in range(plies)]

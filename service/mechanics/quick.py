"""Reactions of one uniformly loaded beam, without arrays: the search calls this thousands of times."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from service.mechanics.three_moment import solve_tridiagonal


def _inner_moments(spans_ft: Sequence[float], first: float, last: float, w_plf: float) -> list[float]:
    right = [-w_plf * (a**3 + b**3) / 4 for a, b in pairwise(spans_ft)]
    if not right:
        return []
    right[0] -= first * spans_ft[0]
    right[-1] -= last * spans_ft[-1]
    diagonal = [2 * (a + b) for a, b in pairwise(spans_ft)]
    return solve_tridiagonal(spans_ft[1:-1], diagonal, spans_ft[1:-1], right)


def continuous_reactions(
    spans_ft: Sequence[float], overhang_start_ft: float, overhang_end_ft: float, w_plf: float
) -> tuple[float, ...]:
    """Return the reactions of a continuous beam uniformly loaded from end to end.

    Source: three-moment equation, as `service.mechanics.three_moment`.

    Args:
        spans_ft: one length a span, ft, at least one.
        overhang_start_ft: overhang before the first support, ft.
        overhang_end_ft: overhang past the last support, ft.
        w_plf: the load, plf.

    Returns:
        One reaction a support, lb; negative is uplift.

    Raises:
        ValueError: no span, or a span that is not above zero.

    Limits of validity: the same section throughout, supports in line.

    >>> continuous_reactions([10.0, 10.0], 0.0, 0.0, 8.0)
    (30.0, 100.0, 30.0)
    """
    if not spans_ft or min(spans_ft) <= 0:
        raise ValueError("every span must be above zero")
    first, last = -w_plf * overhang_start_ft**2 / 2, -w_plf * overhang_end_ft**2 / 2
    moments = [first, *_inner_moments(spans_ft, first, last, w_plf), last]
    result = [0.0] * len(moments)
    result[0] = w_plf * overhang_start_ft
    result[-1] = w_plf * overhang_end_ft
    for i, span in enumerate(spans_ft):
        half, tilt = w_plf * span / 2, (moments[i + 1] - moments[i]) / span
        result[i] += half + tilt
        result[i + 1] += half - tilt
    return tuple(result)

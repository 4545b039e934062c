"""Moments over the supports and reactions by the three-moment equation (Clapeyron, 1857)."""

from __future__ import annotations

from collections.abc import Sequence

from service.mechanics.beam import Beam, Load, Point, clipped


def _load_term(load: Load, origin_ft: float, span_ft: float) -> float:
    """6 A x / L of one load's simple-beam moment area, taken about the span end at ``origin_ft``."""
    square = span_ft * span_ft

    def area(x_ft: float) -> float:
        return x_ft * x_ft * (square / 2 - x_ft * x_ft / 4)

    if isinstance(load, Point):
        x = abs(load.at_ft - origin_ft)
        return load.load_lb * x * (square - x * x) / span_ft
    near, far = sorted((abs(load.start_ft - origin_ft), abs(load.end_ft - origin_ft)))
    return load.load_plf * (area(far) - area(near)) / span_ft


def _span_terms(loads: Sequence[Load], start_ft: float, end_ft: float) -> tuple[float, float]:
    """Load terms of a span at its left and its right support, lb-ft2."""
    parts = _parts(loads, start_ft, end_ft)
    span = end_ft - start_ft
    left = sum(_load_term(part, end_ft, span) for part in parts)
    right = sum(_load_term(part, start_ft, span) for part in parts)
    return left, right


def _moment_about(loads: Sequence[Load], at_ft: float) -> float:
    return sum((_total_lb(load) * (_centre_ft(load) - at_ft) for load in loads), 0.0)


def _total_lb(load: Load) -> float:
    return load.load_lb if isinstance(load, Point) else load.load_plf * (load.end_ft - load.start_ft)


def _centre_ft(load: Load) -> float:
    return load.at_ft if isinstance(load, Point) else (load.start_ft + load.end_ft) / 2


def _parts(loads: Sequence[Load], start_ft: float, end_ft: float) -> list[Load]:
    return [part for load in loads if (part := clipped(load, start_ft, end_ft)) is not None]


def solve_tridiagonal(
    below: Sequence[float], diagonal: Sequence[float], above: Sequence[float], right: Sequence[float]
) -> list[float]:
    """Return x of a tridiagonal system by forward elimination (Thomas).

    Source: linear algebra. All figures in the caller's unit; ``below`` and ``above`` start at rows 1 and 0.

    Args:
        below: n - 1 figures under the diagonal, any unit.
        diagonal: n figures, any unit; the system must be diagonally dominant.
        above: n - 1 figures over the diagonal, any unit.
        right: n figures, any unit.

    Returns:
        The n unknowns.

    >>> solve_tridiagonal([1.0], [4.0, 4.0], [1.0], [5.0, 5.0])
    [1.0, 1.0]
    """
    n = len(diagonal)
    pivot, value = list(diagonal), list(right)
    for i in range(1, n):
        factor = below[i - 1] / pivot[i - 1]
        pivot[i] -= factor * above[i - 1]
        value[i] -= factor * value[i - 1]
    for i in range(n - 1, -1, -1):
        carried = above[i] * value[i + 1] if i + 1 < n else 0.0
        value[i] = (value[i] - carried) / pivot[i]
    return value


def support_moments_lb_ft(beam: Beam, loads: Sequence[Load]) -> tuple[float, ...]:
    """Return the bending moment over each support, lb-ft, sagging positive.

    Source: three-moment equation, M1 L1 + 2 M2 (L1 + L2) + M3 L2 = -(load terms); overhangs by statics.

    Args:
        beam: the beam, ft.
        loads: uniform and point loads, plf and lb, positions in ft.

    Returns:
        One moment a support, lb-ft.

    >>> from service.mechanics.beam import Beam, Uniform
    >>> support_moments_lb_ft(Beam(20.0, (0.0, 10.0, 20.0)), [Uniform(0.0, 20.0, 8.0)])
    (0.0, -100.0, 0.0)
    """
    at = beam.supports_ft
    # A foot past the tip, so that a load on the tip itself is counted.
    beyond = beam.length_ft + 1.0
    first = 0.0 - hogging_before_lb_ft(loads, at[0])
    last = 0.0 - _moment_about(_parts(loads, at[-1], beyond), at[-1])
    spans = beam.spans_ft
    terms = [_span_terms(loads, at[i], at[i + 1]) for i in range(len(spans))]
    right = [-(terms[i][1] + terms[i + 1][0]) for i in range(len(spans) - 1)]
    if not right:
        return first, last
    right[0] -= first * spans[0]
    right[-1] -= last * spans[-1]
    diagonal = [2 * (spans[i] + spans[i + 1]) for i in range(len(right))]
    inner = solve_tridiagonal(spans[1:-1], diagonal, spans[1:-1], right)
    return (first, *inner, last)


def hogging_before_lb_ft(loads: Sequence[Load], at_ft: float) -> float:
    """Return the hogging moment at a position from the loads before it, lb-ft.

    Source: statics.

    Args:
        loads: the loads, plf and lb.
        at_ft: the position, ft.

    Returns:
        The moment, lb-ft, hogging positive.

    >>> hogging_before_lb_ft([Point(1.0, 100.0)], 3.0)
    200.0
    """
    return -_moment_about(_parts(loads, -1.0, at_ft), at_ft)


def reactions_lb(beam: Beam, loads: Sequence[Load], moments_lb_ft: Sequence[float]) -> tuple[float, ...]:
    """Return the upward reaction at each support, lb, from the moments over the supports.

    Source: statics of each span and overhang.

    Args:
        beam: the beam, ft.
        loads: the loads, plf and lb.
        moments_lb_ft: the moments over the supports, lb-ft, sagging positive.

    Returns:
        One reaction a support, lb; negative is uplift.

    >>> from service.mechanics.beam import Beam, Uniform
    >>> reactions_lb(Beam(20.0, (0.0, 10.0, 20.0)), [Uniform(0.0, 20.0, 8.0)], (0.0, -100.0, 0.0))
    (30.0, 100.0, 30.0)
    """
    at = beam.supports_ft
    result = [0.0] * len(at)
    result[0] += sum(_total_lb(part) for part in _parts(loads, -1.0, at[0]))
    result[-1] += sum(_total_lb(part) for part in _parts(loads, at[-1], beam.length_ft + 1.0))
    for i, span in enumerate(beam.spans_ft):
        parts = _parts(loads, at[i], at[i + 1])
        tilt = (moments_lb_ft[i + 1] - moments_lb_ft[i]) / span
        at_right = _moment_about(parts, at[i]) / span
        result[i] += sum(_total_lb(part) for part in parts) - at_right + tilt
        result[i + 1] += at_right - tilt
    return tuple(result)

"""Many beams at once: uniform load bay by bay, any number of spans, NumPy arrays."""

from __future__ import annotations

import msgspec
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class BatchResponse(msgspec.Struct, frozen=True, eq=False):
    """Results of n beams of k spans.

    Source: three-moment equation. ``support_moments_lb_ft`` and ``reactions_lb`` are (n, k + 1);
    ``span_moments_lb_ft`` (largest sagging), ``shears_left_lb`` and ``shears_right_lb`` (at the ends of a
    span) are (n, k). Sagging positive.

    >>> one = np.array([[10.0]])
    >>> batch_analyse(one, np.zeros((1, 2)), np.full((1, 3), 8.0)).span_moments_lb_ft
    array([[100.]])
    """

    support_moments_lb_ft: Array
    reactions_lb: Array
    span_moments_lb_ft: Array
    shears_left_lb: Array
    shears_right_lb: Array


def _solve(spans: Array, right: Array) -> Array:
    """Thomas elimination over the columns, every row a beam."""
    count = right.shape[1]
    pivot = 2 * (spans[:, :-1] + spans[:, 1:])
    value = right.copy()
    for i in range(1, count):
        factor = spans[:, i] / pivot[:, i - 1]
        pivot[:, i] -= factor * spans[:, i]
        value[:, i] -= factor * value[:, i - 1]
    for i in range(count - 1, -1, -1):
        if i + 1 < count:
            value[:, i] -= spans[:, i + 1] * value[:, i + 1]
        value[:, i] /= pivot[:, i]
    return value


def _support_moments(spans: Array, overhangs: Array, loads: Array) -> Array:
    count = spans.shape[1]
    moments = np.zeros((spans.shape[0], count + 1))
    moments[:, 0] = -loads[:, 0] * overhangs[:, 0] ** 2 / 2
    moments[:, -1] = -loads[:, -1] * overhangs[:, 1] ** 2 / 2
    if count > 1:
        cubes = loads[:, 1:-1] * spans**3 / 4
        right = -(cubes[:, :-1] + cubes[:, 1:])
        right[:, 0] -= moments[:, 0] * spans[:, 0]
        right[:, -1] -= moments[:, -1] * spans[:, -1]
        moments[:, 1:-1] = _solve(spans, right)
    return moments


def batch_analyse(spans_ft: Array, overhangs_ft: Array, loads_plf: Array) -> BatchResponse:
    """Return moments, shears and reactions of n continuous beams, each bay uniformly loaded.

    Source: three-moment equation, as `service.mechanics.three_moment`.

    Args:
        spans_ft: (n, k) span lengths, ft.
        overhangs_ft: (n, 2) overhang before the first and past the last support, ft.
        loads_plf: (n, k + 2) loads on the first overhang, the spans and the last overhang, plf.

    Returns:
        Moments in lb-ft, shears and reactions in lb.

    Raises:
        ValueError: the shapes do not agree, or a span is not above zero.

    Limits of validity: prismatic beams with the same number of spans in one call.

    >>> found = batch_analyse(np.array([[10.0, 10.0]]), np.zeros((1, 2)), np.full((1, 4), 8.0))
    >>> found.reactions_lb
    array([[ 30., 100.,  30.]])
    """
    n, count = spans_ft.shape
    if overhangs_ft.shape != (n, 2) or loads_plf.shape != (n, count + 2):
        raise ValueError("overhangs must be (n, 2) and loads (n, spans + 2)")
    if not np.all(spans_ft > 0):
        raise ValueError("every span must be above zero")
    moments = _support_moments(spans_ft, overhangs_ft, loads_plf)
    inner = loads_plf[:, 1:-1]
    half = inner * spans_ft / 2
    tilt = np.diff(moments, axis=1) / spans_ft
    left, right = half + tilt, half - tilt
    reactions = np.zeros_like(moments)
    reactions[:, :-1] += left
    reactions[:, 1:] += right
    reactions[:, 0] += loads_plf[:, 0] * overhangs_ft[:, 0]
    reactions[:, -1] += loads_plf[:, -1] * overhangs_ft[:, 1]
    return BatchResponse(moments, reactions, _span_moments(moments, left, inner, spans_ft), left, -right)


def _span_moments(moments: Array, left: Array, loads: Array, spans: Array) -> Array:
    """Largest sagging moment of each span: where shear is zero if that is inside, else at an end."""
    # An unloaded span has its largest moment at an end; the division must not see its zero.
    safe = np.where(loads == 0, 1.0, loads)
    at = np.where(loads == 0, 0.0, np.clip(left / safe, 0.0, spans))
    inside = moments[:, :-1] + at * (left - loads * at / 2)
    ends = np.maximum(moments[:, :-1], moments[:, 1:])
    return np.asarray(np.maximum(inside, ends))


def batch_reactions(spans_ft: Array, overhangs_ft: Array, loads_plf: Array) -> Array:
    """Return the reactions of n continuous beams, each bay uniformly loaded.

    Source: three-moment equation. Arguments, errors and limits as `batch_analyse`.

    Args:
        spans_ft: (n, k) span lengths, ft.
        overhangs_ft: (n, 2) overhangs, ft.
        loads_plf: (n, k + 2) loads bay by bay, plf.

    Returns:
        (n, k + 1) reactions, lb.

    >>> batch_reactions(np.array([[10.0]]), np.array([[0.0, 2.0]]), np.full((1, 3), 50.0))
    array([[240., 360.]])
    """
    return batch_analyse(spans_ft, overhangs_ft, loads_plf).reactions_lb

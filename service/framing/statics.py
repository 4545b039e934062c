"""Loads from boards to footings by statics: what is loaded and what carries it always balance."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from service.framing.layout import Layout
from service.mechanics.quick import continuous_reactions


def _joined_runs(supports: Sequence[float], laps: Sequence[int]) -> list[tuple[int, int]]:
    cuts = [0, *laps, len(supports) - 1]
    return list(itertools.pairwise(cuts))


def joist_reactions_plf(layout: Layout, load_psf: float) -> tuple[float, ...]:
    """Return the load per foot of width on each joist support, in order, plf.

    The whole projection is loaded, from the wall line to the rim's outer face. Joists lapped over a beam are
    broken there.

    Args:
        layout: the frame.
        load_psf: load on the deck, psf.

    >>> one = Layout(192, 144, "ledger", "2x10", 16, (120.0,), "2x10", 2, "dropped", "6x6", (12, 96, 180))
    >>> [round(r, 1) for r in joist_reactions_plf(one, 50)]
    [243.0, 357.0]
    """
    ys = layout.support_ys_in
    first_beam = 1 if layout.attached else 0
    totals = [0.0] * len(ys)
    for start, end in _joined_runs(ys, [first_beam + i for i in layout.lap_at]):
        spans_ft = [(b - a) / 12 for a, b in zip(ys[start:end], ys[start + 1 : end + 1], strict=True)]
        before = ys[0] / 12 if start == 0 and not layout.attached else 0.0
        after = (layout.projection_in - ys[-1]) / 12 if end == len(ys) - 1 else 0.0
        for offset, reaction in enumerate(continuous_reactions(spans_ft, before, after, load_psf)):
            totals[start + offset] += reaction
    if layout.attached:
        totals[0] += load_psf * ys[0] / 12
    return tuple(totals)


def post_reactions_lb(
    spans_in: Sequence[float], overhang_start_in: float, overhang_end_in: float, load_plf: float
) -> tuple[float, ...]:
    """Return the reactions of a beam that is whole over its posts, lb.

    >>> [round(r) for r in post_reactions_lb((84, 84), 12, 12, 400)]
    [1493, 3414, 1493]
    """
    feet = [span / 12 for span in spans_in]
    return continuous_reactions(feet, overhang_start_in / 12, overhang_end_in / 12, load_plf)


def broken_reactions_lb(
    spans_in: Sequence[float], overhang_start_in: float, overhang_end_in: float, load_plf: float
) -> tuple[float, ...]:
    """Return the reactions of a beam broken over every interior post, lb.

    >>> [round(r) for r in broken_reactions_lb((84, 84), 12, 12, 400)]
    [1829, 2743, 1829]
    """
    totals = [0.0] * (len(spans_in) + 1)
    last = len(spans_in) - 1
    for i, span in enumerate(spans_in):
        before = overhang_start_in / 12 if i == 0 else 0.0
        after = overhang_end_in / 12 if i == last else 0.0
        near, far = continuous_reactions([span / 12], before, after, load_plf)
        totals[i] += near
        totals[i + 1] += far
    return tuple(totals)

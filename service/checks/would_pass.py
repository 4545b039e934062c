"""The nearest sizes that would pass where a member does not."""

from __future__ import annotations

import msgspec

from service.framing.layout import Layout
from service.sizing.allowed import allowed_beam_span, allowed_joist_span, allowed_post_height
from service.sizing.criteria import Criteria
from service.sizing.lumber import BY_DEPTH
from service.units.finding import Finding

SPACINGS_IN = (24.0, 16.0, 12.0)
PLIES = (1, 2, 3)
POSTS = ("4x4", "4x6", "6x6", "8x8")


def joists(criteria: Criteria, layout: Layout, span_in: float, cantilever_in: float) -> str | None:
    """Return joists that would carry this span, by rising size, or None."""
    for size in BY_DEPTH:
        for spacing in (layout.spacing_in, *SPACINGS_IN):
            value = allowed_joist_span(criteria, size, spacing, cantilever_in).value_in
            if spacing <= layout.spacing_in and value is not None and value >= span_in:
                return f"{size} at {spacing:g} in, up to {value:g} in"
    return None


def beam(criteria: Criteria, span_in: float, joist_span_in: float, cantilever_in: float) -> str | None:
    """Return a beam that would carry this span, by rising plies and size, or None."""
    for plies in PLIES:
        for size in BY_DEPTH:
            value = allowed_beam_span(criteria, size, plies, joist_span_in / 12, cantilever_in / 12).value_in
            if value is not None and value >= span_in:
                return f"{plies}-ply {size}, up to {value:.6g} in"
    return None


def post(criteria: Criteria, height_in: float, plies: int, tributary_sqft: float) -> str | None:
    """Return a post that would stand this tall, or None."""
    for size in POSTS:
        value = allowed_post_height(criteria, size, plies, tributary_sqft).value_in
        if value is not None and value >= height_in:
            return f"{size}, up to {value:.6g} in"
    return None


def or_limit(finding: Finding) -> Finding:
    """Return a failing check with at least its own limit as what would pass.

    >>> from service.units.citation import Citation
    >>> from service.units.finding import at_most
    >>> or_limit(at_most("main.beam-1", "beam_bending", "calculated", 1100, 1000, "psi", Citation("NDS"))).would_pass
    'at most 1000 psi'
    """
    if finding.passes or finding.would_pass is not None:
        return finding
    advice = "another size or way: the rule cited says no to this one"
    if finding.capacity is not None and finding.sense != "yes_no":
        word = "at most" if finding.sense == "at_most" else "at least"
        advice = f"{word} {finding.capacity:.6g} {finding.unit or ''}".rstrip()
    return msgspec.structs.replace(finding, would_pass=advice)

"""How a layout stands against the limits, quickly: the search's view of the same rules the checks use."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from service.choice.ask import Ask
from service.choice.beam_rows import CLEAR_OF_HOUSE_IN
from service.choice.limits import Limits
from service.framing.heights import foot, stack
from service.framing.layout import Layout
from service.framing.statics import broken_reactions_lb, joist_reactions_plf, post_reactions_lb
from service.sizing.allowed import Allowed
from service.sizing.beams import overhang_limit_in
from service.sizing.lumber import depth_in

BY_TABLES, ENGINEER, FAILS = 0, 1, 2
OVER = 1 + 1e-9
LARGEST_FOOTING_SQFT = 160.0  # last tributary row of the footing and post tables


@dataclass(frozen=True)
class Standing:
    """``level`` 0: by tables; 1: an engineer must look; 2: a check fails. ``ratio`` is the worst utilisation."""

    level: int
    ratio: float


def _ratio(demand: float, whole: Allowed) -> float:
    allowed = whole.for_demand(demand)
    if allowed.value_in is None:
        return float("inf")
    return demand / allowed.value_in if allowed.value_in > 0 else float("inf")


def _level(demand: float, allowed: Allowed) -> int:
    return BY_TABLES if allowed.for_demand(demand).basis == "table" else ENGINEER


def joist_standing(layout: Layout, limits: Limits) -> Standing:
    """Return how the joists stand: every span and both cantilevers."""
    size, spacing = layout.joist_size, layout.spacing_in
    over = max(layout.yard_cantilever_in, layout.house_cantilever_in)
    span = limits.joist_span(size, spacing, over)
    longest = max(layout.joist_spans_in)
    ratio, level = _ratio(longest, span), _level(longest, span)
    ends = [
        (layout.house_cantilever_in, layout.joist_spans_in[0]),
        (layout.yard_cantilever_in, layout.joist_spans_in[-1]),
    ]
    for reach, back in ends:
        if reach > 0:
            allowed = limits.cantilever(size, spacing, back)
            ratio, level = max(ratio, _ratio(reach, allowed)), max(level, _level(reach, allowed))
    return Standing(_worse(level, ratio), ratio)


def _worse(level: int, ratio: float) -> int:
    return FAILS if ratio > OVER else level


def beam_limits(layout: Layout, ask: Ask, limits: Limits) -> list[Allowed]:
    """Return the allowable span of each beam of a layout, in order."""
    reactions = joist_reactions_plf(layout, 1.0)
    on_beams = reactions[1:] if layout.attached else reactions
    return [_beam_limit(layout, ask, limits, i, share) for i, share in enumerate(on_beams)]


def _beam_limit(layout: Layout, ask: Ask, limits: Limits, index: int, share_ft: float) -> Allowed:
    spans = layout.joist_spans_in
    size, plies = layout.beam_size, layout.beam_plies
    if index in layout.interior_beams:
        place = index + 1 if layout.attached else index
        broken = index in layout.lap_at
        return limits.interior_beam_span(size, plies, spans[place - 1], spans[place], broken, share_ft)
    last = index == len(layout.beam_ys_in) - 1
    if last:
        extra = ask.stair_span_ft * 12
        return limits.beam_span(size, plies, spans[-1] + extra, layout.yard_cantilever_in)
    return limits.beam_span(size, plies, spans[0], layout.house_cantilever_in)


def beam_standing(layout: Layout, ask: Ask, allowed: list[Allowed]) -> Standing:
    """Return how the beams stand on their posts: spans and overhangs."""
    longest = max(layout.beam_spans_in)
    ratio = max(_ratio(longest, one) for one in allowed)
    ends = (
        (layout.post_xs_in[0], layout.beam_spans_in[0]),
        (layout.beam_overhang_in, layout.beam_spans_in[-1]),
    )
    for overhang, adjacent in ends:
        ratio = max(ratio, overhang / overhang_limit_in(ask.criteria, adjacent))
    level = max(
        [_level(longest, one) for one in allowed] + ([ENGINEER] if _settled_by_engineer(layout, ask) else [])
    )
    return Standing(_worse(level, ratio), ratio)


def _settled_by_engineer(layout: Layout, ask: Ask) -> bool:
    accepted = ask.criteria.rulebook.in_force_settings.accept_tributary_interior_beams
    hung_on_both = layout.placement == "flush" and bool(layout.interior_beams)
    stair_hangs_badly = ask.stair_on_yard and (layout.yard_cantilever_in > 0 or layout.placement == "flush")
    both_sides = bool(layout.interior_beams) and not accepted
    return both_sides or hung_on_both or stair_hangs_badly or crowds_house(layout)


def crowds_house(layout: Layout) -> bool:
    """Return whether the first row of a free-standing deck stands where the house footing is likely to be."""
    if layout.attached or layout.gap_in == 0:
        return False
    return layout.beam_ys_in[0] - layout.gap_in < CLEAR_OF_HOUSE_IN


def post_standing(layout: Layout, ask: Ask, limits: Limits) -> Standing:
    """Return how posts stand: the heaviest and the tallest taken together, and the footing tables' last row."""
    load = heaviest_post_lb(layout, ask)
    heights = stack(ask.surface_in, ask.decking_in, layout.joist_size, layout.beam_size, layout.placement)
    places = [
        foot(heights.beam_bottom_in, ask.ground(ask.rectangle.x_ft + x / 12, ask.rectangle.y_ft + y / 12))
        for y in layout.beam_ys_in
        for x in layout.post_xs_in
    ]
    if any(place.standing == "no_room" for place in places):
        return Standing(FAILS, float("inf"))
    tallest = max(place.height_in for place in places)
    too_wide = load / ask.criteria.design_psf > LARGEST_FOOTING_SQFT
    level = ENGINEER if too_wide else BY_TABLES
    if tallest == 0:
        return Standing(level, 0.0)
    allowed = limits.post_height(layout.post_size, layout.beam_plies, load, tallest)
    ratio = _ratio(tallest, allowed)
    return Standing(_worse(max(level, _level(tallest, allowed)), ratio), ratio)


def heaviest_post_lb(layout: Layout, ask: Ask) -> float:
    """Return the largest load on a post, beams whole or broken over their posts, stair included, lb."""
    reactions = joist_reactions_plf(layout, ask.criteria.design_psf)
    on_beams = reactions[1:] if layout.attached else reactions
    ends = layout.post_xs_in[0], layout.width_in - layout.post_xs_in[-1]
    worst = 0.0
    for i, load in enumerate(on_beams):
        extra = ask.stair_load_lb if i == len(on_beams) - 1 else 0.0
        whole = post_reactions_lb(layout.beam_spans_in, *ends, load)
        broken = broken_reactions_lb(layout.beam_spans_in, *ends, load)
        worst = max(worst, max(*whole, *broken) + extra)
    return worst


def flush_fits(layout: Layout) -> bool:
    """Return whether a flush beam is at least as deep as the joists it carries."""
    return layout.placement == "dropped" or depth_in(layout.beam_size) >= depth_in(layout.joist_size)


def has_room(layout: Layout, ask: Ask) -> bool:
    """Return whether the beams clear the ground at both their ends."""
    heights = stack(ask.surface_in, ask.decking_in, layout.joist_size, layout.beam_size, layout.placement)
    x0, y0 = ask.rectangle.x_ft, ask.rectangle.y_ft
    ends = [(x, y0 + y / 12) for y in layout.beam_ys_in for x in (x0, x0 + ask.rectangle.width_ft)]
    return all(foot(heights.beam_bottom_in, ask.ground(x, y)).standing != "no_room" for x, y in ends)


def rising(ys_in: tuple[float, ...], least_in: float) -> bool:
    """Return whether neighbouring beam lines stand at least this far apart.

    >>> rising((10.0, 60.0), 24.0)
    True
    """
    return all(b - a >= least_in for a, b in pairwise(ys_in))

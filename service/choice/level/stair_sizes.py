"""Sizes of what stands under a stair: the fewest posts, then the least lumber, by tables before calculation."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from service.checks.stairs import joist_span_of_ft
from service.choice.level.limits import Limits
from service.connections.posts import beam_width_in, seat_width_in
from service.contract.spec_level import DeckingSpec
from service.framing.beam_lines import ply_splices, post_positions
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN
from service.framing.stair_beams import BeamSizes, StairBeam, StairWood, build_beam, feet
from service.framing.stair_lines import BearingLine, Platform
from service.framing.stairs import StairPlan
from service.sizing.allowed import Allowed
from service.sizing.beams import overhang_limit_in
from service.sizing.criteria import Criteria
from service.sizing.decking import decking_spacing_limit
from service.sizing.lumber import BY_DEPTH, PLY_IN, nominal, post_side_in
from service.units.text import feet_inches

MOST_POSTS = 12
LEAST_BAY_IN = 18.0  # convention of this service: nearer posts share a footing
PLIES = (2, 3)
BEAMS = sorted(((size, plies) for size in BY_DEPTH for plies in PLIES), key=lambda b: nominal(b[0])[1] * b[1])
USUAL_POST = "6x6"
SPACINGS_IN = (16.0, 12.0)
GUARD_JOISTS = BY_DEPTH[1:]  # DCA 6: what guard posts are fixed to is a 2x8 at least
SAME = 1e-9


@dataclass(frozen=True)
class StairAsk:
    """What every beam under stairs is sized by: rules, lumber, the deck's post size, what its allowances are."""

    criteria: Criteria
    wood: StairWood
    post_size: str
    limits: Limits

    @property
    def off_tables(self) -> bool:
        """Whether no table covers any member here."""
        return self.criteria.table_load_psf is None or not self.criteria.species_group


def stair_ask(criteria: Criteria, stock_in: float, post_size: str, limits: Limits | None = None) -> StairAsk:
    """Return what stairs of a deck on posts of this size are framed by; ``stock_in`` is the longest board."""
    wood = StairWood(criteria.species, criteria.grade, stock_in)
    return StairAsk(criteria, wood, post_size, limits or Limits(criteria))


def span_allowed(beam: StairBeam, ask: StairAsk) -> Allowed:
    """Return the longest span this beam may have, no joist running past it."""
    joists_in = 12 * joist_span_of_ft(beam, ask.criteria)
    return ask.limits.beam_span(beam.sizes.size, beam.sizes.plies, joists_in, 0.0)


def choose_beam(
    plan: StairPlan, level: str, line: BearingLine, number: int, under_in: float, ask: StairAsk
) -> StairBeam | str:
    """Return the beam that holds a line up, or why none of the sizes tried does."""
    by_calculation: StairBeam | None = None
    width_in = plan.line.width_ft * 12
    for posts in _posts(width_in, ask.post_size):
        for size, plies in BEAMS:
            sizes = BeamSizes(size, plies, *posts)
            if not _fits(plan, line, sizes, under_in, ask.wood.stock_in):
                continue
            beam = build_beam(plan, level, line, number, sizes, under_in, ask.wood)
            bases = _bases(beam, ask)
            if bases == {"table"}:
                return beam
            if bases and by_calculation is None:
                by_calculation = beam
        if by_calculation is not None and ask.off_tables:
            break
    return by_calculation or _why(plan, line, under_in, ask.post_size)


def _posts(width_in: float, own: str) -> Iterator[tuple[str, tuple[float, ...]]]:
    """Posts by size and place, fewest first, those of the deck's own size before 6x6."""
    for count in range(2, MOST_POSTS + 1):
        for size in dict.fromkeys((own, USUAL_POST)):
            inset = float(math.ceil(post_side_in(size) / 2))
            if count == 2 or (width_in - 2 * inset) / (count - 1) >= LEAST_BAY_IN:
                yield size, post_positions(width_in, count, inset)


def _fits(plan: StairPlan, line: BearingLine, sizes: BeamSizes, under_in: float, stock_in: float) -> bool:
    if beam_width_in(sizes.size, sizes.plies) > seat_width_in(sizes.post_size):
        return False
    if ply_splices(plan.line.width_ft * 12, sizes.post_at_in, sizes.plies, stock_in) is None:
        return False
    return all(one.standing != "no_room" for one in feet(plan, line, sizes, under_in))


def _bases(beam: StairBeam, ask: StairAsk) -> set[str]:
    """What shows that beam and posts hold clear of the ground: tables, calculation, or, where empty, nothing."""
    span = max(beam.beam.spans_in)
    allowed = [(span, span_allowed(beam, ask).for_demand(span))]
    overhang_in = overhang_limit_in(ask.criteria, min(beam.beam.spans_in))
    if beam.sizes.post_at_in[0] > overhang_in + SAME or beam.gap_in < PIER_TOP_ABOVE_GRADE_IN - SAME:
        return set()
    standing = [stand for stand in beam.stands if stand.foot.standing == "post"]
    for stand in standing:
        height = stand.foot.height_in
        whole = ask.limits.post_height(beam.sizes.post_size, beam.sizes.plies, stand.sizing_load_lb, height)
        allowed.append((height, whole.for_demand(height)))
    if any(one.value_in is None or demand > one.value_in * (1 + SAME) for demand, one in allowed):
        return set()
    return {one.basis for _, one in allowed}


def _why(plan: StairPlan, line: BearingLine, under_in: float, post_size: str) -> str:
    """Why nothing holds: how much room the shallowest beam lacks, or that all sizes are too weak."""
    _, places = next(_posts(plan.line.width_ft * 12, post_size))
    size, plies = BEAMS[0]
    missing = max(
        one.missing_in for one in feet(plan, line, BeamSizes(size, plies, post_size, places), under_in)
    )
    if missing > 0:
        return f"even a {size} needs {feet_inches(missing)} more room over the ground"
    return "no two or three plies on posts hold it"


def landing_joists(
    plan: StairPlan, platform: Platform, guarded: bool, ask: StairAsk
) -> tuple[str, float] | None:
    """Return the size and spacing of a landing's joists; none where no size spans it."""
    spacing = landing_spacing_in(ask.criteria, plan.place.decking)
    span = platform.depth_in - PLIES[0] * PLY_IN
    for size in GUARD_JOISTS if guarded else BY_DEPTH:
        allowed = ask.limits.joist_span(size, spacing, 0.0).for_demand(span)
        if allowed.value_in is not None and span <= allowed.value_in:
            return size, spacing
    return None


def landing_spacing_in(criteria: Criteria, decking: DeckingSpec) -> float:
    """Return how far apart joists of a landing stand: 16 in, or as near as its boards ask."""
    limit = decking_spacing_limit(criteria, decking).spacing_in or SPACINGS_IN[-1]
    return next((spacing for spacing in SPACINGS_IN if spacing <= limit), limit)

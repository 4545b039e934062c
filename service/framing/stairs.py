"""Stairs: where each leaves its level, how it comes down, and what it puts on what carries it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import msgspec
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from service.contract.ids import deck_member
from service.contract.plan import SAME_FT
from service.contract.report import Caution, Reason
from service.contract.report_frame import Flight, Landing, Point, Stair, StairGuard
from service.contract.spec_level import StairSpec
from service.framing.ground import heights_over
from service.framing.stair_climb import Climb, find_climb
from service.framing.stair_flights import (
    BuiltFlight,
    StairWish,
    build_flights,
    climb_finder,
    guard_needed,
    guard_of,
    handrail_of,
    stair_findings,
)
from service.framing.stair_lines import StairLoads, stair_loads
from service.framing.stair_place import StairLine, StairPlace, stair_line
from service.sizing.criteria import Criteria
from service.sizing.stair_checks import landing_guard_findings, or_else, reasons_of
from service.sizing.stair_limits import StairRules, figure, stair_rules
from service.sizing.stairs import FLEXIBLE_TREADS, seat_in
from service.units.finding import Finding, numbered, yes_no
from service.units.text import feet_inches
from service.units.working import Step

LEVEL_WITHIN_IN = 2.0  # convention of this service: less fall under a landing is levelled with the pad


@dataclass(frozen=True)
class StairLoad:
    """The load a stair puts on the side it hangs from, spread along it; ``edge`` is the side's number."""

    stair: str
    level: str
    edge: int
    from_ft: float
    to_ft: float
    start_ft: Point
    end_ft: Point
    reaction_lb: float
    working: tuple[Step, ...]

    @property
    def line_plf(self) -> float:
        """The load per foot of the stair's width."""
        return self.reaction_lb / (self.to_ft - self.from_ft)


@dataclass(frozen=True)
class StairPlan:
    """A stair as it lies: its place and line, its climb and flights, and what it goes down to."""

    place: StairPlace
    line: StairLine
    climb: Climb
    built: tuple[BuiltFlight, ...]
    down_to: str

    @property
    def seat_in(self) -> float:
        """How far its stringers' foot reaches back from the lowest riser."""
        last = self.built[-1].flight
        return seat_in(self.climb.riser_in, self.climb.tread_in, last.drop_in, last.run_in)

    @property
    def end_in(self) -> float:
        """How far out the landing at its foot ends."""
        return self.climb.run_in + self.climb.landing_depth_in

    # Asked for every post of every frame tried: cut out once.
    @cached_property
    def flights(self) -> Polygon:
        """The stair in plan without the landing at its foot, ft; without area where it is one riser."""
        return Polygon(self.line.strip(0.0, self.climb.run_in))

    @cached_property
    def flights_within(self) -> BaseGeometry:
        """The flights without their edge, ft: what lies on it is not under them."""
        return self.flights.buffer(-SAME_FT)

    @cached_property
    def landing_within(self) -> BaseGeometry:
        """The landing at its foot without its edge, ft."""
        return Polygon(self.line.strip(self.climb.run_in, self.end_in)).buffer(-SAME_FT)

    @cached_property
    def footprint(self) -> Polygon:
        """The whole of it in plan with the landing at its foot, ft."""
        return Polygon(self.line.strip(0.0, self.end_in))


@dataclass(frozen=True)
class StairResult:
    """A stair with its checks; ``stair``, ``load``, ``loads`` and ``plan`` are null where none can come down from here.

    ``load`` is what its header takes where the stringers hang on the edge.
    """

    stair: Stair | None
    load: StairLoad | None
    loads: StairLoads | None
    plan: StairPlan | None
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
    reasons: tuple[Reason, ...]


def lay_out_stairs(
    specs: Iterable[StairSpec], places: Mapping[str, StairPlace], criteria: Criteria
) -> tuple[StairResult, ...]:
    """Return the stairs of a deck in the caller's order, their landings numbered on through the deck."""
    found: list[StairResult] = []
    landings = 1
    for number, spec in enumerate(specs, start=1):
        result = lay_out_stair(spec, number, places[spec.level], criteria, landings)
        landings += len(result.stair.landings) if result.stair else 0
        found.append(result)
    return tuple(found)


def lay_out_stair(
    spec: StairSpec, number: int, place: StairPlace, criteria: Criteria, first_landing: int = 1
) -> StairResult:
    """Return stair ``number`` (from 1, in the caller's order), down to the ground or the floor at its own foot."""
    rules, member = stair_rules(criteria), deck_member("stair", number)
    line, wish = stair_line(spec, place), _wish(spec, place)

    def drop_at(out_in: float) -> float:
        return place.surface_height_in - place.foot_height_in(spec.down_to, line.middle(out_in))

    climb = find_climb(drop_at, *climb_finder(wish, rules))
    if climb is None:
        return _nowhere_to_go(member, rules)
    built = build_flights(member, climb, wish, rules)
    plan = StairPlan(place, line, climb, tuple(built), spec.down_to)
    drops = _drops_in(plan, rules)
    highest = max((0.0, *drops.values()))
    stair = _stair(member, number, spec, plan, guard_needed(highest, rules), rules)
    stair = msgspec.structs.replace(stair, landings=_landings(plan, drops, rules, first_landing))
    loads = stair_loads(member, line, climb, built, place.surface_height_in, criteria)
    findings = tuple(numbered(list(_findings(stair, plan, wish, highest, rules))))
    return StairResult(
        stair=stair,
        load=_header_load(member, spec.level, line, loads),
        loads=loads,
        plan=plan,
        findings=findings,
        cautions=(
            *_label_cautions(member, place.decking.material),
            *_rail_cautions(stair),
            *_sloping(member, plan),
        ),
        reasons=reasons_of(findings),
    )


def _wish(spec: StairSpec, place: StairPlace) -> StairWish:
    return StairWish(
        spec.width_in,
        spec.tread_in,
        spec.tread_thickness_in,
        spec.stringer,
        tread_material=place.decking.material,
    )


def _findings(
    stair: Stair, plan: StairPlan, wish: StairWish, highest_in: float, rules: StairRules
) -> Iterator[Finding]:
    yield from stair_findings(stair.id, plan.climb, list(plan.built), wish, highest_in, rules)
    for landing in stair.landings:
        if landing.guard is not None:
            yield from landing_guard_findings(landing.id, landing.guard.height_in, rules)
    yield from _on_floor(stair.id, plan, rules)


def _nowhere_to_go(member: str, rules: StairRules) -> StairResult:
    limit = figure(rules.code, "riser_height")
    found = yes_no(member, "riser_height", "rule", False, limit.citation, limit.steps)
    text = "the ground at the foot never lies below the deck by a height that steps can climb"
    reason = Reason(code="check_failed", text=text, member=member, citation=limit.citation)
    return StairResult(None, None, None, None, (found,), (), (reason,))


def _on_floor(member: str, plan: StairPlan, rules: StairRules) -> Iterator[Finding]:
    """Whether the foot and the landing before it lie wholly on the level the stair goes down to."""
    floor = plan.place.floors.get(plan.down_to)
    if floor is None:
        return
    foot = Polygon(plan.line.strip(plan.climb.run_in - plan.seat_in, plan.end_in))
    limit = figure(rules.code, "landing_depth")
    lies = bool(floor.polygon.buffer(SAME_FT).covers(foot))
    found = yes_no(member, "stair_landing", "rule", lies, limit.citation, limit.steps)
    yield or_else(
        found,
        f"the stair's foot and {feet_inches(plan.climb.landing_depth_in)} before it, as wide as the stair, wholly on "
        f"level {plan.down_to}: {feet_inches(plan.end_in)} out from the edge it leaves",
    )


def _drops_in(plan: StairPlan, rules: StairRules) -> dict[tuple[float, float], float]:
    """How far each tread and landing, by where it begins and ends, lies over what is within reach of its sides."""
    reach_ft = figure(rules.code, "guard_grade_check_distance").value / 12
    ground, line = plan.place.ground(plan.down_to), plan.line
    drops = {}
    for start, end, below in plan.climb.surfaces():
        beside = [
            [line.at(a, start), line.at(b, start), line.at(b, end), line.at(a, end)]
            for a, b in ((-reach_ft, 0.0), (line.width_ft, line.width_ft + reach_ft))
        ]
        lowest = min(height for corners in beside for height in heights_over(ground, corners))
        drops[start, end] = plan.place.surface_height_in - below - lowest
    return drops


def _stair(
    member: str, number: int, spec: StairSpec, plan: StairPlan, guarded: bool, rules: StairRules
) -> Stair:
    line, climb = plan.line, plan.climb
    foot = line.middle(climb.run_in)
    return Stair(
        id=member,
        mark=f"S{number}",
        level=spec.level,
        edge=spec.edge,
        offset_ft=spec.offset_ft,
        width_in=spec.width_in,
        rise_in=climb.rise_in,
        foot_ft=foot,
        foot_height_in=plan.place.foot_height_in(spec.down_to, foot),
        flights=tuple(_placed(plan)),
        landings=(),
        handrail=handrail_of(climb, guarded, rules),
        guard=guard_of(guarded, rules),
        footprint_ft=line.strip(0.0, plan.end_in),
    )


def _placed(plan: StairPlan) -> Iterator[Flight]:
    """The flights from the top down with where each lies."""
    climb, height_in = plan.climb, plan.place.surface_height_in
    for start, built in zip(climb.flight_starts_in(), plan.built, strict=True):
        flight, head_in = built.flight, height_in
        height_in -= flight.risers * climb.riser_in
        yield msgspec.structs.replace(
            flight,
            corners_ft=plan.line.strip(start, start + flight.run_in),
            head_height_in=head_in,
            foot_height_in=height_in,
        )


def _landings(
    plan: StairPlan, drops_in: Mapping[tuple[float, float], float], rules: StairRules, first: int
) -> tuple[Landing, ...]:
    """Landings from the top down, the one at the foot last; each as wide as the stair."""
    climb, found, done = plan.climb, [], 0
    for number, (start, risers) in enumerate(zip(climb.flight_starts_in(), climb.flights, strict=True)):
        done += risers
        out = start + (risers - 1) * climb.tread_in
        drop = drops_in.get((out, out + climb.landing_depth_in), 0.0)
        guard = _landing_guard(rules) if guard_needed(drop, rules) else None
        height = plan.place.surface_height_in - done * climb.riser_in
        found.append(_landing(plan, deck_member("landing", first + number), out, height, guard))
    return tuple(found)


def _landing_guard(rules: StairRules) -> StairGuard:
    """The guard on both sides of a landing: as high as a deck's, not as a stair's."""
    return StairGuard(required=True, height_in=figure(rules.code, "guard_height").value, sides=2)


def _landing(plan: StairPlan, id_: str, out_in: float, height_in: float, guard: StairGuard | None) -> Landing:
    depth, origin = plan.climb.landing_depth_in, plan.place.origin_ft
    corners = plan.line.strip(out_in, out_in + depth)
    x, y = min(corners, key=lambda corner: (math.dist(corner, origin), corner))
    return Landing(
        id=id_,
        x_ft=x,
        y_ft=y,
        width_in=plan.line.width_ft * 12,
        depth_in=depth,
        height_in=height_in,
        guard=guard,
        corners_ft=corners,
    )


def _header_load(member: str, level: str, line: StairLine, loads: StairLoads) -> StairLoad:
    ends = line.edge.point(line.from_ft), line.edge.point(line.to_ft)
    return StairLoad(
        member, level, line.edge.number, line.from_ft, line.to_ft, *ends, loads.header_lb, loads.working
    )


def _label_cautions(member: str, tread_material: str) -> tuple[Caution, ...]:
    if tread_material not in FLEXIBLE_TREADS:
        return ()
    text = (
        f"{member}: stringer spacing under {tread_material} treads is common practice; no code table gives it"
    )
    action = "Check the treads' label before cutting stringers."
    return (Caution(code="maker_listing_governs", text=text, action=action),)


def _rail_cautions(stair: Stair) -> tuple[Caution, ...]:
    if stair.guard is None:
        return ()
    text = f"{stair.id}: its guard posts, on stringers and landings, hold by tested connectors, whose listing governs"
    action = "Choose listed connectors for stringers and landing rims, and follow their listing."
    return (Caution(code="maker_listing_governs", text=text, action=action),)


def _sloping(member: str, plan: StairPlan) -> tuple[Caution, ...]:
    """Whether ground has to be cut or filled to make the landing at the foot level."""
    if plan.down_to in plan.place.floors:
        return ()
    corners = plan.line.strip(plan.climb.run_in - plan.seat_in, plan.end_in)
    heights = heights_over(plan.place.grade, corners)
    fall = max(heights) - min(heights)
    if fall <= LEVEL_WITHIN_IN:
        return ()
    text = (
        f"{member}: the ground falls {feet_inches(fall)} under the landing at its foot, which has to be level"
    )
    action = "Cut the pad into the high side or build up the low one, and keep the risers as drawn."
    return (Caution(code="ground_falls_at_foot", text=text, action=action),)

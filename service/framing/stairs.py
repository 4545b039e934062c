"""Where a stair leaves its level, how it comes down and what it stands on."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.contract.ids import deck_member
from service.contract.report import Caution, Reason
from service.contract.report_frame import Landing, Point, Stair
from service.contract.spec_level import StairSpec
from service.framing.ground import Grade
from service.framing.guard_edges import OUTWARD_SAMPLES, Edge, edges_of, stations
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
from service.sizing.criteria import Criteria
from service.sizing.stair_checks import reasons_of
from service.sizing.stair_limits import Figure, StairRules, figure, stair_rules
from service.sizing.stairs import FLEXIBLE_TREADS
from service.units.finding import Finding, numbered, yes_no
from service.units.working import Step, step


@dataclass(frozen=True)
class StairPlace:
    """The level a stair leaves: corners in the deck frame, surface, ground, and what treads are made of.

    ``supports_designed`` says that somebody gives landings and mid supports their posts and footings; else a
    stair that needs them is left to an engineer.
    """

    outline_ft: tuple[Point, ...]
    surface_height_in: float
    grade: Grade
    tread_material: str = "wood"
    supports_designed: bool = False


@dataclass(frozen=True)
class StairLoad:
    """The load a stair puts on the edge it hangs from, spread from ``start_ft`` to ``end_ft``."""

    stair: str
    level: str
    edge: int
    start_ft: Point
    end_ft: Point
    reaction_lb: float
    working: tuple[Step, ...]


@dataclass(frozen=True)
class StairSupport:
    """A line a stair rests on: ``landing``, ``mid_support`` or ``foot``; by the middle of its width."""

    stair: str
    kind: str
    x_ft: float
    y_ft: float
    height_in: float
    load_lb: float


@dataclass(frozen=True)
class StairResult:
    """A stair with its checks; ``stair`` is null where none can come down from here."""

    stair: Stair | None
    load: StairLoad | None
    supports: tuple[StairSupport, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
    reasons: tuple[Reason, ...]


def lay_out_stair(spec: StairSpec, number: int, place: StairPlace, criteria: Criteria) -> StairResult:
    """Return stair ``number`` (from 1, in the caller's order), down to the ground at its own foot."""
    rules, member = stair_rules(criteria), deck_member("stair", number)
    wish = StairWish(
        spec.width_in,
        spec.tread_in,
        spec.tread_thickness_in,
        spec.stringer,
        tread_material=place.tread_material,
    )
    line = _Line(edges_of(place.outline_ft)[spec.edge], spec.offset_ft, spec.width_in / 12)
    climb = find_climb(lambda out: place.surface_height_in - place.grade(*line.middle(out)),
                       *climb_finder(wish, rules))  # fmt: skip
    if climb is None:
        return _nowhere_to_go(member, rules)
    built = build_flights(member, climb, wish, rules)
    drop = _highest_drop_in(line, climb, place, rules)
    findings = tuple(numbered(stair_findings(member, climb, built, wish, drop, rules)))
    load = _header_load(member, spec, line, built[0], criteria)
    supports = _supports(member, line, climb, built, place, load.reaction_lb)
    return StairResult(
        stair=_stair(member, number, spec, line, climb, built, place, guard_needed(drop, rules), rules),
        load=load,
        supports=supports,
        findings=findings,
        cautions=_label_cautions(member, place.tread_material),
        reasons=reasons_of(findings) + _not_designed(member, supports, place),
    )


@dataclass(frozen=True)
class _Line:
    """The stretch of edge a stair leaves from."""

    edge: Edge
    offset_ft: float
    width_ft: float

    def middle(self, out_in: float) -> Point:
        return self.edge.point(self.offset_ft + self.width_ft / 2, out_in / 12)

    def side(self, far: bool, out_in: float, beside_ft: float) -> Point:
        along = self.offset_ft + (self.width_ft + beside_ft if far else -beside_ft)
        return self.edge.point(along, out_in / 12)


def _nowhere_to_go(member: str, rules: StairRules) -> StairResult:
    limit = figure(rules.code, "riser_height")
    found = yes_no(member, "riser_height", "rule", False, limit.citation, limit.steps)
    text = "the ground at the foot never lies below the deck by a height that steps can climb"
    reason = Reason(code="check_failed", text=text, member=member, citation=limit.citation)
    return StairResult(None, None, (), (found,), (), (reason,))


def _highest_drop_in(line: _Line, climb: Climb, place: StairPlace, rules: StairRules) -> float:
    """The greatest height of a tread or landing over the ground within reach of the stair's sides, in."""
    reach = figure(rules.code, "guard_grade_check_distance").value / 12
    besides = [reach * i / OUTWARD_SAMPLES for i in range(OUTWARD_SAMPLES + 1)]
    drops = [0.0]
    for start, end, below in climb.surfaces():
        outs = [start + at * 12 for at in stations((end - start) / 12)]
        spots = [line.side(far, out, beside) for far in (False, True) for out in outs for beside in besides]
        drops.append(place.surface_height_in - below - min(place.grade(*spot) for spot in spots))
    return max(drops)


def _stair(
    member: str, number: int, spec: StairSpec, line: _Line, climb: Climb, built: list[BuiltFlight],
    place: StairPlace, guarded: bool, rules: StairRules,
) -> Stair:  # fmt: skip
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
        foot_height_in=place.grade(*foot),
        flights=tuple(flight.flight for flight in built),
        landings=_landings(line, climb, place),
        handrail=handrail_of(climb, guarded, rules),
        guard=guard_of(guarded, rules),
    )


def _landings(line: _Line, climb: Climb, place: StairPlace) -> tuple[Landing, ...]:
    """Landings from the top down, the one at the foot last; each as wide as the stair."""
    found, done = [], 0
    for start, risers in zip(climb.flight_starts_in(), climb.flights, strict=True):
        done += risers
        out = start + (risers - 1) * climb.tread_in
        height = place.surface_height_in - done * climb.riser_in
        found.append(_landing(line, out, climb.landing_depth_in, place, height))
    return tuple(found)


def _landing(line: _Line, out_in: float, depth_in: float, place: StairPlace, height_in: float) -> Landing:
    corners = [line.side(far, out, 0.0) for far in (False, True) for out in (out_in, out_in + depth_in)]
    origin = place.outline_ft[0]
    x, y = min(corners, key=lambda corner: (math.dist(corner, origin), corner))
    return Landing(x_ft=x, y_ft=y, width_in=line.width_ft * 12, depth_in=depth_in, height_in=height_in)


def _stair_psf(criteria: Criteria) -> tuple[float, Figure]:
    live = figure(criteria.rulebook, "stair_live_load")
    return max(live.value, criteria.snow_psf) + criteria.dead_psf, live


def _header_load(
    member: str, spec: StairSpec, line: _Line, top: BuiltFlight, criteria: Criteria
) -> StairLoad:
    """Half of the top bay's horizontal run, times the width, times live or snow and dead."""
    psf, live = _stair_psf(criteria)
    half_ft = top.flight.run_in / 12 / top.bays / 2
    reaction = half_ft * line.width_ft * psf
    steps = (
        *live.steps,
        step("w", psf, "psf", "greater of stair live and snow, plus dead"),
        step("a", half_ft, "ft", "half the horizontal run of the top bay"),
        step("b", line.width_ft, "ft", "stair width"),
        step("R", reaction, "lb", "w a b"),
    )
    ends = line.edge.point(line.offset_ft), line.edge.point(line.offset_ft + line.width_ft)
    return StairLoad(member, spec.level, spec.edge, *ends, reaction, steps)


def _supports(
    member: str, line: _Line, climb: Climb, built: list[BuiltFlight], place: StairPlace, header_lb: float
) -> tuple[StairSupport, ...]:
    """Lines under the stair below its header; loads by tributary run, at the psf of the header's reaction."""
    found: list[StairSupport] = []
    header_in = built[0].flight.run_in / built[0].bays / 2
    per_in = header_lb / header_in if header_in else 0.0
    for i, (start, flight) in enumerate(zip(climb.flight_starts_in(), built, strict=True)):
        bay = flight.flight.run_in / flight.bays
        for j in range(1, flight.bays):
            found.append(_support(member, "mid_support", line, start + bay * j, climb, place, bay * per_in))
        out = start + flight.flight.run_in
        if i + 1 < len(built):
            next_bay = built[i + 1].flight.run_in / built[i + 1].bays
            run = bay / 2 + climb.landing_depth_in + next_bay / 2
            found.append(_support(member, "landing", line, out, climb, place, run * per_in))
        elif flight.flight.treads:
            found.append(_support(member, "foot", line, out, climb, place, bay / 2 * per_in))
    return tuple(found)


def _support(
    member: str, kind: str, line: _Line, out_in: float, climb: Climb, place: StairPlace, load_lb: float
) -> StairSupport:
    x, y = line.middle(out_in)
    below = max(
        (below for start, _, below in climb.surfaces() if start <= out_in + 1e-9), default=climb.rise_in
    )
    height = place.surface_height_in - (climb.rise_in if kind == "foot" else below)
    return StairSupport(member, kind, x, y, height, load_lb)


def _not_designed(member: str, supports: tuple[StairSupport, ...], place: StairPlace) -> tuple[Reason, ...]:
    kinds = sorted({support.kind.replace("_", " ") for support in supports if support.kind != "foot"})
    if not kinds or place.supports_designed:
        return ()
    text = f"the stair needs a {' and a '.join(kinds)}, whose posts and footings are not designed here"
    return (Reason(code="size_or_spacing_off_tables", text=text, member=member),)


def _label_cautions(member: str, tread_material: str) -> tuple[Caution, ...]:
    if tread_material not in FLEXIBLE_TREADS:
        return ()
    text = (
        f"{member}: stringer spacing under {tread_material} treads is common practice; no code table gives it"
    )
    action = "Check the treads' label before cutting stringers."
    return (Caution(code="maker_listing_governs", text=text, action=action),)

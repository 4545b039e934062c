"""The flights of a stair: stringers, handrail and checks of each."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.report_frame import Flight, Handrail, StairGuard
from service.framing.stair_climb import Climb
from service.sizing import stair_checks, stairs
from service.sizing.stair_limits import StairRules, figure
from service.units.finding import Finding

SAME = 1e-9


@dataclass(frozen=True)
class StairWish:
    """What is wanted of a stair, wherever it stands."""

    width_in: float
    tread_in: float
    tread_thickness_in: float
    stringer: str
    landing_finish_in: float = 0.0
    tread_material: str = "wood"


@dataclass(frozen=True)
class BuiltFlight:
    """A flight with the thickness of its treads and its checks."""

    flight: Flight
    thickness_in: float
    findings: tuple[Finding, ...]

    @property
    def bays(self) -> int:
        """The bays its stringers are held in."""
        return self.flight.bays


def climb_finder(wish: StairWish, rules: StairRules) -> tuple[float, float, float, float]:
    """Return tread, tallest riser, tallest flight and least landing depth, in: what a climb is found by."""
    keys = ("riser_height", "flight_rise", "landing_depth")
    riser, flight, landing = (figure(rules.code, key).value for key in keys)
    return wish.tread_in, riser, flight, landing


def build_flight(
    member: str, risers: int, riser_in: float, wish: StairWish, rules: StairRules
) -> BuiltFlight:
    """Return one flight; a single riser has no treads and no stringers."""
    tread, run = wish.tread_in, (risers - 1) * wish.tread_in
    heights = stair_checks.riser_findings(member, (riser_in,) * risers, rules)
    if risers == 1:
        return BuiltFlight(Flight(
            risers=1, riser_in=riser_in, treads=0, tread_in=tread, run_in=0.0, stringers=0,
            stringer_kind="none", stringer_spacing_in=0.0, stringer_length_in=0.0, drop_in=0.0, throat_in=None,
        ), wish.tread_thickness_in, tuple(heights))  # fmt: skip
    stringer = stairs.choose_stringer(wish.stringer, run, riser_in, tread, rules.guide)
    row = stairs.stringer_row(wish.width_in, wish.tread_material, rules.guide)
    drop = stairs.drop_in(wish.tread_thickness_in, wish.landing_finish_in)
    flight = Flight(
        risers=risers,
        riser_in=riser_in,
        treads=risers - 1,
        tread_in=tread,
        run_in=run,
        stringers=row.count,
        stringer_kind=stringer.kind,
        stringer_spacing_in=row.spacing_in,
        stringer_length_in=stairs.stringer_length_in(risers, riser_in, tread, drop, stringer.kind),
        drop_in=drop,
        throat_in=stringer.throat_in,
        bays=stringer.bays,
    )
    findings = [
        *heights,
        stair_checks.tread_finding(member, tread, rules),
        stair_checks.flight_finding(member, flight, rules),
        *stair_checks.stringer_findings(member, stringer, row, riser_in, tread, rules),
    ]
    return BuiltFlight(flight, wish.tread_thickness_in, tuple(findings))


def build_flights(member: str, climb: Climb, wish: StairWish, rules: StairRules) -> list[BuiltFlight]:
    """Return the flights of a climb from the top down; only the lowest stands on an unfinished landing."""
    on_landing = StairWish(
        wish.width_in, wish.tread_in, wish.tread_thickness_in, wish.stringer, 0.0, wish.tread_material
    )
    last = len(climb.flights) - 1
    return [
        build_flight(member, risers, climb.riser_in, wish if i == last else on_landing, rules)
        for i, risers in enumerate(climb.flights)
    ]


def handrail_of(climb: Climb, guarded: bool, rules: StairRules) -> Handrail | None:
    """Return the handrail a climb needs; the tops of guards on both sides serve as two."""
    if not stair_checks.handrail_needed(max(climb.flights), rules):
        return None
    sides = 2 if guarded else 1
    return Handrail(required=True, height_in=stair_checks.handrail_height_in(rules), sides=sides)


def guard_of(guarded: bool, rules: StairRules) -> StairGuard | None:
    """Return the guard on a stair's open sides; its top is the handrail."""
    if not guarded:
        return None
    return StairGuard(required=True, height_in=stair_checks.handrail_height_in(rules), sides=2)


def guard_needed(drop_in: float, rules: StairRules) -> bool:
    """Return whether treads so far above the ground beside them need a guard."""
    return drop_in > figure(rules.code, "guard_required_above").value + SAME


def stair_findings(
    member: str, climb: Climb, built: list[BuiltFlight], wish: StairWish, drop_in: float, rules: StairRules
) -> list[Finding]:
    """Return every check of a stair; those of each flight first."""
    found = [finding for flight in built for finding in flight.findings]
    found.append(stair_checks.width_finding(member, wish.width_in, rules))
    found += [stair_checks.landing_finding(member, climb.landing_depth_in, rules) for _ in climb.flights]
    found += stair_checks.handrail_findings(member, max(climb.flights), rules)
    return found + stair_checks.stair_guard_findings(member, drop_in, rules)

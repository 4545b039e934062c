"""A stair on its own: worked out from a rise, or judged from the risers of one that is built."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from service.connections.rail_advice import advice
from service.contract.ids import deck_member
from service.contract.report import Caution, Reason, RulebookRef, Verdict
from service.contract.report_frame import Stair
from service.contract.spec_stairs import StairLayoutSpec
from service.contract.stair_layout import (
    GuardNeed,
    HandrailNeed,
    LandingNeed,
    Nosing,
    Notches,
    RiserPair,
    StairLayout,
)
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
from service.sizing import stair_checks, stairs
from service.sizing.stair_limits import StairRules, figure
from service.units.finding import Finding, at_most, numbered

STAIR: Final = deck_member("stair", 1)
USUAL_TREAD_IN: Final = 10.5  # common practice
LEAST_WIDTH_IN: Final = 36.0  # IRC R311.7.1
# Failing a limit the code does not have leaves its tables; failing the code's own is a plain no.
OFF_TABLES: Final = frozenset(stair_checks.GUIDE_CHECKS.values())


def stair_layout(request: StairLayoutSpec, rules: StairRules) -> StairLayout:
    """Return a stair for a rise on level ground, or the judgement of built risers; lengths in in.

    Source: IRC stairways, handrails and guards by edition as cited; AWC DCA 6 for stringers.

    Args:
        request: exactly one of a rise and the risers of a built stair, in.
        rules: code and guide.

    Raises:
        ValueError: neither a rise nor risers, or a rise no stair climbs.
    """
    if request.risers_in is not None:
        return _built(request, request.risers_in, rules)
    if request.total_rise_in is None:
        raise ValueError("a stair layout needs total_rise_in or risers_in")
    return _worked_out(request, request.total_rise_in, rules)


def _tread_in(request: StairLayoutSpec) -> float:
    return USUAL_TREAD_IN if request.tread_in is None else request.tread_in


def _width_in(request: StairLayoutSpec) -> float:
    return LEAST_WIDTH_IN if request.width_in is None else request.width_in


def _worked_out(request: StairLayoutSpec, rise_in: float, rules: StairRules) -> StairLayout:
    wish = StairWish(
        _width_in(request),
        _tread_in(request),
        request.tread_thickness_in,
        request.stringer,
        request.landing_finish_in,
    )
    climb = find_climb(lambda _: rise_in, *climb_finder(wish, rules))
    if climb is None:
        raise ValueError(f"no stair climbs {rise_in:g} in")
    built = build_flights(STAIR, climb, wish, rules)
    drop = max((rise_in - below for _, _, below in climb.surfaces()), default=0.0)
    findings = numbered(stair_findings(STAIR, climb, built, wish, drop, rules))
    reasons = stair_checks.reasons_of(findings) + _undesigned(built)
    return StairLayout(
        rulebook=_ref(rules),
        verdict=_verdict(reasons),
        total_rise_in=rise_in,
        risers=climb.risers,
        risers_in=(climb.riser_in,) * climb.risers,
        treads=climb.risers - len(climb.flights),
        tread_in=_tread_in(request),
        run_in=climb.run_in,
        flights=tuple(flight.flight for flight in built),
        landings=_landings(climb, _width_in(request)),
        notches=_notches(climb, request),
        nosing=_nosing(_tread_in(request), rules),
        handrail=_handrail(max(climb.flights), rules),
        guard=_guard(rise_in, drop, rules),
        worst_pair=None,
        checks=tuple(findings),
        cautions=_cautions(_as_stair(climb, built, request, drop, rules), rise_in, rules),
    )


def _measured(request: StairLayoutSpec, rise_in: float, rules: StairRules) -> list[Finding]:
    """The rise of a built flight, and its treads and width where they were measured."""
    limit = figure(rules.code, "flight_rise")
    found = [at_most(STAIR, "flight_rise", "rule", rise_in, limit.value, "in", limit.citation, limit.steps)]
    if request.tread_in is not None:
        found.append(stair_checks.tread_finding(STAIR, request.tread_in, rules))
    if request.width_in is not None:
        found.append(stair_checks.width_finding(STAIR, request.width_in, rules))
    return found


def _not_measured(request: StairLayoutSpec) -> tuple[Caution, ...]:
    missing = [name for name in ("tread_in", "width_in") if getattr(request, name) is None]
    if not missing:
        return ()
    return (
        Caution(
            code="not_measured",
            text=f"{' and '.join(missing)} of the built stair were not given: they are not judged here.",
            action="Measure every tread and the clear width, and send them.",
        ),
    )


def _built(request: StairLayoutSpec, risers_in: Sequence[float], rules: StairRules) -> StairLayout:
    """A built stair is judged as one flight: where landings are, its risers do not say."""
    rise, drop = sum(risers_in), sum(risers_in[:-1])
    findings: list[Finding] = stair_checks.riser_findings(STAIR, risers_in, rules)
    findings += _measured(request, rise, rules)
    findings += stair_checks.handrail_findings(STAIR, len(risers_in), rules)
    findings += stair_checks.stair_guard_findings(STAIR, drop, rules)
    findings = numbered(findings)
    return StairLayout(
        rulebook=_ref(rules),
        verdict=_verdict(stair_checks.reasons_of(findings)),
        total_rise_in=rise,
        risers=len(risers_in),
        risers_in=tuple(risers_in),
        treads=len(risers_in) - 1,
        tread_in=request.tread_in,
        run_in=None,
        flights=(),
        landings=(),
        notches=None,
        nosing=None,
        handrail=_handrail(len(risers_in), rules),
        guard=_guard(rise, drop, rules),
        worst_pair=_pair(risers_in, rules),
        checks=tuple(findings),
        cautions=_not_measured(request),
    )


def _ref(rules: StairRules) -> RulebookRef:
    code = rules.code
    return RulebookRef(id=code.id, edition=code.edition, version=code.version, digest=code.digest)


def _verdict(reasons: Sequence[Reason]) -> Verdict:
    if any(reason.code not in OFF_TABLES for reason in reasons):
        return Verdict(status="not_permitted", reasons=tuple(reasons))
    return Verdict(status="engineer_required" if reasons else "prescriptive", reasons=tuple(reasons))


def _undesigned(built: Sequence[BuiltFlight]) -> tuple[Reason, ...]:
    """Supports between header and foot stand on posts and footings that a layout does not size."""
    bays = max(flight.bays for flight in built)
    needs = [f"{bays - 1} support under the stringers"] if bays > 1 else []
    needs += ["a landing between flights"] if len(built) > 1 else []
    if not needs:
        return ()
    text = f"the stair needs {' and '.join(needs)}, whose posts and footings are not sized here"
    return (Reason(code="size_or_spacing_off_tables", text=text, member=STAIR),)


def _landings(climb: Climb, width_in: float) -> tuple[LandingNeed, ...]:
    found, above = [], 0
    for risers in climb.flights:
        above += risers
        height = (climb.risers - above) * climb.riser_in
        found.append(
            LandingNeed(
                risers_above=above,
                height_in=height,
                depth_min_in=climb.landing_depth_in,
                width_min_in=width_in,
            )
        )
    return tuple(found)


def _notches(climb: Climb, request: StairLayoutSpec) -> Notches | None:
    """The first notch is in the lowest flight, the top one in the highest; a single riser has neither."""
    if climb.risers == 1:
        return None
    thickness = request.tread_thickness_in
    return Notches(
        first_notch_in=stairs.first_notch_in(climb.riser_in, thickness, request.landing_finish_in),
        top_notch_below_surface_in=stairs.top_notch_below_surface_in(climb.riser_in, thickness),
    )


def _nosing(tread_in: float, rules: StairRules) -> Nosing:
    return Nosing(
        required=stair_checks.nosing_needed(tread_in, rules),
        projection_min_in=figure(rules.code, "nosing_projection_min").value,
        projection_max_in=figure(rules.code, "nosing_projection_max").value,
    )


def _handrail(risers: int, rules: StairRules) -> HandrailNeed:
    return HandrailNeed(
        required=stair_checks.handrail_needed(risers, rules),
        height_min_in=figure(rules.code, "handrail_height_min").value,
        height_max_in=figure(rules.code, "handrail_height_max").value,
    )


def _guard(rise_in: float, drop_in: float, rules: StairRules) -> GuardNeed:
    return GuardNeed(
        surface_required=guard_needed(rise_in, rules),
        surface_height_in=figure(rules.code, "guard_height").value,
        stair_required=guard_needed(drop_in, rules),
        stair_height_in=figure(rules.code, "stair_guard_height").value,
    )


def _pair(risers_in: Sequence[float], rules: StairRules) -> RiserPair | None:
    pair = stair_checks.worst_pair(risers_in)
    if pair is None:
        return None
    low, high = risers_in[pair[0] - 1], risers_in[pair[1] - 1]
    limit = figure(rules.code, "riser_variation").value
    apart = abs(high - low)
    return RiserPair(
        first=pair[0],
        second=pair[1],
        first_in=low,
        second_in=high,
        difference_in=apart,
        allowed_in=limit,
        passes=apart <= limit + stairs.SAME,
    )


def _as_stair(
    climb: Climb, built: Sequence[BuiltFlight], request: StairLayoutSpec, drop_in: float, rules: StairRules
) -> Stair:
    guarded = guard_needed(drop_in, rules)
    return Stair(
        id=STAIR,
        mark="S1",
        level="deck",
        edge=0,
        offset_ft=0.0,
        width_in=_width_in(request),
        rise_in=climb.rise_in,
        foot_ft=(0.0, climb.run_in / 12),
        foot_height_in=0.0,
        flights=tuple(flight.flight for flight in built),
        landings=(),
        handrail=handrail_of(climb, guarded, rules),
        guard=guard_of(guarded, rules),
    )


def _cautions(stair: Stair, rise_in: float, rules: StairRules) -> tuple[Caution, ...]:
    return tuple(advice("deck", rise_in, (stair,), False, rules))

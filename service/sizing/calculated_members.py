"""Members the tables do not cover: any beam or joist under any line load, check by check, by plain NDS."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import msgspec

from service.mechanics.beam import Beam, Load, Point, Uniform
from service.mechanics.cases import Cases, solve_cases, solve_with_and_without
from service.mechanics.response import Peak
from service.sizing.calculated_species import all_on_deck
from service.timber.adjust import Adjusted
from service.timber.members import bearing_stress_psi, bending_stress_psi, shear_stress_psi
from service.timber.refusal import NoRule
from service.timber.sections import section
from service.timber.stability import (
    beam_stability_factor,
    critical_bending_psi,
    effective_length_in,
    slenderness_ratio,
)
from service.timber.values import TimberData
from service.units.citation import Citation
from service.units.working import Step, step

REPETITIVE_PLIES: Final = 3
REPETITIVE: Final = 1.15
SPAN_PART: Final = 360.0
OVERHANG_PART: Final = 180.0
UPLIFT_DEAD: Final = 0.6
NDS: Final = {
    "bending": ("3.3.2", "Fb"),
    "shear": ("3.4.2", "Fv"),
    "bearing": ("3.10.2", "Fc_perp"),
    "deflection": ("3.5", "E"),
}


class Member(msgspec.Struct, frozen=True):
    """A member to check: what it is made of and how it is held.

    Source: convention of this service. ``unbraced_in`` is the distance between points that hold the compression
    edge sideways, in; null where it is held throughout. ``bearing_in`` is the least bearing along the grain, in.
    ``repetitive`` says whether at least three stand at most 24 in apart (joists).

    >>> Member("hem_fir", "2x10").plies
    1
    """

    species: str
    nominal: str
    plies: int = 1
    grade: str = "no_2"
    load_kind: str = "live"
    repetitive: bool = False
    bearing_in: float = 1.5
    unbraced_in: float | None = None


class MemberLine(msgspec.Struct, frozen=True):
    """One check of a member: demand and capacity in ``unit`` (psi or in), for the species it is worst for.

    Source: ``citation``. ``at_ft`` is where along the member.

    >>> MemberLine("bending", 900.0, 1000.0, "psi", 5.0, "hem_fir", "second_hand", Citation("NDS"), ()).ratio
    0.9
    """

    check: str
    demand: float
    capacity: float
    unit: str
    at_ft: float
    species: str
    status: str
    citation: Citation
    steps: tuple[Step, ...]

    @property
    def ratio(self) -> float:
        """Demand over capacity, a ratio; 1 or less passes."""
        return self.demand / self.capacity if self.capacity > 0 else float("inf")


def repetitive_factor(plies: int, repetitive: bool) -> tuple[float, str]:
    """Return Cr for a member outside the tables, a ratio, and why.

    Source: NDS 4.3.9: 1.15 from three members on, 1.0 for one and two plies (the deck tables use 1.10 for two).

    Args:
        plies: pieces side by side.
        repetitive: whether it is one of at least three members at most 24 in apart.

    Returns:
        Cr and its source.

    >>> repetitive_factor(2, False)[0], repetitive_factor(3, False)[0]
    (1.0, 1.15)
    """
    if repetitive or plies >= REPETITIVE_PLIES:
        return REPETITIVE, "NDS 4.3.9 (second_hand): three or more members joined"
    return 1.0, "NDS 4.3.9: one or two plies are no repetitive member (the deck tables use 1.10 for two)"


def member_lines(
    data: TimberData,
    member: Member,
    beam: Beam,
    dead_plf: float,
    varying_plf: float,
    dead_loads: Sequence[Load] = (),
    varying_points: Sequence[Point] = (),
    varying_loads: Sequence[Load] = (),
) -> tuple[MemberLine, ...] | NoRule:
    """Return bending, shear, bearing and deflection of a member under dead and varying load, worst pattern.

    Source: NDS 3.3 to 3.5, 3.10, 4.3; L/360 and, for overhangs, a/180 under the varying load (IRC R301.7, R507.6
    footnotes). The varying load stands on every bay or not, as is worst; each of ``varying_loads`` stands beside it
    or not; each varying point load acts alone.

    Args:
        data: design values and factors.
        member: what is checked.
        beam: its length and supports, ft.
        dead_plf: dead load, plf.
        varying_plf: live or snow load, plf, the greater.
        dead_loads: further loads always there, points or uniform over a part, ft, lb and plf.
        varying_points: point loads that each act alone, ft and lb.
        varying_loads: further live or snow loads on a part, each there or not, ft, lb and plf.

    Returns:
        One line a check, of the species worst off; or a refusal naming what is missing.

    Limits of validity: load on top; shear at the member's depth from the support centre line where no point load
    stands on it (NDS 3.4.3.1), else at the support, so too where a load on a part is shorter than the member is deep;
    bearing without Cb; self weight only if in ``dead_plf``.

    >>> from service.timber.values import DesignValues, Factors
    >>> empty = TimberData(DesignValues({}), Factors({}))
    >>> member_lines(empty, Member("hem_fir", "2x10"), Beam(10.0, (0.0, 10.0)), 50.0, 200.0).why
    'no design value for hem_fir no_2 2-4_thick'
    """
    piece = section(member.nominal, member.plies)
    cr, cr_source = repetitive_factor(member.plies, member.repetitive)
    values = all_on_deck(data, member.species, member.grade, piece, member.load_kind, cr, cr_source)
    if isinstance(values, NoRule):
        return values
    return adjusted_lines(
        values, beam, dead_plf, varying_plf, member.bearing_in, member.unbraced_in, dead_loads, varying_points,
        varying_loads,
    )  # fmt: skip


def adjusted_lines(
    values: Sequence[Adjusted],
    beam: Beam,
    dead_plf: float,
    varying_plf: float,
    bearing_in: float,
    unbraced_in: float | None = None,
    dead_loads: Sequence[Load] = (),
    varying_points: Sequence[Point] = (),
    varying_loads: Sequence[Load] = (),
) -> tuple[MemberLine, ...] | NoRule:
    """Return what ``member_lines`` does for design values that are adjusted already, of sawn lumber or not.

    Source: as ``member_lines``.

    Args:
        values: the values it may have, psi, all of one section; at least one.
        beam: its length and supports, ft.
        dead_plf: dead load, plf.
        varying_plf: live or snow load, plf.
        bearing_in: least bearing along the grain, in.
        unbraced_in: distance between points that hold the compression edge, in; null where it is held.
        dead_loads: further loads always there, ft, lb and plf.
        varying_points: point loads that each act alone, ft and lb.
        varying_loads: further live or snow loads on a part, each there or not, ft, lb and plf.

    Returns:
        One line a check, of the values worst off; or a refusal where it is too slender.

    >>> adjusted_lines.__name__
    'adjusted_lines'
    """
    # Forces do not depend on stiffness: solve once, scale deflections by each species afterwards.
    least_e = min(one.e_psi for one in values)
    stiffness = least_e * values[0].section.inertia_in4
    dead: list[Load] = [Uniform(0.0, beam.length_ft, dead_plf), *dead_loads]
    loaded, varying = solve_with_and_without(beam, dead, varying_plf, varying_points, varying_loads)
    bent = varying.bay_deflections_in(stiffness)
    depth_ft = values[0].section.depth_in / 12
    pointed = bool(varying_points) or any(_short(one, depth_ft) for one in (*dead_loads, *varying_loads))
    every: list[MemberLine] = []
    for one in values:
        allowed = bending_value_psi(one, unbraced_in)
        if isinstance(allowed, NoRule):
            return allowed
        every += [
            _bending(one, loaded, *allowed),
            _shear(one, loaded, pointed),
            _bearing(one, loaded, bearing_in),
            *_deflections(one, beam, bent, least_e),
        ]
    return _worst_of_each(every)


def _short(load: Load, depth_ft: float) -> bool:
    """Whether a load counts as a point for shear: within the member's depth of a support it would be left out whole."""
    return isinstance(load, Point) or load.end_ft - load.start_ft < depth_ft


def _worst_of_each(lines: Sequence[MemberLine]) -> tuple[MemberLine, ...]:
    worst: dict[str, MemberLine] = {}
    for line in lines:
        held = worst.get(line.check)
        if held is None or line.ratio > held.ratio:
            worst[line.check] = line
    return tuple(worst.values())


def bending_value_psi(values: Adjusted, unbraced_in: float | None) -> tuple[float, tuple[Step, ...]] | NoRule:
    """Return Fb' with the beam stability factor, psi, and the steps.

    Source: NDS 3.3.3, uniform load row of Table 3.3.3 (from memory).

    Args:
        values: adjusted values.
        unbraced_in: distance between points that hold the compression edge, in, or null when held throughout.

    Returns:
        Fb' in psi with CL in the steps, or a refusal when too slender.

    >>> bending_value_psi.__name__
    'bending_value_psi'
    """
    if not unbraced_in:
        return values.fb_psi, (step("CL", 1.0, "ratio", "NDS 3.3.3.3: compression edge held"),)
    piece = values.section
    ratio = slenderness_ratio(effective_length_in(unbraced_in, piece.depth_in, "uniform"), piece)
    if isinstance(ratio, NoRule):
        return ratio
    factor = beam_stability_factor(values.fb_psi, critical_bending_psi(values.emin_psi, ratio))
    steps = (step("RB", ratio, "ratio", "NDS 3.3.3.6"), step("CL", factor, "ratio", "NDS 3.3.3.8 (memory)"))
    return values.fb_psi * factor, steps


def _line(
    check: str, values: Adjusted, demand: float, capacity: float, at_ft: float, more: tuple[Step, ...] = ()
) -> MemberLine:
    part, on = NDS[check.removeprefix("overhang_")]
    status = values.statuses[on]
    unit = "in" if on == "E" else "psi"
    citation = Citation("NDS", edition="2018", section=part, status=status)
    steps = (*values.steps[on], *more)
    return MemberLine(check, demand, capacity, unit, at_ft, values.species, status, citation, steps)


def _bending(values: Adjusted, loaded: Cases, allowed: float, more: tuple[Step, ...]) -> MemberLine:
    peak = loaded.worst_moment_lb_ft
    demand = bending_stress_psi(12 * peak.value, values.section)
    steps = (*more, step("M", peak.value, "lb-ft", "worst load pattern, continuous beam"))
    return _line("bending", values, demand, allowed, peak.at_ft, steps)


def _shear(values: Adjusted, loaded: Cases, pointed: bool) -> MemberLine:
    peak = design_shear_lb(loaded, 0.0 if pointed else values.section.depth_in / 12)
    demand = shear_stress_psi(peak.value, values.section)
    where = "at the support" if pointed else "at the depth from the support (NDS 3.4.3.1)"
    return _line("shear", values, demand, values.fv_psi, peak.at_ft, (step("V", peak.value, "lb", where),))


def design_shear_lb(solved: Cases, away_ft: float) -> Peak:
    """Return the largest shear of any case at a distance from the supports, lb, and where, ft.

    Source: NDS 3.4.3.1. In a bay too short to have such a place the full shear at its ends counts.

    Args:
        solved: the solved beam.
        away_ft: distance from each support, ft.

    Returns:
        Shear, lb, and position, ft.

    >>> design_shear_lb(solve_cases(Beam(10.0, (0.0, 10.0)), [], 100.0), 1.0)
    Peak(value=400.0, at_ft=1.0)
    """
    supports = solved.beam.supports_ft
    right_of, left_of = [], []
    for start, end in solved.beam.bays_ft:
        near = away_ft if start in supports else 0.0
        far = away_ft if end in supports else 0.0
        # NDS 3.4.3.1 would leave no load at all on so short a bay.
        if near + far >= end - start:
            near = far = 0.0
        right_of.append(start + near)
        left_of.append(end - far)
    return solved.worst_shear_lb(right_of, left_of)


def _bearing(values: Adjusted, loaded: Cases, bearing_in: float) -> MemberLine:
    peak = loaded.worst_reaction_lb
    demand = bearing_stress_psi(peak.value, values.section.width_in, bearing_in)
    steps = (
        step("R", peak.value, "lb", "worst load pattern"),
        step("lb", bearing_in, "in", "bearing length"),
    )
    return _line("bearing", values, demand, values.fc_perp_psi, peak.at_ft, steps)


def _deflections(
    values: Adjusted, beam: Beam, bent: Sequence[tuple[Peak, Peak]], solved_e_psi: float
) -> list[MemberLine]:
    """Deflection of spans and of overhangs, given by bay; the beams were solved with the least stiff species."""
    lines = []
    for (start, end), (sinks, lifts) in zip(beam.bays_ft, bent, strict=True):
        overhang = start not in beam.supports_ft or end not in beam.supports_ft
        check, part = ("overhang_deflection", OVERHANG_PART) if overhang else ("deflection", SPAN_PART)
        # A loaded span lifts the overhang behind it; only what sinks is limited.
        peak = sinks if overhang or sinks.value >= -lifts.value else lifts
        demand = abs(peak.value) * solved_e_psi / values.e_psi
        limit = 12 * (end - start) / part
        steps = (
            step("I", values.section.inertia_in4, "in4", "b d3 / 12"),
            step("part", part, None, "IRC R301.7"),
        )
        lines.append(_line(check, values, demand, limit, peak.at_ft, steps))
    return lines


def uplift_lb(
    beam: Beam, dead_plf: float, varying_plf: float, varying_points: Sequence[Point] = ()
) -> tuple[float, ...]:
    """Return the least reaction of each support under 0.6 of the dead load and the worst varying load, lb.

    Source: ASCE 7 2.4.1 for the 0.6 (from memory), statics. Negative: the support must be tied down.

    Args:
        beam: length and supports, ft.
        dead_plf: dead load, plf.
        varying_plf: live or snow load, plf, on any bays.
        varying_points: point loads, each alone, ft and lb.

    Returns:
        One reaction a support, lb.

    >>> [round(r, 1) for r in uplift_lb(Beam(12.0, (0.0, 10.0)), 13.33, 53.33, [Point(12.0, 220.0)])]
    [-5.6, 57.6]
    """
    dead = [Uniform(0.0, beam.length_ft, UPLIFT_DEAD * dead_plf)]
    solved = solve_cases(beam, dead, varying_plf, varying_points)
    return tuple(solved.reactions_lb.min(axis=0).tolist())

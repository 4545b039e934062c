"""Members the tables do not cover: any beam or joist under any line load, check by check, by plain NDS."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import msgspec

from service.mechanics.beam import Beam, Load, Point, Uniform
from service.mechanics.patterns import pattern_responses
from service.mechanics.response import Peak, Response
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
) -> tuple[MemberLine, ...] | NoRule:
    """Return bending, shear, bearing and deflection of a member under dead and varying load, worst pattern.

    Source: NDS 3.3 to 3.5, 3.10, 4.3; L/360 and, for overhangs, a/180 under the varying load (IRC R301.7, R507.6
    footnotes). The varying load stands on every bay or not, as is worst; each varying point load acts alone.

    Args:
        data: design values and factors.
        member: what is checked.
        beam: its length and supports, ft.
        dead_plf: dead load, plf.
        varying_plf: live or snow load, plf, the greater.
        dead_loads: further loads always there, points or uniform over a part, ft, lb and plf.
        varying_points: point loads that each act alone, ft and lb.

    Returns:
        One line a check, of the species worst off; or a refusal naming what is missing.

    Limits of validity: load on top; shear at the member's depth from the support centre line where no point load
    stands on it (NDS 3.4.3.1), else at the support; bearing without Cb; self weight only if in ``dead_plf``.

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
        values, beam, dead_plf, varying_plf, member.bearing_in, member.unbraced_in, dead_loads, varying_points
    )


def adjusted_lines(
    values: Sequence[Adjusted],
    beam: Beam,
    dead_plf: float,
    varying_plf: float,
    bearing_in: float,
    unbraced_in: float | None = None,
    dead_loads: Sequence[Load] = (),
    varying_points: Sequence[Point] = (),
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

    Returns:
        One line a check, of the values worst off; or a refusal where it is too slender.

    >>> adjusted_lines.__name__
    'adjusted_lines'
    """
    # Forces do not depend on stiffness: solve once, scale deflections by each species afterwards.
    least_e = min(one.e_psi for one in values)
    stiffness = least_e * values[0].section.inertia_in4
    dead: list[Load] = [Uniform(0.0, beam.length_ft, dead_plf), *dead_loads]
    loaded = pattern_responses(beam, dead, varying_plf, stiffness, varying_points)
    varying = pattern_responses(beam, (), varying_plf, stiffness, varying_points)
    bent = tuple(zip(*(response.bay_deflections_in for response in varying), strict=True))
    pointed = bool(varying_points) or any(isinstance(one, Point) for one in dead_loads)
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


def _bending(values: Adjusted, loaded: list[Response], allowed: float, more: tuple[Step, ...]) -> MemberLine:
    peaks = [peak for r in loaded for peak in (r.max_moment_lb_ft, r.min_moment_lb_ft)]
    peak = max(peaks, key=lambda p: abs(p.value))
    moment_lb_ft = abs(peak.value)
    demand = bending_stress_psi(12 * moment_lb_ft, values.section)
    steps = (*more, step("M", moment_lb_ft, "lb-ft", "worst load pattern, continuous beam"))
    return _line("bending", values, demand, allowed, peak.at_ft, steps)


def _shear(values: Adjusted, loaded: list[Response], pointed: bool) -> MemberLine:
    away_ft = 0.0 if pointed else values.section.depth_in / 12
    shear_lb, at_ft = max(
        (design_shear_lb(response, away_ft) for response in loaded), key=lambda pair: pair[0]
    )
    demand = shear_stress_psi(shear_lb, values.section)
    where = "at the support" if pointed else "at the depth from the support (NDS 3.4.3.1)"
    return _line("shear", values, demand, values.fv_psi, at_ft, (step("V", shear_lb, "lb", where),))


def design_shear_lb(response: Response, away_ft: float) -> tuple[float, float]:
    """Return the largest shear at a distance from the supports, lb, and where, ft.

    Source: NDS 3.4.3.1. In a bay too short to have such a place the full shear at its ends counts.

    Args:
        response: the solved beam.
        away_ft: distance from each support, ft.

    Returns:
        Shear, lb, and position, ft.

    >>> from service.mechanics.response import analyse
    >>> design_shear_lb(analyse(Beam(10.0, (0.0, 10.0)), [Uniform(0.0, 10.0, 100.0)], 1e8), 1.0)
    (400.0, 1.0)
    """
    supports = response.beam.supports_ft
    found: list[tuple[float, float]] = []
    for start, end in response.beam.bays_ft:
        near = away_ft if start in supports else 0.0
        far = away_ft if end in supports else 0.0
        # NDS 3.4.3.1 would leave no load at all on so short a bay.
        if near + far >= end - start:
            near = far = 0.0
        found.append((abs(response.shear_lb(start + near)), start + near))
        found.append((abs(response.shear_before_lb(end - far)), end - far))
    return max(found, key=lambda pair: pair[0])


def _bearing(values: Adjusted, loaded: list[Response], bearing_in: float) -> MemberLine:
    supports = loaded[0].beam.supports_ft
    reaction_lb, at_ft = max(pair for r in loaded for pair in zip(r.reactions_lb, supports, strict=True))
    demand = bearing_stress_psi(reaction_lb, values.section.width_in, bearing_in)
    steps = (
        step("R", reaction_lb, "lb", "worst load pattern"),
        step("lb", bearing_in, "in", "bearing length"),
    )
    return _line("bearing", values, demand, values.fc_perp_psi, at_ft, steps)


def _deflections(
    values: Adjusted, beam: Beam, bent: Sequence[Sequence[Peak]], solved_e_psi: float
) -> list[MemberLine]:
    """Deflection of spans and of overhangs, given by bay; the beams were solved with the least stiff species."""
    lines = []
    for (start, end), peaks in zip(beam.bays_ft, bent, strict=True):
        overhang = start not in beam.supports_ft or end not in beam.supports_ft
        check, part = ("overhang_deflection", OVERHANG_PART) if overhang else ("deflection", SPAN_PART)
        # A loaded span lifts the overhang behind it; only what sinks is limited.
        peak = max(peaks, key=lambda p: p.value if overhang else abs(p.value))
        demand = max(peak.value if overhang else abs(peak.value), 0.0) * solved_e_psi / values.e_psi
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
    cases = pattern_responses(beam, dead, varying_plf, 1.0, varying_points)
    return tuple(min(values) for values in zip(*(case.reactions_lb for case in cases), strict=True))

"""Members of a supplier's sections, laminated veneer lumber or light-gauge steel, by the values he stands for.

Forces come from the same mechanics as for sawn lumber, and laminated veneer lumber goes through the same checks. The
supplier's values already hold wet or dry: no factor is put on them, not even for duration of snow or for repetition.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from typing import Final

import msgspec

from service.mechanics.beam import Beam, Load, Point, Uniform
from service.mechanics.patterns import pattern_responses
from service.mechanics.response import Peak, Response
from service.rules.sections import WOOD, SupplierSection
from service.sizing.calculated_members import (
    OVERHANG_PART,
    SPAN_PART,
    MemberLine,
    adjusted_lines,
)
from service.sizing.calculated_result import Allowable, Bound, least
from service.timber.adjust import Adjusted
from service.timber.members import (
    bearing_span_in,
    bending_span_in,
    deflection_span_in,
    shear_span_in,
)
from service.timber.refusal import NoRule
from service.timber.sections import Section
from service.units.citation import Citation, from_memory
from service.units.working import Step, step

CONTINUOUS: Final = 1.25  # shear and reaction beside the middle of two equal spans, against w L / 2
SQIN_PER_SQFT: Final = 144.0
# AISI Specification of 1996, C3.5.1 for a single unreinforced web, as allowable strengths; from memory.
REACTION_SHARE, BOTH_AT_MOST = 1.2, 1.5
INTERACTIONS: Final = {
    "bending_and_reaction": (
        from_memory("AISI Specification 1996", "C3.5.1"),
        "1.2 P / Pa + M / Ma at most 1.5 over an interior support without stiffener",
    ),
    "bending_and_shear": (
        from_memory("AISI S100-16", "H2"),
        "(M / Ma)2 + (V / Va)2 at most 1 in an unstiffened web",
    ),
}
SCL: Final = (
    "NDS 2018 chapter 8, structural composite lumber (memory); the supplier's own value, no factor added"
)


class Ply(msgspec.Struct, frozen=True, dict=True):
    """A section and how many of it stand side by side, a count; sizes in in.

    Source: the section table of a price book.

    >>> Ply.__struct_fields__
    ('section', 'plies')
    """

    section: SupplierSection
    plies: int = 1

    @property
    def is_wood(self) -> bool:
        """Whether it is laminated veneer lumber."""
        return self.section.material == WOOD

    @property
    def width_in(self) -> float:
        """The whole width, in."""
        return self.plies * self.section.width_in

    @cached_property
    def rectangle(self) -> Section:
        """Laminated veneer lumber as the rectangle it is, in."""
        return Section(self.section.section, self.plies, self.width_in, self.section.depth_in)

    @property
    def inertia_in4(self) -> float:
        """Moment of inertia for deflection, in4."""
        return self.rectangle.inertia_in4 if self.is_wood else self.section.inertia_in4 or 0.0

    @property
    def cited(self) -> Citation:
        """The supplier's table, as a citation."""
        return Citation(self.section.source, section=self.section.section, status="one_source")

    @cached_property
    def adjusted(self) -> Adjusted:
        """The values of laminated veneer lumber as design values of wood are handed on, psi."""
        one = self.section
        values = {"Fb": one.fb_psi, "Fv": one.fv_psi, "Fc_perp": one.fc_perp_psi, "E": one.e_psi}
        return Adjusted(
            one.material, one.section, self.rectangle,
            fb_psi=one.fb_psi or 0.0, ft_psi=0.0, fv_psi=one.fv_psi or 0.0, fc_perp_psi=one.fc_perp_psi or 0.0,
            fc_psi=0.0, e_psi=one.e_psi, emin_psi=0.0, specific_gravity=0.0,
            steps={name: (step(name, value or 0.0, "psi", SCL),) for name, value in values.items()},
            statuses=dict.fromkeys(values, "one_source"),
        )  # fmt: skip


def section_lines(
    ply: Ply,
    beam: Beam,
    dead_plf: float,
    varying_plf: float,
    bearing_in: float,
    varying_points: Sequence[Point] = (),
) -> tuple[MemberLine, ...]:
    """Return bending, shear, bearing and deflection of a member of a supplier's section, worst load pattern.

    Source: laminated veneer lumber: NDS 3.3 to 3.5, 3.10 (with chapter 8, from memory). Steel: allowable moment,
    shear and reaction of the table; over interior supports also moment with shear (AISI S100-16 H2, from memory)
    and moment with reaction (AISI 1996 C3.5.1, from memory). L/360 under the varying load and a/180 for overhangs
    (IRC R301.7, R507.6 footnotes).

    Args:
        ply: the section and its plies.
        beam: length and supports, ft.
        dead_plf: dead load, plf.
        varying_plf: live or snow load, plf, the greater.
        bearing_in: least bearing, in.
        varying_points: point loads that each act alone, ft and lb.

    Returns:
        One line a check, in psi for wood, lb-ft, lb and ratios for steel, in for deflection.

    Limits of validity: compression edge held as the table says (deck boards or joists on it); one section, uniform
    along its length, no holes, no notches.

    >>> from service.rules.sections import SECTION_EXAMPLE
    >>> lines = section_lines(Ply(SECTION_EXAMPLE), Beam(12.0, (0.0, 12.0)), 13.3, 53.3, 1.5)
    >>> [(one.check, round(one.ratio, 2)) for one in lines]
    [('bending', 0.3), ('shear', 0.16), ('bearing', 0.32), ('deflection', 0.32)]
    """
    if ply.is_wood:
        found = adjusted_lines(
            [ply.adjusted], beam, dead_plf, varying_plf, bearing_in, varying_points=varying_points
        )
        lines = () if isinstance(found, NoRule) else found
        return tuple(msgspec.structs.replace(one, citation=ply.cited) for one in lines)
    return tuple(_steel_lines(ply, beam, dead_plf, varying_plf, bearing_in, varying_points))


def _steel_lines(
    ply: Ply,
    beam: Beam,
    dead_plf: float,
    varying_plf: float,
    bearing_in: float,
    varying_points: Sequence[Point],
) -> Iterator[MemberLine]:
    stiffness = ply.section.e_psi * ply.inertia_in4
    dead: list[Load] = [Uniform(0.0, beam.length_ft, dead_plf)]
    loaded = pattern_responses(beam, dead, varying_plf, stiffness, varying_points)
    varying = pattern_responses(beam, (), varying_plf, stiffness, varying_points)
    moment = max((_peak_moment(one) for one in loaded), key=lambda peak: peak.value)
    yield _steel(ply, "bending", moment, ply.section.allowable_moment_lb_ft, "lb-ft", "Ma")
    shear = max((one.max_shear_lb for one in loaded), key=lambda peak: peak.value)
    yield _steel(ply, "shear", shear, ply.section.allowable_shear_lb, "lb", "Va")
    reaction = max(
        (Peak(r, at) for one in loaded for r, at in zip(one.reactions_lb, one.beam.supports_ft, strict=True)),
        key=lambda peak: peak.value,
    )
    yield _steel(ply, "bearing", reaction, _reaction_allowed_lb(ply, bearing_in), "lb", "Pa")
    yield from _interactions(ply, loaded, bearing_in)
    yield from _bent(ply, beam, varying)


def _peak_moment(response: Response) -> Peak:
    """The larger of sagging and hogging, lb-ft, as a size."""
    sag, hog = response.max_moment_lb_ft, response.min_moment_lb_ft
    return sag if sag.value >= -hog.value else Peak(-hog.value, hog.at_ft)


def _reaction_allowed_lb(ply: Ply, bearing_in: float) -> float:
    """The table's reaction: less in proportion on a shorter bearing than it holds for, no more on a longer one."""
    held_in = ply.section.reaction_bearing_in or bearing_in
    return (ply.section.allowable_reaction_lb or 0.0) * min(1.0, bearing_in / held_in)


def _steel(ply: Ply, check: str, peak: Peak, allowed: float | None, unit: str, symbol: str) -> MemberLine:
    capacity = allowed or 0.0
    steps = (step(symbol, capacity, unit, f"{ply.section.section}: allowable, from its table"),)
    return _line(ply, check, peak.value, capacity, unit, peak.at_ft, ply.cited, steps)


def _line(
    ply: Ply, check: str, demand: float, capacity: float, unit: str, at_ft: float, cited: Citation,
    steps: tuple[Step, ...],
) -> MemberLine:  # fmt: skip
    return MemberLine(check, demand, capacity, unit, at_ft, ply.section.material, cited.status, cited, steps)


def _interactions(ply: Ply, loaded: Sequence[Response], bearing_in: float) -> Iterator[MemberLine]:
    """Moment with shear and moment with reaction over each support that something bends over."""
    worst: dict[str, tuple[float, float]] = {}
    for response in loaded:
        over = zip(
            response.beam.supports_ft, response.reactions_lb, response.support_moments_lb_ft, strict=True
        )
        for at_ft, reaction, moment in over:
            bent = abs(moment) / (ply.section.allowable_moment_lb_ft or math.inf)
            if bent == 0.0:
                continue
            cut = max(abs(response.shear_before_lb(at_ft)), abs(response.shear_lb(at_ft)))
            cut /= ply.section.allowable_shear_lb or math.inf
            pressed = max(reaction, 0.0) / _reaction_allowed_lb(ply, bearing_in)
            for check, value in (
                ("bending_and_shear", math.hypot(bent, cut)),
                ("bending_and_reaction", (REACTION_SHARE * pressed + bent) / BOTH_AT_MOST),
            ):
                worst[check] = max(worst.get(check, (0.0, 0.0)), (value, at_ft))
    for check, (value, at_ft) in worst.items():
        cited, rule = INTERACTIONS[check]
        yield _line(ply, check, value, 1.0, "ratio", at_ft, cited, (step("limit", 1.0, "ratio", rule),))


def _bent(ply: Ply, beam: Beam, varying: Sequence[Response]) -> Iterator[MemberLine]:
    """Deflection of the worst span and the worst overhang; of an overhang only what sinks."""
    found: dict[str, MemberLine] = {}
    for number, (start, end) in enumerate(beam.bays_ft):
        over = start not in beam.supports_ft or end not in beam.supports_ft
        check, part = ("overhang_deflection", OVERHANG_PART) if over else ("deflection", SPAN_PART)
        peaks = (one.bay_deflections_in[number] for one in varying)
        demand, at_ft = max((one.value if over else abs(one.value), one.at_ft) for one in peaks)
        steps = (
            step("I", ply.inertia_in4, "in4", f"{ply.section.section}: from its table"),
            step("E", ply.section.e_psi, "psi", f"{ply.section.section}: from its table"),
            step("part", part, None, "IRC R301.7"),
        )
        line = _line(ply, check, max(demand, 0.0), 12 * (end - start) / part, "in", at_ft, ply.cited, steps)
        if check not in found or line.ratio > found[check].ratio:
            found[check] = line
    yield from found.values()


def section_span(
    ply: Ply, dead_plf: float, varying_plf: float, bearing_in: float, continuous: bool = False
) -> Allowable:
    """Return the span at which a simple member of a section is full under a line load, in.

    Source: statics, w L2 / 8, w L / 2, 5 w L4 / 384 E I with L/360 under the varying load (IRC R301.7); shear and
    reaction times 1.25 where spans may run on (two equal spans), as beams of sawn lumber are calculated.

    Args:
        ply: the section and its plies.
        dead_plf: dead load, plf.
        varying_plf: live or snow load, plf, the greater.
        bearing_in: bearing at the ends, in.
        continuous: whether the member may run on over a support.

    Returns:
        Span, in, with the governing check.

    Limits of validity: load along the whole member, compression edge held as the section table says.

    >>> from service.rules.sections import SECTION_EXAMPLE
    >>> found = section_span(Ply(SECTION_EXAMPLE), 13.33, 53.33, 1.5)
    >>> round(found.value, 1), found.governing
    (211.2, 'deflection')
    """
    total, varying = (dead_plf + varying_plf) / 12, varying_plf / 12
    more = CONTINUOUS if continuous else 1.0
    spans = _wood_spans if ply.is_wood else _steel_spans
    return least(
        Bound(check, ply.section.material, span, "one_source", (step("w", total, "lb/in", "line load"),))
        for check, span in spans(ply, total, varying, bearing_in, more)
    )


def _wood_spans(
    ply: Ply, total: float, varying: float, bearing_in: float, more: float
) -> Iterable[tuple[str, float]]:
    values, piece = ply.adjusted, ply.rectangle
    return (
        ("bending", bending_span_in(values.fb_psi, piece, total)),
        ("shear", shear_span_in(values.fv_psi, piece, total, multiple=more)),
        ("bearing", bearing_span_in(values.fc_perp_psi, piece.width_in, bearing_in, total)),
        ("deflection", deflection_span_in(values.e_psi, piece, varying, SPAN_PART)),
    )


def _steel_spans(
    ply: Ply, total: float, varying: float, bearing_in: float, more: float
) -> Iterable[tuple[str, float]]:
    one = ply.section
    stiffness = one.e_psi * ply.inertia_in4
    return (
        ("bending", math.sqrt(8 * 12 * (one.allowable_moment_lb_ft or 0.0) / total)),
        ("shear", 2 * (one.allowable_shear_lb or 0.0) / (more * total)),
        ("bearing", 2 * _reaction_allowed_lb(ply, bearing_in) / total),
        ("deflection", float((384 * stiffness / (5 * SPAN_PART * varying)) ** (1 / 3))),
    )

"""Joist spans and cantilevers by NDS calculation: the rules that give the deck tables back."""

from __future__ import annotations

import math
from typing import Final

from service.sizing.calculated_result import Allowable, Bound, least
from service.sizing.calculated_species import all_on_deck
from service.timber.adjust import Adjusted
from service.timber.members import bending_span_in, deflection_span_in, shear_span_in
from service.timber.refusal import NoRule
from service.timber.sections import section
from service.timber.values import TimberData
from service.units.working import step

DEAD_PSF: Final = 10.0
LONGEST_IN: Final = 216.0
WIDEST_SPACING_IN: Final = 24.0
REPETITIVE: Final = 1.15
REPETITIVE_SOURCE: Final = "NDS 4.3.9 (second_hand): three or more joists at most 24 in apart"
SPAN_PART: Final = 360.0
OVERHANG_PART: Final = 180.0
TIP_LB: Final = 220.0
QUARTER: Final = 0.25
SQIN_PER_SQFT: Final = 144.0
# Spans of DCA 6 are clear: its overhangs, as its beams, are 3 in less than the code's.
CLEAR_LESS_IN: Final = 3.0
# The 2015 and 2018 editions print three 2x6 cells as Hem-Fir alone and Western Cedars alone would have them.
PRINTED_2X6_BEFORE_2021: Final = {
    "douglas_fir_larch_hem_fir_spruce_pine_fir": "hem_fir",
    "redwood_western_cedars_ponderosa_red_pine": "western_cedar",
}


def printed_as(edition: str, name: str, nominal: str) -> str:
    """Return the species name whose calculation gives a table row of an edition; no unit.

    Source: fit of IRC R507.6: in 2015 and 2018 the 2x6 rows leave out the wet factor of Douglas fir-larch and
    Northern Species (8-8, 7-2, 7-0 in where NDS gives 8-4, 6-10, 6-10, as 2021, 2024 and DCA 6 print).

    Args:
        edition: IRC edition.
        name: species group of the table.
        nominal: joist size.

    Returns:
        The name to calculate with to get the printed row; the NDS answer is that of the group.

    >>> printed_as("2018", "douglas_fir_larch_hem_fir_spruce_pine_fir", "2x6")
    'hem_fir'
    """
    if edition in ("2015", "2018") and nominal == "2x6":
        return PRINTED_2X6_BEFORE_2021.get(name, name)
    return name


def _span_bounds(values: Adjusted, total_lb_in: float, varying_lb_in: float) -> list[Bound]:
    piece = values.section
    load = (step("w", total_lb_in, "lb/in", "dead plus varying load times spacing"),)
    found = (
        ("bending", "Fb", bending_span_in(values.fb_psi, piece, total_lb_in)),
        ("deflection", "E", deflection_span_in(values.e_psi, piece, varying_lb_in, SPAN_PART)),
        ("shear", "Fv", shear_span_in(values.fv_psi, piece, total_lb_in)),
    )
    return [
        Bound(check, values.species, span, values.statuses[on], (*values.steps[on], *load))
        for check, on, span in found
    ]


def joist_span(
    data: TimberData,
    species: str,
    nominal: str,
    spacing_in: float,
    varying_psf: float,
    load_kind: str = "live",
    dead_psf: float = DEAD_PSF,
    grade: str = "no_2",
    longest_in: float = LONGEST_IN,
) -> Allowable | NoRule:
    """Return the allowable span of a simple joist, in.

    Source: NDS 3.3 to 3.5 and 4.3, Cr 1.15, wet service; L/360 under the varying load (IRC R301.7); the cap of
    18 ft is IRC Table R507.6. Gives 288 of 288 cells of the 2021 and 2024 tables and 36 of 36 of DCA 6, and 33
    of 36 of 2015 and 2018 (see `printed_as` for the other three).

    Args:
        data: design values and factors.
        species: species, or species group of the tables.
        nominal: size, as ``2x10``.
        spacing_in: centre to centre, in, at most 24.
        varying_psf: live or snow load, psf, the greater.
        load_kind: ``live`` or ``snow``.
        dead_psf: dead load, psf.
        grade: grade.
        longest_in: cap, in.

    Returns:
        Span, in, with the governing check, or a refusal naming what is not covered.

    Limits of validity: clear span used as design span, top edge held by decking, bearings not checked.

    >>> from service.timber.values import DesignValues, Factors
    >>> joist_span(TimberData(DesignValues({}), Factors({})), "hem_fir", "2x8", 32.0, 40.0).why
    'joists are calculated to 24 in apart (NDS 4.3.9), not 32'
    """
    if not 0 < spacing_in <= WIDEST_SPACING_IN:
        return NoRule(f"joists are calculated to 24 in apart (NDS 4.3.9), not {spacing_in:g}")
    values = all_on_deck(data, species, grade, section(nominal), load_kind, REPETITIVE, REPETITIVE_SOURCE)
    if isinstance(values, NoRule):
        return values
    varying = varying_psf * spacing_in / SQIN_PER_SQFT
    total = varying + dead_psf * spacing_in / SQIN_PER_SQFT
    bounds = [bound for one in values for bound in _span_bounds(one, total, varying)]
    cap = (step("cap", longest_in, "in", "IRC Table R507.6: spans to 18 ft"),)
    return least([*bounds, Bound("cap", species, longest_in, "two_sources", cap)])


def tip_load_cantilever_in(back_span_in: float, stiffness_lb_in2: float) -> float:
    """Return the overhang whose tip sinks a / 180 under 220 lb, in.

    Source: statics, 220 a2 (L + a) / 3 E I = a / 180; load and limit are footnotes of IRC R507.6.

    Args:
        back_span_in: span behind the overhang, in.
        stiffness_lb_in2: E' I, lb-in2.

    Returns:
        Overhang, in.

    >>> round(tip_load_cantilever_in(119.0, 1.26e6 * 20.797), 1)
    14.8
    """
    q = 3 * stiffness_lb_in2 / (TIP_LB * OVERHANG_PART)
    return (-back_span_in + math.sqrt(back_span_in**2 + 4 * q)) / 2


def uniform_cantilever_in(stiffness_lb_in2: float, varying_lb_in: float) -> float:
    """Return the overhang of a quarter of its span that bends a / 360 under load on it, in.

    Source: statics with L = 4 a: a = (24 E I / (19 x 360 w))^(1/3); the limit of 360 is a fit of IRC Table
    R507.6(5) of 2021.

    Args:
        stiffness_lb_in2: E' I, lb-in2.
        varying_lb_in: live or snow load, lb/in.

    Returns:
        Overhang, in.

    >>> round(uniform_cantilever_in(1.26e6 * 20.797, 6.667), 1)
    24.0
    """
    return float((24 * stiffness_lb_in2 / (19 * SPAN_PART * varying_lb_in)) ** (1 / 3))


def _least_stiff(data: TimberData, species: str, nominal: str, load_kind: str) -> Adjusted | NoRule:
    values = all_on_deck(data, species, "no_2", section(nominal), load_kind, REPETITIVE, REPETITIVE_SOURCE)
    return values if isinstance(values, NoRule) else min(values, key=lambda one: one.e_psi)


def _quarter_and_tip(values: Adjusted, back_span_in: float) -> list[Bound]:
    stiffness = values.e_psi * values.section.inertia_in4
    quarter = (step("L", back_span_in, "in", "back span"),)
    tip = (*values.steps["E"], step("P", TIP_LB, "lb", "IRC R507.6 footnote: load at the tip"))
    return [
        Bound("quarter_of_span", values.species, QUARTER * back_span_in, "two_sources", quarter),
        Bound(
            "tip_load",
            values.species,
            tip_load_cantilever_in(back_span_in, stiffness),
            values.statuses["E"],
            tip,
        ),
    ]


def joist_cantilever_2018(
    data: TimberData, species: str, nominal: str, allowed_span_in: float
) -> Allowable | NoRule:
    """Return the allowable joist cantilever of the 2018 table, in.

    Source: IRC 2018 Table R507.6: least of L/4 and the 220 lb tip load at a/180, L the allowed span of the same
    row. 36 of 36 cells within 1 in, 32 exact.

    Args:
        data: design values and factors.
        species: species or group.
        nominal: joist size.
        allowed_span_in: allowed span of the row, in.

    Returns:
        Cantilever, in, or a refusal.

    Limits of validity: no other load on the joist; its strength never governs.

    >>> from service.timber.values import DesignValues, Factors
    >>> joist_cantilever_2018(TimberData(DesignValues({}), Factors({})), "teak", "2x8", 150.0).why
    'no design values for species teak'
    """
    values = _least_stiff(data, species, nominal, "live")
    return values if isinstance(values, NoRule) else least(_quarter_and_tip(values, allowed_span_in))


def joist_overhang_dca6(
    data: TimberData, species: str, nominal: str, allowed_span: Allowable
) -> Allowable | NoRule:
    """Return the allowable joist overhang of the deck guide, in.

    Source: fit of AWC DCA 6 (2012) Table 2: the least of L/4 and the overhang under the 220 lb tip load at a/180
    less 3 in, L the calculated span of the same row. 31 of 36 cells exact, all within 1 in.

    Args:
        data: design values and factors.
        species: species or group.
        nominal: joist size.
        allowed_span: calculated span of the row, in, not rounded.

    Returns:
        Overhang, in, or a refusal.

    >>> from service.timber.values import DesignValues, Factors
    >>> span = least([Bound("bending", "teak", 150.0, "memory", ())])
    >>> joist_overhang_dca6(TimberData(DesignValues({}), Factors({})), "teak", "2x8", span).why
    'no design values for species teak'
    """
    values = _least_stiff(data, species, nominal, "live")
    if isinstance(values, NoRule):
        return values
    quarter, tip = _quarter_and_tip(values, allowed_span.value)
    clear = (*tip.steps, step("less", CLEAR_LESS_IN, "in", "fit of AWC DCA 6 Table 2: clear lengths"))
    return least([quarter, Bound(tip.check, tip.species, tip.value - CLEAR_LESS_IN, tip.status, clear)])


def joist_cantilever_2021(
    data: TimberData,
    species: str,
    nominal: str,
    back_span_in: float,
    varying_psf: float,
    load_kind: str = "live",
) -> Allowable | NoRule:
    """Return the allowable joist cantilever of the 2021 and 2024 tables, in.

    Source: IRC 2021 Table R507.6(5): least of L/4, the tip load, and an overhang loaded at 24 in spacing held to
    a/360. All 384 cells of 2021 and all 384 of 2024, not-permitted cells included.

    Args:
        data: design values and factors.
        species: species or group.
        nominal: joist size.
        back_span_in: actual back span, in.
        varying_psf: live or snow load, psf.
        load_kind: ``live`` or ``snow``.

    Returns:
        Cantilever, in, or a refusal where the back span exceeds what the joist spans 12 in apart.

    Limits of validity: back spans from 4 ft.

    >>> from service.timber.values import DesignValues, Factors
    >>> joist_cantilever_2021(TimberData(DesignValues({}), Factors({})), "teak", "2x8", 96.0, 40.0).why
    'no design values for species teak'
    """
    longest = joist_span(data, species, nominal, 12.0, varying_psf, load_kind)
    values = _least_stiff(data, species, nominal, load_kind)
    if isinstance(longest, NoRule):
        return longest
    if isinstance(values, NoRule):
        return values
    # The table prints NP by the rounded span, not the exact one.
    if back_span_in > longest.printed:
        return NoRule(
            f"a back span of {back_span_in:g} in is over what {nominal} spans, {longest.printed:g} in"
        )
    varying = varying_psf * WIDEST_SPACING_IN / SQIN_PER_SQFT
    uniform_in = uniform_cantilever_in(values.e_psi * values.section.inertia_in4, varying)
    steps = (*values.steps["E"], step("w", varying, "lb/in", "varying load at 24 in spacing"))
    loaded = Bound("overhang_deflection", values.species, uniform_in, values.statuses["E"], steps)
    return least([*_quarter_and_tip(values, back_span_in), loaded])


def joist_span_with_cantilever_2015(
    data: TimberData, species: str, nominal: str, allowed_span_in: float
) -> Allowable | NoRule:
    """Return the span of the with-cantilever column of the 2015 table, in.

    Source: fit of IRC 2015 Table R507.5: the span whose quarter, overhanging, sinks a/180 under 220 lb:
    L = 4 sqrt(3 E' I / (5 x 220 x 180)), not over the allowed span. 36 of 36 cells exact.

    Args:
        data: design values and factors.
        species: species or group.
        nominal: joist size.
        allowed_span_in: allowed span without cantilever, in.

    Returns:
        Span, in, or a refusal.

    >>> from service.timber.values import DesignValues, Factors
    >>> joist_span_with_cantilever_2015(TimberData(DesignValues({}), Factors({})), "teak", "2x8", 150.0).why
    'no design values for species teak'
    """
    values = _least_stiff(data, species, nominal, "live")
    if isinstance(values, NoRule):
        return values
    stiffness = values.e_psi * values.section.inertia_in4
    tip = 4 * math.sqrt(3 * stiffness / (5 * TIP_LB * OVERHANG_PART))
    span = (step("L", allowed_span_in, "in", "allowed span without cantilever"),)
    return least(
        [
            Bound("tip_load", values.species, tip, values.statuses["E"], values.steps["E"]),
            Bound("joist_span", values.species, allowed_span_in, "two_sources", span),
        ]
    )

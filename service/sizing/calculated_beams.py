"""Beam spans by the calculations that give the deck tables back, edition by edition."""

from __future__ import annotations

import math
from typing import Final

from service.sizing.calculated_result import Allowable, Bound, least
from service.sizing.calculated_species import all_on_deck, on_deck
from service.timber.adjust import Adjusted
from service.timber.members import bending_span_in, deflection_span_in, shear_span_in
from service.timber.refusal import NoRule
from service.timber.sections import Section, section
from service.timber.values import TimberData
from service.units.working import Step, step

DEAD_PSF: Final = 10.0
# Joists that overhang by a quarter of their span load the beam with (1 + 1/4)^2 / 2 of their span.
FULL_OVERHANG_SHARE: Final = 0.78125
SPAN_PART: Final = 360.0
# Fits of IRC R507.5. NDS 4.3.9 asks for three members; 1.10 for two is a system factor of built-up beams elsewhere.
PLY_CR: Final = {1: 1.0, 2: 1.10, 3: 1.15}
PLY_SOURCE: Final = "fit of IRC Table R507.5: 1.0, 1.10, 1.15 for one, two, three plies"
JOINT_GROUP: Final = "df_hf_spf_and_redwood_cedar_ponderosa_red_pine"
JOINT_WEAKEST: Final = "northern_species"
JOINT_CR: Final = {1: 1.0, 2: 1.0, 3: 1.15}
SOLID_3_IN: Final = 2.5
# The joint group's table uses the 2 in size factors for 4x10 and 4x12 (NDS has 1.2 and 1.1).
JOINT_STRENGTH_OF: Final = {"4x10": "2x10", "4x12": "2x12"}
# IBC Table 1604.3 note d counts the creep of dead load as half of it; the tables hold that sum to L/360.
CREEP_SHARE: Final = 0.5
SHEAR_2021: Final = 1.375
SHEAR_SOURCE: Final = "fit of IRC 2021 Tables R507.5(1)-(4): factor on the shear at d, no reason seen"
FIR_GROUP: Final = "douglas_fir_larch_hem_fir_spruce_pine_fir"
COLUMNS_FT: Final = (6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0)
TRIBUTARY_SHARE: Final = 0.75
LEAST_EFFECTIVE_FT: Final = 5.0


def _steps(values: Adjusted, on: str, load_lb_in: float) -> tuple[Step, ...]:
    share = step("f", FULL_OVERHANG_SHARE, "ratio", "statics: joists overhanging by a quarter of their span")
    return (*values.steps[on], share, step("w", load_lb_in, "lb/in", "design load x f x joist span"))


def _bound(check: str, values: Adjusted, on: str, span_in: float, load_lb_in: float) -> Bound:
    return Bound(check, values.species, span_in, values.statuses[on], _steps(values, on, load_lb_in))


def _load_lb_in(psf: float, joist_span_ft: float) -> float:
    return psf * FULL_OVERHANG_SHARE * joist_span_ft / 12


def beam_span_2018(
    data: TimberData, species_group: str, nominal: str, plies: int, joist_span_ft: float
) -> Allowable | NoRule:
    """Return the beam span of the 2015 and 2018 tables, post centre to post centre, in.

    Source: IRC 2018 Table R507.5 (40 psf live, 10 dead): bending with Cr 1.0, 1.10, 1.15 by plies, shear at the
    support centre line, L/360 under live and half the dead load (IBC Table 1604.3 note d). 140 of
    140 printed rows of 2015 within 1 in, 166 of 168 of 2018 (the other two look like misprints).

    Args:
        data: design values and factors.
        species_group: ``southern_pine`` or the joint group of the other species.
        nominal: ply or solid size.
        plies: 1 to 3.
        joist_span_ft: joist span carried, ft.

    Returns:
        Span, in, or a refusal.

    Limits of validity: joists from one side, overhanging up to a quarter; no beam self weight.

    >>> from service.timber.values import DesignValues, Factors
    >>> beam_span_2018(TimberData(DesignValues({}), Factors({})), "hem_fir", "2x8", 2, 8.0).why
    'the 2015 and 2018 beam tables have no group hem_fir'
    """
    if species_group == JOINT_GROUP:
        return _joint_group_2018(data, nominal, plies, joist_span_ft)
    if species_group != "southern_pine":
        return NoRule(f"the 2015 and 2018 beam tables have no group {species_group}")
    piece = section(nominal, plies)
    values = all_on_deck(data, species_group, "no_2", piece, "live", PLY_CR.get(plies, 1.0), PLY_SOURCE)
    if isinstance(values, NoRule) or isinstance(piece, NoRule):
        return values if isinstance(values, NoRule) else NoRule(f"no dressed size for {nominal}")
    return least(_bounds_2018(values[0], values, piece, joist_span_ft))


def _bounds_2018(
    strong: Adjusted, stiff: list[Adjusted], piece: Section, joist_span_ft: float
) -> list[Bound]:
    total = _load_lb_in(40.0 + DEAD_PSF, joist_span_ft)
    bent = _load_lb_in(40.0 + CREEP_SHARE * DEAD_PSF, joist_span_ft)
    bounds = [
        _bound("bending", strong, "Fb", bending_span_in(strong.fb_psi, piece, total), total),
        _bound("shear", strong, "Fv", shear_span_in(strong.fv_psi, piece, total), total),
    ]
    for one in stiff:
        span = deflection_span_in(one.e_psi, piece, bent, SPAN_PART)
        bounds.append(_bound("deflection", one, "E", span, bent))
    return bounds


def _joint_group_2018(data: TimberData, nominal: str, plies: int, joist_span_ft: float) -> Allowable | NoRule:
    """One row serves 3x and two plies of 2x: it is that of the thinner solid 3x, Northern Species."""
    piece, strength = section(nominal, plies), section(JOINT_STRENGTH_OF.get(nominal, nominal))
    if isinstance(piece, NoRule):
        return piece
    if isinstance(strength, NoRule):
        return strength
    # Two plies are 3.0 in wide, but the shared row is computed for the 2.5 in of the solid 3x.
    if plies == 2:
        piece = Section(nominal, plies, SOLID_3_IN, piece.depth_in)
    cr = JOINT_CR.get(plies, 1.0)
    strong = on_deck(data, JOINT_WEAKEST, "no_2", strength, "ten_years", cr, PLY_SOURCE)
    stiff = all_on_deck(data, JOINT_GROUP, "no_2", strength, "live", cr, PLY_SOURCE)
    if isinstance(strong, NoRule):
        return strong
    return stiff if isinstance(stiff, NoRule) else least(_bounds_2018(strong, stiff, piece, joist_span_ft))


def rounds_down_2021(species_group: str, load_kind: str, plies: int, nominal: str) -> bool:
    """Return whether a row of a 2021 beam table rounds down to the inch rather than to the nearest; no unit.

    Source: fit of IRC 2021 Tables R507.5(1)-(4): the Douglas fir-larch group but for its three-ply 2x12 row (28
    cells of four tables), and southern pine under snow.

    Args:
        species_group: group of the table.
        load_kind: ``live`` or ``snow``.
        plies: 1 to 3.
        nominal: ply size.

    >>> rounds_down_2021("southern_pine", "live", 2, "2x8")
    False
    """
    if species_group == FIR_GROUP:
        return (plies, nominal) != (3, "2x12")
    return species_group == "southern_pine" and load_kind == "snow"


def beam_span_2021(
    data: TimberData,
    species_group: str,
    nominal: str,
    plies: int,
    effective_joist_ft: float,
    varying_psf: float,
    load_kind: str = "live",
) -> Allowable | NoRule:
    """Return the beam span of the 2021 tables at an effective joist span, in.

    Source: IRC 2021 Tables R507.5(1)-(4): Cr 1.0, 1.10, 1.15 by plies, L/360 under the varying load, shear at d
    times 1.375 (fitted; only 1.3749 to 1.3753 gives all 251 cells that shear decides). 1006 of 1008 cells within
    1 in, 992 exact; the other two repeat the row above and look like misprints.

    Args:
        data: design values and factors.
        species_group: one of the three groups, or a species.
        nominal: ply size.
        plies: 1 to 3.
        effective_joist_ft: joist span times the overhang factor, ft; the table has 6 to 18.
        varying_psf: live or snow load, psf.
        load_kind: ``live`` or ``snow``.

    Returns:
        Span, in, or a refusal.

    Limits of validity: joists from one side; no beam self weight.

    >>> from service.timber.values import DesignValues, Factors
    >>> beam_span_2021(TimberData(DesignValues({}), Factors({})), "hem_fir", "2x8", 4, 8.0, 40.0).why
    'the 2021 beam tables have one to three plies, not 4'
    """
    if plies not in PLY_CR:
        return NoRule(f"the 2021 beam tables have one to three plies, not {plies}")
    values = all_on_deck(
        data, species_group, "no_2", section(nominal, plies), load_kind, PLY_CR[plies], PLY_SOURCE
    )
    if isinstance(values, NoRule):
        return values
    total = _load_lb_in(varying_psf + DEAD_PSF, effective_joist_ft)
    varying = _load_lb_in(varying_psf, effective_joist_ft)
    bounds = [bound for one in values for bound in _bounds_2021(one, total, varying)]
    return least(bounds, rounds_down_2021(species_group, load_kind, plies, nominal))


def _bounds_2021(values: Adjusted, total: float, varying: float) -> tuple[Bound, ...]:
    piece = values.section
    shear = shear_span_in(values.fv_psi, piece, total, away_in=piece.depth_in, multiple=SHEAR_2021)
    return (
        _bound("bending", values, "Fb", bending_span_in(values.fb_psi, piece, total), total),
        _bound("deflection", values, "E", deflection_span_in(values.e_psi, piece, varying, SPAN_PART), varying),
        Bound(
            "shear", values.species, shear, values.statuses["Fv"],
            (*_steps(values, "Fv", total), step("k", SHEAR_2021, "ratio", SHEAR_SOURCE)),
        ),
    )  # fmt: skip


def effective_joist_span_ft(joist_span_ft: float, cantilever_ft: float) -> float:
    """Return the whole-foot effective joist span behind a 2024 beam cell, ft.

    Source: fit of IRC 2024 Tables R507.5(1)-(4): (J/2 + C) / 0.75 up to the next foot, 5 at least. The factors of
    2021 Table R507.5(5) are the same rule, (1/2 + C/J) / 0.75; its 0.72 at 1/12 is out of line (0.78).

    Args:
        joist_span_ft: joist span, ft.
        cantilever_ft: joist cantilever, ft.

    Returns:
        Effective joist span, ft.

    >>> effective_joist_span_ft(8.0, 1.0), effective_joist_span_ft(6.0, 0.0)
    (7.0, 5.0)
    """
    tributary = (joist_span_ft / 2 + cantilever_ft) / TRIBUTARY_SHARE
    return max(LEAST_EFFECTIVE_FT, float(math.ceil(tributary - 1e-9)))


def beam_span_2024(
    data: TimberData,
    species_group: str,
    nominal: str,
    plies: int,
    joist_span_ft: float,
    cantilever_ft: float,
    varying_psf: float,
    load_kind: str = "live",
) -> Allowable | NoRule:
    """Return the beam span of the 2024 tables, in.

    Source: IRC 2024 Tables R507.5(1)-(4) are the 2021 columns read along a line at `effective_joist_span_ft`,
    rounded down (from the printed 2021 cells: 3430 of 3456 exact; from `beam_span_2021`: 3438 within 1 in).

    Args:
        data: design values and factors.
        species_group: one of the three groups, or a species.
        nominal: ply size.
        plies: 1 to 3.
        joist_span_ft: actual joist span, ft, 6 to 18.
        cantilever_ft: actual joist cantilever, ft, up to a quarter of the span.
        varying_psf: live or snow load, psf.
        load_kind: ``live`` or ``snow``.

    Returns:
        Span, in: the column that governs with the interpolated figure, or a refusal.

    Limits of validity: as `beam_span_2021`; the line is drawn on to 5 ft before the 6 ft column.

    >>> from service.timber.values import DesignValues, Factors
    >>> beam_span_2024(TimberData(DesignValues({}), Factors({})), "hem_fir", "2x8", 2, 20.0, 0.0, 40.0).why
    'the 2024 beam tables have joist spans of 6 to 18 ft and cantilevers to a quarter, not 20 and 0 ft'
    """
    if not (
        COLUMNS_FT[0] <= joist_span_ft <= COLUMNS_FT[-1] and 0 <= cantilever_ft <= joist_span_ft / 4 + 1e-9
    ):
        return NoRule(
            "the 2024 beam tables have joist spans of 6 to 18 ft and cantilevers to a quarter, "
            f"not {joist_span_ft:g} and {cantilever_ft:g} ft"
        )
    effective = effective_joist_span_ft(joist_span_ft, cantilever_ft)
    low_ft = min(max(2 * math.floor(effective / 2), COLUMNS_FT[0]), COLUMNS_FT[-2])
    low = beam_span_2021(data, species_group, nominal, plies, low_ft, varying_psf, load_kind)
    high = beam_span_2021(data, species_group, nominal, plies, low_ft + 2, varying_psf, load_kind)
    if isinstance(low, NoRule):
        return low
    return high if isinstance(high, NoRule) else _between(low, high, (effective - low_ft) / 2)


def _between(low: Allowable, high: Allowable, part: float) -> Allowable:
    governing = high if part > 0 else low
    value = low.printed + (high.printed - low.printed) * part
    return Allowable(
        value, float(math.floor(value)), "in", governing.governing, governing.species, governing.status,
        governing.bounds, (*governing.steps, step("L", value, "in", "between the columns on each side")),
    )  # fmt: skip

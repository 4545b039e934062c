"""Post heights: by plain NDS, and as the 2021 table has them."""

from __future__ import annotations

from typing import Final

from service.sizing.calculated_result import Allowable, Bound, least
from service.sizing.calculated_species import all_on_deck, duration_of
from service.timber.adjust import Adjusted, Service, adjusted
from service.timber.columns import column_height_in, column_value_psi
from service.timber.refusal import NoRule
from service.timber.sections import Section, section
from service.timber.tables import worse_status
from service.timber.values import TimberData
from service.units.working import step

TALLEST_IN: Final = 168.0
NO_BENDING: Final = "NDS 4.3.9: not a bending member"
# Fit of IRC 2021 Table R507.4, all 155 heights below the cap and all 29 cells without one.
TABLE_LOAD_SHARE: Final = 1.28
TABLE_EMIN_PSI: Final = 510_000 * 0.9
TABLE_SPECIES: Final = {
    "southern_pine": "southern_pine",
    "douglas_fir_larch_hem_fir_spruce_pine_fir": "spruce_pine_fir",
    "redwood_western_cedars_ponderosa_red_pine": "western_cedar",
}
TABLE_TIMBER_FC_PSI: Final = {"southern_pine": 525.0, "spruce_pine_fir": 475.0, "western_cedar": 325.0}
TIMBER_WET_FC: Final = 0.91


def post_height(
    data: TimberData, species: str, size: str, load_lb: float, load_kind: str = "live", grade: str = "no_2"
) -> Allowable | NoRule:
    """Return the height at which a post under a load is full, in, by plain NDS.

    Source: NDS 3.6 and 3.7, each species with its own Emin, wet service, incised where the species is. The 2021
    table is not made so: only 24 of its 155 heights below the cap are within 1 in of this, and for tall slender
    posts of limber species the table allows MORE than this does; show both.

    Args:
        data: design values and factors.
        species: species or group; a group takes its weakest member.
        size: ``4x4``, ``4x6``, ``6x6`` or ``8x8``.
        load_lb: load, lb, dead plus the greater of live and snow.
        load_kind: ``live`` or ``snow``.
        grade: grade.

    Returns:
        Height, in, 0 when the post crushes, at most le/d = 50, or a refusal.

    Limits of validity: load in the middle, both ends held sideways, Ke 1.0, no notch.

    >>> from service.timber.values import DesignValues, Factors
    >>> post_height(TimberData(DesignValues({}), Factors({})), "hem_fir", "5x9", 4000.0).why
    'no dressed size for 5x9'
    """
    if load_lb <= 0:
        return NoRule("a post height needs a load above zero")
    values = all_on_deck(data, species, grade, section(size), load_kind, 1.0, NO_BENDING)
    if isinstance(values, NoRule):
        return values
    return least([_height(one, load_lb) for one in values])


def _height(values: Adjusted, load_lb: float) -> Bound:
    piece = values.section
    stress = load_lb / piece.area_sqin
    height = column_height_in(stress, values.fc_psi, values.emin_psi, min(piece.width_in, piece.depth_in))
    status = worse_status(values.statuses["Fc"], values.statuses["Emin"])
    steps = (*values.steps["Fc"], *values.steps["Emin"], step("fc", stress, "psi", "P / A"))
    return Bound("buckling" if height else "crushing", values.species, height, status, steps)


def post_capacity(
    data: TimberData, species: str, size: str, height_in: float, load_kind: str = "live", grade: str = "no_2"
) -> Allowable | NoRule:
    """Return the load a post carries at a height, lb, by plain NDS.

    Source: NDS 3.6 and 3.7, each species with its own Emin, wet service, incised where the species is.

    Args:
        data: design values and factors.
        species: species or group; a group takes its weakest member.
        size: ``4x4``, ``4x6``, ``6x6`` or ``8x8``.
        height_in: beam bottom to pier top, in.
        load_kind: ``live`` or ``snow``.
        grade: grade.

    Returns:
        Load, lb, or a refusal (no value, or slenderness over 50).

    Limits of validity: load in the middle, both ends held sideways, Ke 1.0, no notch.

    >>> from service.timber.values import DesignValues, Factors
    >>> post_capacity(TimberData(DesignValues({}), Factors({})), "hem_fir", "5x9", 96.0).why
    'no dressed size for 5x9'
    """
    values = all_on_deck(data, species, grade, section(size), load_kind, 1.0, NO_BENDING)
    if isinstance(values, NoRule):
        return values
    bounds = [_capacity(one, height_in) for one in values]
    refused = next((one for one in bounds if isinstance(one, NoRule)), None)
    return refused or least([one for one in bounds if isinstance(one, Bound)], printed_down=True, unit="lb")


def _capacity(values: Adjusted, height_in: float) -> Bound | NoRule:
    piece = values.section
    ratio = height_in / min(piece.width_in, piece.depth_in)
    allowed = column_value_psi(values.fc_psi, values.emin_psi, ratio)
    if isinstance(allowed, NoRule):
        return allowed
    status = worse_status(values.statuses["Fc"], values.statuses["Emin"])
    steps = (
        *values.steps["Fc"],
        *values.steps["Emin"],
        step("le/d", ratio, "ratio", "NDS 3.7.1.3, Ke 1.0"),
        step("Fc'", allowed, "psi", "NDS 3.7.1.5: Fc* CP"),
        step("A", piece.area_sqin, "sqin", "dressed section"),
    )
    return Bound("compression", values.species, allowed * piece.area_sqin, status, steps)


def post_height_2021(
    data: TimberData,
    species_group: str,
    size: str,
    tributary_sqft: float,
    varying_psf: float,
    load_kind: str = "live",
) -> Allowable | NoRule:
    """Return the post height as IRC 2021 Table R507.4 has it, in.

    Source: fit of the table: load 1.28 times live or snow (which is 1/0.78125: the dead load is a share of the
    varying load, not 10 psf), Emin 510,000 x 0.9 for every group, compression along the grain of Southern Pine,
    Spruce-Pine-Fir and Western Cedars, all but Southern Pine incised. All 155 heights below 14-0 exact, all 104
    at 14-0, all 29 not permitted; and all 64 cells of Washington's table for 60 psf live load, which the fit did
    not see. 1.279 or 1.281, 509,000 or 511,000 lose a dozen cells each.

    Args:
        data: design values and factors.
        species_group: one of the three groups of the table.
        size: ``4x4``, ``4x6`` or ``6x6``.
        tributary_sqft: tributary area, sq ft.
        varying_psf: live or snow load, psf.
        load_kind: ``live`` or ``snow``.

    Returns:
        Height, in, at most 168; a refusal where the post crushes (the table prints NP) or the group or size is
        not covered.

    Limits of validity: explains the table; `post_height` is the design calculation.

    >>> from service.timber.values import DesignValues, Factors
    >>> post_height_2021(TimberData(DesignValues({}), Factors({})), "teak", "4x4", 60.0, 40.0).why
    'the 2021 post table has no group teak'
    """
    species, piece = TABLE_SPECIES.get(species_group), section(size)
    if species is None:
        return NoRule(f"the 2021 post table has no group {species_group}")
    if isinstance(piece, NoRule):
        return piece
    value = table_fc_psi(data, species, piece, load_kind)
    if isinstance(value, NoRule):
        return value
    load_lb = TABLE_LOAD_SHARE * varying_psf * tributary_sqft
    height = column_height_in(load_lb / piece.area_sqin, value, TABLE_EMIN_PSI, piece.width_in)
    if not height:
        return NoRule(f"{size} crushes under {load_lb:.0f} lb")
    steps = (
        step("P", load_lb, "lb", "fit of IRC 2021 Table R507.4: 1.28 x varying load x area"),
        step("Fc*", value, "psi", "fit of IRC 2021 Table R507.4"),
        step("Emin'", TABLE_EMIN_PSI, "psi", "fit of IRC 2021 Table R507.4: 510000 x 0.9, every group"),
    )
    cap = (step("cap", TALLEST_IN, "in", "IRC Table R507.4: posts to 14 ft"),)
    bounds = [Bound("buckling", species, height, "own_convention", steps)]
    return least([*bounds, Bound("cap", species, TALLEST_IN, "two_sources", cap)])


def table_fc_psi(data: TimberData, species: str, piece: Section, load_kind: str) -> float | NoRule:
    """Return the compression value Fc* that the 2021 post table uses, psi.

    Source: fit of IRC 2021 Table R507.4: NDS with CM 0.80 for every species of dimension lumber and 0.91 for
    timbers, incised but for Southern Pine.

    Args:
        data: design values and factors.
        species: the species that stands for its group, of `TABLE_SPECIES`.
        piece: the section, in.
        load_kind: ``live`` or ``snow``.

    Returns:
        Fc*, psi, or a refusal.

    >>> from service.timber.values import DesignValues, Factors
    >>> table_fc_psi(TimberData(DesignValues({}), Factors({})), "southern_pine", section("6x6"), "live").why
    'no factor CD for strength, ten_years'
    """
    duration = duration_of(load_kind)
    if isinstance(duration, NoRule):
        return duration
    incised = species != "southern_pine"
    if piece.is_timber:
        cd = data.factors.find("CD", "strength", duration)
        return cd if isinstance(cd, NoRule) else TABLE_TIMBER_FC_PSI[species] * TIMBER_WET_FC * cd.value
    # The table takes CM 0.80 of Fc for cedars too, where NDS has 1.0 (Fc CF is under 750 psi).
    dry = adjusted(data, species, "no_2", piece, Service(duration=duration, wet=False, incised=incised))
    cm = data.factors.find("CM", "Fc", "dimension")
    if isinstance(dry, NoRule):
        return dry
    return cm if isinstance(cm, NoRule) else dry.fc_psi * cm.value

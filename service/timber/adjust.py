"""Design values adjusted for load duration, moisture, temperature, size, flat use, incising and repetition."""

from __future__ import annotations

from typing import Final

import msgspec

from service.timber.refusal import NoRule
from service.timber.sections import Section, size_class
from service.timber.tables import worse_status
from service.timber.values import DesignRow, FactorRow, TimberData
from service.units.working import Step, step

PROPERTIES: Final[dict[str, str]] = {
    "Fb": "fb_psi", "Ft": "ft_psi", "Fv": "fv_psi", "Fc_perp": "fc_perp_psi", "Fc": "fc_psi",
    "E": "e_psi", "Emin": "emin_psi",
}  # fmt: skip
TIMED: Final = ("Fb", "Ft", "Fv", "Fc")
SIZED: Final = ("Fb", "Ft", "Fc")
TIMBER_DEEP_IN: Final = 12.0


class Service(msgspec.Struct, frozen=True):
    """How a member serves. ``cr`` is the repetitive member factor, a ratio, with its source.

    Source: NDS 4.3. ``duration`` is a key of the CD rows, ``temperature`` of the Ct rows.

    >>> Service(duration="two_months").wet
    True
    """

    duration: str = "ten_years"
    wet: bool = True
    incised: bool = False
    flat: bool = False
    temperature: str = "up_to_100F"
    cr: float = 1.0
    cr_source: str = "NDS 4.3.9: not a repetitive member"


class Adjusted(msgspec.Struct, frozen=True):
    """Adjusted values, psi, each with its working and the status of its least known part.

    Source: NDS Table 4.3.1. ``fb_psi`` lacks CL and ``fc_psi`` lacks CP: they are Fb* and Fc*.

    >>> Adjusted.__struct_fields__[:2]
    ('species', 'grade')
    """

    species: str
    grade: str
    section: Section
    fb_psi: float
    ft_psi: float
    fv_psi: float
    fc_perp_psi: float
    fc_psi: float
    e_psi: float
    emin_psi: float
    specific_gravity: float
    steps: dict[str, tuple[Step, ...]]
    statuses: dict[str, str]


def _source(row: FactorRow) -> str:
    return f"{row.nds_section} ({row.status})"


def _given(value: float, source: str) -> FactorRow:
    return FactorRow("Cr", "Fb", "given", value, "ratio", source, source, "own_convention", "")


def _one(factor: str, on: str, why: str) -> FactorRow:
    return FactorRow(factor, on, "none", 1.0, "ratio", why, why, "two_sources", "")


def width_case(wide: int, thickness: int) -> str:
    """Return the size factor case of a nominal width and thickness; no unit.

    Source: NDS Supplement Table 4A.

    >>> width_case(10, 2), width_case(3, 4)
    ('2-3_thick_10_wide', '4_thick_4_wide')
    """
    return f"{'2-3' if thickness < 4 else '4'}_thick_{max(wide, 4)}_wide"


def size_factor(data: TimberData, species: str, on: str, piece: Section) -> FactorRow | NoRule:
    """Return the size factor CF of a property, a ratio.

    Source: NDS Supplement Tables 4A (dimension lumber), 4B (Southern Pine: in the value) and 4D (timbers).

    Args:
        data: values and factors.
        species: species key.
        on: ``Fb``, ``Ft`` or ``Fc``.
        piece: the section, in.

    Returns:
        The factor row, or a refusal for a width without one.

    Limits of validity: grades No. 2 and better.

    >>> from service.timber.values import DesignValues, Factors
    >>> from service.timber.sections import section
    >>> size_factor(TimberData(DesignValues({}), Factors({})), "southern_pine", "Fb", section("2x6")).value
    1.0
    """
    if piece.is_timber:
        if on == "Fb" and piece.depth_in > TIMBER_DEEP_IN:
            value = (TIMBER_DEEP_IN / piece.depth_in) ** (1 / 9)
            source = "NDS Supplement Table 4D"
            return FactorRow("CF", on, "timber", value, "ratio", source, source, "second_hand", "")
        return _one("CF", on, "NDS Supplement Table 4D: to 12 in deep")
    if species == "southern_pine":
        return _one("CF", on, "NDS Supplement Table 4B: size effect in the value")
    return data.factors.find("CF", on, width_case(piece.wide, piece.thickness))


def wet_factor(data: TimberData, on: str, base_times_cf_psi: float, piece: Section) -> FactorRow | NoRule:
    """Return the wet service factor CM of a property, a ratio.

    Source: NDS Supplement Tables 4A/4B and 4D; 1.0 for dimension lumber where Fb CF is at most 1150 psi, Fc CF
    at most 750 psi.

    Args:
        data: values and factors.
        on: property symbol.
        base_times_cf_psi: reference value times CF, psi.
        piece: the section, in.

    Returns:
        The factor row.

    >>> from service.timber.values import DesignValues, Factors
    >>> from service.timber.sections import section
    >>> wet_factor(TimberData(DesignValues({}), Factors({})), "Fb", 900.0, section("2x6")).why
    'no factor CM for Fb, dimension'
    """
    kind = "timber" if piece.is_timber else "dimension"
    limit = data.factors.rows.get(("CM_limit", on, kind))
    if limit is not None and base_times_cf_psi <= limit.value:
        return _one("CM", on, f"{limit.nds_section}: {on} CF at most {limit.value:g} psi")
    return data.factors.find("CM", on, kind)


def _factors(
    data: TimberData, species: str, on: str, base: float, piece: Section, service: Service
) -> list[FactorRow | NoRule]:
    find = data.factors.find
    listed: list[FactorRow | NoRule] = []
    cf = size_factor(data, species, on, piece) if on in SIZED else _one("CF", on, "none on this value")
    sized = base * cf.value if isinstance(cf, FactorRow) else base
    if on in TIMED:
        listed.append(find("CD", "strength", service.duration))
    if service.wet:
        listed.append(wet_factor(data, on, sized, piece))
    listed.append(find("Ct", on, service.temperature))
    if on in SIZED:
        listed.append(cf)
    if on == "Fb" and service.flat:
        listed.append(flat_factor(data, piece))
    # NDS 4.3.8 speaks of dimension lumber only.
    if service.incised and not piece.is_timber:
        listed.append(find("Ci", on, "incised"))
    if on == "Fb":
        listed.append(_given(service.cr, service.cr_source))
    return listed


def flat_factor(data: TimberData, piece: Section) -> FactorRow | NoRule:
    """Return the flat use factor Cfu on Fb, a ratio.

    Source: NDS Supplement Tables 4A/4B; 10 in and wider share a row.

    Args:
        data: values and factors.
        piece: the section, in.

    Returns:
        The factor row, or a refusal where sources disagree (4 in thick, 10 in and wider).

    >>> from service.timber.values import DesignValues, Factors
    >>> from service.timber.sections import section
    >>> flat_factor(TimberData(DesignValues({}), Factors({})), section("2x12")).why
    'no factor Cfu for Fb, 2-3_thick_10_wide'
    """
    wide = min(piece.wide, 10)
    thick = "2-3" if piece.thickness < 4 else "4"
    return data.factors.find("Cfu", "Fb", f"{thick}_thick_{max(wide, 3)}_wide")


def _value(row: DesignRow, on: str, factors: list[FactorRow]) -> tuple[float, tuple[Step, ...], str]:
    base: float = getattr(row, PROPERTIES[on])
    value, status = base, row.status
    steps = [
        step(
            on, base, "psi", f"NDS Supplement Table {row.nds_table}, {row.species} {row.grade} ({row.status})"
        )
    ]
    for factor in factors:
        value *= factor.value
        steps.append(step(factor.factor, factor.value, "ratio", _source(factor)))
        # A remembered 1.0 changes nothing, so it does not taint the product.
        if factor.value != 1:
            status = worse_status(status, factor.status)
    star = on in ("Fb", "Fc")
    steps.append(step(f"{on}*" if star else f"{on}'", value, "psi", "NDS Table 4.3.1: product of the above"))
    return value, tuple(steps), status


def adjusted(
    data: TimberData, species: str, grade: str, piece: Section, service: Service
) -> Adjusted | NoRule:
    """Return the adjusted design values of a member, psi.

    Source: NDS 4.3.1 and Table 4.3.1; values of the NDS Supplement as the data rows cite.

    Args:
        data: values and factors.
        species: species key.
        grade: grade key.
        piece: the section, in.
        service: duration, moisture, temperature, incising, flat use, repetition.

    Returns:
        Adjusted values, psi, with their working, or a refusal naming what is missing.

    Limits of validity: visually graded sawn lumber, grades No. 2 and better; CL and CP are not in.

    >>> from service.timber.values import DesignValues, Factors
    >>> from service.timber.sections import section
    >>> empty = TimberData(DesignValues({}), Factors({}))
    >>> adjusted(empty, "hem_fir", "no_2", section("2x8"), Service()).why
    'no design value for hem_fir no_2 2-4_thick'
    """
    row = data.values.find(species, grade, size_class(species, piece))
    if isinstance(row, NoRule):
        return row
    parts: dict[str, tuple[float, tuple[Step, ...], str]] = {}
    for on, column in PROPERTIES.items():
        listed = _factors(data, species, on, getattr(row, column), piece, service)
        refused = next((item for item in listed if isinstance(item, NoRule)), None)
        if refused is not None:
            return refused
        parts[on] = _value(row, on, [item for item in listed if isinstance(item, FactorRow)])
    return Adjusted(
        species, grade, piece,
        **{PROPERTIES[on]: value for on, (value, _, _) in parts.items()},
        specific_gravity=row.specific_gravity,
        steps={on: steps for on, (_, steps, _) in parts.items()},
        statuses={on: status for on, (_, _, status) in parts.items()},
    )  # fmt: skip

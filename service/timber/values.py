"""Reference design values and adjustment factors, parsed from text and kept with source and status."""

from __future__ import annotations

import msgspec

from service.timber.refusal import NoRule
from service.timber.tables import MalformedTable, positive, rows

STRESSES = ("fb_psi", "ft_psi", "fv_psi", "fc_perp_psi", "fc_psi", "e_psi", "emin_psi", "specific_gravity")
VALUE_COLUMNS = ("species", "grade", "size_class", "nds_table", *STRESSES, "source", "status", "note")
FACTOR_COLUMNS = ("factor", "property", "case", "value", "unit", "nds_section", "source", "status", "note")
FACTOR_UNITS = ("ratio", "psi")
NEEDED_FACTORS = ("CD", "CM", "CM_limit", "Ct", "CF", "Cfu", "Ci", "Cr", "CM_connection")


class DesignRow(msgspec.Struct, frozen=True):
    """Reference design values of one species, grade and size class, psi, with specific gravity.

    Source: NDS Supplement Tables 4A, 4B and 4D, as ``source`` and ``status`` say for each row.

    >>> DesignRow.__struct_fields__[:3]
    ('species', 'grade', 'size_class')
    """

    species: str
    grade: str
    size_class: str
    nds_table: str
    fb_psi: float
    ft_psi: float
    fv_psi: float
    fc_perp_psi: float
    fc_psi: float
    e_psi: float
    emin_psi: float
    specific_gravity: float
    source: str
    status: str
    note: str


class FactorRow(msgspec.Struct, frozen=True):
    """One adjustment factor (a ratio) or limit (psi), with NDS section, source and status.

    Source: as the row says.

    >>> FactorRow("CD", "strength", "two_months", 1.15, "ratio", "NDS 2.3.2", "", "memory", "").value
    1.15
    """

    factor: str
    property: str
    case: str
    value: float
    unit: str
    nds_section: str
    source: str
    status: str
    note: str


class DesignValues(msgspec.Struct, frozen=True, eq=False):
    """All design value rows by species, grade and size class, psi.

    Source: NDS Supplement, row by row.

    >>> DesignValues({}).find("hem_fir", "no_2", "2-4_thick").why
    'no design value for hem_fir no_2 2-4_thick'
    """

    rows: dict[tuple[str, str, str], DesignRow]

    def find(self, species: str, grade: str, size_class: str) -> DesignRow | NoRule:
        """Return the row, psi, or a refusal when there is none or its sources disagree."""
        row = self.rows.get((species, grade, size_class))
        if row is None:
            return NoRule(f"no design value for {species} {grade} {size_class}")
        if row.status == "disputed":
            return NoRule(f"sources disagree on {species} {grade} {size_class}: {row.note}")
        return row


class Factors(msgspec.Struct, frozen=True, eq=False):
    """All adjustment factors by factor, property and case; ratios, limits in psi.

    Source: NDS and its Supplement, row by row.

    >>> Factors({}).find("CD", "strength", "impact").why
    'no factor CD for strength, impact'
    """

    rows: dict[tuple[str, str, str], FactorRow]

    def find(self, factor: str, on: str, case: str) -> FactorRow | NoRule:
        """Return the factor row, or a refusal when there is none or its sources disagree."""
        row = self.rows.get((factor, on, case))
        if row is None:
            return NoRule(f"no factor {factor} for {on}, {case}")
        if row.status == "disputed":
            return NoRule(f"sources disagree on {factor} for {on}, {case}: {row.source}")
        return row


class TimberData(msgspec.Struct, frozen=True, eq=False):
    """Design values (psi) and factors (ratios) together: what every calculation is given.

    Source: the rulebook text passed to `parse_timber`.

    >>> TimberData(DesignValues({}), Factors({})).factors.rows
    {}
    """

    values: DesignValues
    factors: Factors


def parse_design_values(text: str) -> DesignValues:
    """Return the reference design values of a table text, psi.

    Source: each row names its own; NDS Supplement Tables 4A, 4B, 4D.

    Args:
        text: comma-separated table with the columns of `VALUE_COLUMNS`.

    Returns:
        The rows by species, grade and size class, psi.

    Raises:
        MalformedTable: unknown heading, empty cell, figure not above zero, unknown status, or a key given twice.

    >>> head = ",".join(VALUE_COLUMNS)
    >>> row = "hem_fir,no_2,2-4_thick,4A,850,525,150,405,1300,1300000,470000,0.43,a page,second_hand,"
    >>> found = parse_design_values(head + "\\n" + row).find("hem_fir", "no_2", "2-4_thick")
    >>> found.fb_psi, found.status
    (850.0, 'second_hand')
    """
    found: dict[tuple[str, str, str], DesignRow] = {}
    for line, row in rows("design_values", text, VALUE_COLUMNS, VALUE_COLUMNS[:-1]):
        key = (row["species"], row["grade"], row["size_class"])
        if key in found:
            raise MalformedTable("design_values", line, f"{' '.join(key)} is given twice")
        numbers = {name: positive("design_values", line, name, row[name]) for name in STRESSES}
        found[key] = msgspec.convert({**row, **numbers}, DesignRow)
    return DesignValues(found)


def parse_factors(text: str) -> Factors:
    """Return the adjustment factors of a table text; ratios, limits in psi.

    Source: each row names its own NDS section and where that was seen.

    Args:
        text: comma-separated table with the columns of `FACTOR_COLUMNS`.

    Returns:
        The rows by factor, property and case.

    Raises:
        MalformedTable: as `parse_design_values`, an unknown unit, or a factor with no row at all.

    >>> parse_factors(",".join(FACTOR_COLUMNS))
    Traceback (most recent call last):
    service.timber.tables.MalformedTable: factors, line 1: no rows
    """
    found: dict[tuple[str, str, str], FactorRow] = {}
    for line, row in rows("factors", text, FACTOR_COLUMNS, FACTOR_COLUMNS[:-1]):
        key = (row["factor"], row["property"], row["case"])
        if key in found:
            raise MalformedTable("factors", line, f"{' '.join(key)} is given twice")
        if row["unit"] not in FACTOR_UNITS:
            raise MalformedTable(
                "factors", line, f"unit {row['unit']!r} is not one of {', '.join(FACTOR_UNITS)}"
            )
        number = positive("factors", line, "value", row["value"])
        found[key] = msgspec.convert({**row, "value": number}, FactorRow)
    missing = [name for name in NEEDED_FACTORS if not any(key[0] == name for key in found)]
    if missing:
        raise MalformedTable("factors", 1, f"no row for {', '.join(missing)}")
    return Factors(found)


def parse_timber(values_text: str, factors_text: str) -> TimberData:
    """Return design values (psi) and factors together, from their two table texts.

    Source: the tables. Raises as `parse_design_values` and `parse_factors`.

    Args:
        values_text: table of design values.
        factors_text: table of factors.

    Returns:
        Both, psi and ratios.

    >>> parse_timber("", "")
    Traceback (most recent call last):
    service.timber.tables.MalformedTable: design_values, line 1: the heading must be species,grade,...
    """
    return TimberData(parse_design_values(values_text), parse_factors(factors_text))

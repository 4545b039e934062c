"""The value tables of the rulebook: equal to the reference copies, and every fault refused by table and line."""

from __future__ import annotations

import csv
from importlib import resources
from pathlib import Path

import pytest

from service.timber.tables import MalformedTable
from service.timber.values import parse_design_values, parse_factors

REFERENCE = Path(__file__).parent / "reference" / "timber"
SHIPPED = resources.files("service.rulebooks") / "timber"
VALUES, FACTORS = ((SHIPPED / f"{name}.csv").read_text() for name in ("design_values", "factors"))
SPECIES = {
    "Southern Pine": "southern_pine",
    "Douglas Fir-Larch": "douglas_fir_larch",
    "Hem-Fir": "hem_fir",
    "Spruce-Pine-Fir": "spruce_pine_fir",
    "Western Cedars": "western_cedar",
    "Redwood": "redwood",
}
GRADES = {"SS": "select_structural", "No.1&Btr": "no_1_and_better", "No.1": "no_1"}
COLUMNS = ("Fb", "Ft", "Fv", "Fc_perp", "Fc", "E", "Emin")


def reference_key(row: dict[str, str]) -> tuple[str, str, str]:
    species = SPECIES.get(row["species"], "northern_species")
    grade = row["grade"].removesuffix(" open grain")
    size = row["size_class"]
    if row["grade"].endswith("open grain"):
        species = "redwood_open_grain"
    if size.startswith("5x5"):
        size = "5x5 and larger"
    return species, GRADES.get(grade, "no_2"), size.replace(" in ", "_").replace(" ", "_")


def test_every_reference_value_is_shipped_unchanged() -> None:
    shipped = parse_design_values(VALUES).rows
    with (REFERENCE / "design_values.csv").open(newline="") as text:
        rows = [row for row in csv.DictReader(text) if row["confidence"] != "fitted, not seen"]
    assert len(rows) == 53
    for row in rows:
        found = shipped[reference_key(row)]
        for column in COLUMNS:
            assert getattr(found, f"{column.lower()}_psi") == float(row[f"{column}_psi"]), row
        assert found.specific_gravity == float(row["G"])
        if "memory" in row["confidence"]:
            assert found.status == "memory"
        assert (found.status == "disputed") == (row["confidence"] == "disputed")


def test_a_value_nobody_saw_is_not_shipped() -> None:
    """The 6x6 pine row that is only implied by a fit is left out: asking for it is refused."""
    assert ("ponderosa_pine", "no_2", "5x5_and_larger") not in parse_design_values(VALUES).rows


def changed(text: str, line: int, old: str, new: str) -> str:
    lines = text.splitlines()
    assert old in lines[line - 1]
    lines[line - 1] = lines[line - 1].replace(old, new, 1)
    return "\n".join(lines)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "line 1: the heading must be"),
        (VALUES.splitlines()[0], "line 1: no rows"),
        (changed(VALUES, 1, "grade", "grades"), "line 1: the heading"),
        (changed(VALUES, 2, "2350", ""), "line 2: fb_psi is empty"),
        (changed(VALUES, 2, "2350", "-5"), "line 2: fb_psi must be a number above zero"),
        (changed(VALUES, 2, "2350", "nan"), "line 2: fb_psi must be a number above zero"),
        (changed(VALUES, 2, "2350,", ""), "line 2: 14 cells where 15 are due"),
        (changed(VALUES, 3, "second_hand", "sure"), "line 3: status 'sure'"),
        (VALUES + VALUES.splitlines()[1], "is given twice"),
    ],
)
def test_a_faulty_value_table_is_refused(text: str, message: str) -> None:
    with pytest.raises(MalformedTable, match="design_values, line") as caught:
        parse_design_values(text)
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (changed(FACTORS, 2, "ratio", "feet"), "line 2: unit 'feet'"),
        (changed(FACTORS, 2, "0.9", "none"), "line 2: value must be a number above zero"),
        (FACTORS + FACTORS.splitlines()[1], "is given twice"),
        ("\n".join(x for x in FACTORS.splitlines() if not x.startswith("Ci")), "no row for Ci"),
    ],
)
def test_a_faulty_factor_table_is_refused(text: str, message: str) -> None:
    with pytest.raises(MalformedTable, match="factors, line") as caught:
        parse_factors(text)
    assert message in str(caught.value)

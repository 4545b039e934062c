"""A higher grade of one species and size is never weaker (NDS Supplement, Tables 4A and 4B, as copied): it may stand
in for a lower one.
"""

from __future__ import annotations

import csv
from itertools import combinations, groupby
from pathlib import Path

import pytest

from service.takeoff.substitutes import GRADES

VALUES = Path(__file__).parent / "reference" / "timber" / "design_values.csv"
PRINTED = {"no_2": "No.2", "no_1": "No.1", "no_1_and_better": "No.1&Btr", "select_structural": "SS"}
STRENGTHS = ("Fb_psi", "Ft_psi", "Fv_psi", "Fc_perp_psi", "Fc_psi", "E_psi", "Emin_psi")


def by_size() -> dict[str, dict[str, dict[str, str]]]:
    """Rows by species and size class, then by grade."""
    rows = list(csv.DictReader(VALUES.read_text(encoding="utf-8").splitlines()))

    def size(row: dict[str, str]) -> str:
        return f"{row['species']}, {row['size_class']}"

    return {
        name: {row["grade"]: row for row in group}
        for name, group in groupby(sorted(rows, key=size), key=size)
    }


ROWS = by_size()


@pytest.mark.parametrize("size", [name for name, found in ROWS.items() if len(found) > 1])
def test_a_higher_grade_is_no_weaker(size: str) -> None:
    found = [ROWS[size][PRINTED[grade]] for grade in GRADES if PRINTED[grade] in ROWS[size]]
    for lower, higher in combinations(found, 2):
        assert all(float(higher[name]) >= float(lower[name]) for name in STRENGTHS)


def test_every_grade_is_a_printed_one() -> None:
    printed = {grade for found in ROWS.values() for grade in found}
    assert set(PRINTED.values()) <= printed
    assert set(PRINTED) == set(GRADES)

"""Bags of concrete against the published yields and the counts worked from them."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from service.takeoff.concrete import YIELD_CUFT_PER_LB, bags

FOLDER = Path(__file__).parent / "reference" / "foundations"


def rows(name):
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


YIELDS, PIERS = rows("bag_yields.csv"), rows("pier_bags.csv")


@pytest.mark.parametrize("row", YIELDS, ids=[f"bag_yields.csv:{row['bag_lb']}lb:yield_ft3" for row in YIELDS])
def test_yield_of_a_bag(row):
    assert YIELD_CUFT_PER_LB * float(row["bag_lb"]) == pytest.approx(float(row["yield_ft3"]), abs=5e-4)


@pytest.mark.parametrize(
    "row",
    PIERS,
    ids=[
        f"pier_bags.csv:{r['concrete_length_in']}in x {r['diameter_in']}in:{r['bag_lb']}lb:waste {r['waste']}"
        for r in PIERS
    ],
)
def test_bags_of_a_pier(row):
    volume = 3.141592653589793 * (float(row["diameter_in"]) / 24) ** 2 * float(row["concrete_length_in"]) / 12
    assert volume == pytest.approx(float(row["volume_ft3"]), abs=5e-4)
    assert bags(volume, float(row["bag_lb"]), 100 * float(row["waste"])) == int(row["bags_whole"])


def test_common_practice_six_bags_for_a_32_in_tube_pier():
    """Common practice, no source: 12 in tube, 32 in deep, 60 lb bags, 10 % waste."""
    assert bags(3.141592653589793 * 0.25 * 32 / 12, 60) == 6

"""Every row of the foundation tables that has a published or collected figure behind it."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

REFERENCE = Path(__file__).parent / "reference" / "foundations"
OURS = Path(__file__).parents[2] / "service" / "rulebooks" / "foundations"
METHODS = {
    "tube_form_pier": "pier_form_bagged", "helical_pile": "helical", "pad_and_pier": "pad_plus_pier",
    "belled_pier": "belled_pier", "post_on_buried_pad": "post_on_buried_pad", "pier_block_on_grade": "precast_block",
}  # fmt: skip
AREA_COLUMNS = {"round_2-7-8in": "net_ft2_rd2.875", "round_3-1-2in": "net_ft2_rd3.50"}
SHAFTS = {"round_2-7-8in": "2.875 in OD round", "round_3-1-2in": "3.50 in OD round"}
RANGES = (
    "days_low", "days_likely", "days_high", "labour_h_per_footing_low", "labour_h_per_footing_likely",
    "labour_h_per_footing_high",
)  # fmt: skip


def _rows(file: Path) -> list[dict[str, str]]:
    with file.open(newline="", encoding="utf-8") as opened:
        return list(csv.DictReader(opened))


def _named(row: dict[str, str]) -> str:
    return f"collected-schedule-{row['method']}-{row['step']}-{row['task']}-{row['only_with']}"


# Rows without one of their own: "see cure rows", and a drive that is in the day of installing.
STANDS_IN = {("post_on_buried_pad", "A9"): "belled_pier", ("post_on_buried_pad", "A10"): "belled_pier"}
NO_TIME = {("helical_pile", "H2a")}
# In the collection a word on the pour by truck: "delivery slot may add 1-3 days".
SLOT_STEP, SLOT = "A3t", [0.0, 1.0, 3.0, 0.0, 0.0, 0.0]
# ACI 306.1-90 3.4.4: protected from freezing for at least so many days
COLD_CURE_DAYS = 3.0


def _collected(row: dict[str, str]) -> list[float]:
    """The collected figures of a row of ours; curing in the cold is never shorter than the standard has it."""
    place = (row["method"], row["step"])
    if place in NO_TIME:
        return [0.0] * len(RANGES)
    if row["step"] == SLOT_STEP:
        (truck,) = [r for r in _rows(REFERENCE / "schedule.csv")
                    if (r["method"], r["step"]) == ("pier_form_readymix", "A5")]  # fmt: skip
        assert "delivery slot may add 1-3 days" in truck["basis"]
        return SLOT
    method = STANDS_IN.get(place, METHODS[row["method"]])
    method = "pier_form_readymix" if row["only_with"] == "ready_mix" else method
    (found,) = [
        r for r in _rows(REFERENCE / "schedule.csv") if (r["method"], r["step"]) == (method, row["step"])
    ]
    least = COLD_CURE_DAYS if row["only_with"] == "cold" and row["task"] in ("cure", "pad_cure") else 0.0
    return [max(float(found[name]), least if name.startswith("days") else 0.0) for name in RANGES]


@pytest.mark.parametrize("row", _rows(OURS / "schedule.csv"), ids=_named)
def test_durations_are_the_collected_ones(row: dict[str, str]) -> None:
    ours = [float(row[name.replace("labour_h_per_footing", "hours")]) for name in RANGES]
    assert ours == _collected(row)


def test_every_method_of_the_collection_has_its_rows() -> None:
    assert {row["method"] for row in _rows(OURS / "schedule.csv")} == set(METHODS)


@pytest.mark.parametrize(
    "row", _rows(OURS / "helix_areas.csv"), ids=lambda r: f"computed-helix-{r['helix_in']}in-on-{r['shaft']}"
)
def test_helix_areas(row: dict[str, str]) -> None:
    (collected,) = [r for r in _rows(REFERENCE / "helix_areas.csv") if r["helix_dia_in"] == row["helix_in"]]
    assert float(row["net_sqft"]) == float(collected[AREA_COLUMNS[row["shaft"]]])


@pytest.mark.parametrize(
    "row", _rows(OURS / "pile_shafts.csv"), ids=lambda r: f"AC358-from-memory-{r['shaft']}"
)
def test_torque_factors(row: dict[str, str]) -> None:
    collected = {r["shaft"]: float(r["Kt_per_ft"]) for r in _rows(REFERENCE / "torque_factors.csv")}
    assert float(row["kt_per_ft"]) == collected[SHAFTS[row["shaft"]]]

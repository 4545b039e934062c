"""Every row of the foundation tables that has a published or collected figure behind it."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

REFERENCE = Path(__file__).parent / "reference" / "foundations"
OURS = Path(__file__).parents[2] / "service" / "rulebooks" / "foundations"
METHODS = {"tube_form_pier": "pier_form_bagged", "helical_pile": "helical"}
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
    return f"collected-schedule-{row['method']}-{row['step']}-{row['task']}"


@pytest.mark.parametrize("row", _rows(OURS / "schedule.csv"), ids=_named)
def test_durations_are_the_collected_ones(row: dict[str, str]) -> None:
    method = "pier_form_readymix" if row["only_with"] == "ready_mix" else METHODS[row["method"]]
    (collected,) = [
        r for r in _rows(REFERENCE / "schedule.csv") if (r["method"], r["step"]) == (method, row["step"])
    ]
    ours = [float(row[name.replace("labour_h_per_footing", "hours")]) for name in RANGES]
    assert ours == [float(collected[name]) for name in RANGES]


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

"""How long a permit package takes beyond its design: of the largest deck taken, against a 16 by 12 in the same run.

`PYTHONPATH=.:tests python tests/bench/permit_packages_timed.py [rounds]`, on a quiet machine. Times are medians in ms
of the wall clock: what it says as data, then the setting of the PDF. Each round has another design id, so that the
typesetter has nothing left of the round before. Drawings are those the service has for the deck.
"""

from __future__ import annotations

import statistics
import sys
import time
from io import BytesIO
from typing import Any

import msgspec
from context import context, designed, spec_of
from pypdf import PdfReader

from service.contract.report import DesignReport
from service.web.permit_packages import package_pdf

PLACE = {"jurisdiction": "alder-county", "price_book": "brindlemoor-yard"}
SMALL: dict[str, Any] = {**PLACE, "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}]}
SIDES = ((0, 1), (0, 3), (1, 1), (1, 3), (2, 1), (2, 3), (3, 1), (3, 2))
# As many levels, stairs and square feet as are taken: four levels of 5,000 sq ft, eight stairs.
LARGEST: dict[str, Any] = {
    **PLACE,
    "house": {
        "wall": "wood_band", "foundation_wall": "poured_concrete", "door_sill_height_in": 61.5, "rim_depth_in": 11.25,
        "floor_joist_direction": "toward_deck",
    },
    "levels": [
        {
            "id": f"level-{number}", "origin_ft": [0, 51 * number], "width_ft": 100, "projection_ft": 50,
            "surface_height_in": 60 - 8 * number, "house_edges": [0] if number == 0 else [],
        }
        for number in range(4)
    ],
    "stairs": [{"level": f"level-{level}", "edge": edge, "offset_ft": 4, "width_in": 48} for level, edge in SIDES],
}  # fmt: skip


def main(rounds: int = 5) -> None:
    """Time both packages, round after round, and print medians, pages and bytes."""
    where = context("alder-county")
    reports = {
        name: designed(spec_of(**given), where)
        for name, given in {"16x12": SMALL, "largest": LARGEST}.items()
    }
    times: dict[str, list[float]] = {name: [] for name in reports}
    made: dict[str, bytes] = {}
    for count in range(rounds):
        for name, report in reports.items():
            made[name] = _timed(msgspec.structs.replace(report, design_id=f"{count:032x}"), times[name])
    base = statistics.median(times["16x12"])
    for name, taken in times.items():
        middle, pages = statistics.median(taken), len(PdfReader(BytesIO(made[name])).pages)
        checks = len(reports[name].checks)
        text = f"{name:8} {checks:5} checks {pages:4} pages {len(made[name]) / 1000:6.0f} kB {middle:6.0f} ms"
        sys.stdout.write(f"{text}  x {middle / base:.1f}\n")


def _timed(report: DesignReport, taken: list[float]) -> bytes:
    start = time.perf_counter()
    found = package_pdf(report, None, "tabloid")
    taken.append(1000 * (time.perf_counter() - start))
    return found


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))

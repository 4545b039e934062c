"""How long a design takes by kind of outline, against a plain rectangle in the same run: whole decks, no HTTP.

`PYTHONPATH=.:tests python tests/bench/design_by_outline.py [rounds]`, on a quiet machine.
"""

from __future__ import annotations

import statistics
import sys
import time
from typing import Any

from context import context, designed, spec_of

WALL = {
    "wall": "wood_band", "foundation_wall": "poured_concrete", "door_sill_height_in": 37.5, "rim_depth_in": 11.25,
    "floor_joist_direction": "toward_deck",
}  # fmt: skip
SECOND = {**WALL, "edge_walls": [{"edge": 1, "wall": "brick_veneer"}]}
FALLING = {"grade_fall_y_in_per_ft": 2, "grade_fall_x_in_per_ft": 1}
LOWER = {"id": "lower", "origin_ft": [0, 12], "width_ft": 16, "projection_ft": 10, "surface_height_in": 21}
DECKS: dict[str, dict[str, Any]] = {
    "rectangle": {"levels": [{"width_ft": 16, "projection_ft": 12}]},
    "on a slope": {"levels": [{"width_ft": 16, "projection_ft": 12}], "site": FALLING},
    "L": {"levels": [{"outline_ft": [[0, 0], [24, 0], [24, 10], [12, 10], [12, 16], [0, 16]]}]},
    "U": {"levels": [{"outline_ft": [[0, 0], [30, 0], [30, 14], [20, 14], [20, 9], [10, 9], [10, 14], [0, 14]]}]},
    "clipped corner": {"levels": [{"outline_ft": [[0, 0], [16, 0], [16, 8], [12, 12], [0, 12]]}]},
    "octagon half": {"levels": [{"outline_ft": [[0, 0], [16, 0], [16, 8], [12, 12], [4, 12], [0, 8]]}]},
    "wrap, two walls": {
        "levels": [{"outline_ft": [[0, 0], [20, 0], [20, -14], [30, -14], [30, 11], [0, 11]]}], "house": SECOND,
    },
    "two levels": {"levels": [{"id": "main", "width_ft": 16, "projection_ft": 12}, LOWER]},
}  # fmt: skip


def main(rounds: int = 5) -> None:
    """Time every deck in turn, round after round, and print medians with their ratio to the rectangle."""
    where = context("alder-county")
    times: dict[str, list[float]] = {name: [] for name in DECKS}
    for _ in range(rounds):
        for name, given in DECKS.items():
            levels = [{"surface_height_in": 36, **level} for level in given["levels"]]
            spec = spec_of(**{"jurisdiction": "alder-county", "house": WALL, **given, "levels": levels})
            start = time.process_time()
            designed(spec, where)
            times[name].append(1000 * (time.process_time() - start))
    base = statistics.median(times["rectangle"])
    for name, taken in times.items():
        middle = statistics.median(taken)
        sys.stdout.write(f"{name:16} {middle:7.0f} ms  x {middle / base:.1f}\n")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))

"""Heights of measured ground: microseconds a call on the most points a spec may hold.

Not collected by plain `pytest`; run `pytest -q -s tests/bench/bench_ground.py`. The median of the rounds counts.
"""

from __future__ import annotations

import math
import statistics
import time

import numpy as np
import pytest

from service.contract.spec import GradePointSpec, SiteSpec
from service.framing.ground import grade_of

POINTS = 60
CALLS = 2_000
ROUNDS = 15
LIMIT_US = 20.0
RNG = np.random.default_rng(1)
YARD = [tuple(place) for place in RNG.uniform(0, 40, (POINTS, 2)).tolist()]
RING = [
    (20 + 20 * math.cos(2 * math.pi * i / POINTS), 20 + 20 * math.sin(2 * math.pi * i / POINTS))
    for i in range(POINTS)
]


@pytest.mark.parametrize("points", [YARD, RING], ids=["yard", "ring"])
@pytest.mark.parametrize(("low", "high"), [(6.0, 34.0), (41.0, 80.0)], ids=["inside", "outside"])
def test_a_height_takes_microseconds(points: list[tuple[float, float]], low: float, high: float) -> None:
    measured = tuple(GradePointSpec(x_ft=x, y_ft=y, grade_in=float(RNG.uniform(-40, 0))) for x, y in points)
    ground = grade_of(SiteSpec(grade_points=measured))
    places = RNG.uniform(low, high, (CALLS, 2)).tolist()
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        for place in places:
            ground(*place)
        times.append(1e6 * (time.perf_counter() - start) / CALLS)
    took = statistics.median(times)
    print(f"\n{took:.2f} us a call")
    assert took < LIMIT_US

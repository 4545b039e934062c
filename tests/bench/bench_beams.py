"""Ten thousand continuous beams: time, and how often faster than one beam a turn.

Not collected by plain `pytest`; run `pytest -q -s tests/bench/bench_beams.py`. The median of the rounds counts.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np
import pytest

from service.mechanics.batch import Array, batch_analyse
from service.mechanics.beam import Beam, Uniform
from service.mechanics.quick import continuous_reactions
from service.mechanics.response import analyse

BEAMS = 10_000
SINGLE = 1_000
ROUNDS = 15
LIMIT_MS = 50.0


def milliseconds(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(1000 * (time.perf_counter() - start))
    return statistics.median(times)


def beams(spans: int) -> tuple[Array, Array, Array]:
    rng = np.random.default_rng(spans)
    return (
        rng.uniform(4.0, 18.0, (BEAMS, spans)),
        rng.uniform(0.0, 4.0, (BEAMS, 2)),
        rng.uniform(50.0, 900.0, (BEAMS, spans + 2)),
    )


def one_by_one(lengths: Array, ends: Array) -> None:
    for row, (start, end) in zip(lengths[:SINGLE].tolist(), ends[:SINGLE].tolist(), strict=True):
        continuous_reactions(row, start, end, 100.0)


def in_full(lengths: Array, ends: Array) -> None:
    for row, (start, end) in zip(lengths[:SINGLE].tolist(), ends[:SINGLE].tolist(), strict=True):
        at = [start]
        for length in row:
            at.append(at[-1] + length)
        analyse(Beam(at[-1] + end, tuple(at)), [Uniform(0.0, at[-1] + end, 100.0)], 1e8)


@pytest.mark.parametrize("spans", [1, 2, 3, 5])
def test_ten_thousand_beams(spans: int) -> None:
    lengths, ends, loads = beams(spans)
    batch_ms = milliseconds(lambda: batch_analyse(lengths, ends, loads))
    quick_ms = milliseconds(lambda: one_by_one(lengths, ends), 3) * BEAMS / SINGLE
    full_ms = milliseconds(lambda: in_full(lengths, ends), 3) * BEAMS / SINGLE
    print(
        f"\n{BEAMS} beams of {spans} spans: {batch_ms:.1f} ms at once (limit {LIMIT_MS:.0f}); one a turn "
        f"{quick_ms:.0f} ms reactions only ({quick_ms / batch_ms:.0f} times), {full_ms:.0f} ms in full with "
        f"deflections ({full_ms / batch_ms:.0f} times)"
    )
    assert batch_ms < LIMIT_MS

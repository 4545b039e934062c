"""Laws every beam obeys: balance, superposition, mirror, and three ways to one answer."""

from __future__ import annotations

import itertools
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.mechanics.batch import batch_analyse
from service.mechanics.beam import Beam, Load, Point, Uniform
from service.mechanics.patterns import bay_loads, envelope, governing_patterns, worst
from service.mechanics.quick import continuous_reactions
from service.mechanics.response import analyse

STIFFNESS_LB_IN2 = 1.3e8
span = st.floats(2.0, 20.0)
overhang = st.sampled_from([0.0, 0.5, 2.0, 4.0])


@st.composite
def beams(draw: st.DrawFn) -> Beam:
    at = [draw(overhang)]
    for length in draw(st.lists(span, min_size=1, max_size=4)):
        at.append(at[-1] + length)
    return Beam(at[-1] + draw(overhang), tuple(at))


@st.composite
def loaded(draw: st.DrawFn) -> tuple[Beam, list[Load]]:
    beam = draw(beams())
    where = st.floats(0.0, beam.length_ft)
    loads: list[Load] = [Point(draw(where), draw(st.floats(0.0, 500.0)))]
    a, b = sorted((draw(where), draw(where)))
    return beam, [*loads, Uniform(a, b, draw(st.floats(0.0, 200.0)))]


def total_lb(loads: list[Load]) -> float:
    return sum(p.load_lb if isinstance(p, Point) else p.load_plf * (p.end_ft - p.start_ft) for p in loads)


@settings(max_examples=60, deadline=None)
@given(loaded())
def test_forces_balance_and_supports_do_not_move(case: tuple[Beam, list[Load]]) -> None:
    beam, loads = case
    solved = analyse(beam, loads, STIFFNESS_LB_IN2)
    assert sum(solved.reactions_lb) == pytest.approx(total_lb(loads), abs=1e-6)
    largest = max(abs(peak.value) for peak in solved.bay_deflections_in) + 1e-9
    for support in beam.supports_ft:
        assert solved.deflection_in(support) == pytest.approx(0.0, abs=1e-6 * largest + 1e-9)


@settings(max_examples=40, deadline=None)
@given(loaded())
def test_mirror(case: tuple[Beam, list[Load]]) -> None:
    beam, loads = case
    flipped = Beam(beam.length_ft, tuple(beam.length_ft - s for s in reversed(beam.supports_ft)))
    turned: list[Load] = [
        Point(beam.length_ft - p.at_ft, p.load_lb)
        if isinstance(p, Point)
        else Uniform(beam.length_ft - p.end_ft, beam.length_ft - p.start_ft, p.load_plf)
        for p in loads
    ]
    there = analyse(beam, loads, STIFFNESS_LB_IN2).reactions_lb
    back = analyse(flipped, turned, STIFFNESS_LB_IN2).reactions_lb
    assert tuple(reversed(back)) == pytest.approx(there, abs=1e-6 * (total_lb(loads) + 1))


@settings(max_examples=60, deadline=None)
@given(beams(), st.floats(1.0, 500.0))
def test_quick_and_batch_equal_the_full_solution(beam: Beam, w_plf: float) -> None:
    solved = analyse(beam, [Uniform(0.0, beam.length_ft, w_plf)], STIFFNESS_LB_IN2)
    start, end = beam.supports_ft[0], beam.length_ft - beam.supports_ft[-1]
    near = 1e-9 * w_plf * beam.length_ft**2
    quick = continuous_reactions(beam.spans_ft, start, end, w_plf)
    assert quick == pytest.approx(solved.reactions_lb, abs=near)
    loads = np.full((1, len(beam.spans_ft) + 2), w_plf)
    batch = batch_analyse(np.array([beam.spans_ft]), np.array([[start, end]]), loads)
    assert tuple(batch.reactions_lb[0]) == pytest.approx(solved.reactions_lb, abs=near)
    assert tuple(batch.support_moments_lb_ft[0]) == pytest.approx(solved.support_moments_lb_ft, abs=near)
    sagging = max(0.0, float(batch.span_moments_lb_ft.max()))
    assert sagging == pytest.approx(solved.max_moment_lb_ft.value, abs=near)


@settings(max_examples=15, deadline=None)
@given(beams(), st.floats(0.0, 50.0), st.floats(1.0, 100.0))
def test_governing_patterns_miss_nothing(beam: Beam, dead_plf: float, live_plf: float) -> None:
    """The few patterns give the same extremes as all 2^n of them."""
    dead: list[Load] = [Uniform(0.0, beam.length_ft, dead_plf)]
    few = envelope(beam, dead, live_plf, STIFFNESS_LB_IN2)
    every = itertools.product((True, False), repeat=len(beam.bays_ft))
    full = worst([analyse(beam, [*dead, *bay_loads(beam, p, live_plf)], STIFFNESS_LB_IN2) for p in every])
    near = 1e-6 * (dead_plf + live_plf) * beam.length_ft**2
    assert few.max_reactions_lb == pytest.approx(full.max_reactions_lb, abs=near)
    assert few.min_reactions_lb == pytest.approx(full.min_reactions_lb, abs=near)
    assert few.max_moment_lb_ft.value == pytest.approx(full.max_moment_lb_ft.value, abs=near)
    assert few.min_moment_lb_ft.value == pytest.approx(full.min_moment_lb_ft.value, abs=near)
    assert few.max_shear_lb.value == pytest.approx(full.max_shear_lb.value, abs=near)
    for part, whole in zip(few.max_deflections_in, full.max_deflections_in, strict=True):
        assert part.value == pytest.approx(whole.value, rel=1e-6, abs=1e-9)


def test_textbook_values() -> None:
    """AWC DA-6 / AISC Table 3-23, from memory: 5wL4/384EI, wL2/8 over the middle of two spans, PL3/3EI."""
    simple = analyse(Beam(10.0, (0.0, 10.0)), [Uniform(0.0, 10.0, 60.0)], STIFFNESS_LB_IN2)
    expected = 5 * (60 / 12) * 120**4 / (384 * STIFFNESS_LB_IN2)
    assert simple.bay_deflections_in[0].value == pytest.approx(expected, rel=1e-12)
    assert simple.bay_deflections_in[0].at_ft == pytest.approx(5.0)
    double = analyse(Beam(20.0, (0.0, 10.0, 20.0)), [Uniform(0.0, 20.0, 60.0)], STIFFNESS_LB_IN2)
    assert double.min_moment_lb_ft.value == pytest.approx(-60 * 10**2 / 8)
    tip = analyse(Beam(12.0, (0.0, 10.0)), [Point(12.0, 220.0)], STIFFNESS_LB_IN2)
    expected = 220 * 24**2 * (120 + 24) / (3 * STIFFNESS_LB_IN2)
    assert tip.bay_deflections_in[1].value == pytest.approx(expected, rel=1e-12)
    assert tip.bay_deflections_in[1].at_ft == 12.0


def test_patterns_of_a_joist_with_one_overhang() -> None:
    """The trade's three cases: back span only, cantilever only, both; and none."""
    assert set(governing_patterns(2)) == {(True, True), (True, False), (False, True), (False, False)}


@pytest.mark.parametrize("supports", [(0.0,), (0.0, 0.0), (5.0, 2.0), (0.0, 13.0)])
def test_a_beam_that_cannot_stand_is_refused(supports: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="support"):
        Beam(12.0, supports)


def test_a_load_off_the_beam_is_refused() -> None:
    with pytest.raises(ValueError, match="not on a beam"):
        analyse(Beam(12.0, (0.0, 10.0)), [Point(13.0, 100.0)], STIFFNESS_LB_IN2)


def test_ten_thousand_beams_in_fifty_milliseconds() -> None:
    rng = np.random.default_rng(1)
    spans, ends = rng.uniform(4.0, 18.0, (10_000, 3)), rng.uniform(0.0, 4.0, (10_000, 2))
    loads = rng.uniform(50.0, 900.0, (10_000, 5))
    times = []
    for _ in range(5):
        start = time.perf_counter()
        batch_analyse(spans, ends, loads)
        times.append(time.perf_counter() - start)
    assert min(times) < 0.050

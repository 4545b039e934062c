"""All load cases of a beam at once against each solved on its own by the full solver."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from properties.test_mechanics_laws import STIFFNESS_LB_IN2, beams

from service.mechanics.beam import Beam, Load, Point, Uniform
from service.mechanics.cases import solve_cases
from service.mechanics.patterns import pattern_responses, worst
from service.mechanics.response import Response


@st.composite
def asked(draw: st.DrawFn) -> tuple[Beam, list[Load], float, list[Point]]:
    beam = draw(beams())
    where = st.floats(0.0, beam.length_ft)
    a, b = sorted((draw(where), draw(where)))
    always: list[Load] = [Uniform(0.0, beam.length_ft, draw(st.sampled_from([0.0, 12.5])))]
    always += draw(st.sampled_from([[], [Uniform(a, b, 60.0)], [Point(b, 300.0)]]))
    points = [
        Point(x, 220.0) for x in draw(st.lists(st.one_of(where, st.sampled_from([0.0, beam.length_ft]))))
    ]
    return beam, always, draw(st.floats(0.0, 300.0)), points[:3]


@settings(max_examples=150, deadline=None)
@given(asked())
def test_all_at_once_is_each_alone(case: tuple[Beam, list[Load], float, list[Point]]) -> None:
    beam, always, plf, points = case
    alone = pattern_responses(beam, always, plf, STIFFNESS_LB_IN2, points)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        solved = solve_cases(beam, always, plf, points)
        deflections = solved.bay_deflections_in(STIFFNESS_LB_IN2)
        moment, reaction = solved.worst_moment_lb_ft, solved.worst_reaction_lb
    total = (plf + 100) * beam.length_ft + 1000
    found = worst(alone)
    for row, one in zip(solved.reactions_lb.tolist(), alone, strict=True):
        assert row == pytest.approx(one.reactions_lb, abs=1e-9 * total)
    largest = max(found.max_moment_lb_ft.value, -found.min_moment_lb_ft.value)
    assert moment.value == pytest.approx(largest, abs=1e-9 * total * beam.length_ft)
    assert abs(_moment_at(alone, moment.at_ft)) == pytest.approx(
        moment.value, abs=1e-6 * total * beam.length_ft
    )
    assert reaction.value == pytest.approx(max(found.max_reactions_lb), abs=1e-9 * total)
    assert reaction.at_ft in beam.supports_ft
    scale = 1e-11 * total * beam.length_ft**3 * 1728 / STIFFNESS_LB_IN2
    for (start, end), (sinks, lifts) in zip(beam.bays_ft, deflections, strict=True):
        bent = [one.deflection_in(x) for one in alone for x in _places(one, start, end)]
        assert (sinks.value, lifts.value) == pytest.approx((max(bent), min(bent)), abs=scale)
        assert max(one.deflection_in(sinks.at_ft) for one in alone) == pytest.approx(sinks.value, abs=scale)


def test_places_of_no_slope_are_found_to_the_last_digit() -> None:
    rng = np.random.default_rng(5)
    for _ in range(120):
        at = [float(rng.choice([0.0, 0.5, 2.0, 4.0]))]
        for length in rng.uniform(2.0, 20.0, rng.integers(1, 6)):
            at.append(at[-1] + float(length))
        beam = Beam(at[-1] + float(rng.choice([0.0, 0.5, 4.0])), tuple(at))
        a, b = sorted(rng.uniform(0.0, beam.length_ft, 2))
        always: list[Load] = [Uniform(float(a), float(b), 60.0)]
        alone = pattern_responses(beam, always, 100.0, STIFFNESS_LB_IN2)
        found = solve_cases(beam, always, 100.0).bay_deflections_in(STIFFNESS_LB_IN2)
        largest = max(abs(peak.value) for pair in found for peak in pair)
        for (start, end), (sinks, lifts) in zip(beam.bays_ft, found, strict=True):
            bent = [one.deflection_in(x) for one in alone for x in _places(one, start, end)]
            assert (sinks.value, lifts.value) == pytest.approx((max(bent), min(bent)), abs=1e-9 * largest)


def _places(solved: Response, start: float, end: float) -> list[float]:
    """Every place of a bay where a deflection may be the largest, found by halving."""
    inside = [one for one in solved.stretches if start <= one.start_ft and one.end_ft <= end]
    return [start, end, *(one.start_ft + x for one in inside for x in one.level_points_ft())]


def _moment_at(alone: list, x_ft: float) -> float:
    return max((one.moment_lb_ft(x_ft) for one in alone), key=abs)


@settings(max_examples=60, deadline=None)
@given(asked(), st.floats(0.0, 1.0))
def test_shear_on_either_side_of_a_place(
    case: tuple[Beam, list[Load], float, list[Point]], part: float
) -> None:
    beam, always, plf, points = case
    alone = pattern_responses(beam, always, plf, STIFFNESS_LB_IN2, points)
    for x in (part * beam.length_ft, *beam.supports_ft):
        right = max(abs(one.shear_lb(x)) for one in alone)
        left = max(abs(one.shear_before_lb(x)) for one in alone)
        found = solve_cases(beam, always, plf, points).worst_shear_lb([x], [x])
        assert found.value == pytest.approx(max(right, left), abs=1e-8 * (plf + 100) * beam.length_ft)


def test_a_load_off_the_beam_is_refused() -> None:
    with pytest.raises(ValueError, match="not on a beam of 12"):
        solve_cases(Beam(12.0, (0.0, 10.0)), [], 40.0, [Point(13.0, 220.0)])

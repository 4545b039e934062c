"""The draws behind the chances: evenly spread, of the shape they claim, and together where they share a cause."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy import stats

from service.app import bundled_snapshot, make_desk
from service.comparison.draws import LATTICE, POINTS, lattice, luck, sampled, triangle
from service.comparison.network import network
from service.foundations.facts import DUG, FoundationFacts, parse_facts

WEIGHT = 0.05


@pytest.mark.parametrize("three", [(0.1, 0.25, 0.5), (0, 0, 7), (0, 1, 1), (3, 3, 3), (0.25, 1, 3)])
def test_triangle_is_that_of_a_general_library(three: tuple[float, float, float]) -> None:
    draws = np.linspace(0.001, 0.999, 500)
    low, likely, high = three
    if high == low:
        assert set(triangle(*three, draws)) == {high}
        return
    shape = stats.triang((likely - low) / (high - low), loc=low, scale=high - low)
    assert triangle(*three, draws) == pytest.approx(shape.ppf(draws), abs=1e-9)


@pytest.mark.parametrize(
    "three", [(100.0, 150.0, 400.0), (100.0, 100.0, 400.0), (90.0, 400.0, 400.0), (5.0, 5.0, 5.0)]
)
def test_what_the_ground_decides_is_a_triangle_too(
    three: tuple[float, float, float], facts: FoundationFacts
) -> None:
    lucks = luck(facts)
    assert lucks.by_ground(*three) == pytest.approx(triangle(*three, lucks.ground), rel=1e-5)


def test_every_task_has_even_luck(facts: FoundationFacts) -> None:
    lucks = luck(facts)
    for draws in (lucks.ground, *lucks.tasks.values()):
        assert len(draws) == POINTS
        assert 0 < draws.min() < draws.max() < 1
        even = (np.arange(POINTS) + 0.5) / POINTS
        assert np.abs(np.sort(draws) - even).max() < 0.002
    assert list(lucks.ground) == sorted(lucks.ground)


def test_tasks_share_the_weather_as_far_as_the_figures_say(facts: FoundationFacts) -> None:
    lucks = luck(facts).tasks
    causes = {row.task: row.cause for row in facts.tasks}
    for one, other in itertools.combinations(lucks, 2):
        found = np.corrcoef(stats.norm.ppf(lucks[one]), stats.norm.ppf(lucks[other]))[0, 1]
        shared = causes[one] == causes[other] != ""
        wanted = facts.value(f"{causes[one]}_correlation") if shared else 0.0
        assert found == pytest.approx(wanted, abs=0.025), (one, other)


def test_the_ground_has_its_own_luck(facts: FoundationFacts) -> None:
    lucks = luck(facts)
    for draws in lucks.tasks.values():
        assert np.corrcoef(lucks.ground, draws)[0, 1] == pytest.approx(0.0, abs=0.01)


def test_there_are_coordinates_for_every_task(facts: FoundationFacts) -> None:
    tasks = {row.task for row in facts.tasks if row.before_framing == "yes"}
    assert 1 + 2 + len(tasks) <= len(LATTICE)
    assert len(set(LATTICE)) == len(LATTICE)
    assert lattice(POINTS, 3).shape == (3, POINTS)


def kernel(steps: np.ndarray) -> np.ndarray:
    """2 pi^2 B_2(x), the kernel of the criterion P_2."""
    places = steps / POINTS
    return 2 * np.pi**2 * (places * places - places + 1 / 6)


@pytest.mark.parametrize("coordinate", range(1, len(LATTICE)))
def test_no_other_component_would_spread_the_points_better(coordinate: int) -> None:
    """Sloan and Reztsov 2002, Component-by-component construction of good lattice rules: tried on 30 others."""
    steps = np.arange(POINTS)
    before = np.ones(POINTS)
    for one in LATTICE[:coordinate]:
        before *= 1 + WEIGHT * kernel(steps * one % POINTS)

    def score(component: int) -> float:
        return float(before @ kernel(steps * component % POINTS))

    others = np.random.default_rng(coordinate).integers(1, POINTS, 30)
    assert all(score(LATTICE[coordinate]) <= score(int(one)) for one in others if one not in LATTICE)


def kept_after(facts: FoundationFacts) -> int:
    """How often draws have to be worked out for the usual networks of every method."""
    before = luck.cache_info().misses + sampled.cache_info().misses
    for method in DUG:
        usual = network(method, frozenset(("bagged",)), facts)
        assert usual is not None
        sampled(usual)
    return luck.cache_info().misses + sampled.cache_info().misses - before


def test_no_first_call_waits_for_the_draws(fact_texts: dict[str, str]) -> None:
    cold, made = parse_facts(fact_texts), make_desk(bundled_snapshot())
    assert kept_after(cold) == len(DUG) + 1
    assert kept_after(made.facts) == 0


def test_what_is_kept_of_the_draws_has_a_bound() -> None:
    # a course holds a few rows of draws in single precision: some megabytes
    assert sampled.cache_info().maxsize == 24
    assert luck.cache_info().maxsize == 4

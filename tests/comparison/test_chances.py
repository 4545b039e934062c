"""Chances of being cheapest and of framing having started, against plain simulation and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from comparison.made_results import GOODS, crew, result, results
from comparison.plain_simulation import Job, Simulated, simulate

from service.comparison.chances import ERROR_POINTS, LAST_WORKING_DAY, SURE, Chances, chances
from service.foundations.facts import FoundationFacts

FIVE = ("tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad", "helical_pile")
PIERS = ("tube_form_pier", "belled_pier", "pad_and_pier")
TWO = ("tube_form_pier", "helical_pile")
READY, COLD = ("ready_mix", "none"), ("bagged", "cold", "special_inspector")
# methods, footings, crew, value of a day, whether wages are in it, words of the place
JOBS: dict[str, tuple[tuple[str, ...], int, int, str, bool, tuple[str, ...]]] = {
    "four-small-crew": (FIVE, 4, 2, "300", True, ("bagged", "torque_log")),
    "six": (FIVE, 6, 3, "450", True, ("bagged", "torque_log")),
    "six-idle-days": (FIVE, 6, 3, "800", False, ("bagged", "torque_log")),
    "nine-idle-days-alone": (FIVE, 9, 1, "400", False, READY),
    "nine": (FIVE, 9, 4, "700", True, READY),
    "fourteen": (FIVE, 14, 5, "900", True, ("bagged", "engineer_letter")),
    "six-deep-holes": (FIVE, 6, 3, "380", True, READY),
    "six-deep-holes-idle-days": (FIVE, 6, 3, "500", False, ("bagged", "torque_log")),
    "shallow": (PIERS, 6, 2, "300", True, ("bagged", "torque_log")),
    "piers-alone": (PIERS, 9, 3, "10", True, ("bagged", "none")),
    "two": (TWO, 6, 3, "520", True, ("bagged", "torque_log")),
    "two-idle-days": (TWO, 4, 2, "250", False, ("bagged", "torque_log")),
    "cold": (FIVE, 6, 3, "330", True, COLD),
    "cold-idle-days": (TWO, 6, 3, "150", False, COLD),
    "all-six": (tuple(GOODS), 5, 3, "1", True, ("bagged", "torque_log")),
}

# one hole against the usual one
HOLES = {"six-deep-holes": 1.6, "six-deep-holes-idle-days": 2.4, "shallow": 0.4}


def job(name: str, facts: FoundationFacts) -> Job:
    methods, count, size, day, wages_in, words = JOBS[name]
    team = crew(size, day, wages_in)
    return Job(results(methods, count, team, facts, words, HOLES.get(name, 1.0)), team)


def asked(one: Job, facts: FoundationFacts) -> Chances:
    return chances(one.results, one.crew, facts)


@pytest.fixture(scope="module")
def plain(facts: FoundationFacts) -> dict[str, Simulated]:
    found = simulate([job(name, facts) for name in JOBS], facts)
    return dict(zip(JOBS, found, strict=True))


@pytest.mark.parametrize("name", JOBS)
def test_within_half_a_point_of_two_million_samples(
    name: str, facts: FoundationFacts, plain: dict[str, Simulated]
) -> None:
    found, reference = asked(job(name, facts), facts), plain[name]
    assert found.error_points == ERROR_POINTS == 0.5
    assert {method for method, _ in found.cheapest} == set(reference.cheapest)
    for method, chance in found.cheapest:
        assert 100 * chance == pytest.approx(100 * reference.cheapest[method], abs=ERROR_POINTS)
    for method, days in found.framing_by.items():
        for day, chance in days:
            expected = 100 * reference.framing_by[method][int(day) - 1]
            assert 100 * chance == pytest.approx(expected, abs=ERROR_POINTS), (method, day)


def test_the_jobs_are_no_foregone_conclusions(plain: dict[str, Simulated]) -> None:
    open_ended = [name for name, one in plain.items() if 0.05 < max(one.cheapest.values()) < 0.95]
    assert len(open_ended) >= 8


@pytest.mark.parametrize("name", JOBS)
def test_chances_of_being_cheapest_add_up(name: str, facts: FoundationFacts) -> None:
    found = asked(job(name, facts), facts)
    assert math.fsum(chance for _, chance in found.cheapest) == pytest.approx(1.0, abs=1e-12)
    assert [method for method, _ in found.cheapest] == [one.method for one in job(name, facts).results]


@pytest.mark.parametrize("name", JOBS)
def test_days_go_on_until_framing_is_all_but_sure(name: str, facts: FoundationFacts) -> None:
    found = asked(job(name, facts), facts).framing_by
    (count,) = {len(days) for days in found.values()}
    for days in found.values():
        assert [day for day, _ in days] == list(range(1, count + 1))
        assert [chance for _, chance in days] == sorted(chance for _, chance in days)
    assert count == LAST_WORKING_DAY or all(days[-1][1] > SURE for days in found.values())
    assert count == 1 or any(days[-2][1] <= SURE for days in found.values())


def test_no_framing_before_the_low_case_and_all_by_the_high_one(facts: FoundationFacts) -> None:
    team = crew()
    for one in results(FIVE, 6, team, facts):
        assert one.table
        low, _, high = one.table.first_framing_day
        for day, chance in chances((one,), team, facts).framing_by[one.method]:
            assert day >= low or chance == 0.0
            assert day < high or chance == 1.0


def test_one_method_is_the_cheapest(facts: FoundationFacts) -> None:
    team = crew()
    rivals = (
        result("helical_pile", 6, team, facts),
        result("tube_form_pier", 6, team, facts, feasible=False),
        result("belled_pier", 6, team, facts, priced=False),
    )
    found = chances(rivals, team, facts)
    assert found.cheapest == (("helical_pile", 1.0),)
    # days are known without a price
    assert set(found.framing_by) == {"helical_pile", "belled_pier"}


def test_without_prices_there_are_days_and_no_cheapest(facts: FoundationFacts) -> None:
    team = crew()
    unpriced = tuple(result(method, 6, team, facts, priced=False) for method in TWO)
    found = chances(unpriced, team, facts)
    assert found.cheapest == ()
    assert found.framing_by == chances(results(TWO, 6, team, facts), team, facts).framing_by


def test_nothing_to_compare(facts: FoundationFacts) -> None:
    assert chances((), crew(), facts) == Chances((), {}, ERROR_POINTS)
    hopeless = (result("belled_pier", 6, crew(), facts, feasible=False),)
    assert chances(hopeless, crew(), facts) == Chances((), {}, ERROR_POINTS)


def test_at_equal_cost_the_first_result_is_taken(facts: FoundationFacts) -> None:
    team = crew(day="0")
    tie = [result(method, 6, team, facts, goods=(500, 600, 900)) for method in TWO]
    assert chances(tie, team, facts).cheapest == (("tube_form_pier", 1.0), ("helical_pile", 0.0))
    assert chances(tie[::-1], team, facts).cheapest == (("helical_pile", 1.0), ("tube_form_pier", 0.0))


def test_a_day_without_value_leaves_goods_alone(facts: FoundationFacts) -> None:
    team = crew(day="0")
    # the ground has the same luck in both, so the dearer range is dearer at every draw
    cheap = result("tube_form_pier", 6, team, facts, goods=(100, 200, 300))
    dear = result("helical_pile", 6, team, facts, goods=(110, 210, 310))
    assert chances((dear, cheap), team, facts).cheapest == (("helical_pile", 0.0), ("tube_form_pier", 1.0))
    # they cross half way: 2u against the flat 200 of the other, by a triangle's own distribution
    flat = result("helical_pile", 6, team, facts, goods=(150, 150, 150))
    below = (150 - 100) ** 2 / ((300 - 100) * (200 - 100))
    (_, first), _ = chances((cheap, flat), team, facts).cheapest
    assert first == pytest.approx(below, abs=1e-4)


def test_hours_are_charged_where_days_do_not_hold_the_wages(facts: FoundationFacts) -> None:
    # a pile takes the crew 0.4 hours, a bell over 4: at 48 an hour 6 of them are 1,000 dearer
    flat = (500.0, 500.0, 500.0)
    with_hours, without = crew(day="0", wages_in_days=False), crew(day="0", wages_in_days=True)
    for team, first in ((with_hours, 0.0), (without, 1.0)):
        rivals = [result(method, 6, team, facts, goods=flat) for method in ("belled_pier", "helical_pile")]
        assert chances(rivals, team, facts).cheapest[0] == ("belled_pier", first)


def test_a_dearer_crew_day_favours_the_quicker_method(facts: FoundationFacts) -> None:
    found = []
    for day in ("0", "300", "500", "700", "2000"):
        team = crew(day=day)
        found.append(dict(chances(results(TWO, 6, team, facts), team, facts).cheapest)["helical_pile"])
    assert found == sorted(found)
    assert found[0] < 0.01
    assert found[-1] > 0.99


def test_shared_luck_matters(facts: FoundationFacts) -> None:
    """Were each task's luck its own, the spread of days would be narrower by far more than the error."""
    found = dict(chances(results(TWO, 6, crew(), facts), crew(), facts).framing_by["tube_form_pier"])
    random = np.random.default_rng(7)
    table = results(("tube_form_pier",), 6, crew(), facts)[0].table
    assert table
    draws = {
        row.step: random.triangular(*three, size=400_000)
        for row, three in zip(table.rows, table.days, strict=True)
        if row.before_framing == "yes"
    }
    free = sum(draws[step] for step in ("A1", "A2", "A5", "A7", "A8")) + np.maximum(draws["A3"], draws["A4"])
    assert (
        max(abs(100 * (found[day] - np.mean(free < day))) for day in (4.0, 5.0, 6.0, 7.0)) > 2 * ERROR_POINTS
    )


def test_the_same_answer_every_time(facts: FoundationFacts) -> None:
    one = job("six", facts)
    assert asked(one, facts) == asked(one, facts)

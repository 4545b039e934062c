"""Days to the start of framing: the trade's check values, scaling, the calendar."""

from __future__ import annotations

import datetime as dt

import pytest

from service.comparison.schedule import Timetable, on_the_wire, timetable, working_day
from service.foundations.facts import FoundationFacts

# 9 footings and a crew of 3: the size the durations were given for
CONCRETE_DAYS = (2.15, 4.25, 9.5)
HELICAL_DAYS = (0.45, 0.95, 1.9)


def of(facts: FoundationFacts, method: str, count: int = 9, crew: int = 3, word: str = "bagged") -> Timetable:
    found = timetable(method, (word,), count, crew, facts)
    assert found is not None
    return found


def piles(facts: FoundationFacts, count: int = 9, crew: int = 3, policy: str = "torque_log") -> Timetable:
    return of(facts, "helical_pile", count, crew, policy)


def test_common_practice_no_source_days_to_framing(facts: FoundationFacts) -> None:
    assert of(facts, "tube_form_pier").elapsed_days == pytest.approx(CONCRETE_DAYS)
    # the machine's own row is for 7.5 piles, two people
    assert timetable("helical_pile", (), 9, 3, facts)
    assert piles(facts).elapsed_days == pytest.approx((0.5, 1.05, 2.0875))


def test_common_practice_no_source_helical_saves_two_to_three_days(facts: FoundationFacts) -> None:
    for count in range(4, 13):
        saved = of(facts, "tube_form_pier", count).elapsed_days[1] - piles(facts, count).elapsed_days[1]
        assert 2.0 <= saved <= 3.5


def test_common_practice_no_source_framing_on_day_3_to_4_at_best_against_day_1(
    facts: FoundationFacts,
) -> None:
    assert of(facts, "tube_form_pier").first_framing_day[0] == 3
    assert piles(facts, count=6).first_framing_day == (1, 1, 2)


def test_more_footings_never_sooner_a_larger_crew_never_later(facts: FoundationFacts) -> None:
    days = [of(facts, "tube_form_pier", count).elapsed_days[1] for count in range(1, 30)]
    assert days == sorted(days)
    assert days[0] < days[-1]
    crews = [of(facts, "tube_form_pier", 9, crew).elapsed_days[1] for crew in range(1, 8)]
    assert crews == sorted(crews, reverse=True)


def test_waiting_does_not_grow(facts: FoundationFacts) -> None:
    few, many = (of(facts, "tube_form_pier", count) for count in (3, 30))
    for task in ("cure", "inspection_wait"):
        assert few.task_days(task) == many.task_days(task)
    assert few.task_days("dig") < many.task_days("dig")


def test_forms_are_set_while_the_inspector_is_awaited(facts: FoundationFacts) -> None:
    # likely: 1 day of wait holds 0.4 day of forming; 1.5 days of cure
    assert of(facts, "tube_form_pier").idle_days[1] == pytest.approx(0.6 + 1.5)


def test_ready_mix_pours_faster(facts: FoundationFacts) -> None:
    bagged, truck = (of(facts, "tube_form_pier", word=word) for word in ("bagged", "ready_mix"))
    assert truck.elapsed_days[1] == pytest.approx(bagged.elapsed_days[1] - 0.25)


@pytest.mark.parametrize("policy", ["none", "torque_log", "engineer_letter", "special_inspector"])
def test_pile_policy_changes_the_tasks(policy: str, facts: FoundationFacts) -> None:
    tasks = {row.task for row in piles(facts, policy=policy).rows}
    assert ("torque_log" in tasks) == (policy == "torque_log")
    assert ("engineer_letter" in tasks) == (policy == "engineer_letter")
    assert ("inspection_wait" in tasks) == (policy == "special_inspector")


def test_unknown_method_has_no_schedule(facts: FoundationFacts) -> None:
    assert timetable("stone_heap", (), 9, 3, facts) is None


def test_calendar_skips_weekends_and_closed_days() -> None:
    friday = dt.date(2027, 5, 28)
    assert working_day(friday, 1, ()) == friday
    assert working_day(friday, 2, ()) == dt.date(2027, 5, 31)
    assert working_day(friday, 2, (dt.date(2027, 5, 31),)) == dt.date(2027, 6, 1)
    assert working_day(dt.date(2027, 5, 29), 1, ()) == dt.date(2027, 5, 31)
    assert working_day(dt.date(2100, 12, 31), 5, ()) is None


def test_on_the_wire_names_tasks_and_date(facts: FoundationFacts) -> None:
    schedule = on_the_wire(of(facts, "tube_form_pier"), dt.date(2027, 4, 5), ())
    tasks = {task.task: task for task in schedule.tasks}
    assert tasks["pour"].after == ("inspection_wait", "form")
    assert tasks["dig"].crew_present
    assert not tasks["cure"].crew_present
    assert tasks["dig"].labour_hours == pytest.approx(1.3 * 9)
    assert schedule.first_framing_working_day.likely == 5
    assert schedule.first_framing_date == "2027-04-09"
    assert on_the_wire(of(facts, "tube_form_pier"), None, ()).first_framing_date is None

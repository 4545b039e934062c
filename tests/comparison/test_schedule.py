"""Days to the start of framing: the trade's check values, scaling, the calendar."""

from __future__ import annotations

import datetime as dt

import pytest

from service.comparison.calendar import working_day
from service.comparison.schedule import Timetable, on_the_wire, timetable
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
        assert few.task_range(task)[1] == many.task_range(task)[1]
    assert few.task_range("dig")[1] < many.task_range("dig")[1]


def test_forms_are_set_while_the_inspector_is_awaited(facts: FoundationFacts) -> None:
    # likely: 1 day of wait holds 0.4 day of forming; 1.5 days of cure
    assert of(facts, "tube_form_pier").idle_days[1] == pytest.approx(0.6 + 1.5)


def test_ready_mix_pours_faster_once_its_slot_has_come(facts: FoundationFacts) -> None:
    bagged, truck = (of(facts, "tube_form_pier", word=word) for word in ("bagged", "ready_mix"))
    # common practice, no source: pours in half the time, the slot may add 1 to 3 days
    assert truck.task_range("truck_wait") == (0, 1, 3)
    assert truck.elapsed_days == pytest.approx(
        [days + more for days, more in zip(bagged.elapsed_days, (-0.15, -0.25 + 1, -0.5 + 3), strict=True)]
    )


@pytest.mark.parametrize("method", ["tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad"])
def test_the_first_pour_by_the_truck_waits_for_inspector_and_slot(
    method: str, facts: FoundationFacts
) -> None:
    tasks = {task.task: task for task in on_the_wire(of(facts, method, word="ready_mix"), None, ()).tasks}
    assert tasks["truck_wait"].after == ("inspection_wait",)
    pour = tasks.get("pour_pad", tasks.get("pour"))
    assert pour
    assert pour.starts_day == tasks["truck_wait"].ends_day
    assert "truck_wait" not in {row.task for row in of(facts, method).rows}


# Row sums of the collected durations at 9 footings and a crew of 3, low, likely and high: common practice, no
# source. Of pads, inspection, pad, its first night and pier come one after another.
ROW_SUMS = {
    "pad_and_pier": (
        0.1 + 0.75 + 0.25 + 0.2 + 0 + 0.3 + 1 + 0.1, 0.25 + 1.25 + 1 + 0.4 + 1 + 0.5 + 1.5 + 0.25,
        0.5 + 2.5 + 3 + 0.75 + 1 + 1 + 3 + 0.5,
    ),
    "belled_pier": (
        0.1 + 0.6 + 0.3 + 0.3 + 1 + 0.1, 0.25 + 1 + 1 + 0.5 + 1.5 + 0.25, 0.5 + 2 + 3 + 1 + 3 + 0.5,
    ),
    "post_on_buried_pad": (
        0.1 + 0.6 + 0.25 + 0.2 + 0.5 + 0.25, 0.25 + 1 + 1 + 0.4 + 1 + 0.5, 0.5 + 2 + 3 + 0.75 + 2 + 1,
    ),
    "pier_block_on_grade": (0.2, 0.4, 0.75 + 1),
}  # fmt: skip


@pytest.mark.parametrize("method", ROW_SUMS)
def test_common_practice_no_source_row_sums(method: str, facts: FoundationFacts) -> None:
    assert of(facts, method).elapsed_days == pytest.approx(ROW_SUMS[method])


PAPERS = {"none": set(), "torque_log": {"torque_log"}, "engineer_letter": {"engineer_letter"}}


@pytest.mark.parametrize("policy", PAPERS)
def test_papers_of_piles_do_not_hold_up_framing(policy: str, facts: FoundationFacts) -> None:
    table = piles(facts, policy=policy)
    found = {row.task for row in table.rows} & {"torque_log", "engineer_letter", "inspection_wait"}
    assert found == PAPERS[policy]
    assert table.elapsed_days == piles(facts, policy="none").elapsed_days
    for paper in (task for task in on_the_wire(table, None, ()).tasks if task.task in found):
        assert not paper.before_framing
        assert paper.float_days is None
        # a day after the piles are in, while the crew frames on
        assert paper.starts_day == pytest.approx(0.25 + 0.6)
        assert paper.ends_day == pytest.approx(0.25 + 0.6 + 1)


def test_a_special_inspector_may_hold_up_framing_by_a_day(facts: FoundationFacts) -> None:
    inspected, free = (piles(facts, policy=policy) for policy in ("special_inspector", "none"))
    low, likely, high = free.elapsed_days
    assert inspected.elapsed_days == pytest.approx((low, likely, high + 1))
    assert inspected.idle_days[2] == pytest.approx(free.idle_days[2] + 1)
    assert "inspection_wait" in {row.task for row in inspected.rows}


def test_what_is_ordered_before_layout_is_not_on_the_clock(facts: FoundationFacts) -> None:
    tasks = {task.task: task for task in on_the_wire(piles(facts), dt.date(2027, 4, 5), ()).tasks}
    # marks likely take 3 working days, the installer 10: done on the Friday before
    for name, by in (("locate_utilities", "2027-03-31"), ("book", "2027-03-22")):
        early = tasks[name]
        assert (early.starts_day, early.ends_day, early.float_days) == (None,) * 3
        assert (early.start_date, early.end_date) == (by, "2027-04-02")
    friday = dt.date(2027, 4, 2)
    shut = {task.task: task for task in on_the_wire(piles(facts), dt.date(2027, 4, 5), (friday,)).tasks}
    assert (shut["book"].start_date, shut["book"].end_date) == ("2027-03-19", "2027-04-01")
    assert tasks["mobilise"].after == ("book", "layout")
    assert tasks["mobilise"].starts_day == pytest.approx(0.25)


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
    undated = on_the_wire(of(facts, "tube_form_pier"), None, ())
    assert (undated.first_framing_date, undated.first_framing_dates, undated.full_load_date) == (None,) * 3
    assert all(task.start_date is None and task.end_date is None for task in undated.tasks)
    assert {task.task: task.starts_day for task in undated.tasks}["pour"] == pytest.approx(2.0)


def test_on_the_wire_gives_starts_floats_and_dates(facts: FoundationFacts) -> None:
    chances = ((4.0, 0.25), (5.0, 0.75))
    schedule = on_the_wire(of(facts, "tube_form_pier"), dt.date(2027, 4, 5), (), chances)
    tasks = {task.task: task for task in schedule.tasks}
    form, pour = tasks["form"], tasks["pour"]
    # the forms take 0.4 of the day the inspector is awaited
    assert (form.starts_day, form.ends_day, form.float_days) == pytest.approx((1.0, 1.4, 0.6))
    assert (form.start_date, form.end_date) == ("2027-04-06", "2027-04-06")
    assert (pour.starts_day, pour.ends_day, pour.float_days) == pytest.approx((2.0, 2.5, 0.0), abs=1e-9)
    assert (pour.start_date, tasks["set_posts"].end_date) == ("2027-04-07", "2027-04-09")
    assert schedule.first_framing_dates
    assert (schedule.first_framing_dates.low, schedule.first_framing_dates.high) == (
        "2027-04-07",
        "2027-04-16",
    )
    assert schedule.full_load_date == "2027-04-14"
    assert schedule.idle_days
    assert schedule.idle_days.likely == pytest.approx(2.1)
    assert schedule.crew_hours
    assert schedule.crew_hours.likely == pytest.approx((0.2 + 1.3 + 0.1 + 0.5 + 0.8 + 0.25) * 9)
    assert [(one.working_day, one.date, one.probability) for one in schedule.framing_by] == [
        (4.0, "2027-04-08", 0.25), (5.0, "2027-04-09", 0.75),
    ]  # fmt: skip

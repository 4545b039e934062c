"""Dates of a schedule, curing by the calendar, and pours that may freeze."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from service.comparison.calendar import LAST_DAY, may_freeze, working_dates
from service.comparison.compare import compare
from service.comparison.schedule import Timetable, cold_pour, on_the_wire, timetable
from service.contract.spec import DeckSpec
from service.contract.spec_wishes import ScheduleSpec
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.rules.price_book import PriceBook
from service.sizing.criteria import Criteria

CONCRETE = ("tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad")


def of(facts: FoundationFacts, method: str = "tube_form_pier", *words: str) -> Timetable:
    found = timetable(method, ("bagged", *words), 9, 3, facts)
    assert found
    return found


def test_a_closed_day_at_the_start_moves_all_dates(facts: FoundationFacts) -> None:
    table, monday = of(facts), dt.date(2027, 4, 5)
    open_week, closed = on_the_wire(table, monday, ()), on_the_wire(table, monday, (monday,))
    assert closed.tasks[1].start_date == "2027-04-06"
    # day 5 is no longer the Friday of that week
    assert (open_week.first_framing_date, closed.first_framing_date) == ("2027-04-09", "2027-04-12")
    assert closed.first_framing_working_day == open_week.first_framing_working_day
    assert on_the_wire(table, dt.date(2027, 4, 3), ()) == open_week, "a Saturday: work starts on Monday"


def test_the_calendar_ends(facts: FoundationFacts) -> None:
    late = on_the_wire(of(facts), dt.date(2100, 12, 30), ())
    assert late.tasks[1].start_date == "2100-12-30"
    assert (late.first_framing_date, late.full_load_date) == (None, None)
    assert late.first_framing_dates
    assert late.first_framing_dates.low is None
    assert working_dates(LAST_DAY + dt.timedelta(days=1), 1, ()) == ()
    # framed within the calendar, cured beyond it
    framed = on_the_wire(of(facts), dt.date(2100, 12, 27), ())
    assert (framed.first_framing_date, framed.full_load_date) == ("2100-12-31", None)


STARTS = [dt.date(2027, 4, 1) + dt.timedelta(days=days) for days in range(14)]
CLOSED = (dt.date(2027, 4, 9), dt.date(2027, 4, 12))


@pytest.mark.parametrize("start", STARTS, ids=str)
@pytest.mark.parametrize("method", CONCRETE)
def test_no_date_is_sooner_than_curing_by_the_calendar_allows(
    method: str, start: dt.date, facts: FoundationFacts
) -> None:
    schedule = on_the_wire(of(facts, method), start, CLOSED)
    tasks = {task.task: task for task in schedule.tasks}
    poured = dt.date.fromisoformat(tasks["pour" if "pour" in tasks else "pour_pad"].end_date or "")
    cure = tasks["cure" if "cure" in tasks else "pad_cure"].days_likely
    framing = dt.date.fromisoformat(schedule.first_framing_date or "")
    assert (framing - poured).days >= int(cure)
    # ACI 318 26.5.3, from memory: seven days, weekends and holidays among them
    cured = poured + dt.timedelta(days=7)
    assert tasks["cure_to_full_load"].end_date == cured.isoformat()
    # day and date are one and the same, the first working day on or after
    worked = working_dates(start, 40, CLOSED)
    assert schedule.full_load_date == min(d for d in worked if d >= max(framing, cured)).isoformat()
    assert schedule.full_load_working_day
    assert worked[int(schedule.full_load_working_day.likely) - 1].isoformat() == schedule.full_load_date
    assert tasks["cure_to_full_load"].ends_day == worked.index(min(d for d in worked if d >= cured)) + 1
    # without dates curing counts working days, the later
    undated = on_the_wire(of(facts, method), None, ()).full_load_working_day
    assert undated
    for case in ("low", "likely", "high"):
        assert getattr(schedule.full_load_working_day, case) <= getattr(undated, case)


@pytest.mark.parametrize("start", STARTS, ids=str)
def test_nobody_works_on_a_day_off(start: dt.date, facts: FoundationFacts) -> None:
    worked = {day.isoformat() for day in working_dates(start, 40, CLOSED)}
    schedule = on_the_wire(of(facts), start, CLOSED, tuple((float(day), 0.5) for day in range(1, 21)))
    for task in schedule.tasks:
        if task.crew_present:
            assert {task.start_date, task.end_date} <= worked
            assert (task.start_date or "") <= (task.end_date or "")
    dates = [one.date for one in schedule.framing_by]
    assert set(dates) <= worked
    assert dates == sorted(set(dates))


def test_full_load_waits_seven_days_in_every_case(facts: FoundationFacts) -> None:
    table = of(facts)
    pour = [row.task for row in table.rows].index("pour")
    for case in range(3):
        assert table.full_load_days[case] == pytest.approx((table.at(case).ends[pour] or 0) + 7)
    piles = of(facts, "helical_pile")
    assert piles.full_load_days == piles.elapsed_days


# by frost depth, in, and day: the service's own convention, northern hemisphere
SEASONS = {
    (6, "2027-01-15"): False, (12, "2027-01-15"): True, (12, "2027-03-01"): False, (12, "2026-11-30"): False,
    (12, "2026-12-01"): True, (12, "2027-02-28"): True, (24, "2026-11-01"): True, (24, "2026-10-31"): False,
    (24, "2027-03-31"): True, (24, "2027-04-01"): False, (23.9, "2027-03-31"): False, (42, "2026-10-01"): True,
    (42, "2027-04-30"): True, (42, "2027-05-01"): False, (42, "2026-09-30"): False,
}  # fmt: skip


@pytest.mark.parametrize(("frost_in", "day"), SEASONS)
def test_season_a_pour_may_freeze_in(frost_in: float, day: str, facts: FoundationFacts) -> None:
    date = dt.date.fromisoformat(day)
    assert may_freeze(date, date, frost_in, facts) is SEASONS[frost_in, day]


def test_a_spell_that_touches_the_cold_counts(facts: FoundationFacts) -> None:
    assert may_freeze(dt.date(2026, 9, 20), dt.date(2026, 11, 1), 32.0, facts)
    assert not may_freeze(dt.date(2026, 9, 20), dt.date(2026, 10, 31), 32.0, facts)
    assert may_freeze(dt.date(2026, 4, 20), dt.date(2027, 3, 1), 32.0, facts)


def test_a_pour_that_may_slip_into_the_cold(facts: FoundationFacts) -> None:
    table = of(facts)
    assert cold_pour(table, None, (), 32.0) is None
    assert cold_pour(table, dt.date(2027, 6, 1), (), 32.0) is False
    assert cold_pour(table, dt.date(2027, 1, 11), (), 32.0) is True
    assert cold_pour(table, dt.date(2027, 1, 11), (), 6.0) is False
    # the likely pour is on day 3: from Monday 29 March on Wednesday, from Tuesday on Thursday 1 April
    assert cold_pour(table, dt.date(2027, 3, 29), (), 32.0) is True
    assert cold_pour(table, dt.date(2027, 3, 30), (), 32.0) is False
    # the latest pour has cured on day 9: from Monday 19 October on the 29th, from Wednesday on Monday 2 November
    assert cold_pour(table, dt.date(2026, 10, 19), (), 32.0) is False
    assert cold_pour(table, dt.date(2026, 10, 21), (), 32.0) is True
    # days off in between take the pour along
    off = tuple(dt.date(2026, 10, day) for day in range(20, 24))
    assert cold_pour(table, dt.date(2026, 10, 19), off, 32.0) is True
    assert cold_pour(of(facts, "helical_pile"), dt.date(2027, 1, 11), (), 60.0) is False
    # past the calendar no season is known
    assert cold_pour(table, dt.date(2100, 12, 31), (), 6.0) is True


@pytest.mark.parametrize("method", CONCRETE)
def test_concrete_in_the_cold_waits_three_days_and_is_kept_warm(method: str, facts: FoundationFacts) -> None:
    mild, cold = of(facts, method), of(facts, method, "cold")
    assert (mild.cold, cold.cold) == (False, True)
    assert "protect_from_freezing" not in {row.task for row in mild.rows}
    # ACI 306.1-90 3.4.4: protected for at least three days, so nothing is set on it before
    cure = "pad_cure" if method == "post_on_buried_pad" else "cure"
    assert cold.task_range(cure) == (3, 3, 3)
    assert cold.task_range("protect_from_freezing") == (0, 0, 7)
    # at worst a cold spell of seven days
    for case, least in enumerate((3, 3, 7)):
        usual = mild.task_range(cure)[case]
        assert cold.elapsed_days[case] == pytest.approx(mild.elapsed_days[case] + least - usual)
    low, likely, high = mild.crew_hours
    assert cold.crew_hours == pytest.approx((low, likely, high + 0.5 * 9))


def test_the_answer_says_whether_the_rule_for_cold_is_in_it(facts: FoundationFacts) -> None:
    assert on_the_wire(of(facts, "tube_form_pier", "cold"), dt.date(2027, 1, 11), ()).cold_weather is True
    assert on_the_wire(of(facts), dt.date(2027, 6, 7), ()).cold_weather is False
    assert on_the_wire(of(facts), None, ()).cold_weather is None


def test_piles_and_blocks_do_not_mind_the_cold(facts: FoundationFacts) -> None:
    for method in ("helical_pile", "pier_block_on_grade"):
        assert of(facts, method, "cold").elapsed_days == of(facts, method).elapsed_days


@pytest.mark.parametrize(
    ("start", "frost_in", "cold"),
    [
        (dt.date(2027, 1, 11), 32.0, True), (dt.date(2027, 6, 7), 32.0, False),
        (dt.date(2027, 1, 11), 6.0, False), (None, 32.0, None),
    ],
)  # fmt: skip
def test_a_comparison_takes_the_cold_into_days_and_money(
    start: dt.date | None,
    frost_in: float,
    cold: bool | None,
    criteria: Callable[..., Criteria],
    demand: Callable[..., Demand],
    spec: Callable[..., DeckSpec],
    prices: PriceBook,
    facts: FoundationFacts,
) -> None:
    asked = spec(schedule=ScheduleSpec(start_date=start))
    worked = compare([demand(1200.0)], criteria(frost_depth_in=frost_in), asked, prices, facts)
    mild = compare([demand(1200.0)], criteria(frost_depth_in=frost_in), spec(), prices, facts)
    pier, usual = worked.result("tube_form_pier"), mild.result("tube_form_pier")
    assert pier
    assert usual
    assert pier.table
    assert usual.table
    assert on_the_wire(pier.table, start, ()).cold_weather is cold
    # a day value of 1,450 with wages in it, one and a half days more
    assert pier.cost
    assert usual.cost
    longer = 1.5 if cold else 0.0
    assert pier.likely_days - usual.likely_days == pytest.approx(longer)
    assert float(pier.cost.days[1] - usual.cost.days[1]) == pytest.approx(1450 * longer, abs=0.02)

"""What has to be ordered before layout, and starts that come too soon for it."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest

from service.comparison.lead_times import lead_time_risks
from service.comparison.schedule import timetable
from service.contract.spec_wishes import ScheduleSpec
from service.foundations.facts import FoundationFacts
from tests.context import context, designed, spec_of

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
MONDAY = dt.date(2026, 11, 30)
SATURDAY = dt.date(2026, 11, 28)


def said(
    facts: FoundationFacts, method: str, start: dt.date | None, as_of: dt.date | None, *closed: dt.date
) -> str:
    table = timetable(method, ("bagged", "torque_log"), 6, 3, facts)
    found = lead_time_risks(table, ScheduleSpec(start_date=start, closed_days=closed), as_of)
    assert all((one.code, one.severity) == ("lead_time", "moderate") for one in found)
    return found[0].text if found else ""


def test_a_start_too_soon_for_the_marks(facts: FoundationFacts) -> None:
    # three working days before Monday the 30th begin on Wednesday the 25th; ordered on the 30th, marked by the 2nd
    text = said(facts, "tube_form_pier", MONDAY, SATURDAY)
    assert "marks for buried lines (3 working days) by 2026-11-25" in text
    assert "past on 2026-11-28" in text
    assert "layout begins on 2026-12-03" in text


def test_a_start_too_soon_for_the_installer_too(facts: FoundationFacts) -> None:
    text = said(facts, "helical_pile", MONDAY, SATURDAY)
    assert "marks for buried lines (3 working days) by 2026-11-25" in text
    assert "the pile installer (10 working days) by 2026-11-16" in text
    assert "layout begins on 2026-12-14" in text
    # a day off in between takes it along
    assert "layout begins on 2026-12-15" in said(
        facts, "helical_pile", MONDAY, SATURDAY, dt.date(2026, 12, 7)
    )
    assert "by 2026-11-13" in said(facts, "helical_pile", MONDAY, SATURDAY, dt.date(2026, 11, 26))


@pytest.mark.parametrize(("days_late", "late"), [(0, False), (1, True)])
def test_the_last_day_to_order_is_not_too_late(days_late: int, late: bool, facts: FoundationFacts) -> None:
    as_of = dt.date(2026, 11, 25) + dt.timedelta(days=days_late)
    assert bool(said(facts, "tube_form_pier", MONDAY, as_of)) == late


def test_without_a_date_nothing_is_late(facts: FoundationFacts) -> None:
    assert not said(facts, "helical_pile", None, SATURDAY)
    assert not said(facts, "helical_pile", MONDAY, None)
    assert lead_time_risks(None, ScheduleSpec(start_date=MONDAY), SATURDAY) == ()
    # past the calendar no earliest day is named
    end = dt.date(2100, 12, 30)
    assert "earliest" not in said(facts, "helical_pile", end, end)


def test_the_answer_names_the_lead_time_of_each_method() -> None:
    given = json.loads((EXAMPLES / "footings-small-attached.json").read_text("utf-8"))
    given |= {"as_of": "2026-11-28", "schedule": {"start_date": "2026-11-30"}}
    report = designed(spec_of(**given), context(given["jurisdiction"]))
    for method in report.footing_comparison.methods:
        if method.schedule is None:
            continue
        early = {task.task: task.start_date for task in method.schedule.tasks if task.starts_day is None}
        late = [by for by in early.values() if by and by < "2026-11-28"]
        assert bool(late) == ("lead_time" in {risk.code for risk in method.risks}) == bool(early)

"""What has to be ordered before layout: by when, and when layout could begin where that is past."""

from __future__ import annotations

import datetime as dt

from service.comparison.calendar import days_before, working_dates, working_day
from service.comparison.schedule import Timetable, ordered_days
from service.contract.report_comparison import Risk
from service.contract.spec_wishes import ScheduleSpec
from service.foundations.facts import TaskRow
from service.foundations.ground_words import risk

ORDERED = {"locate_utilities": "marks for buried lines", "book": "the pile installer"}


def lead_time_risks(table: Timetable | None, when: ScheduleSpec, as_of: dt.date | None) -> tuple[Risk, ...]:
    """Return the risk that what comes before layout can no longer be there by the start, by likely days; else none."""
    if table is None or when.start_date is None or as_of is None:
        return ()
    first = next(iter(working_dates(when.start_date, 1, when.closed_days)), None)
    early = [row for row, here in zip(table.rows, table.network.on_the_clock, strict=True) if not here]
    late = [(row, by) for row in early if first and (by := _order_by(row, first, when)) and by < as_of]
    if not late:
        return ()
    days = max(ordered_days(row) for row, _ in late)
    earliest = working_day(as_of, days + 1, when.closed_days)
    begins = f"; ordered at once, layout begins on {earliest} at the earliest" if earliest else ""
    orders = " and ".join(f"{_name(row)} ({ordered_days(row)} working days) by {by}" for row, by in late)
    text = f"to start on {first} order {orders}, which is past on {as_of}{begins}"
    return (risk("lead_time", "moderate", text),)


def _order_by(row: TaskRow, first: dt.date, when: ScheduleSpec) -> dt.date | None:
    return next(iter(days_before(first, ordered_days(row), when.closed_days)[::-1]), None)


def _name(row: TaskRow) -> str:
    return ORDERED.get(row.task, row.task.replace("_", " "))

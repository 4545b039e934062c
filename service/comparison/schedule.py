"""When framing can start: the tasks of a method, scaled to the job, and the way through them."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from service.contract.report_comparison import DayRange, Schedule, Task
from service.foundations.facts import FoundationFacts, TaskRow
from service.units.finding import SLACK

Range = tuple[float, float, float]
LEAST, LIKELY, MOST = range(3)
SATURDAY = 5
LAST_DAY = dt.date(2100, 12, 31)


@dataclass(frozen=True)
class Timetable:
    """A method's tasks at this size. Ranges are low, likely, high; ``elapsed_days`` from layout to framing.

    ``idle_days`` is the part of it in which the crew has nothing to do here; ``crew_hours`` are its own.
    """

    rows: tuple[TaskRow, ...]
    days: tuple[Range, ...]
    count: int
    elapsed_days: Range
    idle_days: Range
    crew_hours: Range

    def task_days(self, task: str) -> float:
        """Return the likely days of one task; none where the method has no such task."""
        return self.task_range(task)[LIKELY]

    def task_range(self, task: str) -> Range:
        """Return the days of one task, low, likely and high; none where the method has no such task."""
        found = [days for row, days in zip(self.rows, self.days, strict=True) if row.task == task]
        return _range(sum(days[case] for days in found) for case in range(3))

    @property
    def first_framing_day(self) -> Range:
        """The working day on which framing can start, counted from 1 for the first day of layout."""
        low, likely, high = (float(math.floor(days + SLACK) + 1) for days in self.elapsed_days)
        return low, likely, high


def timetable(
    method: str, only_with: Collection[str], count: int, crew_size: int, facts: FoundationFacts
) -> Timetable | None:
    """Return a method's schedule for a number of footings, or None where no durations are known.

    Rows that hold only with a concrete supply or a pile policy are taken where ``only_with`` names it.
    A row's days hold for the reference count and crew. The share of them that is its hours of work grows
    with footings per head, the rest (setting up, waiting for the next morning) does not; waits do not grow.
    """
    rows = tuple(r for r in facts.tasks if r.method == method and r.only_with in ("", *only_with))
    if not rows:
        return None
    days = tuple(_scaled(row, count, crew_size, facts) for row in rows)
    elapsed = _range(_elapsed(rows, days, case) for case in range(3))
    return Timetable(
        rows=rows,
        days=days,
        count=count,
        elapsed_days=elapsed,
        idle_days=_range(
            max(0.0, elapsed[case] - sum(d[case] for r, d in zip(rows, days, strict=True) if _crew_works(r)))
            for case in range(3)
        ),
        crew_hours=_range(
            sum(row.hours[case] for row in rows if row.who != "installer") * count for case in range(3)
        ),
    )


def _range(three: Iterable[float]) -> Range:
    low, likely, high = three
    return low, likely, high


def _crew_works(row: TaskRow) -> bool:
    return row.who == "crew" and row.before_framing == "yes"


def _scaled(row: TaskRow, count: int, crew_size: int, facts: FoundationFacts) -> Range:
    if row.who == "wait":
        return row.days
    # The installer brings his own people, so our crew does not hurry him.
    usual_heads = facts.value("schedule_crew" if row.who == "crew" else "installer_crew")
    heads = crew_size if row.who == "crew" else usual_heads
    usual = facts.value("schedule_footings") / usual_heads
    growth = count / heads / usual
    day_hours = facts.value("working_day")

    def at(days: float, hours: float) -> float:
        share = min(1.0, hours * usual / day_hours / days) if days > 0 else 0.0
        return days * (1.0 - share + share * growth)

    return _range([at(days, hours) for days, hours in zip(row.days, row.hours, strict=True)])


def _elapsed(rows: Sequence[TaskRow], days: Sequence[Range], case: int) -> float:
    """The longest way through the tasks before framing; rows stand after those they follow."""
    ends: dict[str, float] = {}
    for row, three in zip(rows, days, strict=True):
        if row.before_framing == "yes":
            # Tasks ordered before the work starts (permits, marks, booking) are not on this clock.
            start = max((ends.get(before, 0.0) for before in row.predecessors), default=0.0)
            ends[row.step] = start + three[case]
    return max(ends.values(), default=0.0)


def working_day(start: dt.date, number: float, closed: Collection[dt.date]) -> dt.date | None:
    """Return the date of a working day, 1 being the first on or after ``start``; None past the calendar.

    >>> working_day(dt.date(2027, 4, 2), 2, ())
    datetime.date(2027, 4, 5)
    """
    day, left = start, number
    while day <= LAST_DAY:
        if day.weekday() < SATURDAY and day not in closed:
            left -= 1
            if left <= 0:
                return day
        day += dt.timedelta(days=1)
    return None


def on_the_wire(table: Timetable, start: dt.date | None, closed: Collection[dt.date]) -> Schedule:
    """Return a timetable as the report carries it."""
    names = {row.step: row.task for row in table.rows}
    low, likely, high = table.first_framing_day
    date = working_day(start, likely, closed) if start else None
    return Schedule(
        tasks=tuple(
            Task(
                task=row.task,
                after=tuple(names[before] for before in row.predecessors),
                crew_present=row.who == "crew",
                days_low=days[LEAST],
                days_likely=days[LIKELY],
                days_high=days[MOST],
                labour_hours=row.hours_likely * table.count,
                source=f"{row.source} ({row.status})",
            )
            for row, days in zip(table.rows, table.days, strict=True)
        ),
        first_framing_working_day=DayRange(low, likely, high),
        first_framing_date=date.isoformat() if date else None,
    )

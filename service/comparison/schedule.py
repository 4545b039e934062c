"""When framing can start: the tasks of a method, scaled to the job, and the way through them.

One clock for days, money and chances: working days since layout began. Curing runs on it too, although concrete
cures over a weekend: working days never end sooner than as many calendar days, so the date is the later, safer
one, and two methods are not ranked by the weekday a job happens to start on. Only full load, which no method is
ranked by, is counted in calendar days from the pour where there are dates, as the standard gives it; its day is
then the working day of that date.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from service.comparison.calendar import (
    LAST_DAY,
    day_begun,
    day_ended,
    days_before,
    may_freeze,
    nth,
    number_of,
    working_dates,
    working_day,
)
from service.comparison.network import (
    COLD,
    CREW,
    DIG,
    Course,
    Growth,
    Network,
    Numbers,
    Times,
    course,
    growing,
    growth,
    network,
    slack,
    times,
)
from service.contract.report_comparison import DateRange, DayChance, DayRange, Schedule, Task
from service.foundations.facts import FoundationFacts, TaskRow
from service.units.finding import SLACK

__all__ = [
    "AtCounts",
    "Range",
    "Timetable",
    "cold_pour",
    "on_the_wire",
    "ordered_days",
    "timetable",
    "working_day",
]

Range = tuple[float, float, float]
LEAST, LIKELY, MOST = range(3)
POURS = ("pour", "pour_pad")
CURES = ("cure", "pad_cure")
FULL_LOAD = "cure_to_full_load"


@dataclass(frozen=True, eq=False)
class Timetable:
    """A method's tasks at this size. Ranges are low, likely, high; ``elapsed_days`` from layout to framing.

    ``idle_days`` is the part of it in which the crew has nothing to do here; ``crew_hours`` are its own.
    ``dig_share`` is one of its holes against the one its digging was given for.
    """

    network: Network
    days: tuple[Range, ...]
    count: int
    dig_share: float
    elapsed_days: Range
    idle_days: Range
    crew_hours: Range

    @property
    def rows(self) -> tuple[TaskRow, ...]:
        """The tasks, each after those it follows."""
        return self.network.rows

    @property
    def cold(self) -> bool:
        """Whether the rule for pours that may freeze is in the days."""
        return any(row.only_with == COLD for row in self.rows)

    def task_range(self, task: str) -> Range:
        """Return the days of one task, low, likely and high; none where the method has no such task."""
        low = likely = high = 0.0
        for row, days in zip(self.rows, self.days, strict=True):
            if row.task == task:
                low, likely, high = low + days[LEAST], likely + days[LIKELY], high + days[MOST]
        return low, likely, high

    def task_hours(self, task: str) -> float:
        """Return the likely hours of one task over all footings."""
        return sum(self.hours(row) for row in self.rows if row.task == task)

    def hours(self, row: TaskRow) -> float:
        """Return the likely hours of a row over all footings."""
        return row.hours_likely * self.count * (self.dig_share if row.task == DIG else 1.0)

    def at(self, case: int) -> Times:
        """Return when each task starts and ends in the low, likely or high case."""
        return self._moments[case]

    @cached_property
    def _moments(self) -> tuple[Times, ...]:
        return tuple(times(self.network, [days[case] for days in self.days]) for case in range(3))

    def slack(self, likely: Times) -> tuple[float | None, ...]:
        """Return the float of each task in the likely case; null for a task framing does not wait for."""
        return slack(self.network, [days[LIKELY] for days in self.days], likely.ends)

    @cached_property
    def first_framing_day(self) -> Range:
        """The working day on which framing can start, counted from 1 for the first day of layout."""
        return _range(day_begun(days) for days in self.elapsed_days)

    @cached_property
    def full_load_days(self) -> Range:
        """Working days from layout until the footings may carry their full load, never before framing; without dates.

        Seven days from the pour in every case: three are for high-early cement, which nobody ordered here.
        """
        return _range(self._full_load(case) for case in range(3))

    def _full_load(self, case: int) -> float:
        moments = self.at(case)
        cured = [
            (moments.starts[place] or 0.0) + max(self.days[place][LIKELY], self.days[place][case])
            for place, row in enumerate(self.rows)
            if row.task == FULL_LOAD
        ]
        return max([self.elapsed_days[case], *cured])


@dataclass(frozen=True)
class AtCounts:
    """Likely days and hours of a method, one figure for each number of footings."""

    elapsed_days: Numbers
    idle_days: Numbers
    crew_hours: Numbers


def timetable(
    method: str,
    only_with: Collection[str],
    count: int,
    crew_size: int,
    facts: FoundationFacts,
    dig_share: float = 1.0,
) -> Timetable | None:
    """Return a method's schedule for a number of footings, or None where no durations are known.

    Rows that hold only with a concrete supply, a pile policy or cold are taken where ``only_with`` names it.
    A row's days hold for the reference count and crew. The share of them that is its hours of work grows
    with footings per head, the rest (setting up, waiting for the next morning) does not; waits do not grow.
    Hours of digging grow with ``dig_share`` too, one hole of this job against the one they were given for.
    """
    net = network(method, frozenset(only_with), facts)
    return _timetable(net, count, crew_size, dig_share) if net else None


# The search asks for the same few sizes over and over; the answer follows from the arguments alone.
@lru_cache(maxsize=4096)
def _timetable(net: Network, count: int, crew_size: int, dig_share: float) -> Timetable:
    grows = growth(count, crew_size, net.facts, dig_share)
    sums = _course(net)
    elapsed = sums.elapsed_days(grows)
    return Timetable(
        network=net,
        days=_task_days(net, grows),
        count=count,
        dig_share=dig_share,
        elapsed_days=_range(elapsed),
        idle_days=_range(sums.idle_days(elapsed, grows)),
        crew_hours=_range(sums.hours_each(grows) * count),
    )


@lru_cache(maxsize=256)
def _course(net: Network) -> Course:
    """The low, likely and high case of a network."""
    return course(net, *_base(net))


def _base(net: Network) -> tuple[Numbers, Numbers]:
    return np.array([row.days for row in net.rows]), np.array([row.hours for row in net.rows])


def _task_days(net: Network, grows: Growth) -> tuple[Range, ...]:
    found = []
    for row, days, hours in zip(net.rows, *_base(net), strict=True):
        part = growing(row, days, hours, net.facts)
        found.append(_range(days - part + part * grows.of(row)))
    return tuple(found)


def at_counts(net: Network, counts: Sequence[int], crew_size: int, dig_share: float = 1.0) -> AtCounts:
    """Return the likely days and hours of a network for many numbers of footings at once."""
    number = np.array(counts, dtype=float)
    grows = growth(number, crew_size, net.facts, dig_share)
    sums = _likely(net)
    elapsed = sums.elapsed_days(grows)
    return AtCounts(elapsed, sums.idle_days(elapsed, grows), sums.hours_each(grows) * number)


def task_days_at(
    net: Network, task: str, counts: Sequence[int], crew_size: int, dig_share: float = 1.0
) -> Numbers:
    """Return the likely days of one task for many numbers of footings at once."""
    grows = growth(np.array(counts, dtype=float), crew_size, net.facts, dig_share)
    found = np.zeros(len(counts))
    for row, days, hours in zip(net.rows, *_base(net), strict=True):
        if row.task == task:
            part = growing(row, days[[LIKELY]], hours[[LIKELY]], net.facts)
            found += days[LIKELY] - part + part * grows.of(row)
    return found


@lru_cache(maxsize=256)
def _likely(net: Network) -> Course:
    days, hours = _base(net)
    return course(net, days[:, [LIKELY]], hours[:, [LIKELY]])


def _range(three: Iterable[float]) -> Range:
    low, likely, high = (float(one) for one in three)
    return low, likely, high


def cold_pour(
    table: Timetable, start: dt.date | None, closed: Collection[dt.date], frost_depth_in: float
) -> bool | None:
    """Return whether concrete poured by this timetable may freeze; None where no date tells the season.

    From the day the likely pour begins to the day the latest one has cured: a pour that slips into the cold counts.
    """
    return None if start is None else _cold_pour(table, start, tuple(closed), frost_depth_in)


# Asked once for every frame of a search that has the same number of footings.
@lru_cache(maxsize=1024)
def _cold_pour(table: Timetable, start: dt.date, closed: tuple[dt.date, ...], frost_depth_in: float) -> bool:
    begins, ends = _pour_days(table)
    if begins is None or ends is None:
        return False
    dates = working_dates(start, day_ended(begins, ends), closed)
    first = nth(dates, day_begun(begins))
    last = dates[-1] if dates else None
    # Past the calendar nothing is known of the season, and the colder reading is the safer.
    return (
        True
        if first is None or last is None
        else may_freeze(first, last, frost_depth_in, table.network.facts)
    )


def _pour_days(table: Timetable) -> tuple[float | None, float | None]:
    """When the likely pour begins and the latest one has cured for light framing; None without concrete."""
    likely, latest = table.at(LIKELY).starts, table.at(MOST).ends
    tasks = [row.task for row in table.rows]
    begins = min((likely[place] or 0.0 for place, task in enumerate(tasks) if task in POURS), default=None)
    ends = max((latest[place] or 0.0 for place, task in enumerate(tasks) if task in CURES), default=None)
    return begins, ends


def on_the_wire(
    table: Timetable,
    start: dt.date | None,
    closed: Collection[dt.date],
    framing_by: Sequence[tuple[float, float]] = (),
) -> Schedule:
    """Return a timetable as the report carries it; ``framing_by`` are working days with their chances."""
    likely = table.at(LIKELY)
    later = [day_begun(days) for days in table.full_load_days]
    ends = [day_ended(0.0, end) for end in likely.ends if end is not None]
    dates = _dates(start, closed, [*table.first_framing_day, *later, *ends, *(day for day, _ in framing_by)])
    full = _range(_full_load_day(table, case, dates) or later[case] for case in range(3))
    framing = tuple(_text(nth(dates, int(day))) for day in table.first_framing_day)
    spare = table.slack(likely)
    return Schedule(
        tasks=tuple(
            _task(table, place, likely, spare[place], dates, closed) for place in range(len(table.rows))
        ),
        first_framing_working_day=DayRange(*table.first_framing_day),
        first_framing_date=framing[LIKELY],
        first_framing_dates=DateRange(*framing) if start else None,
        full_load_working_day=DayRange(*full),
        full_load_date=_text(nth(dates, int(full[LIKELY]))),
        idle_days=DayRange(*table.idle_days),
        crew_hours=DayRange(*table.crew_hours),
        cold_weather=table.cold if start else None,
        framing_by=tuple(
            DayChance(working_day=day, date=_text(nth(dates, int(day))), probability=chance)
            for day, chance in framing_by
        ),
    )


def _dates(
    start: dt.date | None, closed: Collection[dt.date], numbers: Iterable[float]
) -> tuple[dt.date, ...]:
    return working_dates(start, int(max(numbers)), closed) if start else ()


def _task(
    table: Timetable,
    place: int,
    moments: Times,
    spare: float | None,
    dates: Sequence[dt.date],
    closed: Collection[dt.date],
) -> Task:
    row, days = table.rows[place], table.days[place]
    starts, ends = moments.starts[place], moments.ends[place]
    first, last = _task_dates(row, starts, ends, dates, closed)
    return Task(
        task=row.task,
        after=tuple(table.rows[before].task for before in table.network.before[place]),
        crew_present=row.who == CREW,
        days_low=days[LEAST],
        days_likely=days[LIKELY],
        days_high=days[MOST],
        labour_hours=table.hours(row),
        source=f"{row.source} ({row.status})",
        before_framing=row.before_framing == "yes",
        starts_day=starts,
        ends_day=(number_of(dates, last) if row.task == FULL_LOAD and last else None) or ends,
        float_days=spare,
        start_date=_text(first),
        end_date=_text(last),
    )


def _task_dates(
    row: TaskRow,
    starts: float | None,
    ends: float | None,
    dates: Sequence[dt.date],
    closed: Collection[dt.date],
) -> tuple[dt.date | None, dt.date | None]:
    """When a task begins and ends; one that is ordered before layout at the latest, so that it is done in time."""
    if starts is None or ends is None:
        before = days_before(dates[0], ordered_days(row), closed) if dates else ()
        return (before[-1], before[0]) if before else (None, None)
    last = _cured(row, starts, dates) if row.task == FULL_LOAD else nth(dates, day_ended(starts, ends))
    return nth(dates, day_begun(starts)), last


def ordered_days(row: TaskRow) -> int:
    """Return the working days before layout on which something is ordered at the latest: whole likely days."""
    return math.ceil(row.days_likely - SLACK)


def _cured(row: TaskRow, poured: float, dates: Sequence[dt.date]) -> dt.date | None:
    """The date full load may come, by the calendar: so many days after the day the pour was done."""
    pour = nth(dates, day_ended(0.0, poured))
    if pour is None or (LAST_DAY - pour).days < row.days_likely:
        return None
    return pour + dt.timedelta(days=math.ceil(row.days_likely))


def _full_load_day(table: Timetable, case: int, dates: Sequence[dt.date]) -> int | None:
    """The first working day the concrete has cured by the calendar and framing can start; None without its date."""
    found: list[int | None] = [int(table.first_framing_day[case])]
    for row, poured in zip(table.rows, table.at(case).starts, strict=True):
        if row.task == FULL_LOAD and poured is not None:
            cured = _cured(row, poured, dates)
            found.append(number_of(dates, cured) if cured else None)
    known = [day for day in found if day is not None]
    return max(known) if len(known) == len(found) else None


def _text(date: dt.date | None) -> str | None:
    return date.isoformat() if date else None

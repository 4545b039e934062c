"""Working days as dates: weekends and the days nobody works, and the season a pour may freeze in."""

from __future__ import annotations

import datetime as dt
import math
from bisect import bisect_left
from collections.abc import Collection, Sequence

from service.foundations.facts import FoundationFacts
from service.units.finding import SLACK

SATURDAY = 5
FIRST_DAY, LAST_DAY = dt.date(1900, 1, 1), dt.date(2100, 12, 31)
ONE_DAY = dt.timedelta(days=1)


def working_dates(start: dt.date, number: int, closed: Collection[dt.date]) -> tuple[dt.date, ...]:
    """Return the first ``number`` working days on or after ``start``; fewer where the calendar ends.

    >>> [str(date) for date in working_dates(dt.date(2027, 4, 2), 2, ())]
    ['2027-04-02', '2027-04-05']
    """
    shut = frozenset(closed)
    found: list[dt.date] = []
    day = start
    while len(found) < number and day <= LAST_DAY:
        if day.weekday() < SATURDAY and day not in shut:
            found.append(day)
        day += ONE_DAY
    return tuple(found)


def working_day(start: dt.date, number: float, closed: Collection[dt.date]) -> dt.date | None:
    """Return the date of a working day, 1 being the first on or after ``start``; None past the calendar.

    >>> working_day(dt.date(2027, 4, 2), 2, ())
    datetime.date(2027, 4, 5)
    """
    return nth(working_dates(start, math.ceil(number), closed), math.ceil(number))


def days_before(start: dt.date, number: int, closed: Collection[dt.date]) -> tuple[dt.date, ...]:
    """Return the last ``number`` working days before ``start``, the latest first.

    >>> [str(date) for date in days_before(dt.date(2027, 4, 5), 2, ())]
    ['2027-04-02', '2027-04-01']
    """
    shut = frozenset(closed)
    found: list[dt.date] = []
    day = start
    while len(found) < number and day > FIRST_DAY:
        day -= ONE_DAY
        if day.weekday() < SATURDAY and day not in shut:
            found.append(day)
    return tuple(found)


def number_of(dates: Sequence[dt.date], date: dt.date) -> int | None:
    """Return the number of the first working day on or after a date, None past the last of ``dates``."""
    place = bisect_left(dates, date)
    return place + 1 if place < len(dates) else None


def nth(dates: Sequence[dt.date], number: int) -> dt.date | None:
    """Return a date by its number from 1 on, None past the last."""
    return dates[number - 1] if number <= len(dates) else None


def day_begun(days: float) -> int:
    """Return the number of the working day on which something starts that many days after layout began.

    >>> day_begun(0.0), day_begun(1.75), day_begun(2.0)
    (1, 2, 3)
    """
    return math.floor(days + SLACK) + 1


def day_ended(starts: float, ends: float) -> int:
    """Return the number of the working day on which something is done: at four o'clock, not next morning.

    >>> day_ended(0.0, 1.75), day_ended(1.0, 2.0), day_ended(2.0, 2.0)
    (2, 2, 3)
    """
    return max(math.ceil(ends - SLACK), day_begun(starts))


BANDS = ("deep_cold", "cold", "slight_cold")


def may_freeze(first: dt.date, last: dt.date, frost_depth_in: float, facts: FoundationFacts) -> bool:
    """Return whether fresh concrete may freeze on a day from ``first`` to ``last``, northern hemisphere.

    The season is a rule by frost depth and month, a convention of this service: no forecast is asked. The deepest
    band the place is in counts; where frost hardly goes into the ground no pour freezes.
    """
    band = next((name for name in BANDS if frost_depth_in >= facts.value(f"{name}_frost_depth")), None)
    if band is None:
        return False
    begins, ends = (round(facts.value(f"{band}_{which}_month")) for which in ("first", "last"))
    months = {(first.month - 1 + step) % 12 + 1 for step in range(_months_between(first, last) + 1)}
    return any(month >= begins or month <= ends for month in months)


def _months_between(first: dt.date, last: dt.date) -> int:
    return 12 * (last.year - first.year) + last.month - first.month

"""How the crew's time is counted, once, told with the figures of the deck."""

from __future__ import annotations

from decimal import Decimal

from service.comparison.cost import CrewTime
from service.comparison.method_words import name
from service.comparison.result import MethodResult
from service.comparison.schedule import Timetable
from service.contract.money import amount
from service.contract.report_comparison import CrewTimeCounted

WITH_WAGES, IDLE_ONLY = "day_value_includes_wages", "wages_plus_idle_days"
NO_RATE = "no hourly rate is given (crew.hourly_rate), so no wages"
NO_VALUE = "no crew-day value is given (crew.crew_day_value), so no days"


def crew_time_counted(one: MethodResult | None, crew: CrewTime) -> CrewTimeCounted | None:
    """Return what is counted of the crew's time and what the other way would count; None without a schedule.

    A day's value that holds the wages counts every day and no hours; else hours are paid and a day's value, which is
    then what an idle day loses, counts for the idle days alone. So no hour is ever paid for twice.
    """
    if one is None or one.table is None:
        return None
    unit = f" {one.cost.currency}" if one.cost else ""
    both = (_all_days(one.table, crew, unit), _hours_and_idle(one.table, crew, unit))
    here, other = both if crew.includes_wages else both[::-1]
    return CrewTimeCounted(
        time_counted=WITH_WAGES if crew.includes_wages else IDLE_ONLY,
        text=f"{name(one.method)}: {here}. Never both a full day and its wages.",
        other_way=(
            f"Counted the other way ({IDLE_ONLY if crew.includes_wages else WITH_WAGES}): {other}. "
            f"{_warning(crew)}"
        ),
    )


def _all_days(table: Timetable, crew: CrewTime, unit: str) -> str:
    days = table.elapsed_days[1]
    if crew.day_value is None:
        paid = f"; the crew's {_hours(table, crew.hourly, unit)}" if crew.hourly is not None else ""
        return f"{days:.2f} days to the start of framing, but {NO_VALUE} are counted{paid}"
    return (
        f"every day to the start of framing is counted, wages in it: {days:.2f} days at "
        f"{_worth(days, crew.day_value, unit)}; no hours beside it"
    )


def _hours_and_idle(table: Timetable, crew: CrewTime, unit: str) -> str:
    hours = (
        f"the crew's {_hours(table, crew.hourly, unit)}"
        if crew.hourly is not None
        else f"{NO_RATE} are counted"
    )
    idle = table.idle_days[1]
    if crew.day_value is None:
        return f"{hours}; {idle:.2f} idle days, but {NO_VALUE} are counted"
    return f"{hours}; of the days only the {idle:.2f} idle ones at {_worth(idle, crew.day_value, unit)}"


def _hours(table: Timetable, rate: Decimal | None, unit: str) -> str:
    hours = table.crew_hours[1]
    return f"{hours:.1f} hours at {_worth(hours, rate or Decimal(0), unit)}"


def _worth(number: float, rate: Decimal, unit: str) -> str:
    return f"{amount(rate)}{unit} come to {amount(rate * Decimal(str(round(number, 6))))}{unit}"


def _warning(crew: CrewTime) -> str:
    """The value of a day is another figure in either way: it must not be carried over as it stands."""
    held, size = ("without", "smaller") if crew.includes_wages else ("with", "larger")
    if crew.day_value is None:
        return f"A crew-day value would then be a day's worth {held} wages, a {size} figure."
    return (
        f"That uses the same crew-day value, so it is not comparable until a day's worth {held} wages is put in, a "
        f"{size} figure."
    )

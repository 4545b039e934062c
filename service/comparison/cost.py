"""What a method costs: goods and services from the price book, labour, and the crew's days, counted once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from service.comparison.bought import Bought, Three
from service.comparison.schedule import Range, Timetable
from service.contract.money import MoneyRange, money_range
from service.contract.spec_wishes import CrewSpec
from service.units.rounding import money as half_up

USUAL_CREW = 3
NOTHING = Decimal(0)


@dataclass(frozen=True)
class CrewTime:
    """How the crew's time is valued. Amounts are null where the caller gave none."""

    size: int
    hourly: Decimal | None
    day_value: Decimal | None
    includes_wages: bool

    @property
    def pays_hours(self) -> bool:
        """Wages are counted apart unless a day's value already holds them."""
        return self.hourly is not None and not (self.includes_wages and self.day_value is not None)

    def counted_days(self, table: Timetable) -> Range:
        """Return the days the day value is put on: all of them, or only the idle ones."""
        return table.elapsed_days if self.includes_wages else table.idle_days


def crew_time(crew: CrewSpec | None) -> CrewTime:
    """Return how a spec values the crew's time; without a crew it has the usual size and no value.

    >>> crew_time(None).size
    3
    """
    # Without a crew the days still scale with a usual one; only their value is unknown.
    if crew is None:
        return CrewTime(USUAL_CREW, None, None, True)
    return CrewTime(
        size=crew.size,
        hourly=Decimal(crew.hourly_rate) if crew.hourly_rate is not None else None,
        day_value=Decimal(crew.crew_day_value) if crew.crew_day_value is not None else None,
        includes_wages=crew.time_counted == "day_value_includes_wages",
    )


@dataclass(frozen=True)
class Cost:
    """A method's cost: what is bought, the wages and the crew's days, each low, likely and high.

    ``hourly`` and ``day_value`` are what an hour and a counted day are charged at, zero where they are not
    charged; ``includes_wages`` says that all days are counted, else the idle ones. Of the likely goods ``fixed`` is
    paid once a job and ``each`` for every one of ``count`` footings.
    """

    currency: str
    goods: Three
    wages: Three
    days: Three
    hourly: Decimal
    day_value: Decimal
    includes_wages: bool
    fixed: Decimal
    each: Decimal
    count: int

    @cached_property
    def total(self) -> Three:
        """Low, likely and high."""
        low, likely, high = (g + w + d for g, w, d in zip(self.goods, self.wages, self.days, strict=True))
        return low, likely, high

    @property
    def counts_time(self) -> bool:
        """Whether the crew's time is in it at all."""
        return bool(self.hourly or self.day_value)

    @property
    def likely(self) -> Decimal:
        """Likely total."""
        return self.goods[1] + self.wages[1] + self.days[1]

    def on_the_wire(self) -> MoneyRange:
        """Return the range as the report carries it."""
        return money_range(self.currency, *self.total)


def cost_of(
    lines: Sequence[Bought], currency: str, crew: CrewTime, table: Timetable, count: int
) -> Cost | None:
    """Return what a method costs, or None where the price of goods or work is missing."""
    once = every = low = high = NOTHING
    for line in lines:
        if line.left_out:
            continue
        if line.extended is None:
            return None
        # What is paid once does not grow with the deck; the break-even count needs the two apart.
        if line.per_footing:
            every += line.extended
        else:
            once += line.extended
        least, _, most = line.range
        low, high = low + least, high + most
    hourly = crew.hourly if crew.pays_hours and crew.hourly is not None else NOTHING
    value = crew.day_value or NOTHING
    return Cost(
        currency=currency,
        goods=(low, once + every, high),
        wages=times(hourly, table.crew_hours),
        days=times(value, crew.counted_days(table)),
        hourly=hourly,
        day_value=value,
        includes_wages=crew.includes_wages,
        fixed=once,
        each=every / count if count else NOTHING,
        count=count,
    )


def times(amount: Decimal, three: Range) -> Three:
    """Return an amount for each of three times, each a line of its own and so rounded to the cent.

    >>> times(Decimal("48.00"), (1.0, 2.5, 3.0))[1]
    Decimal('120.00')
    """
    if not amount:
        return NOTHING, NOTHING, NOTHING
    low, likely, high = (half_up(amount * Decimal(str(round(one, 6)))) for one in three)
    return low, likely, high

"""What a method costs: goods and services from the price book, labour, and the crew's days, counted once."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from service.comparison.schedule import Range, Timetable
from service.contract.money import MoneyRange, money, money_range, unit_price
from service.contract.report_comparison import Quantity
from service.contract.report_frame import Footing
from service.contract.spec_wishes import CrewSpec
from service.foundations.method import Need
from service.rules.price_book import PriceBook, PriceLine
from service.takeoff.concrete import SHORT_LOAD, concrete
from service.takeoff.pricing import for_sale, line_total
from service.units.finding import SLACK

USUAL_CREW = 3
NOTHING = Decimal(0)
Three = tuple[Decimal, Decimal, Decimal]


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
    """A method's cost in parts. ``fixed`` is paid once a job, ``each`` for every footing; without days."""

    currency: str
    fixed: Decimal
    each: Decimal
    wages: Three
    days: Three
    count: int

    @property
    def total(self) -> Three:
        """Low, likely and high."""
        goods = self.fixed + self.each * self.count
        low, likely, high = (goods + w + d for w, d in zip(self.wages, self.days, strict=True))
        return low, likely, high

    @property
    def direct(self) -> Decimal:
        """Likely cost without the value of the crew's days."""
        return self.fixed + self.direct_each * self.count

    @property
    def direct_each(self) -> Decimal:
        """Likely cost of one more footing without the value of the crew's days."""
        return self.each + (self.wages[1] / self.count if self.count else NOTHING)

    @property
    def likely(self) -> Decimal:
        """Likely total."""
        return self.total[1]

    def on_the_wire(self) -> MoneyRange:
        """Return the range as the report carries it."""
        return money_range(self.currency, *self.total)


@dataclass(frozen=True)
class Bought:
    """An amount of an item to buy; price and ``extended`` null where the book has none."""

    item: str
    quantity: float
    unit: str
    per_footing: bool
    unit_price: str | None = None
    extended: Decimal | None = None

    def on_the_wire(self, currency: str | None) -> Quantity:
        """Return the line as the report carries it."""
        total = money(currency, self.extended) if currency and self.extended is not None else None
        return Quantity(
            item=self.item,
            quantity=self.quantity,
            unit=self.unit,
            unit_price=self.unit_price,
            extended=total,
        )


def concrete_bought(footings: Sequence[Footing], prices: PriceBook | None, supply: str) -> list[Bought]:
    """Return the concrete of a method as the order counts it."""
    lines, _ = concrete(footings, prices, supply)
    return [
        Bought(
            item=line.item,
            quantity=line.quantity,
            unit=line.unit,
            per_footing=line.item != SHORT_LOAD,
            unit_price=line.unit_price,
            extended=Decimal(line.extended.amount) if line.extended else None,
        )
        for line in lines
    ]


def rented(needs: Iterable[Need], table: Timetable | None, supply: str) -> list[Need]:
    """Return the needs of this concrete supply, rentals for as many whole days as their task takes."""
    return [
        replace(need, quantity=_rental_days(need, table)) if need.during else need
        for need in needs
        if need.only_with in ("", supply)
    ]


def _rental_days(need: Need, table: Timetable | None) -> float:
    days = table.task_days(need.during) if table else 1.0
    return float(max(1, math.ceil(days - SLACK)))


def bought(needs: Iterable[Need], prices: PriceBook | None) -> list[Bought]:
    """Return every need with the cheapest line that serves it; a need the book can't price has none."""
    return [_bought(need, prices) for need in needs]


def _bought(need: Need, prices: PriceBook | None) -> Bought:
    offers = [_offer(need, line) for line in _lines(need, prices)]
    cheapest = min(offers, key=lambda offer: offer.extended or NOTHING, default=None)
    return cheapest or Bought(need.item, need.quantity, need.unit, need.per_footing)


def _lines(need: Need, prices: PriceBook | None) -> list[PriceLine]:
    """The lines that can serve a need: a stock long enough for a cut, or the same unit."""
    lines = for_sale(prices, need.item)
    if need.cut_length_ft is None:
        return [line for line in lines if line.unit == need.unit and line.length_ft is None]
    least = need.cut_length_ft - SLACK
    return [line for line in lines if line.unit == need.unit or (line.length_ft or 0.0) >= least]


def _offer(need: Need, line: PriceLine) -> Bought:
    quantity = need.quantity
    if need.cut_length_ft and line.length_ft is not None:
        cuts = round(need.quantity / need.cut_length_ft)
        quantity = float(math.ceil(cuts / math.floor(line.length_ft / need.cut_length_ft + SLACK)))
    price = line.price_at(quantity)
    return Bought(
        item=need.item,
        quantity=quantity,
        unit=line.unit,
        per_footing=need.per_footing,
        unit_price=unit_price(price),
        extended=line_total(price, quantity),
    )


def cost_of(
    lines: Sequence[Bought], currency: str, crew: CrewTime, table: Timetable, count: int
) -> Cost | None:
    """Return what a method costs, or None where a price is missing."""
    if any(line.extended is None for line in lines):
        return None
    # What is paid once does not grow with the deck; the break-even count needs the two apart.
    once = sum((line.extended or NOTHING for line in lines if not line.per_footing), NOTHING)
    every = sum((line.extended or NOTHING for line in lines if line.per_footing), NOTHING)
    hourly = crew.hourly if crew.pays_hours and crew.hourly is not None else NOTHING
    value = crew.day_value or NOTHING
    return Cost(
        currency=currency,
        fixed=once,
        each=every / count if count else NOTHING,
        wages=_times(hourly, table.crew_hours),
        days=_times(value, crew.counted_days(table)),
        count=count,
    )


def _times(amount: Decimal, three: Range) -> Three:
    low, likely, high = (amount * Decimal(str(round(one, 6))) for one in three)
    return low, likely, high

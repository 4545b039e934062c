"""What a method has to buy, priced from the book: goods, rentals, services and fees."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from decimal import Decimal

import msgspec

from service.comparison.schedule import Timetable
from service.contract.money import money, unit_price
from service.contract.report_comparison import Quantity
from service.foundations.method import Need
from service.rules.price_book import PriceBook, PriceLine
from service.takeoff.ladders import KERF_IN
from service.takeoff.pricing import for_sale, line_total
from service.units.finding import SLACK

Three = tuple[Decimal, Decimal, Decimal]
NOTHING = Decimal(0)
# A supplier sells goods and work; what an office charges need not be in his book.
FEE = "fee"


class Bought(msgspec.Struct, frozen=True):
    """An amount of an item to buy; price and ``extended`` null where the book has none.

    ``least`` and ``most`` are what it comes to where the work goes well and badly; null: the same. Something rented
    is kept ``during`` a task of the schedule.
    """

    item: str
    quantity: float
    unit: str
    per_footing: bool
    unit_price: Decimal | None = None
    extended: Decimal | None = None
    least: Decimal | None = None
    most: Decimal | None = None
    during: str = ""

    @property
    def range(self) -> Three:
        """What it comes to, low, likely and high; nothing where it has no price."""
        likely = self.extended if self.extended is not None else NOTHING
        least, most = (likely if one is None else one for one in (self.least, self.most))
        # Where more of it falls under a lower price the worse case may come out cheaper.
        return min(least, likely, most), likely, max(least, likely, most)

    @property
    def left_out(self) -> bool:
        """Whether it is a charge of an office that the book does not know: told, and not counted."""
        return self.extended is None and self.kind == FEE

    @property
    def kind(self) -> str:
        """The kind of item, the first part of its code."""
        return self.item.partition(".")[0]

    def on_the_wire(self, currency: str | None) -> Quantity:
        """Return the line as the report carries it."""
        priced = currency is not None and self.extended is not None
        return Quantity(
            item=self.item,
            quantity=self.quantity,
            unit=self.unit,
            unit_price=unit_price(self.unit_price) if self.unit_price is not None else None,
            extended=money(currency, self.extended)
            if priced and currency and self.extended is not None
            else None,
            paid="each" if self.per_footing else "once",
        )


def bought(
    needs: Iterable[Need], prices: PriceBook | None, known: dict[Need, Bought] | None = None
) -> list[Bought]:
    """Return what is bought whatever the supply of concrete and the days, each with the cheapest line that serves it.

    A need the book can't price has no price. ``known`` are needs already bought from this book: more are added.
    """
    found: dict[Need, Bought] = {} if known is None else known
    return [_known(need, prices, found) for need in needs if not need.during and not need.only_with]


def _known(need: Need, prices: PriceBook | None, known: dict[Need, Bought]) -> Bought:
    if need not in known:
        known[need] = _bought(need, prices)
    return known[need]


def bought_with(
    needs: Iterable[Need], table: Timetable | None, supply: str, prices: PriceBook | None
) -> Iterator[Bought]:
    """Yield what else is bought: rentals for as many whole days as their task takes, and what a supply needs."""
    for need in needs:
        if need.during and need.only_with in ("", supply):
            yield _rented(need, table, prices)
        elif need.only_with == supply and supply:
            yield _bought(need, prices)


def _rented(need: Need, table: Timetable | None, prices: PriceBook | None) -> Bought:
    low, likely, high = map(whole_days, table.task_range(need.during) if table else (1.0, 1.0, 1.0))
    line = next(iter(lines_for(need, prices)), None)
    if line is None:
        return Bought(need.item, likely, need.unit, need.per_footing, during=need.during)
    return Bought(
        item=need.item,
        quantity=likely,
        unit=line.unit,
        per_footing=need.per_footing,
        unit_price=line.price_at(likely),
        extended=_total(line, likely),
        least=_total(line, low) if low < likely else None,
        most=_total(line, high) if high > likely else None,
        during=need.during,
    )


def _total(line: PriceLine, quantity: float) -> Decimal:
    return line_total(line.price_at(quantity), quantity)


def whole_days(days: float) -> float:
    """Return the days something is rented for work that takes this long: whole ones, at least one.

    >>> whole_days(0.2), whole_days(1.3)
    (1.0, 2.0)
    """
    return float(max(1, math.ceil(days - SLACK)))


def _bought(need: Need, prices: PriceBook | None) -> Bought:
    offers = [_offer(need, line) for line in lines_for(need, prices)]
    if not offers:
        return Bought(need.item, need.quantity, need.unit, need.per_footing)
    return offers[0] if len(offers) == 1 else min(offers, key=lambda offer: offer.extended or NOTHING)


def lines_for(need: Need, prices: PriceBook | None) -> list[PriceLine]:
    """Return the lines that can serve a need: a stock long enough for a cut, or the same unit."""
    lines = for_sale(prices, need.item)
    if not need.cuts_ft:
        return [line for line in lines if line.unit == need.unit and line.length_ft is None]
    least = need.cuts_ft[0] - SLACK
    return [line for line in lines if line.unit == need.unit or (line.length_ft or 0.0) >= least]


def _offer(need: Need, line: PriceLine) -> Bought:
    quantity = _to_buy(need, need.quantity, line)
    price = line.price_at(quantity)
    most = _to_buy(need, need.most, line) if need.most is not None else None
    return Bought(
        item=need.item,
        quantity=quantity,
        unit=line.unit,
        per_footing=need.per_footing,
        unit_price=price,
        extended=line_total(price, quantity),
        most=_total(line, most) if most is not None else None,
    )


def _to_buy(need: Need, quantity: float, line: PriceLine) -> float:
    """How many of a line give a quantity: whole lengths of stock where it is cut."""
    if not need.cuts_ft or line.length_ft is None:
        return quantity
    # The longest first, each into the first length that still has room, with the saw's kerf: as orders are cut.
    kerf_ft = KERF_IN / 12.0
    left: list[float] = []
    for cut in need.cuts_ft:
        place = next((n for n, room in enumerate(left) if room >= cut + kerf_ft - SLACK), None)
        if place is None:
            left.append(line.length_ft - cut)
        else:
            left[place] -= cut + kerf_ft
    return float(len(left))

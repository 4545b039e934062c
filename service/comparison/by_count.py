"""What each method would cost and take for other numbers of footings like these.

Worked in whole cents, so that the row of the deck's own count is its cost to the cent.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.comparison.bought import NOTHING, Bought, whole_days
from service.comparison.cost import Cost, CrewTime
from service.comparison.network import Network
from service.comparison.result import MethodResult, volume_cuft
from service.comparison.schedule import Timetable, at_counts, task_days_at
from service.contract.money import MOST_MONEY, Money
from service.contract.report_comparison import CountRow, MethodAtCount
from service.rules.price_book import PriceBook, PriceLine
from service.takeoff.concrete import (
    BAG_SIZES_LB,
    LOAD_STEP_CUYD,
    READY_MIX,
    SHORT_LOAD,
    bag_item,
    bags,
    loads_cuyd,
)
from service.takeoff.pricing import for_sale, line_total

Numbers = NDArray[Any]
COUNTS = range(4, 17)
NUMBERS = np.array(COUNTS)
CONCRETE = "concrete"
MOST_CENTS = int(MOST_MONEY * 100)
MILLION, TEN_THOUSAND = 1_000_000, 10_000


@dataclass(frozen=True)
class Column:
    """One method over every count: likely cost in cents, and days to framing."""

    method: str
    cents: tuple[int, ...]
    days: tuple[float, ...]


def count_rows(columns: Sequence[Column], currency: str) -> tuple[CountRow, ...]:
    """Return the table over 4 to 16 footings; empty where no usable method has a cost.

    A count at which a sum has more digits than money is written with has no row.
    """
    return tuple(
        _row(place, count, columns, currency)
        for place, count in enumerate(COUNTS)
        if columns and all(one.cents[place] <= MOST_CENTS for one in columns)
    )


def columns_of(results: Sequence[MethodResult], prices: PriceBook, crew: CrewTime) -> list[Column]:
    """Return every usable method that has a cost over every count.

    Goods grow by the footing, concrete by its volume with bags whole over the job and the truck's own minimum and
    fee, rentals and days by the schedule at that count. The supply of concrete is the cheaper at each count.
    """
    ways = [way for one in results if one.usable for way in _ways(one)]
    if not ways:
        return []
    at = [days_at(way.table.network, crew.size, way.table.dig_share) for way in ways]
    cents = _goods(ways, crew.size, prices) + _time(ways, at)
    return [_column(method, cents, ways, at) for method in dict.fromkeys(way.method for way in ways)]


def cheapest_at(columns: Sequence[Column], place: int) -> Column:
    """Return the column that costs least at a place of the table; of equals the quicker."""
    return min(columns, key=lambda one: (one.cents[place], one.days[place], one.method))


def _row(place: int, count: int, columns: Sequence[Column], currency: str) -> CountRow:
    return CountRow(
        footings=count,
        methods=tuple(
            MethodAtCount(method=one.method, cost=_money(currency, one.cents[place]), days=one.days[place])
            for one in columns
        ),
        cheapest=cheapest_at(columns, place).method,
    )


def _money(currency: str, cents: int) -> Money:
    return Money(currency, f"{cents // 100}.{cents % 100:02d}")


def _column(method: str, cents: Numbers, ways: Sequence[Way], at: Sequence[DaysAt]) -> Column:
    mine = [row for row, way in enumerate(ways) if way.method == method]
    cheapest = [mine[row] for row in cents[mine].argmin(axis=0).tolist()]
    return Column(
        method=method,
        cents=tuple(cents[mine].min(axis=0).tolist()),
        days=tuple(at[row].elapsed[place] for place, row in enumerate(cheapest)),
    )


@dataclass(frozen=True)
class Way:
    """A method with one supply of its concrete."""

    method: str
    supply: str
    lines: tuple[Bought, ...]
    cost: Cost
    table: Timetable
    volume_cuft: float


def _ways(one: MethodResult) -> Iterator[Way]:
    volume = volume_cuft(one.alike)
    for way in one.ways:
        if way.cost and way.table:
            yield Way(one.method, way.supply, way.lines, way.cost, way.table, volume)


@dataclass(frozen=True, eq=False)
class DaysAt:
    """Likely days and hours of a network over every count; in millionths where money is put on them."""

    elapsed: tuple[float, ...]
    elapsed_parts: Numbers
    idle_parts: Numbers
    hours_parts: Numbers


# They follow from the network, the crew and the holes alone, so decks of one place share them.
@lru_cache(maxsize=256)
def days_at(net: Network, crew_size: int, dig_share: float) -> DaysAt:
    """Return the days and hours of a network for a crew and holes like these, over every count."""
    found = at_counts(net, COUNTS, crew_size, dig_share)
    parts = [np.rint(one * MILLION).astype(np.int64)
             for one in (found.elapsed_days, found.idle_days, found.crew_hours)]  # fmt: skip
    return DaysAt(tuple(found.elapsed_days.tolist()), *parts)


@lru_cache(maxsize=256)
def _rented_days(net: Network, task: str, crew_size: int, dig_share: float) -> Numbers:
    days = task_days_at(net, task, COUNTS, crew_size, dig_share).tolist()
    return np.array([whole_days(one) for one in days]).astype(np.int64)


def _time(ways: Sequence[Way], at: Sequence[DaysAt]) -> Numbers:
    """Cents of wages and of counted days, each rounded as the cost rounds them."""
    hours = np.stack([one.hours_parts for one in at])
    days = np.stack([
        one.elapsed_parts if way.cost.includes_wages else one.idle_parts
        for way, one in zip(ways, at, strict=True)
    ])  # fmt: skip
    hourly, value = (np.array([[_cents(rate)] for rate in rates]) for rates in (
        [way.cost.hourly for way in ways], [way.cost.day_value for way in ways]))  # fmt: skip
    return _half_up(hourly * hours, MILLION) + _half_up(value * days, MILLION)


def _goods(ways: Sequence[Way], crew_size: int, prices: PriceBook) -> Numbers:
    """Cents of everything bought."""
    once = np.array([[sum(_cents(line.extended) for line in way.lines if _is_once(line))] for way in ways])
    each = np.array([[sum(_cents(line.extended) for line in way.lines if _is_each(line))] for way in ways])
    own = np.array([[way.cost.count] for way in ways])
    total = once + _half_up(each * NUMBERS, own)
    volumes = np.array([[way.volume_cuft] for way in ways]) * (NUMBERS / own)
    for supply, price in (("bagged", _bags), ("ready_mix", _loads)):
        mine = [row for row, way in enumerate(ways) if way.supply == supply]
        if mine:
            total[mine] += price(volumes[mine], prices)
    for row, way in enumerate(ways):
        for line in way.lines:
            if line.during:
                days = _rented_days(way.table.network, line.during, crew_size, way.table.dig_share)
                total[row] += _charge(for_sale(prices, line.item)[0], days, 1)
    return total


def _is_once(line: Bought) -> bool:
    """Paid once whatever the number: rentals go by the days, and the short-load fee by the load."""
    return not line.per_footing and not line.during and line.item != SHORT_LOAD


def _is_each(line: Bought) -> bool:
    return line.per_footing and line.kind != CONCRETE


def _bags(volumes: Numbers, prices: PriceBook) -> Numbers:
    """Cents of the cheapest size of bag that is sold."""
    offers = []
    for size in BAG_SIZES_LB:
        for line in for_sale(prices, bag_item(size)):
            counts = np.array([[bags(volume, size) for volume in row] for row in volumes.tolist()])
            offers.append(_charge(line, counts, 1))
    least: Numbers = np.minimum.reduce(offers)
    return least


def _loads(volumes: Numbers, prices: PriceBook) -> Numbers:
    """Cents of ready-mix by the quarter yard, with the fee where the load is short."""
    mix = for_sale(prices, READY_MIX)[0]
    least = mix.pack_quantity or 0
    ordered = [[loads_cuyd(volume, least) / LOAD_STEP_CUYD for volume in row] for row in volumes.tolist()]
    loads = np.rint(np.array(ordered)).astype(np.int64)
    cents = _charge(mix, loads, round(1 / LOAD_STEP_CUYD))
    for fee in for_sale(prices, SHORT_LOAD)[:1]:
        short = loads * LOAD_STEP_CUYD < (fee.pack_quantity or 0)
        cents += short * _cents(line_total(fee.price_at(1), 1))
    return cents


def _charge(line: PriceLine, quantities: Numbers, parts: int) -> Numbers:
    """Cents for quantities given in so many parts of a unit, with the quantity breaks of the line."""
    price: Any = int(line.unit_price * TEN_THOUSAND)
    for one in line.breaks:
        price = np.where(quantities >= one.at_least * parts, int(one.unit_price * TEN_THOUSAND), price)
    return _half_up(price * quantities, parts * TEN_THOUSAND // 100)


def _cents(amount: Decimal | None) -> int:
    return int((amount or NOTHING) * 100)


def _half_up(number: Numbers, parts: Any) -> Numbers:
    rounded: Numbers = (2 * number + parts) // (2 * parts)
    return rounded

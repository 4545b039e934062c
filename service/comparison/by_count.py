"""What each method would cost and take for other numbers of footings like these.

Worked in whole cents and ten-thousandths, so that the row of the deck's own count is its cost to the cent.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.comparison.bought import Bought, whole_days
from service.comparison.cost import Cost, CrewTime
from service.comparison.result import MethodResult, Supplied, volume_cuft
from service.comparison.schedule import likely_at
from service.contract.money import Money
from service.contract.report_comparison import CountRow, MethodAtCount
from service.foundations.facts import FoundationFacts
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
from service.takeoff.pricing import for_sale

COUNTS = range(4, 17)
LOADS_A_CUYD = round(1 / LOAD_STEP_CUYD)


@dataclass(frozen=True)
class Column:
    """One method over every count: likely cost in cents, and days to framing."""

    method: str
    cents: tuple[int, ...]
    days: tuple[float, ...]


def by_count(
    results: Sequence[MethodResult], prices: PriceBook | None, crew: CrewTime, facts: FoundationFacts
) -> tuple[CountRow, ...]:
    """Return the table over 4 to 16 footings of every feasible method that has a cost; empty without one.

    Goods grow by the footing, concrete by its volume with bags whole over the job and the truck's own minimum and
    fee, rentals and days by the schedule at that count. The supply of concrete is the cheaper at each count.
    """
    if prices is None:
        return ()
    columns = columns_of(results, prices, crew, facts)
    return tuple(_row(place, count, columns, prices.currency) for place, count in enumerate(COUNTS) if columns)


def columns_of(
    results: Sequence[MethodResult], prices: PriceBook, crew: CrewTime, facts: FoundationFacts
) -> list[Column]:
    """Return every feasible method with a cost over every count."""
    return [_column(one, prices, crew, facts) for one in results if one.feasible and one.cost]


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


def _column(one: MethodResult, prices: PriceBook, crew: CrewTime, facts: FoundationFacts) -> Column:
    volume = volume_cuft(one.sized)
    ways = [list(_way(one.method, way, way.cost, volume, prices, crew, facts)) for way in one.ways if way.cost]
    cells = [min(at_count) for at_count in zip(*ways, strict=True)]
    return Column(one.method, tuple(cents for cents, _ in cells), tuple(days for _, days in cells))


def _way(
    method: str,
    way: Supplied,
    cost: Cost,
    volume_cuft: float,
    prices: PriceBook,
    crew: CrewTime,
    facts: FoundationFacts,
) -> Iterator[tuple[int, float]]:
    """Cost in cents and days of one supply at every count."""
    at = likely_at(method, way.words, COUNTS, crew.size, facts)
    elapsed, idle, hours = (list(map(float, one)) for one in (at.elapsed_days, at.idle_days, at.crew_hours))
    counted = elapsed if cost.includes_wages else idle
    goods = _goods(way, cost, volume_cuft, prices, [1.0] * len(COUNTS))
    hourly, day_value = _cents(cost.hourly), _cents(cost.day_value)
    for place in range(len(COUNTS)):
        time = _times(hourly, hours[place]) + _times(day_value, counted[place])
        yield goods[place] + time, elapsed[place]

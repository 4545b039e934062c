"""What each method would cost and take for other numbers of footings like these.

Worked in whole cents, so that the row of the deck's own count is its cost to the cent.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.comparison.bought import NOTHING, Bought, whole_days
from service.comparison.cost import Cost, CrewTime
from service.comparison.mix import mixes
from service.comparison.result import MethodResult, Supplied, volume_cuft
from service.comparison.schedule import Timetable, at_counts, task_days_at
from service.contract.money import Money
from service.contract.report_comparison import CountRow, MethodAtCount
from service.rules.price_book import PriceBook
from service.takeoff.concrete import SHORT_LOAD
from service.takeoff.pricing import for_sale, line_total

COUNTS = range(4, 17)
CONCRETE = "concrete"
MILLION = 1_000_000


@dataclass(frozen=True)
class Column:
    """One method over every count: likely cost in cents, and days to framing."""

    method: str
    cents: tuple[int, ...]
    days: tuple[float, ...]


def count_rows(columns: Sequence[Column], currency: str) -> tuple[CountRow, ...]:
    """Return the table over 4 to 16 footings; empty where no feasible method has a cost."""
    return tuple(_row(place, count, columns, currency) for place, count in enumerate(COUNTS) if columns)


def columns_of(results: Sequence[MethodResult], prices: PriceBook, crew: CrewTime) -> list[Column]:
    """Return every feasible method that has a cost over every count.

    Goods grow by the footing, concrete by its volume with bags whole over the job and the truck's own minimum and
    fee, rentals and days by the schedule at that count. The supply of concrete is the cheaper at each count.
    """
    return [_column(one, prices, crew) for one in results if one.feasible and one.cost]


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


def _column(one: MethodResult, prices: PriceBook, crew: CrewTime) -> Column:
    volume = volume_cuft(one.sized)
    ways = [
        _way(way, way.cost, way.table, volume, prices, crew) for way in one.ways if way.cost and way.table
    ]
    cells = [min(at_count) for at_count in zip(*ways, strict=True)]
    return Column(one.method, tuple(cents for cents, _ in cells), tuple(days for _, days in cells))


def _way(
    way: Supplied, cost: Cost, table: Timetable, volume: float, prices: PriceBook, crew: CrewTime
) -> list[tuple[int, float]]:
    """Cost in cents and days of one supply at every count."""
    at = at_counts(table.network, COUNTS, crew.size)
    elapsed, idle, hours = at.elapsed_days.tolist(), at.idle_days.tolist(), at.crew_hours.tolist()
    counted = elapsed if cost.includes_wages else idle
    goods = _goods(way, table, cost.count, volume, prices, crew)
    hourly, value = _cents(cost.hourly), _cents(cost.day_value)
    return [
        (bought + _times(hourly, paid) + _times(value, days), framing)
        for bought, paid, days, framing in zip(goods, hours, counted, elapsed, strict=True)
    ]


def _goods(
    way: Supplied, table: Timetable, own: int, volume: float, prices: PriceBook, crew: CrewTime
) -> list[int]:
    """Cents of everything bought at every count."""
    once = sum(_cents(line.extended) for line in way.lines if _is_once(line))
    each = sum(_cents(line.extended) for line in way.lines if line.per_footing and line.kind != CONCRETE)
    columns = [[once + _half_up(each * count, own) for count in COUNTS]]
    columns += [_rental(line, table, prices, crew) for line in way.lines if line.during]
    if way.supply:
        columns.append([_concrete(volume * (count / own), way.supply, prices) for count in COUNTS])
    return [sum(cents) for cents in zip(*columns, strict=True)]


def _is_once(line: Bought) -> bool:
    """Paid once whatever the number: rentals go by the days, and the short-load fee by the load."""
    return not line.per_footing and not line.during and line.item != SHORT_LOAD


def _rental(line: Bought, table: Timetable, prices: PriceBook, crew: CrewTime) -> list[int]:
    sold = for_sale(prices, line.item)[0]
    days = task_days_at(table.network, line.during, COUNTS, crew.size).tolist()
    return [_cents(line_total(sold.price_at(number), number)) for number in map(whole_days, days)]


def _concrete(volume: float, supply: str, prices: PriceBook) -> int:
    """Cents of the cheapest mix of a supply for a volume, with the fee for a short load."""
    return sum(_cents(line.extended) for line in mixes(volume, supply, prices)[0])


def _cents(amount: Decimal | None) -> int:
    return int((amount or NOTHING) * 100)


def _half_up(number: int, parts: int) -> int:
    return (2 * number + parts) // (2 * parts)


def _times(cents: int, number: float) -> int:
    """Cents for so many hours or days, kept to a millionth and rounded half up."""
    return _half_up(cents * round(number * MILLION), MILLION) if cents else 0

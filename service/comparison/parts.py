"""The cost of a method part by part, each with the sum it was reckoned by."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from service.comparison.bought import NOTHING, Bought, Three
from service.comparison.cost import Cost
from service.comparison.mix import LEAST_WASTE_PERCENT, MOST_WASTE_PERCENT
from service.comparison.result import MethodResult
from service.comparison.schedule import Timetable
from service.contract.money import amount, money_range
from service.contract.report_comparison import CostPart
from service.takeoff.concrete import WASTE_PERCENT

PART_OF: Mapping[str, str] = {
    "concrete": "concrete", "rental": "rental", "service": "services", "fee": "fees",
}  # fmt: skip
GOODS = "goods"
PARTS = (GOODS, "concrete", "rental", "services", "fees")
SAID = {
    GOODS: "What is bought at the price book's prices",
    "concrete": (
        f"Concrete with {LEAST_WASTE_PERCENT:g} % of waste at best, {WASTE_PERCENT:g} % likely, "
        f"{MOST_WASTE_PERCENT:g} % at worst (common practice)"
    ),
    "rental": "Rented for the whole days its task takes",
    "services": "What others do for a price",
    "fees": "Charges",
}


def cost_parts(one: MethodResult) -> tuple[CostPart, ...]:
    """Return what a method's cost is made of; the parts add up to it to the cent. Empty without a cost."""
    if one.cost is None or one.table is None:
        return ()
    return (*_bought_parts(one.lines, one.cost.currency), *_time_parts(one.cost, one.table))


def _bought_parts(lines: Sequence[Bought], currency: str) -> Iterator[CostPart]:
    sorted_out: dict[str, list[Bought]] = {}
    for line in lines:
        sorted_out.setdefault(PART_OF.get(line.kind, GOODS), []).append(line)
    for part in PARTS:
        if mine := sorted_out.get(part):
            low, likely, high = _sum(mine)
            text = f"{SAID[part]}: {', '.join(map(_told, mine))}.{_left_out(mine)}"
            yield CostPart(part=part, cost=money_range(currency, low, likely, high), text=text)


def _sum(lines: Sequence[Bought]) -> Three:
    low = likely = high = NOTHING
    for line in lines:
        least, middle, most = line.range
        low, likely, high = low + least, likely + middle, high + most
    return low, likely, high


def _left_out(lines: Sequence[Bought]) -> str:
    missing = ", ".join(line.item for line in lines if line.left_out)
    return f" Not counted, for the price book has no price: {missing}." if missing else ""


def _told(line: Bought) -> str:
    return f"{line.quantity:g} {line.unit} {line.item}"


def _time_parts(cost: Cost, table: Timetable) -> Iterator[CostPart]:
    if cost.hourly:
        low, likely, high = table.crew_hours
        text = f"{likely:.1f} crew hours ({low:.1f} to {high:.1f}) at {amount(cost.hourly)} {cost.currency} an hour."
        yield CostPart(part="labour", cost=money_range(cost.currency, *cost.wages), text=text)
    if cost.day_value:
        kind = "working days to the start of framing" if cost.includes_wages else "idle days"
        low, likely, high = table.elapsed_days if cost.includes_wages else table.idle_days
        held = ", wages in it" if cost.includes_wages else ""
        text = (
            f"{likely:.2f} {kind} ({low:.2f} to {high:.2f}) "
            f"at {amount(cost.day_value)} {cost.currency} a crew-day{held}."
        )
        yield CostPart(part="crew_days", cost=money_range(cost.currency, *cost.days), text=text)

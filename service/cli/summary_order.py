"""The order and the footing methods as lines of a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.cli.item_names import ItemNames
from service.contract.money import Money
from service.contract.report_comparison import DayRange, FootingComparison, MethodComparison
from service.contract.report_order import ConcreteLine, DeckingLine, OrderLine, StockLine, Takeoff

OrderRow = tuple[str, str, str, str]


def order_lines(takeoff: Takeoff, names: ItemNames) -> Iterator[OrderRow]:
    """Yield item, length, quantity and price of each line."""
    boards: tuple[StockLine | DeckingLine, ...] = (*takeoff.stock, *takeoff.decking)
    for board in boards:
        length = "" if board.length_ft is None else f"{board.length_ft:g} ft"
        yield names.of(board.item), length, str(board.quantity), _price(board.extended)
    others: tuple[OrderLine | ConcreteLine, ...] = (*takeoff.hardware, *takeoff.concrete)
    for line in others:
        yield names.of(line.item), "", f"{line.quantity:g} {line.unit}", _price(line.extended)


def footing_methods(comparison: FootingComparison) -> Iterable[OrderRow]:
    """Return method, cost, days and what stands against it, feasible methods first."""
    ordered = sorted(comparison.methods, key=lambda method: not method.feasible)
    return (_method(method) for method in ordered)


def _method(method: MethodComparison) -> OrderRow:
    cost = method.cost
    money = "-" if cost is None else f"{cost.low} / {cost.likely} / {cost.high}"
    days = "-" if method.schedule is None else _days(method.schedule.first_framing_working_day)
    note = "feasible" if method.feasible else "; ".join(one.text for one in method.why_not)
    return method.method.replace("_", " "), money, days, note


def _days(days: DayRange) -> str:
    return f"{days.low:.1f} / {days.likely:.1f} / {days.high:.1f}"


def _price(extended: Money | None) -> str:
    return "-" if extended is None else f"{extended.amount}"

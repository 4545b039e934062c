"""The order as lines of a table."""

from __future__ import annotations

from collections.abc import Iterator

from service.cli.item_names import ItemNames
from service.contract.money import Money
from service.contract.report_order import (
    ConcreteLine,
    DeckingLine,
    GroundworkLine,
    OrderLine,
    StockLine,
    Takeoff,
)
from service.takeoff.groundwork import SPOIL

OrderRow = tuple[str, str, str, str]


def order_lines(takeoff: Takeoff, names: ItemNames) -> Iterator[OrderRow]:
    """Yield item, length, quantity and price of each line."""
    boards: tuple[StockLine | DeckingLine, ...] = (*takeoff.stock, *takeoff.decking)
    for board in boards:
        length = "" if board.length_ft is None else f"{board.length_ft:g} ft"
        yield names.of(board.item), length, str(board.quantity), _price(board.extended)
    others: tuple[OrderLine | ConcreteLine | GroundworkLine, ...] = (
        *takeoff.hardware,
        *takeoff.concrete,
        *takeoff.groundwork,
    )
    for line in others:
        yield _named(line.item, names), "", f"{line.quantity:.4g} {line.unit}", _price(line.extended)


def _named(item: str, names: ItemNames) -> str:
    return "Soil left over, loose" if item == SPOIL else names.of(item)


def _price(extended: Money | None) -> str:
    return "-" if extended is None else f"{extended.amount}"

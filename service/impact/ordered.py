"""The orders of two designs, compared."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from service.contract.money import Money, money
from service.contract.report import DesignReport
from service.contract.report_order import (
    ConcreteLine,
    DeckingLine,
    GroundworkLine,
    OrderLine,
    StockLine,
    Takeoff,
)
from service.contract.rule_impact import OrderChange

Item = tuple[str, float | None, str]


def order_change(before: DesignReport, after: DesignReport) -> OrderChange:
    """Return what both orders come to, in the currency of the price book they have in common.

    Raises:
        TooMuchMoney: they are further apart than money can be written
    """
    because = _not_compared(before, after)
    return OrderChange(
        from_=before.takeoff.total,
        to=after.takeoff.total,
        change=None if because else _difference(before.takeoff, after.takeoff),
        because=because,
        lines_changed=_lines_changed(before.takeoff, after.takeoff),
    )


def _not_compared(before: DesignReport, after: DesignReport) -> str:
    """Why the totals are not compared; empty where they are."""
    if after.price_book is None:
        return "no price book is named"
    totals = (before.takeoff.total, after.takeoff.total)
    if None in totals:
        return "no frame was found in one of the designs, so there is no order"
    complete = all(one.complete for one in totals if one)
    return "" if complete else "not every line of both orders has a price"


def _difference(before: Takeoff, after: Takeoff) -> Money | None:
    if before.total is None or after.total is None:
        return None
    return money(after.total.currency, Decimal(after.total.amount) - Decimal(before.total.amount))


def _lines_changed(before: Takeoff, after: Takeoff) -> int:
    old, new = _quantities(before), _quantities(after)
    return sum(old[item] != new[item] for item in old | new)


def _quantities(takeoff: Takeoff) -> Counter[Item]:
    found: Counter[Item] = Counter()
    boards: tuple[StockLine | DeckingLine, ...] = (*takeoff.stock, *takeoff.decking)
    for board in boards:
        found[board.item, board.length_ft, "piece"] += board.quantity
    lines: tuple[OrderLine | ConcreteLine | GroundworkLine, ...] = (
        *takeoff.hardware, *takeoff.concrete, *takeoff.groundwork,
    )  # fmt: skip
    for line in lines:
        # thousandths, since a counter counts in whole numbers
        found[line.item, None, line.unit] += round(1000 * line.quantity)
    return found

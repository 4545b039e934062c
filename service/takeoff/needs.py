"""Hardware that is counted: one need an item and member, summed before it is priced."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from service.contract.report_order import OrderLine, Unpriced
from service.rules.price_book import PriceBook
from service.takeoff.items import is_item
from service.takeoff.parts import item_order
from service.takeoff.pricing import priced, unpriced


class Need(NamedTuple):
    """``quantity`` of one item for one member.

    ``because`` is set where no item code exists for it; ``instead_of`` is the item it replaces.
    """

    item: str
    quantity: float
    member: str
    unit: str = "each"
    because: str = ""
    instead_of: str = ""


def order_lines(
    needs: Iterable[Need], prices: PriceBook | None
) -> tuple[tuple[OrderLine, ...], tuple[Unpriced, ...]]:
    """Return the needs summed by item as order lines, and those without a price or a code by name."""
    groups: dict[str, list[Need]] = {}
    named = cache(is_item)
    nameless: list[Unpriced] = []
    for need in needs:
        if not need.quantity:
            continue
        if named(need.item) and not need.because:
            groups.setdefault(need.item, []).append(need)
        else:
            nameless.append(_nameless(need))
    lines = [_line(item, groups[item], prices) for item in sorted(groups, key=item_order)]
    missing = (unpriced(prices, one.item, one.quantity, one.unit) for one in lines if one.extended is None)
    return tuple(lines), (*(one for one in missing if one), *nameless)


def _line(item: str, needs: list[Need], prices: PriceBook | None) -> OrderLine:
    cost = priced(prices, item, sum(need.quantity for need in needs), needs[0].unit)
    return OrderLine(
        item=item,
        quantity=cost.quantity,
        unit=cost.unit,
        sku=cost.sku,
        unit_price=cost.unit_price,
        extended=cost.extended,
        members=tuple(dict.fromkeys(need.member for need in needs)),
        availability=cost.availability,
    )


def _nameless(need: Need) -> Unpriced:
    because = need.because or f"no item of the order is known by {need.item}"
    return Unpriced(
        item=need.item, quantity=need.quantity, unit=need.unit, because=f"{need.member}: {because}"
    )

"""Money for an order: unit prices with quantity breaks, rounded half up a line, then summed."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from service.contract.money import Money, money, unit_price
from service.contract.report_order import OrderTotal, Unpriced
from service.rules.price_book import PriceBook, PriceLine
from service.units.rounding import money as half_up

# Sold by the pack: the pack quantity is how many are in one. Elsewhere it only says how a supplier stacks them.
PACKED_UNITS = ("box", "roll", "lb")


@dataclass(frozen=True)
class Priced:
    """What one line of an order costs; all but quantity and unit are null where no price is known."""

    quantity: float
    unit: str
    sku: str | None = None
    unit_price: str | None = None
    extended: Money | None = None
    availability: str | None = None


def for_sale(prices: PriceBook | None, item: str) -> tuple[PriceLine, ...]:
    """Return the lines of an item that can be bought, shortest length first."""
    return prices.for_sale(item) if prices else ()


def priced(
    prices: PriceBook | None, item: str, quantity: float, unit: str, length_ft: float | None = None
) -> Priced:
    """Return the quantity to buy in the supplier's own unit, whole packs of it, and what it costs."""
    lines = [line for line in for_sale(prices, item) if line.length_ft == length_ft]
    if prices is None or not lines:
        return Priced(math.ceil(quantity), unit)
    return extended(prices, lines[0], packs(lines[0], quantity))


def packs(line: PriceLine, quantity: float) -> int:
    """Return the whole units of a supplier that hold a quantity: packs where the item is sold by them."""
    pack = line.pack_quantity if line.unit in PACKED_UNITS else None
    return math.ceil(quantity / (pack or 1))


def extended(prices: PriceBook, line: PriceLine, quantity: float) -> Priced:
    """Return ``quantity`` of the supplier's unit priced with its quantity break."""
    price = line.price_at(quantity)
    total = money(prices.currency, line_total(price, quantity))
    return Priced(quantity, line.unit, line.sku, unit_price(price), total, line.availability)


def line_total(price: Decimal, quantity: float) -> Decimal:
    """Return price times quantity, rounded half up to a cent.

    >>> line_total(Decimal("0.0150"), 7), line_total(Decimal("2.3450"), 1)
    (Decimal('0.11'), Decimal('2.35'))
    """
    return half_up(price * Decimal(str(quantity)))


def unpriced(
    prices: PriceBook | None, item: str, quantity: float, unit: str, what: str = ""
) -> Unpriced | None:
    """Return the line that names an item without a price; none without a price book, which prices nothing."""
    if prices is None:
        return None
    out = prices.ladder(item)
    reason = "is out of stock" if out else f"has no price in {prices.id}@{prices.version}"
    return Unpriced(item=item, quantity=quantity, unit=unit, because=f"{item} {reason}{what}")


def total_of(amounts: Iterable[Money | None]) -> Decimal:
    """Return the sum of the amounts that are known."""
    return sum((Decimal(one.amount) for one in amounts if one), Decimal(0))


def order_total(prices: PriceBook, amount: Decimal, complete: bool) -> OrderTotal:
    """Return the total of an order; ``complete`` is false when a line has no price."""
    return OrderTotal(
        currency=prices.currency,
        amount=money(prices.currency, amount).amount,
        complete=complete,
        tax_included=prices.tax_included,
    )

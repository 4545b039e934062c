"""Which item is ordered for one that cannot be had."""

from __future__ import annotations

from service.rules.price_book import PriceBook
from service.takeoff.substitutes import substitutes


def stand_in(prices: PriceBook | None, code: str, length_in: float | None = None) -> str:
    """Return the item to order: the one asked for, else the nearest that may stand in and can be had.

    Where none can be had it is the one asked for, which the order then names as without a price.
    """
    if prices is None or had(prices, code, length_in):
        return code
    return next((one for one in substitutes(code) if had(prices, one, length_in)), code)


def had(prices: PriceBook, code: str, length_in: float | None = None) -> bool:
    """Return whether an item can be had, in a length that holds a piece where one is given."""
    lines = prices.for_sale(code)
    if length_in is None:
        return bool(lines)
    return any(line.length_ft is None or 12 * line.length_ft >= length_in for line in lines)

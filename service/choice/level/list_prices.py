"""What pieces and connectors cost at list price, in whole numbers, each looked up once."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from service.rules.price_book import PriceBook
from service.takeoff.ladders import Ladders, PriceLadder
from service.takeoff.pricing import PACKED_UNITS, for_sale
from service.takeoff.stand_ins import stand_in

MONEY: Final = 10_000  # of the parts money is counted in, so many are one unit of the currency


def whole(amount: Decimal) -> int:
    """Return an amount in 1/10000 of the currency.

    >>> whole(Decimal("12.3456"))
    123456
    """
    return int((amount * MONEY).to_integral_value())


class ListPrices:
    """List prices of one price book in 1/10000 of the currency; null where it has none.

    Without a price book nothing has a price, and boards come in the usual lengths.
    """

    def __init__(self, prices: PriceBook | None) -> None:
        self._prices, self._lengths = prices, Ladders(prices)
        self._ladder = None if prices is None else PriceLadder(prices)
        self._pieces: dict[tuple[str, float], int | None] = {}
        self._each: dict[str, int | None] = {}
        self._longest: dict[str, float] = {}

    def piece(self, item: str, length_in: float) -> int | None:
        """Return the price of one piece: its share of the stock length that makes it cheapest."""
        key = (item, length_in)
        if key not in self._pieces:
            found = None if self._ladder is None else self._ladder.price_per_piece(item, length_in)
            self._pieces[key] = None if found is None else whole(found)
        return self._pieces[key]

    def each(self, item: str) -> int | None:
        """Return the price of one of an item, of a box its share."""
        if item not in self._each:
            line = next(iter(for_sale(self._prices, stand_in(self._prices, item))), None)
            pack = line.pack_quantity if line and line.unit in PACKED_UNITS else None
            self._each[item] = None if line is None else whole(line.unit_price / (pack or 1))
        return self._each[item]

    def longest_in(self, item: str) -> float:
        """Return the longest stock length of an item, or of what stands in for it, in."""
        if item not in self._longest:
            self._longest[item] = self._lengths.longest_in(item)
        return self._longest[item]

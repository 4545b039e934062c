"""What boards and connectors of a price book cost, from its lines alone."""

from __future__ import annotations

import math
from collections import defaultdict
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from service.choice.level.case import Case
from service.takeoff.stand_ins import stand_in

KERF_IN = 0.125


def shared(offers: list[tuple[float, Decimal]], length_in: float) -> Decimal | None:
    """The price of one piece from the length that makes it cheapest: a board gives so many, each with a saw cut."""
    best: Decimal | None = None
    for feet, price in offers:
        pieces = math.floor((12 * feet + KERF_IN) / (length_in + KERF_IN) + 1e-9)
        if pieces:
            each = (price / pieces).quantize(Decimal("0.0001"), ROUND_HALF_UP)
            best = each if best is None else min(best, each)
    return best


class Shop:
    """The price book by item: what can be had."""

    def __init__(self, case: Case) -> None:
        self.book = case.context.prices
        self.lines: dict[str, list[Any]] = defaultdict(list)
        for line in self.book.lines if self.book else ():
            if line.availability != "out":
                self.lines[line.item].append(line)
        self._shares: dict[tuple[str, float], int | None] = {}

    def board(self, item: str, length_in: float) -> int | None:
        """One piece of a board."""
        key = (item, length_in)
        if key not in self._shares:
            code = stand_in(self.book, item, length_in)
            found = shared([(one.length_ft, one.unit_price) for one in self.lines[code]], length_in)
            self._shares[key] = None if found is None else int(found * 10000)
        return self._shares[key]

    def longest_in(self, item: str) -> float:
        """The longest board."""
        if self.book is None:
            return 240.0  # the usual lengths end at 20 ft
        return 12 * max(one.length_ft for one in self.lines[stand_in(self.book, item)])

    def one(self, item: str) -> int | None:
        """One connector; of a box its share."""
        lines = self.lines[stand_in(self.book, item)]
        if not lines:
            return None
        pack = lines[0].pack_quantity if lines[0].unit in ("box", "roll", "lb") else None
        return int((lines[0].unit_price / (pack or 1) * 10000).to_integral_value())


def to_sixteenth(length_in: float) -> float:
    """A cut length."""
    return math.floor(16 * length_in + 0.5) / 16

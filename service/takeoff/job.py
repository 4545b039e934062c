"""A cutting job in whole numbers: lengths in sixteenths of an inch, prices in ten-thousandths of the price unit.

A board takes pieces when their lengths and one saw kerf between neighbours fit; a last cut that leaves an offcut
takes one more kerf out of that offcut.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from service.units.rounding import CUT_FRACTION_IN

Cuts = tuple[int, ...]
Board = tuple[int, Cuts]
Packing = Sequence[Board]
LIST_PRICE_DECIMALS = 4


@dataclass(frozen=True)
class Stock:
    """A length that can be bought, any number of them, at one price a board."""

    length_ft: float
    price: Decimal


@dataclass(frozen=True)
class Job:
    """What is to be cut, and out of what.

    ``stock`` is (length, price) by rising length with no length that costs as much as a longer one.
    ``counts`` is length to number of pieces, by falling length.
    ``usable`` is the least offcut worth keeping, 0 where none is.
    """

    stock: tuple[tuple[int, int], ...]
    counts: tuple[tuple[int, int], ...]
    kerf: int
    usable: int = 0

    @property
    def longest(self) -> int:
        """The longest board."""
        return self.stock[-1][0]

    @property
    def pieces(self) -> list[int]:
        """Every piece by falling length."""
        return [length for length, count in self.counts for _ in range(count)]

    @cached_property
    def prices(self) -> dict[int, int]:
        """The price of each length."""
        return dict(self.stock)

    @cached_property
    def lengths(self) -> list[int]:
        """The stock lengths, rising."""
        return list(self.prices)

    def cheapest(self, used: int) -> int:
        """Return the cheapest stock length that holds ``used``: the first, as price rises with length."""
        return self.lengths[bisect_left(self.lengths, used)]

    def used(self, cuts: Sequence[int]) -> int:
        """Return the length the cuts and the kerfs between them take."""
        return sum(cuts) + self.kerf * (len(cuts) - 1)

    def price(self, cuts: Sequence[int]) -> int:
        """Return the price of the cheapest board these cuts come out of."""
        return self.prices[self.cheapest(self.used(cuts))]

    def board(self, cuts: Sequence[int]) -> Board:
        """Return the cheapest board these cuts come out of, cuts by falling length."""
        return self.cheapest(self.used(cuts)), tuple(sorted(cuts, reverse=True))

    def offcut(self, board: Board) -> int:
        """Return what is left of a board once the last cut has taken its kerf."""
        return max(0, board[0] - self.used(board[1]) - self.kerf)

    def cost(self, packing: Packing) -> int:
        """Return the price of the boards."""
        return sum(self.prices[length] for length, _ in packing)

    def kept(self, packing: Packing) -> list[int]:
        """Return the offcuts worth keeping, longest first."""
        left = (self.offcut(board) for board in packing) if self.usable else ()
        return sorted((rest for rest in left if rest >= self.usable), reverse=True)

    def best(self, packings: Iterable[Packing]) -> Packing:
        """Return the best packing: least cost, then fewest boards to handle, then the longest offcuts worth keeping.

        What still ties is settled by the cuts themselves, so that the choice is the same on every run.
        """
        every = [(self.cost(packing), packing) for packing in packings]
        least = min(cost for cost, _ in every)
        alike = [packing for cost, packing in every if cost == least]
        return alike[0] if len(alike) == 1 else min(alike, key=self._merit)

    def _merit(self, packing: Packing) -> tuple[int, list[int], list[Board]]:
        return len(packing), [-rest for rest in self.kept(packing)], sorted(packing)

    def without(self, packing: Packing) -> Job:
        """Return the job that is left once these boards are cut."""
        left = Counter(dict(self.counts))
        left.subtract(Counter(length for _, cuts in packing for length in cuts))
        counts = tuple((length, left[length]) for length, _ in self.counts if left[length] > 0)
        return Job(self.stock, counts, self.kerf, self.usable)


def sixteenths(length_in: float) -> int:
    """Return a length in sixteenths of an inch.

    >>> sixteenths(140.25)
    2244
    """
    return round(length_in * CUT_FRACTION_IN)


def stock_of(offered: Iterable[Stock]) -> tuple[tuple[int, int], ...]:
    """Return length and price by rising length, without the lengths that cost as much as a longer one.

    >>> stock_of([Stock(8, Decimal(9)), Stock(10, Decimal(12)), Stock(12, Decimal("11.5"))])
    ((1536, 90000), (2304, 115000))
    """
    kept: list[tuple[int, int]] = []
    for offer in sorted(offered, key=lambda o: (-o.length_ft, o.price)):
        price = int(offer.price.scaleb(LIST_PRICE_DECIMALS))
        if not kept or price < kept[-1][1]:
            kept.append((sixteenths(offer.length_ft * 12), price))
    return tuple(reversed(kept))

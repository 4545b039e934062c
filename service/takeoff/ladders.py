"""The stock lengths of every item, from the price book or from common practice, and the price of one piece."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from service.rules.price_book import PriceBook
from service.takeoff.cutting import Saw
from service.takeoff.job import Stock, sixteenths
from service.takeoff.pricing import for_sale
from service.takeoff.stand_ins import stand_in
from service.units.rounding import money as half_up

KERF_IN = 0.125  # common practice
USABLE_OFFCUT_IN = 24.0  # from this length on an offcut of framing wood is kept (convention of this service)
FRAMING_KINDS = ("lumber", "post", "laminated_veneer_lumber", "light_gauge_steel")
USUAL_LENGTHS_FT = (8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0)  # common practice
USUAL_BY_KIND_FT: Mapping[str, tuple[float, ...]] = {
    "post": (8.0, 10.0, 12.0, 16.0),
    "decking": (8.0, 10.0, 12.0, 16.0, 20.0),
    "fascia": (8.0, 12.0),
    "guard": (3.0, 3.5, 8.0, 12.0, 16.0),
    "form": (4.0, 8.0, 10.0, 12.0),
    "ledger_flashing": (10.0,),
    "reinforcement": (10.0, 20.0),
}  # common practice


def saw_of(item: str) -> Saw:
    """Return how boards of an item are cut.

    >>> saw_of("lumber.2x8.a.b.uc3b").usable_in, saw_of("guard.2x2.baluster.wood").usable_in
    (24.0, 0.0)
    """
    kept = item.partition(".")[0] in FRAMING_KINDS
    return Saw(KERF_IN, USABLE_OFFCUT_IN if kept else 0.0)


@dataclass(frozen=True, eq=False)
class Ladder:
    """The stock lengths of one item; ``priced`` is false where they are only the usual ones."""

    stock: tuple[Stock, ...]
    priced: bool

    @property
    def longest_in(self) -> float:
        """The longest length, in."""
        return 12 * max(offer.length_ft for offer in self.stock)


@dataclass(frozen=True, eq=False)
class Ladders:
    """Stock lengths by item, looked up once an item."""

    prices: PriceBook | None
    _found: dict[str, Ladder] = field(default_factory=dict)

    def of(self, item: str) -> Ladder:
        """Return the lengths of an item.

        >>> [offer.length_ft for offer in Ladders(None).of("form.12in.tube").stock]
        [4.0, 8.0, 10.0, 12.0]
        """
        found = self._found.get(item)
        if found is None:
            found = self._found[item] = _ladder(self.prices, item)
        return found

    def longest_in(self, item: str) -> float:
        """Return the longest stock length of an item, or of what stands in for it, in."""
        return self.of(stand_in(self.prices, item)).longest_in


def _ladder(prices: PriceBook | None, item: str) -> Ladder:
    offered = tuple(
        Stock(line.length_ft, line.unit_price)
        for line in for_sale(prices, item)
        if line.length_ft is not None
    )
    if offered:
        return Ladder(offered, priced=True)
    usual = USUAL_BY_KIND_FT.get(item.partition(".")[0], USUAL_LENGTHS_FT)
    # Without prices a board counts by its length, so that the plan wastes least.
    return Ladder(tuple(Stock(length, Decimal(str(length))) for length in usual), priced=False)


class PriceLadder:
    """What one piece costs when it is cut from the stock length that makes it cheapest."""

    def __init__(self, prices: PriceBook) -> None:
        """Read the price book's stock lengths once."""
        self._prices = prices
        self._offers: dict[str, tuple[tuple[float, Decimal], ...]] = {}
        for item in dict.fromkeys(line.item for line in prices.lines if line.length_ft is not None):
            offers = ((line.length_ft, line.unit_price) for line in for_sale(prices, item))
            self._offers[item] = tuple((ft, price) for ft, price in offers if ft)

    def price_per_piece(self, item: str, length_in: float) -> Decimal | None:
        """Return the price of one piece, of what stands in for the item too; None where no priced length holds it."""
        code = stand_in(self._prices, item, length_in)
        return share_of_board(self._offers.get(code, ()), length_in)


def share_of_board(offers: Iterable[tuple[float, Decimal]], length_in: float) -> Decimal | None:
    """Return what one piece costs from lengths in ft and their prices, or None where none holds it.

    A length that yields several pieces is shared among them, kerfs counted; left over is wasted.

    >>> share_of_board([(8.0, Decimal(9)), (16.0, Decimal(15))], 94.0)
    Decimal('7.5000')
    """
    kerf = sixteenths(KERF_IN)
    need = sixteenths(length_in) + kerf
    boards = [(sixteenths(feet * 12) + kerf, price) for feet, price in offers]
    shares = [price / (length // need) for length, price in boards if length >= need]
    return half_up(min(shares), 4) if shares else None

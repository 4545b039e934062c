"""Cutting stock: which boards to buy for a list of pieces, how to cut each, and a bound no plan can beat.

Lengths are whole sixteenths of an inch inside. A board takes pieces when their lengths and one saw kerf
between neighbours fit; a last cut that leaves an offcut takes one more kerf out of that offcut.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import partial

from service.takeoff.filling import Fill, fills
from service.units.rounding import CUT_FRACTION_IN

Board = tuple[int, tuple[int, ...]]
Packing = list[Board]
LIST_PRICE_DECIMALS = 4
# What a filled length is taken to be worth against the best price by length: each value is one greedy pass.
WORTH_OF_LENGTH = (0.85, 0.95, 1.0, 1.05)


@dataclass(frozen=True)
class Demand:
    """Like pieces to be cut."""

    piece: str
    length_in: float
    quantity: int


@dataclass(frozen=True)
class Stock:
    """A length that can be bought, any number of them, at one price a board."""

    length_ft: float
    price: Decimal


@dataclass(frozen=True)
class CutBoard:
    """``count`` boards cut alike; ``cuts`` are (piece, length in inches) from one end."""

    length_ft: float
    count: int
    cuts: tuple[tuple[str, float], ...]
    offcut_in: float


@dataclass(frozen=True)
class CutPlan:
    """The boards to buy, their list price, a proven lower bound, and the pieces no stock length holds."""

    boards: tuple[CutBoard, ...]
    cost: Decimal
    bound: Decimal
    too_long: tuple[Demand, ...]


@dataclass(frozen=True)
class Job:
    """One cutting job in sixteenths of an inch and ten-thousandths of the price unit.

    ``stock`` is (length, price) by rising length with no length that costs as much as a longer one.
    ``counts`` is length to number of pieces, by falling length.
    """

    stock: tuple[tuple[int, int], ...]
    counts: tuple[tuple[int, int], ...]
    kerf: int

    @property
    def longest(self) -> int:
        """The longest board."""
        return self.stock[-1][0]

    @property
    def pieces(self) -> list[int]:
        """Every piece by falling length."""
        return [length for length, count in self.counts for _ in range(count)]

    def cheapest(self, used: int) -> tuple[int, int]:
        """Return the cheapest stock that holds ``used``: the first, as price rises with length."""
        return next(offer for offer in self.stock if offer[0] >= used)

    def used(self, cuts: tuple[int, ...]) -> int:
        """Return the length the cuts and the kerfs between them take."""
        return sum(cuts) + self.kerf * (len(cuts) - 1)


def plan(demands: Iterable[Demand], stock: Iterable[Stock], kerf_in: float) -> CutPlan:
    """Return the cheapest of several greedy cutting plans, with a lower bound on the cost of any plan.

    Args:
        demands: Pieces wanted; lengths are taken to the nearest 1/16 in.
        stock: Lengths that can be bought.
        kerf_in: What one saw cut takes, in.

    Returns:
        The plan; pieces longer than every stock length stand in ``too_long`` and are in no board.

    >>> found = plan([Demand("p", 94.0, 4)], [Stock(8, Decimal(9)), Stock(16, Decimal(15))], 0.125)
    >>> [(b.length_ft, b.count, len(b.cuts)) for b in found.boards], found.cost
    ([(16.0, 2, 2)], Decimal('30.0000'))
    """
    wanted, offered = tuple(demands), tuple(stock)
    longest = max((_sixteenths(offer.length_ft * 12) for offer in offered), default=0)
    fitting = [d for d in wanted if _sixteenths(d.length_in) <= longest]
    too_long = tuple(d for d in wanted if _sixteenths(d.length_in) > longest)
    job = _job(fitting, offered, _sixteenths(kerf_in))
    if not job.counts:
        return CutPlan((), Decimal(0), Decimal(0), too_long)
    packing = min(_packings(job), key=lambda found: _merit(job, found))
    return CutPlan(
        _boards(job, packing, fitting), _decimal(_cost(job, packing)), _decimal(lower_bound(job)), too_long
    )


def _sixteenths(length_in: float) -> int:
    return round(length_in * CUT_FRACTION_IN)


def _decimal(price: int) -> Decimal:
    return Decimal(price).scaleb(-LIST_PRICE_DECIMALS)


def _job(demands: list[Demand], offered: tuple[Stock, ...], kerf: int) -> Job:
    counts: Counter[int] = Counter()
    for demand in demands:
        counts[_sixteenths(demand.length_in)] += demand.quantity
    wanted = tuple((length, counts[length]) for length in sorted(counts, reverse=True) if counts[length])
    return Job(_undominated(offered), wanted, kerf)


def _undominated(offered: tuple[Stock, ...]) -> tuple[tuple[int, int], ...]:
    kept: list[tuple[int, int]] = []
    for offer in sorted(offered, key=lambda o: -o.length_ft):
        price = int(offer.price.scaleb(LIST_PRICE_DECIMALS))
        if not kept or price < kept[-1][1]:
            kept.append((_sixteenths(offer.length_ft * 12), price))
    return tuple(reversed(kept))


def _packings(job: Job) -> Iterable[Packing]:
    for length, _ in job.stock:
        yield _trimmed(job, _best_fit(job, length))
    for score in _scores(job):
        yield _best_fill(job, score)


def _best_fit(job: Job, opener: int) -> list[list[int]]:
    """Each piece, longest first, goes where it leaves least; a new one is ``opener`` long if that will do."""
    boards: list[list[int]] = []
    left: list[int] = []
    for piece in job.pieces:
        room = [(left[i], i) for i in range(len(boards)) if left[i] >= piece + job.kerf]
        if room:
            rest, place = min(room)
            boards[place].append(piece)
            left[place] = rest - piece - job.kerf
        else:
            boards.append([piece])
            left.append((opener if opener >= piece else job.cheapest(piece)[0]) - piece)
    return boards


def _trimmed(job: Job, boards: list[list[int]]) -> Packing:
    return [(job.cheapest(job.used(tuple(cuts)))[0], tuple(cuts)) for cuts in boards]


def _scores(job: Job) -> Iterable[Callable[[Fill], float]]:
    prices = dict(job.stock)
    lowest = min(price / length for length, price in job.stock)
    yield lambda fill: prices[fill.stock] / fill.used
    for share in WORTH_OF_LENGTH:
        yield partial(_loss, prices, lowest * share)


def _loss(prices: Mapping[int, int], worth: float, fill: Fill) -> float:
    return prices[fill.stock] - worth * fill.used


def _best_fill(job: Job, score: Callable[[Fill], float]) -> Packing:
    """Cut the longest piece left with the best filling round it, from the stock length that scores best."""
    left = dict(job.counts)
    packing: Packing = []
    while left:
        best = min(fills(left, [length for length, _ in job.stock], job.kerf), key=score)
        uses = Counter(best.cuts)
        times = min(left[length] // uses[length] for length in uses)
        packing += [(job.cheapest(job.used(best.cuts))[0], best.cuts)] * times
        left = {n: left[n] - times * uses[n] for n in left if left[n] > times * uses[n]}
    return packing


def _cost(job: Job, packing: Packing) -> int:
    prices = dict(job.stock)
    return sum(prices[length] for length, _ in packing)


def _merit(job: Job, packing: Packing) -> tuple[int, int, int, Packing]:
    return _cost(job, packing), sum(length for length, _ in packing), len(packing), sorted(packing)


def lower_bound(job: Job) -> int:
    """Return a price no cutting plan can be under, the greater of two arguments.

    Length: each piece with its kerf costs at least its share of the best-value board. Pieces: two pieces that
    do not fit the longest board together need a board each, at least the cheapest that holds them.
    """
    by_length = min(
        price * sum((length + job.kerf) * count for length, count in job.counts) // (stock + job.kerf)
        for stock, price in job.stock
    )
    alone = [(n, count) for n, count in job.counts if 2 * n + job.kerf > job.longest]
    by_piece = sum(job.cheapest(length)[1] * count for length, count in alone)
    return max(by_length, by_piece)


def _boards(job: Job, packing: Packing, demands: list[Demand]) -> tuple[CutBoard, ...]:
    queues: dict[int, list[str]] = {}
    for demand in demands:
        queues.setdefault(_sixteenths(demand.length_in), []).extend([demand.piece] * demand.quantity)
    cut = Counter(
        (length, tuple((queues[n].pop(0), n) for n in sorted(cuts, reverse=True)))
        for length, cuts in sorted(packing, key=lambda board: (-board[0], [-n for n in board[1]]))
    )
    return tuple(_board(job, length, cuts, count) for (length, cuts), count in cut.items())


def _board(job: Job, length: int, cuts: tuple[tuple[str, int], ...], count: int) -> CutBoard:
    rest = length - job.used(tuple(n for _, n in cuts))
    return CutBoard(
        length / (12 * CUT_FRACTION_IN),
        count,
        tuple((piece, n / CUT_FRACTION_IN) for piece, n in cuts),
        max(0, rest - job.kerf) / CUT_FRACTION_IN,
    )

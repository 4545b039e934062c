"""Cutting stock: which boards to buy for a list of pieces, how to cut each, and a bound no plan can beat."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.takeoff.job import LIST_PRICE_DECIMALS, Job, Packing, Stock, sixteenths, stock_of
from service.takeoff.plans import cheapest
from service.units.rounding import CUT_FRACTION_IN


@dataclass(frozen=True)
class Demand:
    """Like pieces to be cut."""

    piece: str
    length_in: float
    quantity: int


@dataclass(frozen=True)
class Saw:
    """How boards are cut: what one saw cut takes, and from what length on an offcut is kept; 0 where none is, in."""

    kerf_in: float
    usable_in: float = 0.0


@dataclass(frozen=True)
class CutBoard:
    """``count`` boards cut alike; ``cuts`` are (piece, length in inches) from one end."""

    length_ft: float
    count: int
    cuts: tuple[tuple[str, float], ...]
    offcut_in: float
    usable: bool


@dataclass(frozen=True)
class CutPlan:
    """The boards to buy, their list price, a proven lower bound, and the pieces no stock length holds."""

    boards: tuple[CutBoard, ...]
    cost: Decimal
    bound: Decimal
    too_long: tuple[Demand, ...]


def plan(demands: Iterable[Demand], stock: Iterable[Stock], saw: Saw) -> CutPlan:
    """Return a cutting plan of least cost or near it, with a lower bound on the cost of any plan.

    Args:
        demands: Pieces wanted; lengths are taken to the nearest 1/16 in.
        stock: Lengths that can be bought.
        saw: Kerf, and the least offcut worth keeping, in.

    Returns:
        The plan; pieces longer than every stock length stand in ``too_long`` and are in no board.

    >>> eight, sixteen = Stock(8, Decimal(9)), Stock(16, Decimal(15))
    >>> found = plan([Demand("p", 94.0, 5)], [eight, sixteen], Saw(0.125))
    >>> [(b.length_ft, b.count, len(b.cuts)) for b in found.boards], found.cost, found.bound
    ([(16.0, 2, 2), (8.0, 1, 1)], Decimal('39.0000'), Decimal('39.0000'))
    """
    wanted, offered = tuple(demands), stock_of(stock)
    longest = offered[-1][0] if offered else 0
    fitting = [d for d in wanted if sixteenths(d.length_in) <= longest]
    too_long = tuple(d for d in wanted if sixteenths(d.length_in) > longest)
    job = _job(fitting, offered, saw)
    if not job.counts:
        return CutPlan((), Decimal(0), Decimal(0), too_long)
    found = cheapest(job)
    cost, bound = (_decimal(price) for price in (job.cost(found.packing), found.bound))
    return CutPlan(_boards(job, found.packing, fitting), cost, bound, too_long)


def least_price(lengths_in: Mapping[float, int], stock: Iterable[Stock], saw: Saw) -> float:
    """Return the list price of the boards for so many pieces of each length; infinite where a length is too long.

    >>> least_price({94.0: 5}, [Stock(8, Decimal(9)), Stock(16, Decimal(15))], Saw(0.125))
    39.0
    """
    demands = [Demand("", length, count) for length, count in lengths_in.items() if count]
    job = _job(demands, stock_of(stock), saw)
    if not job.counts:
        return 0.0
    if not job.stock or job.counts[0][0] > job.longest:
        return math.inf
    return float(_decimal(job.cost(cheapest(job).packing)))


def share_of_price(length_in: float, stock: Iterable[Stock], saw: Saw) -> float:
    """Return what a piece costs as its share of the board that makes it cheapest; infinite where none holds it.

    >>> share_of_price(94.0, [Stock(8, Decimal(9)), Stock(16, Decimal(15))], Saw(0.125))
    7.5
    """
    room, kerf = sixteenths(length_in), sixteenths(saw.kerf_in)
    holds = ((offer, (sixteenths(offer.length_ft * 12) + kerf) // (room + kerf)) for offer in stock)
    return min((float(offer.price) / count for offer, count in holds if count), default=math.inf)


def _job(demands: Iterable[Demand], offered: tuple[tuple[int, int], ...], saw: Saw) -> Job:
    counts: Counter[int] = Counter()
    for demand in demands:
        counts[sixteenths(demand.length_in)] += demand.quantity
    wanted = tuple((length, counts[length]) for length in sorted(counts, reverse=True) if counts[length])
    return Job(offered, wanted, sixteenths(saw.kerf_in), sixteenths(saw.usable_in))


def _decimal(price: int) -> Decimal:
    return Decimal(price).scaleb(-LIST_PRICE_DECIMALS)


def _boards(job: Job, packing: Packing, demands: Iterable[Demand]) -> tuple[CutBoard, ...]:
    queues: dict[int, list[str]] = {}
    for demand in demands:
        queues.setdefault(sixteenths(demand.length_in), []).extend([demand.piece] * demand.quantity)
    cut = Counter(
        (length, tuple((queues[n].pop(0), n) for n in sorted(cuts, reverse=True)))
        for length, cuts in sorted(packing, key=lambda board: (-board[0], [-n for n in board[1]]))
    )
    return tuple(_board(job, length, cuts, count) for (length, cuts), count in cut.items())


def _board(job: Job, length: int, cuts: tuple[tuple[str, int], ...], count: int) -> CutBoard:
    rest = job.offcut((length, tuple(n for _, n in cuts)))
    return CutBoard(
        length / (12 * CUT_FRACTION_IN),
        count,
        tuple((piece, n / CUT_FRACTION_IN) for piece, n in cuts),
        rest / CUT_FRACTION_IN,
        usable=0 < job.usable <= rest,
    )

"""From pieces to boards: one cutting plan an item, the boards bought for it, and what cannot be bought."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from service.contract.money import amount, money, unit_price
from service.contract.report_order import (
    Cut,
    CuttingBound,
    CuttingLine,
    Piece,
    StockLine,
    StockOffered,
    Unpriced,
)
from service.rules.price_book import PriceBook
from service.takeoff.cutting import CutPlan, Demand, plan
from service.takeoff.ladders import FRAMING_KINDS, Ladder, Ladders, saw_of
from service.takeoff.pricing import priced, unpriced


@dataclass(frozen=True)
class Boards:
    """The boards of one item: what to buy, how to cut it, and what no price or length was found for."""

    item: str
    ladder: Ladder
    plan: CutPlan
    stock: tuple[StockLine, ...]
    unpriced: tuple[Unpriced, ...]


def boards_for(pieces: Iterable[Piece], ladders: Ladders) -> tuple[Boards, ...]:
    """Return the boards of every item, in the order the items come."""
    by_item: dict[str, list[Piece]] = {}
    for piece in pieces:
        by_item.setdefault(piece.item, []).append(piece)
    return tuple(_boards(item, wanted, ladders) for item, wanted in by_item.items())


def _boards(item: str, pieces: Iterable[Piece], ladders: Ladders) -> Boards:
    ladder = ladders.of(item)
    demands = (Demand(piece.id, piece.length_in, piece.quantity) for piece in pieces)
    found = plan(demands, ladder.stock, saw_of(item))
    counts: Counter[float] = Counter()
    for board in found.boards:
        counts[board.length_ft] += board.count
    stock = tuple(_stock_line(ladders.prices, item, length, counts[length]) for length in sorted(counts))
    nameless = [_without_price(ladders.prices, line) for line in stock if line.extended is None]
    too_long = [_too_long(item, demand, ladder) for demand in found.too_long]
    return Boards(item, ladder, found, stock, tuple(one for one in (*nameless, *too_long) if one))


def _stock_line(prices: PriceBook | None, item: str, length_ft: float, count: int) -> StockLine:
    cost = priced(prices, item, count, "piece", length_ft)
    return StockLine(
        item=item,
        length_ft=length_ft,
        quantity=count,
        sku=cost.sku,
        unit_price=cost.unit_price,
        extended=cost.extended,
        availability=cost.availability,
    )


def _without_price(prices: PriceBook | None, line: StockLine) -> Unpriced | None:
    return unpriced(
        prices, line.item, line.quantity, "piece", f"; counted in the usual {line.length_ft:g} ft"
    )


def _too_long(item: str, demand: Demand, ladder: Ladder) -> Unpriced:
    because = (
        f"a piece of {demand.length_in:g} in is longer than the longest stock length of {item}, "
        f"{ladder.longest_in / 12:g} ft"
    )
    return Unpriced(item=item, quantity=demand.quantity, unit="piece", because=because)


def cutting_lines(boards: Iterable[Boards]) -> tuple[CuttingLine, ...]:
    """Return how every board is cut."""
    return tuple(
        CuttingLine(
            item=one.item,
            length_ft=board.length_ft,
            count=board.count,
            cuts=tuple(Cut(piece=piece, length_in=length) for piece, length in board.cuts),
            offcut_in=board.offcut_in,
            usable_offcut=board.usable,
        )
        for one in boards
        for board in one.plan.boards
    )


def offered(boards: Iterable[Boards]) -> tuple[StockOffered, ...]:
    """Return the stock lengths with prices that the plans chose from."""
    return tuple(
        StockOffered(item=one.item, length_ft=offer.length_ft, unit_price=unit_price(offer.price))
        for one in boards
        if one.ladder.priced
        for offer in one.ladder.stock
    )


def cutting_bound(prices: PriceBook | None, boards: Iterable[Boards]) -> CuttingBound | None:
    """Return list cost and proven bound over the priced items, or None where nothing has a price.

    Cost is before quantity breaks; the bound is cut down to a whole cent so that it stays one.
    """
    plans = [one.plan for one in boards if one.ladder.priced and one.plan.boards]
    if prices is None or not plans:
        return None
    cost = sum((one.cost for one in plans), Decimal(0))
    bound = sum((one.bound for one in plans), Decimal(0)).quantize(Decimal("0.01"), rounding=ROUND_DOWN)
    gap = float((Decimal(amount(cost)) - bound) / bound * 100) if bound else 0.0
    return CuttingBound(
        cost=money(prices.currency, cost), bound=money(prices.currency, bound), gap_percent=gap
    )


def waste_percent(boards: Iterable[Boards]) -> float:
    """Return what share of the framing lumber and posts bought is not in a piece, percent."""
    plans = [one.plan for one in boards if one.item.partition(".")[0] in FRAMING_KINDS]
    bought = sum(12 * board.length_ft * board.count for one in plans for board in one.boards)
    used = sum(length * board.count for one in plans for board in one.boards for _, length in board.cuts)
    return 100 * (bought - used) / bought if bought else 0.0

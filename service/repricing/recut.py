"""The pieces of an order cut anew: what the listed boards cost now against the cheapest ones for the same pieces."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from service.contract.money import money
from service.contract.report_order import Piece, Takeoff
from service.contract.repricing import LineGiven, PieceGiven
from service.contract.repricing_answer import LeftOut, Recut, RecutBoard
from service.repricing.lines import repriced_lines
from service.rules.price_book import PriceBook
from service.takeoff.boards import Boards, boards_for
from service.takeoff.ladders import Ladders
from service.takeoff.pricing import total_of


def recut(lines: Iterable[LineGiven], pieces: Sequence[PieceGiven], prices: PriceBook) -> Recut | None:
    """Return the listed boards against a new cutting plan, or None where no pieces are given.

    Only right where ``pieces`` are all that is cut from the boards in ``lines``: spare boards in an order would
    look like a saving.
    """
    if not pieces:
        return None
    listed: dict[str, list[LineGiven]] = {}
    for line in lines:
        if line.length_ft is not None:
            listed.setdefault(line.item, []).append(line)
    plans = boards_for(_pieces(pieces), Ladders(prices))
    left_out = [LeftOut(one.item, why) for one in plans if (why := _why_not(one, listed))]
    judged = [one for one in plans if not _why_not(one, listed)]
    costs = {one.item: _as_listed(listed[one.item], prices) for one in judged}
    both = [one for one in judged if costs[one.item] is not None]
    before = sum((costs[one.item] or Decimal(0) for one in both), Decimal(0))
    after = total_of(line.extended for one in both for line in one.stock)
    return Recut(
        cost_as_listed=money(prices.currency, before),
        cost_recut=money(prices.currency, after),
        saving=money(prices.currency, before - after),
        only_recut=tuple(one.item for one in judged if costs[one.item] is None),
        left_out=tuple(left_out),
        boards=tuple(board for one in judged for board in _boards(one)),
    )


def _pieces(given: Iterable[PieceGiven]) -> Iterable[Piece]:
    for number, one in enumerate(given, start=1):
        yield Piece(
            id=f"p{number}",
            item=one.item,
            length_in=one.length_in,
            quantity=one.quantity,
            end_cuts=(),
            members=(),
        )


def _why_not(one: Boards, listed: dict[str, list[LineGiven]]) -> str:
    if one.item not in listed:
        return f"no line lists boards of {one.item}"
    if not one.ladder.priced:
        return f"{one.item} cannot be bought in any length"
    return one.unpriced[0].because if one.unpriced else ""


def _as_listed(lines: Iterable[LineGiven], prices: PriceBook) -> Decimal | None:
    """What the boards of one item cost in the lengths listed; none where one of them cannot be bought."""
    found = [line.now.extended if line.now else None for line in repriced_lines(lines, prices)]
    return None if None in found else total_of(found)


def _boards(one: Boards) -> Iterable[RecutBoard]:
    for board in one.plan.boards:
        yield RecutBoard(
            item=one.item,
            length_ft=board.length_ft,
            count=board.count,
            cuts_in=tuple(length for _, length in board.cuts),
            offcut_in=board.offcut_in,
        )


def pieces_of(takeoff: Takeoff) -> tuple[PieceGiven, ...]:
    """Return the pieces of a takeoff as pieces that can be cut again."""
    return tuple(PieceGiven(item=x.item, length_in=x.length_in, quantity=x.quantity) for x in takeoff.pieces)

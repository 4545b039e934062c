"""The pieces of an order cut anew: what the listed boards cost now against the cheapest ones for the same pieces."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import accumulate

from service.contract.money import money
from service.contract.report_order import Piece, Takeoff
from service.contract.repricing import PieceGiven
from service.contract.repricing_answer import LeftOut, Recut, RecutBoard
from service.repricing.lines import RepricedLine
from service.rules.price_book import PriceBook
from service.takeoff.boards import Boards, boards_for
from service.takeoff.job import sixteenths
from service.takeoff.ladders import KERF_IN, Ladders
from service.takeoff.pricing import total_of


def recut(lines: Iterable[RepricedLine], pieces: Sequence[PieceGiven], prices: PriceBook) -> Recut | None:
    """Return the listed boards against a new cutting plan, or None where no pieces are given.

    Only right where ``pieces`` are all that is cut from the boards in ``lines``: spare boards in an order would
    look like a saving. Boards that surely do not hold the pieces are compared with nothing.
    """
    if not pieces:
        return None
    listed: dict[str, list[RepricedLine]] = {}
    for line in lines:
        if line.given.length_ft is not None:
            listed.setdefault(line.given.item, []).append(line)
    plans = boards_for(_pieces(pieces), Ladders(prices))
    left_out = [LeftOut(one.item, why) for one in plans if (why := _why_not(one, listed))]
    judged = [one for one in plans if not _why_not(one, listed)]
    bought = [one for one in judged if all(line.now and line.now.extended for line in listed[one.item])]
    both = [one for one in bought if _may_hold(listed[one.item], one)]
    held = {one.item for one in both}
    before = total_of(line.now.extended for one in both for line in listed[one.item] if line.now)
    after = total_of(line.extended for one in both for line in one.stock)
    return Recut(
        cost_as_listed=money(prices.currency, before),
        cost_recut=money(prices.currency, after),
        saving=money(prices.currency, before - after),
        only_recut=tuple(one.item for one in judged if one.item not in held),
        left_out=tuple(left_out),
        boards=tuple(board for one in judged for board in _boards(one)),
        because=_because([one.item for one in bought if one.item not in held], before < after),
    )


def _may_hold(lines: Iterable[RepricedLine], one: Boards) -> bool:
    """Whether listed boards may hold the pieces of a plan; False is proven, by length or by count.

    By count: a board of length L holds no more than floor((L + kerf) / (t + kerf)) pieces of t and longer.
    """
    kerf = sixteenths(KERF_IN)
    boards = [
        (sixteenths(12 * line.given.length_ft) + kerf, int(line.now.quantity))
        for line in lines
        if line.given.length_ft and line.now
    ]
    pieces: Counter[int] = Counter()
    for board in one.plan.boards:
        for _, length_in in board.cuts:
            pieces[sixteenths(length_in) + kerf] += board.count
    by_length = sum(length * count for length, count in pieces.items())
    if by_length > sum(length * count for length, count in boards):
        return False
    longest_first = sorted(pieces, reverse=True)
    up_to = accumulate(pieces[length] for length in longest_first)
    return all(
        count <= sum(board // length * many for board, many in boards)
        for length, count in zip(longest_first, up_to, strict=True)
    )


def _because(short: Sequence[str], list_costs_less: bool) -> str:
    found = [f"the boards listed of {', '.join(short)} do not hold the pieces"] if short else []
    if list_costs_less:
        found.append(
            "as listed the boards cost less: a quantity break, which a cutting plan does not go by, or boards too "
            "few for the pieces"
        )
    return "; ".join(found)


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


def _why_not(one: Boards, listed: dict[str, list[RepricedLine]]) -> str:
    if one.item not in listed:
        return f"no line lists boards of {one.item}"
    if not one.ladder.priced:
        return f"{one.item} cannot be bought in any length"
    return one.unpriced[0].because if one.unpriced else ""


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

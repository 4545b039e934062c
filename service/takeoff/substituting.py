"""What the order has in place of what cannot be had, and what that costs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from functools import cache, partial

from service.contract.money import Money, money
from service.contract.report_order import Piece, Substitution
from service.rules.price_book import PriceBook
from service.takeoff.boards import Boards
from service.takeoff.cutting import Demand, plan
from service.takeoff.job import Stock
from service.takeoff.ladders import saw_of, share_of_board
from service.takeoff.nailing import CONNECTOR_NAILS, SHORT_NAILS
from service.takeoff.needs import Need
from service.takeoff.parts import Part
from service.takeoff.pricing import for_sale, line_total, packs
from service.takeoff.stand_ins import stand_in
from service.takeoff.substitutes import coating_of


def bought_parts(parts: Iterable[Part], prices: PriceBook | None) -> Iterator[Part]:
    """Yield every part in what it is ordered of; ``instead_of`` keeps what it was to be."""
    for part in parts:
        code = stand_in(prices, part.item, part.length_in)
        yield part if code == part.item else part._replace(item=code, instead_of=part.item)


def bought_needs(needs: Iterable[Need], prices: PriceBook | None) -> Iterator[Need]:
    """Yield every need in what it is ordered of; ``instead_of`` keeps what it was to be."""
    instead = cache(partial(stand_in, prices))
    for need in needs:
        code = need.item if need.because else instead(need.item)
        yield need if code == need.item else need._replace(item=code, instead_of=need.item)


def substitutions(
    parts: Iterable[Part],
    needs: Iterable[Need],
    boards: Iterable[Boards],
    pieces: Sequence[Piece],
    prices: PriceBook | None,
) -> tuple[Substitution, ...]:
    """Return what was replaced: boards and posts, then hardware, then stock lengths that are out."""
    if prices is None:
        return ()
    return (
        *_of_parts([part for part in parts if part.instead_of and part.quantity], prices),
        *_of_needs([need for need in needs if need.instead_of and need.quantity], prices),
        *(one for found in boards for one in _of_lengths(found, pieces, prices)),
    )


def _of_parts(parts: Sequence[Part], prices: PriceBook) -> Iterator[Substitution]:
    for pair in dict.fromkeys((part.instead_of, part.item) for part in parts):
        group = [part for part in parts if (part.instead_of, part.item) == pair]
        old, new = (_listed(prices, code, group) for code in pair)
        yield Substitution(
            item=pair[0],
            instead=pair[1],
            because=_because(prices, *pair, max(part.length_in for part in group)),
            quantity=sum(part.quantity for part in group),
            unit="piece",
            cost_difference=None if old is None or new is None else _difference(prices, new - old),
            members=tuple(dict.fromkeys(part.member for part in group)),
        )


def _listed(prices: PriceBook, code: str, parts: Iterable[Part]) -> Decimal | None:
    """What parts cost at list price cut from an item, out of stock or not; None where one has no price."""
    offers = [(one.length_ft, one.unit_price) for one in prices.ladder(code) if one.length_ft is not None]
    total = Decimal(0)
    for part in parts:
        share = share_of_board(offers, part.length_in)
        if share is None:
            return None
        total += part.quantity * share
    return total


def _of_needs(needs: Sequence[Need], prices: PriceBook) -> Iterator[Substitution]:
    for pair in dict.fromkeys((need.instead_of, need.item) for need in needs):
        group = [need for need in needs if (need.instead_of, need.item) == pair]
        quantity = sum(need.quantity for need in group)
        old, new = (_at_list(prices, code, quantity) for code in pair)
        yield Substitution(
            item=pair[0],
            instead=pair[1],
            because=_because(prices, *pair) + _nails_too(*pair),
            quantity=quantity,
            unit=group[0].unit,
            cost_difference=None if old is None or new is None else _difference(prices, new - old),
            members=tuple(dict.fromkeys(need.member for need in group)),
        )


def _nails_too(item: str, instead: str) -> str:
    """A connector of another metal is nailed with that metal: those nails are another line, at their own price."""
    nailed = any(item.startswith(f"{kind}.") for kind in (*CONNECTOR_NAILS, *SHORT_NAILS))
    changed = nailed and coating_of(item) != coating_of(instead)
    return "; its nails change with it, on a line of their own" if changed else ""


def _at_list(prices: PriceBook, code: str, quantity: float) -> Decimal | None:
    """What a quantity costs, out of stock or not."""
    line = next(iter(prices.ladder(code)), None)
    if line is None:
        return None
    count = packs(line, quantity)
    return line_total(line.price_at(count), count)


def _because(prices: PriceBook, item: str, instead: str, longest_in: float | None = None) -> str:
    if for_sale(prices, item):
        why = f"no length of {item} in stock holds a piece of {longest_in:g} in"
    else:
        why = (
            f"{item} is out of stock"
            if prices.ladder(item)
            else f"{prices.id}@{prices.version} does not sell {item}"
        )
    return f"{why}; {instead} is of the same or a better class"


def _of_lengths(boards: Boards, pieces: Sequence[Piece], prices: PriceBook) -> Iterator[Substitution]:
    """Where a stock length that is out would have made the boards cheaper: it is cut from others."""
    if not boards.ladder.priced:
        return
    wanted = [Demand(one.id, one.length_in, one.quantity) for one in pieces if one.item == boards.item]
    # What no length in stock holds is named as that; here it would make two plans of different pieces.
    wanted = [one for one in wanted if one.length_in <= boards.ladder.longest_in]
    used = ", ".join(f"{length:g} ft" for length in sorted({one.length_ft for one in boards.plan.boards}))
    for line in prices.ladder(boards.item):
        if line.availability != "out" or line.length_ft is None:
            continue
        stock = (*boards.ladder.stock, Stock(line.length_ft, line.unit_price))
        wished = plan(wanted, stock, saw_of(boards.item))
        count = sum(one.count for one in wished.boards if one.length_ft == line.length_ft)
        if count and wished.cost < boards.plan.cost:
            yield Substitution(
                item=boards.item,
                instead=boards.item,
                because=f"{line.length_ft:g} ft of {boards.item} is out of stock; the pieces are cut from {used}",
                length_ft=line.length_ft,
                quantity=count,
                unit="piece",
                cost_difference=_difference(prices, boards.plan.cost - wished.cost),
                members=tuple(
                    dict.fromkeys(m for one in pieces if one.item == boards.item for m in one.members)
                ),
            )


def _difference(prices: PriceBook, amount: Decimal) -> Money:
    return money(prices.currency, amount)

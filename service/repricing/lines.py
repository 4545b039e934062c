"""The lines of an order at the prices of a book, beside what they came to before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import cast

from service.contract.money import Money, money
from service.contract.price_book import QuantityUnit
from service.contract.report_order import Takeoff, Unpriced
from service.contract.repricing import LineGiven
from service.contract.repricing_answer import MovedLine
from service.repricing.quantities import joined, on_sale, quantity_in
from service.rules.price_book import PriceBook, PriceLine
from service.takeoff.groundwork import SPOIL
from service.takeoff.pricing import Priced, extended, line_total

MOST_MOVED = 5


@dataclass(frozen=True)
class RepricedLine:
    """A line of an order; ``now`` is what it costs, or else ``because`` says why that is not known.

    ``before`` is what the same line came to, null where nobody says.
    """

    given: LineGiven
    now: Priced | None
    before: Decimal | None = None
    because: str = ""


def repriced_lines(
    lines: Iterable[LineGiven],
    prices: PriceBook,
    previous: PriceBook | None = None,
    counted_by: PriceBook | None = None,
) -> tuple[RepricedLine, ...]:
    """Return every line priced by ``prices``, like lines as one, in the order given.

    Args:
        lines: an order
        prices: the book to price by
        previous: the book the order was quoted from, where it is known: lines without an amount of their own are
            compared with it
        counted_by: the book in whose units and packs quantities are; ``previous`` unless given
    """
    counted = counted_by or previous
    return tuple(_repriced(one, prices, previous, counted) for one in joined(lines, prices, counted))


def _repriced(
    given: LineGiven, prices: PriceBook, previous: PriceBook | None, counted_by: PriceBook | None
) -> RepricedLine:
    counted = on_sale(counted_by, given)
    before = _before(given, previous, counted)
    line = on_sale(prices, given)
    if line is None:
        return RepricedLine(given, None, before, _missing(given, prices))
    quantity = None if given.unit is None else quantity_in(line, given, counted)
    if quantity is None:
        return RepricedLine(given, None, before, _in_no_unit(given, line))
    return RepricedLine(given, extended(prices, line, quantity), before)


def _before(given: LineGiven, previous: PriceBook | None, counted: PriceLine | None) -> Decimal | None:
    if given.previous_extended is not None:
        return Decimal(given.previous_extended.amount)
    then = on_sale(previous, given)
    quantity = None if then is None or given.unit is None else quantity_in(then, given, counted)
    return None if then is None or quantity is None else line_total(then.price_at(quantity), quantity)


def _in_no_unit(given: LineGiven, line: PriceLine) -> str:
    pack = f"{line.unit} of {line.pack_quantity}" if line.pack_quantity else line.unit
    if given.unit is None:
        return f"{_name(given)} is sold by the {pack}: say the unit of the quantity"
    return f"{_name(given)} is sold by the {line.unit}, and the quantity is by the {given.unit}"


def _missing(given: LineGiven, prices: PriceBook) -> str:
    if prices.line(given.item, given.length_ft) is not None:
        return f"{_name(given)} is out of stock"
    return f"{_name(given)} has no price in {prices.id}@{prices.version}"


def _name(given: LineGiven) -> str:
    return given.item if given.length_ft is None else f"{given.item} in {given.length_ft:g} ft"


def unpriced_lines(lines: Iterable[RepricedLine]) -> Iterator[Unpriced]:
    """Yield the lines that have no price, by name."""
    for line in lines:
        if line.now is None:
            given = line.given
            unit = given.unit or ("each" if given.length_ft is None else "piece")
            yield Unpriced(item=given.item, quantity=given.quantity, unit=unit, because=line.because)


def compared(lines: Iterable[RepricedLine], currency: str) -> tuple[MovedLine, ...]:
    """Return the lines that have a price now and a known one before."""
    return tuple(
        _moved(line.given, line.now, line.now.extended, line.before, currency)
        for line in lines
        if line.now is not None and line.now.extended is not None and line.before is not None
    )


def _moved(given: LineGiven, now: Priced, extended: Money, before: Decimal, currency: str) -> MovedLine:
    return MovedLine(
        item=given.item,
        length_ft=given.length_ft,
        quantity=now.quantity,
        unit=now.unit,
        previous_extended=money(currency, before),
        extended=extended,
        change=money(currency, Decimal(extended.amount) - before),
    )


def moved_most(lines: Iterable[MovedLine]) -> tuple[MovedLine, ...]:
    """Return the lines that moved most, either way, at most five; those that stood still are left out."""
    moved = (line for line in lines if Decimal(line.change.amount))
    return tuple(sorted(moved, key=lambda line: -abs(Decimal(line.change.amount)))[:MOST_MOVED])


def lines_of(takeoff: Takeoff) -> tuple[LineGiven, ...]:
    """Return the lines of a takeoff as an order that can be priced again."""
    boards = [(x.item, x.length_ft, x.quantity, "piece") for x in takeoff.stock]
    decking = [(x.item, x.length_ft, x.quantity, "piece") for x in takeoff.decking]
    hardware = [(x.item, None, x.quantity, x.unit) for x in takeoff.hardware]
    concrete = [(x.item, None, x.quantity, x.unit) for x in takeoff.concrete]
    hired = [(x.item, None, x.quantity, x.unit) for x in takeoff.groundwork if x.item != SPOIL]
    return tuple(
        LineGiven(item=item, length_ft=length_ft, quantity=quantity, unit=cast("QuantityUnit", unit))
        for item, length_ft, quantity, unit in (*boards, *decking, *hardware, *concrete, *hired)
    )

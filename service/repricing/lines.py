"""The lines of an order at the prices of a book, beside what they came to before."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from service.contract.money import Money, money
from service.contract.report_order import Takeoff, Unpriced
from service.contract.repricing import LineGiven
from service.contract.repricing_answer import MovedLine
from service.rules.price_book import PriceBook, PriceLine
from service.takeoff.pricing import PACKED_UNITS, Priced, extended

MOST_MOVED = 5
COUNTED_UNITS = ("each", "piece")
# Sold whole: part of one is bought as one.
WHOLE_UNITS = (*COUNTED_UNITS, *PACKED_UNITS, "bag", "lot")


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
    lines: Iterable[LineGiven], prices: PriceBook, previous: PriceBook | None = None
) -> tuple[RepricedLine, ...]:
    """Return every line priced by ``prices``, in the order given.

    Args:
        lines: an order; each line is priced alone, so like lines have to be one line for their quantity break
        prices: the book to price by
        previous: the book the order was made from, where it is known: lines without an amount of their own are
            compared with it, and a quantity by the box is counted anew where the box changed
    """
    return tuple(_repriced(line, prices, previous) for line in lines)


def _repriced(given: LineGiven, prices: PriceBook, previous: PriceBook | None) -> RepricedLine:
    then = on_sale(previous, given) if previous else None
    before = _before(given, previous, then)
    line = on_sale(prices, given)
    if line is None:
        return RepricedLine(given, None, before, _missing(given, prices))
    quantity = _quantity(given.quantity, line, then)
    if quantity is None:
        because = f"{_name(given)} is sold by the {line.unit}, and was by the {then.unit if then else ''}"
        return RepricedLine(given, None, before, because)
    return RepricedLine(given, extended(prices, line, quantity), before)


def on_sale(prices: PriceBook, given: LineGiven) -> PriceLine | None:
    """Return the line of a book that a line of an order can be bought by."""
    line = prices.line(given.item, given.length_ft)
    return None if line is None or line.availability == "out" else line


def _before(given: LineGiven, previous: PriceBook | None, then: PriceLine | None) -> Decimal | None:
    if given.previous_extended is not None:
        return Decimal(given.previous_extended.amount)
    if previous is None or then is None:
        return None
    found = extended(previous, then, _whole(given.quantity, then.unit)).extended
    return Decimal(found.amount) if found else None


def _quantity(quantity: float, line: PriceLine, then: PriceLine | None) -> float | None:
    """The quantity in the unit of ``line``; none where that unit and the earlier one do not convert."""
    if then is None or (then.unit, _pack(then)) == (line.unit, _pack(line)):
        return _whole(quantity, line.unit)
    now_in_one, then_in_one = _pack(line), _pack(then)
    if now_in_one is None or then_in_one is None:
        return None
    return math.ceil(quantity * then_in_one / now_in_one)


def _pack(line: PriceLine) -> int | None:
    """How many of an item are in one unit it is sold by; none where the unit measures and does not count."""
    if line.unit in PACKED_UNITS:
        return line.pack_quantity
    return 1 if line.unit in COUNTED_UNITS else None


def _whole(quantity: float, unit: str) -> float:
    return math.ceil(quantity) if unit in WHOLE_UNITS else quantity


def _missing(given: LineGiven, prices: PriceBook) -> str:
    if prices.line(given.item, given.length_ft) is not None:
        return f"{_name(given)} is out of stock"
    return f"{_name(given)} has no price in {prices.id}@{prices.version}"


def _name(given: LineGiven) -> str:
    return given.item if given.length_ft is None else f"{given.item} in {given.length_ft:g} ft"


def unpriced_lines(lines: Iterable[RepricedLine], prices: PriceBook) -> Iterator[Unpriced]:
    """Yield the lines that have no price, by name."""
    for line in lines:
        if line.now is None:
            given = line.given
            ladder = prices.ladder(given.item)
            unit = ladder[0].unit if ladder else "each" if given.length_ft is None else "piece"
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
    boards = [(x.item, x.length_ft, x.quantity) for x in takeoff.stock]
    decking = [(x.item, x.length_ft, x.quantity) for x in takeoff.decking]
    hardware = [(x.item, None, x.quantity) for x in takeoff.hardware]
    concrete = [(x.item, None, x.quantity) for x in takeoff.concrete]
    return tuple(
        LineGiven(item=item, length_ft=length_ft, quantity=quantity)
        for item, length_ft, quantity in (*boards, *decking, *hardware, *concrete)
    )

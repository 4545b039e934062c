"""The lines of an order joined where they are alike, and their quantities in the unit a book sells by."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import Decimal

import msgspec

from service.contract.money import amount
from service.contract.price_book import QuantityUnit
from service.contract.repricing import AmountGiven, LineGiven
from service.rules.price_book import PriceBook, PriceLine
from service.takeoff.pricing import PACKED_UNITS
from service.units.rounding import number

COUNTED_UNITS = ("each", "piece")
# Sold whole: part of one is bought as one.
WHOLE_UNITS = (*COUNTED_UNITS, *PACKED_UNITS, "bag", "lot")
# A pack holds pieces, but for these kinds.
PACKED_BY_MEASURE = {"flashing_tape": "lineal_ft"}


def on_sale(prices: PriceBook | None, given: LineGiven) -> PriceLine | None:
    """Return the line of a book that a line of an order can be bought by."""
    line = prices.line(given.item, given.length_ft) if prices else None
    return None if line is None or line.availability == "out" else line


def joined(
    lines: Iterable[LineGiven], prices: PriceBook, counted_by: PriceBook | None
) -> tuple[LineGiven, ...]:
    """Return the lines with their units, those of one item, length and unit as one line, where the first stood.

    Args:
        lines: an order
        prices: the book to price by
        counted_by: the book whose units and packs quantities without a unit are in; none where it is not known
    """
    groups: dict[tuple[str, float | None, str | None], list[LineGiven]] = {}
    for given in lines:
        unit = _unit_of(given, prices, counted_by)
        key = (given.item, given.length_ft, "each" if unit in COUNTED_UNITS else unit)
        known = given if given.unit == unit else msgspec.structs.replace(given, unit=unit)
        groups.setdefault(key, []).append(known)
    return tuple(group[0] if len(group) == 1 else _as_one(group) for group in groups.values())


def _unit_of(given: LineGiven, prices: PriceBook, counted_by: PriceBook | None) -> QuantityUnit | None:
    """The unit of a quantity; none where the book it was quoted from did not sell what now comes in packs."""
    line, counted = on_sale(prices, given), on_sale(counted_by, given)
    if given.unit is not None:
        return given.unit
    if counted is not None:
        return counted.unit
    if line is None or (counted_by is not None and line.unit in PACKED_UNITS):
        return None
    return line.unit


def assumed_packs(
    lines: Iterable[LineGiven], prices: PriceBook, counted_by: PriceBook | None
) -> tuple[str, ...]:
    """Return the items whose quantity is taken for packs of ``prices`` though nothing says so."""
    silent = (one for one in lines if one.unit is None and counted_by is None)
    packed = (one.item for one in silent if (line := on_sale(prices, one)) and line.unit in PACKED_UNITS)
    return tuple(dict.fromkeys(packed))


def _as_one(group: Sequence[LineGiven]) -> LineGiven:
    amounts = [one.previous_extended for one in group if one.previous_extended is not None]
    before = None
    if len(amounts) == len(group):
        total = sum((Decimal(one.amount) for one in amounts), Decimal(0))
        before = AmountGiven(currency=amounts[0].currency, amount=amount(total))
    quantity = number(math.fsum(one.quantity for one in group), "quantity")
    return msgspec.structs.replace(group[0], quantity=quantity, previous_extended=before)


def quantity_in(line: PriceLine, given: LineGiven, counted: PriceLine | None) -> float | None:
    """Return the quantity of a line of an order in the unit of ``line``; None where the units do not convert.

    Part of a pack or a piece is a whole one before it is converted, and again after.

    Args:
        line: what the item is to be bought by
        given: has its unit
        counted: whose packs are counted, where it is sold by that unit; else those of ``line``
    """
    unit = given.unit or line.unit
    quantity = math.ceil(given.quantity) if unit in WHOLE_UNITS else given.quantity
    packed = counted if counted is not None and counted.unit == unit else line
    have, need = _contents(unit, packed), _contents(line.unit, line)
    if unit == line.unit and have == need:
        return quantity
    if have is None or need is None or have[0] != need[0]:
        return None
    return int(-(-quantity * have[1] // need[1]))


def _contents(unit: str, line: PriceLine) -> tuple[str, int] | None:
    """What is in one of a unit, and how many or much; none where the unit is a pack nobody says the size of."""
    if unit in COUNTED_UNITS:
        return ("each", 1)
    if unit not in PACKED_UNITS:
        return (unit, 1)
    if line.unit != unit or line.pack_quantity is None:
        return None
    return (PACKED_BY_MEASURE.get(line.item.partition(".")[0], "each"), line.pack_quantity)

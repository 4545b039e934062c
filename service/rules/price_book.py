"""A supplier's price book: one version as a frozen value, parsed strictly from its canonical CSV text."""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from itertools import pairwise
from typing import Any, Literal, NamedTuple, get_args

from service.rules.faults import TableFault, TableRefused
from service.rules.parse import digest_of

Availability = Literal["in_stock", "to_order", "out"]
QuantityUnit = Literal[
    "each", "piece", "lineal_ft", "sqft", "cuft", "cuyd", "bag", "box", "roll", "lb", "day", "hour", "lot"
]
ITEM_KINDS = frozenset({
    "lumber", "post", "decking", "fascia", "guard", "stair_tread", "ledger_fastener", "structural_screw",
    "lag_screw", "bolt", "washer", "decking_screw", "nail", "joist_hanger", "uplift_tie", "post_base",
    "post_cap", "saddle", "lateral_device", "stringer_connector",
    "framing_angle", "handrail_bracket", "preservative",
    "guard_post_connector", "anchor", "ledger_flashing", "flashing_tape", "concrete", "form",
    "reinforcement", "pile", "helical_pile", "pile_extension", "pile_cap", "rental", "service", "fee",
    "labour",
})  # fmt: skip

PREAMBLE = (
    "id", "version", "organisation", "currency", "effective_from", "effective_to", "tax_included",
)  # fmt: skip
COLUMNS = (
    "item", "sku", "description", "unit", "length_ft", "unit_price", "breaks", "pack_quantity",
    "availability", "note",
)  # fmt: skip

_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_ITEM = re.compile(r"[a-z][a-z0-9_]*(\.[a-z0-9][a-z0-9_-]*){1,6}")
_SKU = re.compile(r"[A-Za-z0-9][A-Za-z0-9._/-]{0,39}")
_COUNT = re.compile(r"[1-9][0-9]{0,5}")
_LENGTH = re.compile(r"[1-9][0-9]?(\.[0-9]{1,2})?")
_PRICE = re.compile(r"[0-9]{1,9}\.[0-9]{2,4}")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_CURRENCY = re.compile(r"[A-Z]{3}")
LONGEST_TEXT = 120


class PriceBreak(NamedTuple):
    """A lower price from a quantity on."""

    at_least: int
    unit_price: Decimal


@dataclass(frozen=True)
class PriceLine:
    """One item in one stock length; ``length_ft`` is null where the item has none."""

    item: str
    sku: str
    description: str
    unit: QuantityUnit
    length_ft: float | None
    unit_price: Decimal
    breaks: tuple[PriceBreak, ...]
    pack_quantity: int | None
    availability: Availability
    note: str

    def price_at(self, quantity: float) -> Decimal:
        """Return the price of one unit when ``quantity`` of them are bought.

        >>> line = parse_price_book(EXAMPLE, "example").line("lumber.2x8.hem_fir.no_2.uc3b", 12)
        >>> line.price_at(9), line.price_at(10)
        (Decimal('14.20'), Decimal('13.90'))
        """
        reached = [one.unit_price for one in self.breaks if quantity >= one.at_least]
        return reached[-1] if reached else self.unit_price


@dataclass(frozen=True, eq=False)
class PriceBook:
    """One version of a price book; ``effective_to`` is its last day, null while none is set."""

    id: str
    version: int
    organisation: str
    currency: str
    effective_from: date
    effective_to: date | None
    tax_included: bool
    lines: tuple[PriceLine, ...]
    digest: str

    def covers(self, day: date) -> bool:
        """Return whether the prices hold on a day."""
        return self.effective_from <= day and (self.effective_to is None or day <= self.effective_to)

    def line(self, item: str, length_ft: float | None = None) -> PriceLine | None:
        """Return the line of an item in a stock length, or None where the book has none."""
        return self._by_item_and_length.get((item, length_ft))

    def ladder(self, item: str) -> tuple[PriceLine, ...]:
        """Return every stock length of an item, shortest first; empty where the book has none."""
        return self._ladders.get(item, ())

    @cached_property
    def _by_item_and_length(self) -> Mapping[tuple[str, float | None], PriceLine]:
        return {(line.item, line.length_ft): line for line in self.lines}

    @cached_property
    def _ladders(self) -> Mapping[str, tuple[PriceLine, ...]]:
        found: dict[str, list[PriceLine]] = {}
        for line in sorted(self.lines, key=lambda line: line.length_ft or 0.0):
            found.setdefault(line.item, []).append(line)
        return {item: tuple(lines) for item, lines in found.items()}


EXAMPLE = """\
#id: example-yard
#version: 1
#organisation: example-yard
#currency: USD
#effective_from: 2026-11-01
#effective_to: 2027-01-31
#tax_included: false
item,sku,description,unit,length_ft,unit_price,breaks,pack_quantity,availability,note
lumber.2x8.hem_fir.no_2.uc3b,L-28-12,2x8 12 ft,piece,12,14.20,10:13.90,,in_stock,
concrete.bag.60lb,C-60,Concrete 60 lb,bag,,5.45,,56,in_stock,
"""


class _Unusable(ValueError):
    """A cell that cannot be read; the message says what is allowed."""


Reader = Callable[[str], Any]


def _matching(pattern: re.Pattern[str], allowed: str, convert: Callable[[str], Any] = str) -> Reader:
    def read(text: str) -> Any:
        if not pattern.fullmatch(text):
            raise _Unusable(f"{text!r} is not {allowed}")
        return convert(text)

    return read


def _one_of(words: tuple[str, ...]) -> Reader:
    def read(text: str) -> str:
        if text not in words:
            raise _Unusable(f"{text!r} is none of {', '.join(words)}")
        return text

    return read


def _optional(reader: Reader, absent: Any = None) -> Reader:
    return lambda text: reader(text) if text else absent


def _day(text: str) -> date:
    if not _DAY.fullmatch(text):
        raise _Unusable(f"{text!r} is no day; it is written year-month-day, like 2026-11-25")
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise _Unusable(f"{text!r} is no day of the calendar") from None


def _id(text: str) -> str:
    if not (3 <= len(text) <= 40 and _ID.fullmatch(text)):
        raise _Unusable(f"{text!r} is no id: 3 to 40 small letters and digits, parts joined by hyphens")
    return text


def _price(text: str) -> Decimal:
    if not _PRICE.fullmatch(text) or not Decimal(text):
        raise _Unusable(f"{text!r} is no price: more than 0, with 2 to 4 decimals, like 12.50")
    return Decimal(text)


def _item(text: str) -> str:
    if not _ITEM.fullmatch(text):
        raise _Unusable(f"{text!r} is no item: kind, then 1 to 6 attributes, joined by full stops")
    if text.partition(".")[0] not in ITEM_KINDS:
        raise _Unusable(f"unknown kind of item; known are {', '.join(sorted(ITEM_KINDS))}")
    return text


def _free_text(text: str) -> str:
    if len(text) > LONGEST_TEXT or not text[:1].isalnum():
        raise _Unusable(f"at most {LONGEST_TEXT} characters, of which the first is a letter or digit")
    if unicodedata.normalize("NFC", text) != text or any(unicodedata.category(c)[0] == "C" for c in text):
        raise _Unusable("no control characters, and letters in their composed form")
    return text


def _breaks(text: str) -> tuple[PriceBreak, ...]:
    found = tuple(_break(part) for part in text.split(";")) if text else ()
    for before, after in pairwise(found):
        if before.at_least >= after.at_least or before.unit_price <= after.unit_price:
            raise _Unusable("each break is for more pieces and at a lower price than the one before it")
    return found


def _break(text: str) -> PriceBreak:
    count, colon, price = text.partition(":")
    if not colon or not _COUNT.fullmatch(count):
        raise _Unusable(f"{text!r} is no break; breaks are written like 10:3.25;50:3.10")
    return PriceBreak(int(count), _price(price))


_count = _matching(_COUNT, "a whole number from 1 to 999999", int)
_PREAMBLE_READERS: Mapping[str, Reader] = {
    "id": _id,
    "version": _count,
    "organisation": _id,
    "currency": _matching(_CURRENCY, "three capital letters, like USD"),
    "effective_from": _day,
    "effective_to": _optional(_day),
    "tax_included": _matching(re.compile("true|false"), "true or false", lambda text: text == "true"),
}
_COLUMN_READERS: Mapping[str, Reader] = {
    "item": _item,
    "sku": _matching(_SKU, "a stock number: 1 to 40 letters, digits and . _ / -"),
    "description": _free_text,
    "unit": _one_of(get_args(QuantityUnit)),
    "length_ft": _optional(_matching(_LENGTH, "a length in feet from 1 to 99.99", float)),
    "unit_price": _price,
    "breaks": _breaks,
    "pack_quantity": _optional(_count),
    "availability": _one_of(get_args(Availability)),
    "note": _optional(_free_text, ""),
}


def parse_price_book(text: str, file_name: str) -> PriceBook:
    """Return the price book in ``text``, or raise ``TableRefused`` with every fault, its line and column.

    Args:
        text: a preamble of ``#key: value`` lines, a line of column names, then a line for each item and
            stock length; lines end with a line feed
        file_name: named in the faults

    >>> book = parse_price_book(EXAMPLE, "example-yard@1.csv")
    >>> book.currency, len(book.lines), book.line("concrete.bag.60lb").unit_price
    ('USD', 2, Decimal('5.45'))
    """
    if "\r" in text or "\0" in text or not text.endswith("\n"):
        raise TableRefused(
            [TableFault(file_name, 1, None, "every line, the last too, ends with a line feed alone")]
        )
    rows = text.split("\n")[:-1]
    faults: list[TableFault] = []
    preamble = _preamble(rows, file_name, faults)
    start = sum(1 for row in rows if row.startswith("#"))
    if rows[start : start + 1] != [",".join(COLUMNS)]:
        faults.append(
            TableFault(file_name, start + 1, None, f"this line must name the columns {','.join(COLUMNS)}")
        )
    lines = _lines(rows, start + 1, file_name, faults) if not faults else []
    if faults:
        raise TableRefused(faults)
    return PriceBook(**preamble, lines=tuple(lines), digest=digest_of(text))


def _preamble(rows: list[str], file_name: str, faults: list[TableFault]) -> dict[str, Any]:
    """The preamble, whose keys stand in a fixed order, so that one book has one text."""
    found: dict[str, Any] = {}
    for number, key in enumerate(PREAMBLE, start=1):
        row = rows[number - 1] if number <= len(rows) else ""
        given, _, value = row.partition(":")
        if given != f"#{key}":
            faults.append(TableFault(file_name, number, key, f"this line must begin with #{key}:"))
            return found
        _keep(
            found, key, _PREAMBLE_READERS[key], value.strip(), TableFault(file_name, number, key, ""), faults
        )
    first, last = found.get("effective_from"), found.get("effective_to")
    if first and last and last < first:
        number = PREAMBLE.index("effective_to") + 1
        faults.append(
            TableFault(file_name, number, "effective_to", f"{last} is before effective_from {first}")
        )
    return found


def _keep(
    found: dict[str, Any], key: str, reader: Reader, text: str, place: TableFault, faults: list[TableFault]
) -> None:
    try:
        found[key] = reader(text)
    except _Unusable as unusable:
        faults.append(TableFault(place.file, place.line, place.column, str(unusable)))


def _lines(rows: list[str], start: int, file_name: str, faults: list[TableFault]) -> list[PriceLine]:
    found: list[PriceLine] = []
    seen: dict[tuple[str, float | None], int] = {}
    for number, row in enumerate(rows[start:], start=start + 1):
        line = _line(row, number, file_name, faults)
        if line is None:
            continue
        first = seen.setdefault((line.item, line.length_ft), number)
        if first != number:
            what = f"{line.item} in this length stands on line {first} already"
            faults.append(TableFault(file_name, number, "length_ft", what))
        found.append(line)
    return found if faults else _consistent(found, seen, file_name, faults)


def _line(row: str, number: int, file_name: str, faults: list[TableFault]) -> PriceLine | None:
    try:
        cells = next(csv.reader([row], strict=True), [])
    except csv.Error as error:
        faults.append(TableFault(file_name, number, None, f"cannot be read as CSV: {error}"))
        return None
    if len(cells) != len(COLUMNS):
        faults.append(
            TableFault(file_name, number, None, f"{len(cells)} cells where {len(COLUMNS)} are needed")
        )
        return None
    found: dict[str, Any] = {}
    for column, cell in zip(COLUMNS, cells, strict=True):
        _keep(found, column, _COLUMN_READERS[column], cell, TableFault(file_name, number, column, ""), faults)
    if len(found) < len(COLUMNS):
        return None
    line = PriceLine(**found)
    if line.breaks and line.breaks[0].unit_price >= line.unit_price:
        faults.append(
            TableFault(file_name, number, "breaks", "the first break is no lower than the unit price")
        )
    return line


def _consistent(
    lines: list[PriceLine],
    numbers: Mapping[tuple[str, float | None], int],
    file_name: str,
    faults: list[TableFault],
) -> list[PriceLine]:
    """The lines, with a fault where the lines of one item differ in unit or only some have a length."""
    first: dict[str, PriceLine] = {}
    for line in lines:
        other = first.setdefault(line.item, line)
        number = numbers[line.item, line.length_ft]
        if other.unit != line.unit:
            faults.append(
                TableFault(file_name, number, "unit", f"{line.item} is sold by the {other.unit} above")
            )
        if (other.length_ft is None) != (line.length_ft is None):
            faults.append(
                TableFault(file_name, number, "length_ft", f"{line.item} has a length on some lines only")
            )
    return lines

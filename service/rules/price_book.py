"""A supplier's price book: one version as a frozen value, parsed strictly from its canonical CSV text."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property
from io import StringIO
from typing import Any, NamedTuple

from service.contract.money import unit_price
from service.contract.price_book import Availability, QuantityUnit
from service.rules.faults import TableFault, TableRefused
from service.rules.parse import digest_of
from service.rules.price_cells import (
    COLUMN_READERS,
    ITEM_KINDS,
    PREAMBLE_READERS,
    PriceBreak,
    Reader,
    Unusable,
)
from service.rules.sections import (
    SECTION_COLUMNS,
    SECTION_READERS,
    SupplierSection,
    section_cell,
    section_faults,
)

__all__ = ["COLUMNS", "EXAMPLE", "ITEM_KINDS", "PREAMBLE", "PriceBook", "PriceLine", "canonical_text",
           "following", "parse_price_book"]  # fmt: skip

PREAMBLE = (
    "id", "version", "organisation", "currency", "effective_from", "effective_to", "tax_included",
)  # fmt: skip
COLUMNS = (
    "item", "sku", "description", "unit", "length_ft", "unit_price", "breaks", "pack_quantity",
    "availability", "note",
)  # fmt: skip


SECTION_HEAD = ",".join(SECTION_COLUMNS)


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
        if not self.breaks:
            return self.unit_price
        reached = [one.unit_price for one in self.breaks if quantity >= one.at_least]
        return reached[-1] if reached else self.unit_price


@dataclass(frozen=True, eq=False)
class PriceBook:
    """One version of a price book; ``effective_to`` is its last day, null while none is set.

    ``text`` is what the digest was taken over; where a later version has ended this one, the last day is not in it.
    """

    id: str
    version: int
    organisation: str
    currency: str
    effective_from: date
    effective_to: date | None
    tax_included: bool
    lines: tuple[PriceLine, ...]
    digest: str
    text: str = field(default="", repr=False)
    sections: tuple[SupplierSection, ...] = ()

    def covers(self, day: date) -> bool:
        """Return whether the prices hold on a day."""
        return self.effective_from <= day and (self.effective_to is None or day <= self.effective_to)

    def line(self, item: str, length_ft: float | None = None) -> PriceLine | None:
        """Return the line of an item in a stock length, or None where the book has none."""
        return self._by_item_and_length.get((item, length_ft))

    def ladder(self, item: str) -> tuple[PriceLine, ...]:
        """Return every stock length of an item, shortest first; empty where the book has none."""
        return self._ladders.get(item, ())

    def for_sale(self, item: str) -> tuple[PriceLine, ...]:
        """Return the lines of an item that can be bought, shortest length first."""
        return self._for_sale.get(item, ())

    @cached_property
    def _for_sale(self) -> Mapping[str, tuple[PriceLine, ...]]:
        return {
            item: tuple(line for line in lines if line.availability != "out")
            for item, lines in self._ladders.items()
        }

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


def following(books: Iterable[PriceBook]) -> list[PriceBook]:
    """Return the versions of price books with each open-ended one ended where the next of its book begins.

    >>> first = replace(parse_price_book(EXAMPLE, "example-yard@1.csv"), effective_to=None)
    >>> later = replace(first, version=2, effective_from=date(2027, 3, 1))
    >>> [str(book.effective_to) for book in following([first, later])]
    ['2027-02-28', 'None']
    """
    given = list(books)
    return [_ended(book, [one for one in given if one.id == book.id]) for book in given]


def _ended(book: PriceBook, versions: Sequence[PriceBook]) -> PriceBook:
    later = [one.effective_from for one in versions if one.effective_from > book.effective_from]
    if book.effective_to is not None or not later:
        return book
    return replace(book, effective_to=min(later) - timedelta(days=1))


def canonical_text(book: PriceBook) -> str:
    """Return the one text of a price book, which its digest is taken over; days as the value has them.

    >>> book = parse_price_book(EXAMPLE, "example-yard@1.csv")
    >>> canonical_text(book) == EXAMPLE
    True
    """
    preamble = (f"#{key}: {_cell(getattr(book, key))}".rstrip() for key in PREAMBLE)
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows([_cell(getattr(line, column)) for column in COLUMNS] for line in book.lines)
    if book.sections:
        writer.writerow(SECTION_COLUMNS)
        writer.writerows(
            [section_cell(getattr(one, name)) for name in SECTION_COLUMNS] for one in book.sections
        )
    return "\n".join(preamble) + "\n" + out.getvalue()


def _cell(value: object) -> str:
    """A value as its cell is written; prices with two decimals at least and no noughts behind them."""
    if value is None:
        return ""
    if isinstance(value, tuple):
        return ";".join(f"{one.at_least}:{_cell(one.unit_price)}" for one in value)
    if isinstance(value, Decimal):
        return unit_price(value)
    if isinstance(value, float):
        return f"{value:g}"
    return str(value).lower() if isinstance(value, bool) else str(value)


def parse_price_book(text: str, file_name: str) -> PriceBook:
    """Return the price book in ``text``, or raise ``TableRefused`` with every fault, its line and column.

    Args:
        text: a preamble of ``#key: value`` lines, a line of column names, then a line for each item and
            stock length; a supplier with section tables adds a second line of column names and a line for each
            section; lines end with a line feed
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
    end = next((n for n, row in enumerate(rows) if row == SECTION_HEAD), len(rows))
    lines = _lines(rows[:end], start + 1, file_name, faults) if not faults else []
    items = None if faults else {line.item for line in lines}
    sections = _sections(rows, end + 1, items, file_name, faults)
    if faults:
        raise TableRefused(faults)
    return PriceBook(
        **preamble, lines=tuple(lines), digest=digest_of(text), text=text, sections=tuple(sections)
    )


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
            found, key, PREAMBLE_READERS[key], value.strip(), TableFault(file_name, number, key, ""), faults
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
    except Unusable as unusable:
        faults.append(TableFault(place.file, place.line, place.column, str(unusable)))


def _lines(rows: list[str], start: int, file_name: str, faults: list[TableFault]) -> list[PriceLine]:
    found: list[tuple[int, PriceLine]] = []
    for number, row in enumerate(rows[start:], start=start + 1):
        line = _line(row, number, file_name, faults)
        if line is not None:
            found.append((number, line))
    faults += [TableFault(file_name, one.number, one.column, one.text) for one in faults_between(found)]
    return [line for _, line in found]


def _line(row: str, number: int, file_name: str, faults: list[TableFault]) -> PriceLine | None:
    found = _row(row, number, COLUMN_READERS, file_name, faults)
    return None if found is None else PriceLine(**found)


def _row(
    row: str, number: int, readers: Mapping[str, Reader], file_name: str, faults: list[TableFault]
) -> dict[str, Any] | None:
    """The values of a row's cells by column; None where one of them cannot be read."""
    try:
        cells = next(csv.reader([row], strict=True), [])
    except csv.Error as error:
        faults.append(TableFault(file_name, number, None, f"cannot be read as CSV: {error}"))
        return None
    if len(cells) != len(readers):
        faults.append(
            TableFault(file_name, number, None, f"{len(cells)} cells where {len(readers)} are needed")
        )
        return None
    found: dict[str, Any] = {}
    for (column, reader), cell in zip(readers.items(), cells, strict=True):
        _keep(found, column, reader, cell, TableFault(file_name, number, column, ""), faults)
    return found if len(found) == len(readers) else None


def _sections(
    rows: list[str], start: int, items: set[str] | None, file_name: str, faults: list[TableFault]
) -> list[SupplierSection]:
    """The sections below their column names; a price book without any ends where its lines do."""
    found: list[tuple[int, SupplierSection]] = []
    for number, row in enumerate(rows[start:], start=start + 1):
        cells = _row(row, number, SECTION_READERS, file_name, faults)
        if cells is not None:
            found.append((number, SupplierSection(**cells)))
    if start == len(rows):
        faults.append(TableFault(file_name, start, None, "no section stands below these column names"))
    faults += [TableFault(file_name, *one[:3]) for one in section_faults(found, items)]
    return [one for _, one in found]


class LineFault(NamedTuple):
    """What is wrong with a line beside the others, or with its cells beside each other."""

    number: int
    column: str
    text: str
    code: str


def faults_between(lines: Iterable[tuple[int, PriceLine]]) -> Iterator[LineFault]:
    """Find what no cell shows alone: an item twice in one length, in two units, breaks above the price.

    Args:
        lines: each with the number it is known by to whoever sent it
    """
    seen: dict[tuple[str, float | None], int] = {}
    first: dict[str, PriceLine] = {}
    for number, line in lines:
        before = seen.setdefault((line.item, line.length_ft), number)
        if before != number:
            text = f"{line.item} in this length stands on row {before} already"
            yield LineFault(number, "length_ft", text, "duplicate_line")
        other = first.setdefault(line.item, line)
        if other.unit != line.unit:
            text = f"{line.item} is sold by the {other.unit} above"
            yield LineFault(number, "unit", text, "units_mixed")
        if (other.length_ft is None) != (line.length_ft is None):
            text = f"{line.item} has a length on some lines only"
            yield LineFault(number, "length_ft", text, "units_mixed")
        if line.breaks and line.breaks[0].unit_price >= line.unit_price:
            text = "the first break is no lower than the unit price"
            yield LineFault(number, "breaks", text, "out_of_range")

"""From an uploaded price book, JSON or CSV, to the version it asks for, or every fault by row and column.

Both forms become rows of text cells, and the cells are read as those of the files that come with the service
are. A CSV row counts from 1 with the preamble and the line of column names, as a spreadsheet shows it; a JSON
row is the place in `lines`, from 1.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from itertools import islice
from typing import Any

import msgspec

from service.contract.parse import parse
from service.contract.price_book import MOST_BREAKS, MOST_LINES, PriceBookUpload
from service.contract.price_sections import MOST_SECTIONS, OF_STEEL, OF_WOOD
from service.contract.problem import Allowed, Fault, Rejected, pointer
from service.contract.strict import DEFAULT_LIMITS
from service.contract.structure import described, faults_in, without_nulls
from service.rules.price_book import COLUMNS, PREAMBLE, PriceBook, PriceLine, faults_between
from service.rules.price_cells import COLUMN_READERS, PREAMBLE_READERS, Reader, Unusable
from service.rules.sections import (
    SECTION_COLUMNS,
    SECTION_READERS,
    SupplierSection,
    section_cell,
    section_faults,
)
from service.store.access import BookHead
from service.takeoff.sold_as import sale_faults
from service.web.price_csv import read_csv
from service.web.price_sheet import Sheet

# An answer that names every fault of 20,000 rows has to end somewhere; the count says how many there were.
MOST_FAULTS = 20_000
# Cells that can be judged together though others of the line cannot be read, and what stands for those: a line
# with a fault is never taken, so that no stand-in gets out.
DECIDE_SALE = frozenset({"item", "unit", "length_ft", "pack_quantity"})
STAND_INS = {
    "sku": "",
    "description": "",
    "unit_price": Decimal("Infinity"),
    "breaks": (),
    "availability": "out",
    "note": "",
}
MAY_BE_LEFT_OUT = ("most_plies", *OF_WOOD, *OF_STEEL)
GIVEN = ("id", "version", "organisation")
_LINE_POINTER = re.compile(r"/(lines|sections)/(\d+)(?:/(\w+))?")


@dataclass(frozen=True)
class Upload:
    """A version as it was sent.

    Attributes:
        book: everything but id, version and organisation, which the place it is sent to decides
        said: those of id, version, organisation and digest that were sent along
    """

    book: PriceBook
    said: Mapping[str, Any]

    def of(self, head: BookHead) -> PriceBook:
        """Return the version as one of a price book, still without a number."""
        return replace(self.book, id=head.id, organisation=head.organisation)


@dataclass
class _Read:
    """What of a sheet could be read, and what could not."""

    head: dict[str, Any] = field(default_factory=dict)
    lines: dict[int, PriceLine] = field(default_factory=dict)
    sections: dict[int, SupplierSection] = field(default_factory=dict)
    faults: dict[str, Fault] = field(default_factory=dict)
    spoilt: frozenset[str] = frozenset()


def read_json(body: bytes) -> Upload:
    """Return the version in a JSON body.

    Raises:
        Rejected: not_json, duplicate_key, too_deep, invalid_upload with every fault
    """
    info = described(PriceBookUpload)
    value = without_nulls(parse(body, DEFAULT_LIMITS.depth), info)
    structural = {fault.pointer: fault for fault in faults_in(value, info)}
    return _uploaded(_sheet_of(value), structural)


def read_text(body: bytes) -> Upload:
    """Return the version in a CSV body.

    Raises:
        Rejected: invalid_upload with every fault
    """
    sheet, faults = read_csv(body)
    return _uploaded(sheet, {fault.pointer: fault for fault in faults})


def _sheet_of(value: Any) -> Sheet:
    """The cells of a JSON value; what is of a wrong type is left out, since it is at fault already."""
    given = value if isinstance(value, dict) else {}
    head = {key: cell for key in PREAMBLE if (cell := _head_cell(given.get(key))) is not None}
    lines = given.get("lines")
    kept = lines if isinstance(lines, list) and len(lines) <= MOST_LINES else []
    cells = {
        place: {column: cell for column in COLUMNS if (cell := _cell(line, column)) is not None}
        for place, line in enumerate(kept)
        if isinstance(line, dict)
    }
    sections = given.get("sections")
    listed = sections if isinstance(sections, list) and len(sections) <= MOST_SECTIONS else []
    section_cells = {
        place: {
            name: cell for name in SECTION_COLUMNS if (cell := _section_cell(name, one.get(name))) is not None
        }
        for place, one in enumerate(listed)
        if isinstance(one, dict)
    }
    return Sheet(
        head, cells, range(1, len(kept) + 1), _text(given.get("digest")), sections=section_cells,
        section_numbers=range(1, len(listed) + 1),
    )  # fmt: skip


def _section_cell(column: str, value: Any) -> str | None:
    """A value of a section as its cell; what is of no such type is left out, since it is at fault already."""
    if isinstance(value, bool):
        return None
    if isinstance(value, int | float):
        return section_cell(float(value))
    return "" if value is None and column in MAY_BE_LEFT_OUT else _text(value)


def _text(value: Any) -> str | None:
    return value if isinstance(value, str) else None


def _head_cell(value: Any) -> str | None:
    if isinstance(value, bool):
        return str(value).lower()
    return str(value) if isinstance(value, int | str) else None


def _cell(line: Mapping[str, Any], column: str) -> str | None:
    value = line.get(column)
    if column == "breaks":
        return _breaks_cell([] if value is None else value)
    if column in ("length_ft", "pack_quantity"):
        number = isinstance(value, int | float) and not isinstance(value, bool)
        return "" if value is None else str(value) if number else None
    return "" if value is None and column == "note" else _text(value)


def _breaks_cell(value: Any) -> str | None:
    if not isinstance(value, list) or len(value) > MOST_BREAKS:
        return None
    parts = [(one.get("at_least"), one.get("unit_price")) for one in value if isinstance(one, dict)]
    whole = len(parts) == len(value) and all(
        isinstance(count, int) and isinstance(price, str) for count, price in parts
    )
    return ";".join(f"{count}:{price}" for count, price in parts) if whole else None


def _uploaded(sheet: Sheet, structural: Mapping[str, Fault]) -> Upload:
    # of a list of breaks the schema names the very number that is wrong, which the whole cell cannot
    spoilt = frozenset(at.partition("/breaks/")[0] + "/breaks" for at in structural if "/breaks/" in at)
    read = _Read(faults=dict(structural), spoilt=spoilt)
    _read_head(sheet, read)
    for place, cells in sheet.lines.items():
        _read_line(place, cells, read)
    _compare_lines(sheet, read)
    for place, cells in sheet.sections.items():
        _read_section(place, cells, read)
    _compare_sections(sheet, read)
    if read.faults:
        raise _refused(read.faults.values(), sheet)
    said = {key: read.head[key] for key in GIVEN if key in read.head}
    if sheet.digest is not None:
        said["digest"] = sheet.digest
    kept: dict[str, Any] = {key: read.head.get(key) for key in PREAMBLE if key not in GIVEN}
    lines, sections = tuple(read.lines.values()), tuple(read.sections.values())
    book = PriceBook(id="", version=0, organisation="", **kept, lines=lines, digest="", sections=sections)
    return Upload(book, said)


def _read_head(sheet: Sheet, read: _Read) -> None:
    for key, cell in sheet.head.items():
        _read_cell(read.head, key, PREAMBLE_READERS[key], cell, pointer(key), read.faults)
    first, last = read.head.get("effective_from"), read.head.get("effective_to")
    if first and last and last < first:
        allowed = Allowed(min=first.isoformat())
        text = f"{last} is before effective_from {first}"
        read.faults["/effective_to"] = Fault("/effective_to", "out_of_range", text, allowed)


def _read_line(place: int, cells: Mapping[str, str], read: _Read) -> None:
    found: dict[str, Any] = {}
    for column, cell in cells.items():
        if pointer("lines", place, column) in read.spoilt:
            continue
        _read_cell(found, column, COLUMN_READERS[column], cell, pointer("lines", place, column), read.faults)
    if not found.keys() >= DECIDE_SALE:
        return
    line = PriceLine(**{**STAND_INS, **found})
    read.lines[place] = line
    for column, code, text, one_of in sale_faults(line):
        at = pointer("lines", place, column)
        read.faults[at] = Fault(at, code, text, Allowed(one_of=one_of) if one_of else None)


def _read_cell(
    found: dict[str, Any], key: str, reader: Reader, text: str, at: str, faults: dict[str, Fault]
) -> None:
    try:
        found[key] = reader(text)
    except Unusable as unusable:
        # in place of what the schema says: it names the cell's content and shows an example
        faults[at] = Fault(at, unusable.code, str(unusable), unusable.allowed)


def _compare_lines(sheet: Sheet, read: _Read) -> None:
    places = {sheet.numbers[place]: place for place in read.lines}
    lines = ((number, read.lines[place]) for number, place in places.items())
    for number, column, text, code in faults_between(lines):
        at = pointer("lines", places[number], column)
        read.faults.setdefault(at, Fault(at, code, text))


def _read_section(place: int, cells: Mapping[str, str], read: _Read) -> None:
    found: dict[str, Any] = {}
    for name, cell in cells.items():
        _read_cell(found, name, SECTION_READERS[name], cell, pointer("sections", place, name), read.faults)
    if found.keys() == SECTION_READERS.keys():
        read.sections[place] = SupplierSection(**found)


def _compare_sections(sheet: Sheet, read: _Read) -> None:
    places = {sheet.section_numbers[place]: place for place in read.sections}
    items = {line.item for line in read.lines.values()} if len(read.lines) == len(sheet.lines) else None
    sections = ((number, read.sections[place]) for number, place in places.items())
    for number, column, text, code in section_faults(sections, items):
        at = pointer("sections", places[number], column)
        read.faults.setdefault(at, Fault(at, code, text))


def _refused(faults: Iterable[Fault], sheet: Sheet) -> Rejected:
    found = sorted(faults, key=_place)
    count = "1 fault" if len(found) == 1 else f"{len(found)} faults"
    detail = count if len(found) <= MOST_FAULTS else f"{count}, the first {MOST_FAULTS} are listed"
    return Rejected("invalid_upload", detail, tuple(islice(_told(found, sheet), MOST_FAULTS)))


def _place(fault: Fault) -> tuple[str, int]:
    found = _LINE_POINTER.match(fault.pointer)
    return ("", -1) if found is None else (found[1], int(found[2]))


def _told(faults: Iterable[Fault], sheet: Sheet) -> Iterator[Fault]:
    """The faults with their place in words: the row and column a person finds them by."""
    for fault in faults:
        place = _place_in_words(fault.pointer, sheet)
        yield msgspec.structs.replace(fault, detail=f"{place}{fault.detail}") if place else fault


def _place_in_words(at: str, sheet: Sheet) -> str:
    found = _LINE_POINTER.match(at)
    if found is None:
        row = sheet.head_rows.get(at.removeprefix("/"))
        return f"row {row}: " if row else ""
    column = f", column {found[3]}" if found[3] else ""
    table = "section " if found[1] == "sections" and not sheet.head_rows else ""
    return f"{table}row {sheet.row(found[1], int(found[2]))}{column}: "

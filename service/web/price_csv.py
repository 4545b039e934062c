"""Reading of an uploaded price book in CSV: preamble, column names, rows, each fault with its row.

The preamble is that of the files that come with the service: `#currency: USD`, `#effective_from: 2027-01-01`,
`#effective_to:` (may be left out), `#tax_included: false`, in any order and before the column names; `#id:`,
`#version:` and `#organisation:` may be there too. Lines may end with CR LF, a byte order mark may stand first,
columns may be in any order, prices may lack the noughts behind them, and rows without content are passed over:
spreadsheets do all of that. A row whose first cell is `section` names the columns of a second table below it, that
of a supplier's sections.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from itertools import islice, takewhile

from service.contract.price_book import MOST_LINES
from service.contract.price_sections import MOST_SECTIONS
from service.contract.problem import Allowed, Fault, pointer
from service.contract.structure import MOST_UNKNOWN
from service.rules.price_book import COLUMNS, PREAMBLE
from service.rules.price_cells import Unusable, shown
from service.rules.sections import SECTION_COLUMNS
from service.web.price_sheet import Sheet

NEEDED_KEYS = ("currency", "effective_from", "tax_included")
NEEDED_COLUMNS = ("item", "sku", "description", "unit", "unit_price", "availability")
NEEDED_SECTION_COLUMNS = (
    "section", "material", "use", "depth_in", "width_in", "weight_plf", "service", "protection", "e_psi",
    "item", "source",
)  # fmt: skip
MOST_NAMED = 12
_WITHOUT_CENTS = re.compile(r"[0-9]{1,9}(\.[0-9])?")
BELOW = "rows that begin with # stand above the column names"
Rows = list[tuple[int, str]]


def read_csv(body: bytes) -> tuple[Sheet, list[Fault]]:
    """Return the cells of a CSV body, and what keeps a row or the whole from being cells at all."""
    try:
        rows = _rows(body.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        text = f"byte {error.start} is not UTF-8: save the file as UTF-8"
        return Sheet({}, {}, []), [Fault("", "bad_pattern", text)]
    faults: list[Fault] = []
    head_rows: dict[str, int] = {}
    above = list(takewhile(lambda numbered: numbered[1].startswith("#"), rows))
    head = _head(above, head_rows, faults)
    named, below = rows[len(above) : len(above) + 1], rows[len(above) + 1 :]
    lines = list(takewhile(lambda numbered: not _heads_sections(numbered[1]), below))
    second = below[len(lines) :]
    if second:
        # a spreadsheet makes the rows of both tables as wide as the wider one
        named = [(number, row.rstrip(", ")) for number, row in named]
        count = sum(len(row.split(",")) for _, row in named)
        lines = [(number, _as_wide(row, count)) for number, row in lines]
    columns = _columns(named, faults)
    if columns and not 1 <= len(lines) <= MOST_LINES:
        faults.append(_count(len(lines)))
        lines = []
    cells = _lines(lines, columns, faults) if columns else {}
    sections, numbers = _sections(second if columns else [], faults)
    return Sheet(
        head, cells, [number for number, _ in lines], head_rows=head_rows, sections=sections,
        section_numbers=numbers,
    ), faults  # fmt: skip


def _as_wide(row: str, count: int) -> str:
    """A row without the empty cells a spreadsheet put behind its ``count`` cells."""
    try:
        cells = len(next(csv.reader([row], strict=True), []))
    except csv.Error:
        return row  # told where its cells are read
    while cells > count and row.endswith(","):
        row, cells = row[:-1], cells - 1
    return row


def _heads_sections(row: str) -> bool:
    """Whether a row names the columns of the second table."""
    return row.partition(",")[0].strip() == SECTION_COLUMNS[0]


def _sections(rows: Rows, faults: list[Fault]) -> tuple[dict[int, Mapping[str, str]], list[int]]:
    """The cells of the second table, its columns in any order, and the rows its sections stand on."""
    if not rows:
        return {}, []
    number, head = rows[0]
    names = tuple(name.strip() for name in head.rstrip(", ").split(","))
    wrong = [f"{shown(name)} is no column" for name in names if name not in SECTION_COLUMNS]
    wrong += [f"{name} stands twice" for name in SECTION_COLUMNS if names.count(name) > 1]
    wrong += [f"{name} is missing" for name in NEEDED_SECTION_COLUMNS if name not in names]
    if wrong:
        text = (
            f"row {number} must name the columns {','.join(SECTION_COLUMNS)}: {'; '.join(wrong[:MOST_NAMED])}"
        )
        faults.append(Fault("/sections", "bad_pattern", text, Allowed(one_of=SECTION_COLUMNS)))
        return {}, []
    if not 1 <= len(rows) - 1 <= MOST_SECTIONS:
        code = "too_few" if len(rows) == 1 else "too_many"
        text = f"{len(rows) - 1} sections given, 1 to {MOST_SECTIONS} taken below their column names"
        faults.append(Fault("/sections", code, text, Allowed(min=1.0, max=float(MOST_SECTIONS))))
        return {}, []
    found: dict[int, Mapping[str, str]] = {}
    for place, (_, row) in enumerate(rows[1:]):
        try:
            found[place] = _named_cells(_as_wide(row, len(names)), names, SECTION_COLUMNS)
        except (csv.Error, Unusable) as error:
            text = f"cannot be read as CSV: {error}; a cell holds no line end"
            faults.append(Fault(pointer("sections", place), "bad_pattern", text))
    return found, [number for number, _ in rows[1:]]


def _rows(text: str) -> Rows:
    """The rows with content, numbered from 1; a row has content where it has more than commas and spaces."""
    numbered = enumerate(text.replace("\r\n", "\n").split("\n"), start=1)
    return [(number, row) for number, row in numbered if row.strip(" ,")]


def _head(rows: Rows, head_rows: dict[str, int], faults: list[Fault]) -> dict[str, str]:
    found: dict[str, str] = {}
    twice: dict[str, Fault] = {}
    unknown: Rows = []
    for number, row in rows:
        # a spreadsheet fills the row up with empty cells
        key, _, value = row.rstrip(", ").removeprefix("#").partition(":")
        if key not in PREAMBLE:
            unknown.append((number, key))
            continue
        if key in head_rows:
            text = f"#{key}: stands twice, on row {head_rows[key]} too"
            twice[key] = Fault(pointer(key), "duplicate_line", text)
        found[key], head_rows[key] = value.strip(), number
    faults += [*_unknown(unknown), *twice.values(), *_missing(head_rows)]
    # which of two is meant is not known, so neither is read
    return {key: value for key, value in found.items() if key not in twice}


def _unknown(rows: Rows) -> Iterator[Fault]:
    """So many of the unknown keys as show what is wrong: there may be hundreds of thousands."""
    known = Allowed(one_of=PREAMBLE)
    for number, key in rows[:MOST_UNKNOWN]:
        text = f"row {number}: there is no {shown(key)} in a preamble"
        yield Fault(pointer(key), "unknown_field", text, known)
    if len(rows) > MOST_UNKNOWN:
        text = f"and {len(rows) - MOST_UNKNOWN} more rows that begin with # and have no key of a preamble"
        yield Fault("", "unknown_field", text, known)


def _missing(given: Mapping[str, int]) -> list[Fault]:
    return [
        Fault(pointer(key), "missing", f"a row `#{key}:` is needed above the column names")
        for key in NEEDED_KEYS
        if key not in given
    ]


def _columns(rows: Rows, faults: list[Fault]) -> tuple[str, ...]:
    """The names of the columns, none where they cannot be used."""
    number, row = rows[0] if rows else (1, "")
    names = tuple(name.strip() for name in row.split(","))
    known = Allowed(one_of=COLUMNS)
    wrong = list(islice((f"{shown(name)} is no column" for name in names if name not in COLUMNS), MOST_NAMED))
    wrong += [f"{name} stands twice" for name in COLUMNS if names.count(name) > 1]
    wrong += [f"{name} is missing" for name in NEEDED_COLUMNS if name not in names]
    if wrong:
        text = f"row {number} must name the columns {','.join(COLUMNS)}: {'; '.join(wrong[:MOST_NAMED])}"
        faults.append(Fault("/lines", "bad_pattern", text, known))
    return () if wrong else names


def _count(lines: int) -> Fault:
    code = "too_few" if lines == 0 else "too_many"
    allowed = Allowed(min=1.0, max=float(MOST_LINES))
    return Fault("/lines", code, f"{lines} lines given, 1 to {MOST_LINES} taken", allowed)


def _lines(rows: Rows, columns: tuple[str, ...], faults: list[Fault]) -> dict[int, Mapping[str, str]]:
    found: dict[int, Mapping[str, str]] = {}
    for place, (_, row) in enumerate(rows):
        if row.startswith("#"):
            faults.append(Fault(pointer("lines", place), "bad_pattern", BELOW))
            continue
        try:
            found[place] = _cells(row, columns)
        except (csv.Error, Unusable) as error:
            text = f"cannot be read as CSV: {error}; a cell holds no line end"
            faults.append(Fault(pointer("lines", place), "bad_pattern", text))
    return found


def _named_cells(row: str, names: tuple[str, ...], columns: tuple[str, ...]) -> dict[str, str]:
    """Every column's cell, empty where the sheet has no such column."""
    cells = next(csv.reader([row], strict=True), [])
    if len(cells) != len(names):
        raise Unusable(f"{len(cells)} cells where there are {len(names)} column names")
    given = dict(zip(names, cells, strict=True))
    return {column: given.get(column, "") for column in columns}


def _cells(row: str, columns: tuple[str, ...]) -> dict[str, str]:
    found = _named_cells(row, columns, COLUMNS)
    breaks = (part.partition(":") for part in found["breaks"].split(";"))
    return {
        **found,
        "unit_price": with_cents(found["unit_price"]),
        "breaks": ";".join(f"{count}{colon}{with_cents(price)}" for count, colon, price in breaks),
    }


def with_cents(price: str) -> str:
    """Return a price with the noughts back that spreadsheets drop; any other text as it is.

    >>> with_cents("14"), with_cents("14.2"), with_cents("14.205"), with_cents("x")
    ('14.00', '14.20', '14.205', 'x')
    """
    if not _WITHOUT_CENTS.fullmatch(price):
        return price
    whole, _, tenths = price.partition(".")
    return f"{whole}.{tenths:0<2}"

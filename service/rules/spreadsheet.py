"""A building department's spreadsheet, saved as CSV, as the text of a rule table: columns found by their headers.

Nothing is converted: a cell has to say what the column takes, in its unit, or the sheet is refused.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from service.rules.faults import TableFault, TableRefused
from service.rules.headers import At, Reading, places_of
from service.rules.kinds import KINDS, TableKind
from service.rules.parse import PREAMBLE, cell_fault, parse_table
from service.rules.table_text import expected, line_of, text_of


@dataclass(frozen=True)
class _Line:
    """A row of the sheet and the line it begins on, from 1."""

    number: int
    cells: list[str]


@dataclass(frozen=True)
class _Sheet:
    """A sheet: its own preamble, header and rows, blank lines and trailing empty columns gone."""

    name: str
    preamble: Mapping[str, str]
    header: _Line
    rows: list[_Line]


def decoded_sheet(content: bytes, file_name: str) -> str:
    """Return a file as text, without a byte order mark.

    Raises:
        TableRefused: it is not UTF-8
    """
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        said = "not UTF-8: save the sheet as CSV in UTF-8"
        raise TableRefused([TableFault(file_name, line, None, said)]) from error


def read_spreadsheet(text: str, file_name: str, table: str, reading: Reading) -> str:
    """Return the canonical text of a table from a sheet.

    A header is that of a column if both have the same letters and digits: "Max Span (in)" is `max_span_in`. The text
    of a table as we print it is read back byte for byte.

    Args:
        text: the sheet; separated by commas, semicolons or tabs
        file_name: for messages
        table: kind of the table
        reading: the rest of what has to be known

    Raises:
        TableRefused: with every fault, by the line of the sheet and the column of the table
    """
    kind = KINDS.get(table)
    if kind is None:
        said = f"{table} is no known kind of table; known are {', '.join(KINDS)}"
        raise TableRefused([TableFault(file_name, 1, "table", said)])
    sheet = _read(text, file_name)
    _refuse([*_preamble_faults(sheet, table)])
    places = places_of(kind, sheet.header.cells, reading, At(file_name, sheet.header.number))
    rows = _without_units(kind, places, sheet.rows)
    made = _made(kind, sheet, places, reading, rows)
    preamble = {**reading.preamble, **sheet.preamble, "table": table}
    head = [f"#{key}: {preamble.get(key, '')}".rstrip() for key in PREAMBLE]
    head += [line_of(list(kind.position)), line_of([column.unit for column in kind.columns])]
    canonical = text_of(head, made)
    _check_whole(canonical, sheet, len(head), rows)
    return canonical


def _refuse(faults: Sequence[TableFault]) -> None:
    if faults:
        raise TableRefused(faults)


def _read(text: str, name: str) -> _Sheet:
    raw = text.replace("\r\n", "\n").split("\n")
    told = re.fullmatch(r"sep=([,;\t])", raw[0])
    start = next((n for n, line in enumerate(raw) if n >= bool(told) and not _is_above(line)), len(raw))
    separator = told[1] if told else _separator(raw[start:])
    lines = _lines(raw[start:], start, separator, name)
    if not lines:
        raise TableRefused([TableFault(name, start + 1, None, "the sheet has no header")])
    width = max(n + 1 for line in lines for n, cell in enumerate(line.cells) if cell)
    header, *rows = (_Line(line.number, (line.cells + [""] * width)[:width]) for line in lines)
    above = [line for line in raw[:start] if line.lstrip('"').startswith("#")]
    return _Sheet(name, dict(_said_above(line, separator) for line in above), header, rows)


def _is_above(line: str) -> bool:
    return line.lstrip('"').startswith("#") or not line.strip(",;\t ")


def _said_above(line: str, separator: str) -> tuple[str, str]:
    """A preamble line; a spreadsheet takes it apart at every separator and adds empty cells."""
    if line.startswith('"') or line.endswith(separator):
        line = separator.join(next(csv.reader([line], delimiter=separator), [])).rstrip(separator)
    key, _, value = line[1:].partition(":")
    return key, value.strip()


def _separator(lines: Sequence[str]) -> str:
    """The separator the header has most of."""
    header = re.sub(r'"[^"]*"', "", next(iter(lines), ""))
    return max(",;\t", key=header.count)


def _lines(raw: Sequence[str], before: int, separator: str, name: str) -> list[_Line]:
    """The rows that hold anything, each with its line."""
    reader = csv.reader((f"{line}\n" for line in raw), delimiter=separator, strict=True)
    found: list[_Line] = []
    begins = 0
    try:
        for cells in reader:
            if any(cells):
                found.append(_Line(before + begins + 1, cells))
            begins = reader.line_num
    except csv.Error as error:
        fault = TableFault(name, before + begins + 1, None, f"cannot be read as CSV: {error}")
        raise TableRefused([fault]) from error
    return found


def _preamble_faults(sheet: _Sheet, table: str) -> Iterator[TableFault]:
    for key, value in sheet.preamble.items():
        if key not in PREAMBLE:
            yield TableFault(sheet.name, 1, key, f"unknown preamble key; known are {', '.join(PREAMBLE)}")
        elif key == "table" and value != table:
            yield TableFault(sheet.name, 1, key, f"the sheet says that it is {value}, not {table}")


def _without_units(kind: TableKind, places: Mapping[str, int], rows: list[_Line]) -> list[_Line]:
    """The rows without the units that stand below the header where we print a table."""
    units = {column.name: column.unit for column in kind.columns}
    first = rows[0].cells if rows else []
    printed = bool(first) and all(first[place] == units[name] for name, place in places.items())
    return rows[1:] if printed else rows


def _made(
    kind: TableKind, sheet: _Sheet, places: Mapping[str, int], reading: Reading, rows: Sequence[_Line]
) -> list[str]:
    faults: list[TableFault] = []
    lines: list[str] = []
    for row in rows:
        cells = [
            row.cells[places[name]] if name in places else reading.constants[name] for name in kind.position
        ]
        for column, cell in zip(kind.columns, cells, strict=True):
            said = "holds a line break" if "\n" in cell or "\r" in cell else cell_fault(column, cell)
            if said:
                faults.append(TableFault(sheet.name, row.number, column.name, said + expected(column)))
        lines.append(line_of(cells))
    _refuse(faults)
    return lines


def _check_whole(canonical: str, sheet: _Sheet, above: int, rows: Sequence[_Line]) -> None:
    """Read the table as it will be loaded; faults are told by the lines of the sheet."""
    try:
        parse_table(canonical, sheet.name)
    except TableRefused as refused:

        def line(number: int) -> int:
            in_rows = above < number <= above + len(rows)
            return rows[number - above - 1].number if in_rows else sheet.header.number

        raise TableRefused(
            [
                replace(
                    fault,
                    line=line(fault.line),
                    text=re.sub(
                        r"(?<=same key as line )\d+", lambda found: str(line(int(found[0]))), fault.text
                    ),
                )
                for fault in refused.faults
            ]
        ) from refused

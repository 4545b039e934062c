"""Parsing of a table's text: strict, every fault of a file at once, nothing read from disk."""

from __future__ import annotations

import csv
import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from service.rules.faults import TableFault, TableRefused
from service.rules.kinds import (
    CORRECTED,
    FLAGS,
    KINDS,
    NOT_PERMITTED,
    STATUSES,
    SUSPECT,
    VERIFIED_STATUS,
    Column,
    TableKind,
)
from service.rules.table import Row, Table, Value

PREAMBLE = ("table", "rulebook", "document", "section", "printed", "checked_on", "note")
MAY_BE_EMPTY = ("printed", "note")
NUMBER = re.compile(r"[0-9]{1,7}(\.[0-9]{1,6})?")
WORD = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
FORBIDDEN = {"\0": "a NUL character", "\r": "a carriage return; lines end with a line feed alone"}


def digest_of(text: str) -> str:
    """Return the SHA-256 of a canonical text.

    >>> digest_of("")[:8]
    'e3b0c442'
    """
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


@dataclass
class _File:
    """A file being read, and what was found wrong with it so far."""

    name: str
    faults: list[TableFault] = field(default_factory=list)

    def fault(self, line: int, column: str | None, text: str) -> None:
        self.faults.append(TableFault(self.name, line, column, text))

    def stop_on_fault(self) -> None:
        if self.faults:
            raise TableRefused(self.faults)


def parse_table(text: str, file_name: str, sources: Mapping[str, Row] | None = None) -> Table:
    """Return the table in ``text``, or raise ``TableRefused`` with every fault found.

    Source ids are looked up in ``sources`` where these are given.
    """
    file = _File(file_name)
    _check_characters(file, text)
    file.stop_on_fault()
    lines = text.split("\n")[:-1]
    preamble = _preamble(file, lines)
    file.stop_on_fault()
    kind = KINDS[preamble["table"]]
    start = len(preamble)
    _check_header(file, kind, lines, start)
    file.stop_on_fault()
    rows = _rows(file, kind, lines, start + 2, sources)
    file.stop_on_fault()
    return Table(
        name=kind.name,
        rulebook_id=preamble["rulebook"],
        document=preamble["document"],
        section=preamble["section"],
        printed=preamble["printed"],
        checked_on=preamble["checked_on"],
        note=preamble["note"],
        rows=rows,
        text=text,
        digest=digest_of(text),
        sources=sources or {},
    )


def _check_characters(file: _File, text: str) -> None:
    for number, line in enumerate(text.split("\n"), start=1):
        for character, what in FORBIDDEN.items():
            if character in line:
                file.fault(number, None, f"holds {what}")
    if not text.endswith("\n") or text.endswith("\n\n"):
        file.fault(text.count("\n") + 1, None, "the file must end with exactly one line feed")


def _preamble(file: _File, lines: list[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for number, line in enumerate(lines, start=1):
        if not line.startswith("#"):
            break
        key, colon, value = line[1:].partition(": ")
        key = key if colon else key.removesuffix(":")
        if key not in PREAMBLE:
            file.fault(number, key, f"unknown preamble key; known are {', '.join(PREAMBLE)}")
        elif key in found:
            file.fault(number, key, "preamble key given twice")
        found[key] = value
    _check_preamble(file, found)
    return found


def _check_preamble(file: _File, found: Mapping[str, str]) -> None:
    line = {key: number for number, key in enumerate(found, start=1)}
    for key in PREAMBLE:
        if key not in found:
            file.fault(1, key, "preamble key missing")
        elif not found[key] and key not in MAY_BE_EMPTY:
            file.fault(line[key], key, "preamble key without a value")
    if found.get("table") and found["table"] not in KINDS:
        file.fault(line["table"], "table", f"{found['table']!r} is no known kind of table")
    if found.get("checked_on") and not DAY.fullmatch(found["checked_on"]):
        file.fault(line["checked_on"], "checked_on", "a day is written year-month-day, like 2026-11-25")


def _cells(file: _File, lines: list[str], place: int) -> list[str] | None:
    """The cells of one line (``place`` from 0), or None with a fault."""
    try:
        return next(csv.reader([lines[place]], strict=True), [])
    except (csv.Error, IndexError) as error:
        what = "line missing" if isinstance(error, IndexError) else f"cannot be read as CSV: {error}"
        file.fault(place + 1, None, what)
        return None


def _check_header(file: _File, kind: TableKind, lines: list[str], place: int) -> None:
    header = _cells(file, lines, place)
    units = _cells(file, lines, place + 1)
    if header is None or units is None:
        return
    wanted = [column.name for column in kind.columns]
    for name in header:
        if name not in wanted:
            file.fault(place + 1, name, f"unknown column; {kind.name} has {', '.join(wanted)}")
        elif header.count(name) > 1:
            file.fault(place + 1, name, "column given twice")
    for name in wanted:
        if name not in header:
            file.fault(place + 1, name, "column missing")
    if not file.faults and header != wanted:
        file.fault(place + 1, None, f"columns must stand in the order {', '.join(wanted)}")
    if not file.faults:
        _check_units(file, kind, units, place + 2)


def _check_units(file: _File, kind: TableKind, units: list[str], line: int) -> None:
    if len(units) != len(kind.columns):
        file.fault(line, None, f"the units row has {len(units)} cells, the table {len(kind.columns)} columns")
        return
    for column, unit in zip(kind.columns, units, strict=True):
        if unit != column.unit:
            given = f"unit {unit!r}" if unit else "unit missing"
            file.fault(line, column.name, f"{given}; it must be {column.unit!r}")


def _rows(
    file: _File, kind: TableKind, lines: list[str], start: int, sources: Mapping[str, Row] | None
) -> tuple[Row, ...]:
    rows: list[Row] = []
    first_line: dict[tuple[Value, ...], int] = {}
    for place in range(start, len(lines)):
        cells = _cells(file, lines, place)
        if cells is None:
            continue
        if len(cells) != len(kind.columns):
            file.fault(
                place + 1, None, f"the row has {len(cells)} cells, the table {len(kind.columns)} columns"
            )
            continue
        row = tuple(_value(file, place + 1, *pair) for pair in zip(kind.columns, cells, strict=True))
        _check_row(file, kind, row, place + 1, sources)
        key = tuple(row[kind.position[name]] for name in kind.key)
        if key in first_line:
            file.fault(place + 1, kind.key[0], f"same key as line {first_line[key]}")
        first_line.setdefault(key, place + 1)
        rows.append(row)
    if not rows:
        file.fault(len(lines), None, "the table has no rows")
    if not file.faults:
        _check_gaps(file, kind, rows, start + 1)
    return tuple(rows)


def _check_gaps(file: _File, kind: TableKind, rows: list[Row], first_line: int) -> None:
    """Every group of rows must have the same values along the kind's last key columns."""
    along = [kind.position[name] for name in kind.along]
    shared = [kind.position[name] for name in kind.key if name not in kind.along]
    groups: dict[Row, dict[Row, int]] = {}
    for line, row in enumerate(rows, start=first_line):
        group = groups.setdefault(tuple(row[p] for p in shared), {})
        group[tuple(row[p] for p in along)] = line
    every = dict.fromkeys(values for group in groups.values() for values in group)
    for group in groups.values():
        for missing in (values for values in every if values not in group):
            words = " and ".join(f"{name} {value}" for name, value in zip(kind.along, missing, strict=True))
            file.fault(max(group.values()), kind.along[0], f"a gap: no row for {words} in this group")


def _value(file: _File, line: int, column: Column, cell: str) -> Value:
    fault = cell_fault(column, cell)
    if fault:
        file.fault(line, column.name, fault)
    return cell_value(column, cell)


def cell_value(column: Column, cell: str) -> Value:
    """Return what a cell says: a number where its column takes one, a text, or None for an empty cell.

    >>> cell_value(KINDS["joist_spans"].columns[0], "40.0")
    40.0
    """
    if not cell:
        return None
    return float(cell) if column.type in ("number", "mixed") and NUMBER.fullmatch(cell) else cell


def cell_fault(column: Column, cell: str) -> str | None:
    """Return what is wrong with a cell by itself, or None; whether it may be empty its row decides.

    >>> cell_fault(KINDS["joist_spans"].columns[4], "16 in")
    "'16 in' is not a number"
    """
    if cell and cell != cell.strip():
        return f"{cell!r} begins or ends with a space"
    return _form_fault(column, cell) if cell else None


def _form_fault(column: Column, cell: str) -> str | None:
    if column.type == "number" and not NUMBER.fullmatch(cell):
        return f"{cell!r} is not a number"
    if column.most is not None and not 0 < float(cell) <= column.most:
        unit = "" if column.unit == "-" else f" {column.unit}"
        return f"{cell!r} is out of range: above 0, at most {column.most:g}{unit}"
    if column.type == "word" and not WORD.fullmatch(cell):
        return f"{cell!r} is not lower-case words joined by underscores"
    if column.type == "flag" and cell not in FLAGS:
        return f"unknown flag {cell!r}; known are {', '.join(FLAGS)}"
    if column.type == "verified" and cell not in VERIFIED_STATUS:
        return f"{cell!r} is not one of {', '.join(VERIFIED_STATUS)}"
    if column.type == "status" and cell not in STATUSES:
        return f"{cell!r} is not one of {', '.join(STATUSES)}"
    return None


def _check_row(file: _File, kind: TableKind, row: Row, line: int, sources: Mapping[str, Row] | None) -> None:
    cells = dict(zip(kind.position, row, strict=True))
    flag = cells.get("flag")
    for column in kind.columns:
        forbidden = flag == NOT_PERMITTED and column.name in kind.safer
        if forbidden and cells[column.name] is not None:
            file.fault(line, column.name, "a row flagged NP (not permitted) carries a value")
        elif not forbidden and not column.optional and cells[column.name] is None:
            what = "source missing" if column.name in ("source_id", "source") else "cell missing"
            file.fault(line, column.name, what)
    _check_flag(file, kind, cells, line)
    source = cells.get("source_id")
    if sources is not None and source is not None and kind.name != "sources" and source not in sources:
        file.fault(line, "source_id", f"unknown source {source!r}")


def _check_flag(file: _File, kind: TableKind, cells: Mapping[str, Value], line: int) -> None:
    likely = [name for name in kind.likely.values() if cells[name] is not None]
    if cells.get("flag") == SUSPECT and not likely:
        file.fault(line, "flag", "a suspect row gives no likely value")
    if cells.get("flag") != SUSPECT and likely:
        file.fault(line, likely[0], "a likely value on a row that is not flagged suspect")
    if cells.get("flag") == CORRECTED and cells.get("printed_text") is None:
        file.fault(line, "flag", "a corrected row does not give the printed text")


def checked_cell(column: Column, cell: Value) -> tuple[Value, tuple[str, ...]]:
    """Return a cell that somebody gives beside a table's file, and what the file's own rules have against it.

    >>> from service.rules.kinds import KINDS
    >>> column = KINDS["joist_spans"].columns[5]
    >>> checked_cell(column, 96.0), checked_cell(column, -1.0)[1]
    ((96.0, ()), ("'-1' is not a number",))
    """
    file = _File("")
    value = _value(file, 0, column, _written(cell))
    if isinstance(cell, float) and isinstance(value, str) and not file.faults:
        file.fault(0, column.name, f"{value!r} is not a number")  # where a word may stand too
    return value, tuple(fault.text for fault in file.faults)


def _written(cell: Value) -> str:
    return f"{cell!r}".removesuffix(".0") if isinstance(cell, float) else cell or ""


def row_faults(kind: TableKind, row: Row) -> tuple[str, ...]:
    """Return what the rules of a table's file have against a row: cells missing, flags that don't fit."""
    file = _File("")
    _check_row(file, kind, row, 0, None)
    return tuple(f"{fault.column}: {fault.text}" for fault in file.faults)


def gap_faults(kind: TableKind, rows: tuple[Row, ...]) -> tuple[str, ...]:
    """Return the rows that are missing between others of a table."""
    file = _File("")
    _check_gaps(file, kind, list(rows), 0)
    return tuple(fault.text for fault in file.faults)

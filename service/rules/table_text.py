"""A table's canonical text taken apart into lines, and lines written back, with nothing judged but the form."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile

from service.rules.kinds import KINDS, Column, TableKind
from service.rules.parse import cell_value
from service.rules.table import Row

Cells = tuple[str, ...]
_UNITS = {"in": "inches", "ft": "feet", "sqft": "square feet", "lb": "pounds", "psf": "psf"}


class UnreadableTable(ValueError):
    """A text that is no table of a known kind; the message says why."""


@dataclass(frozen=True)
class TableText:
    """A table's text by its parts.

    Attributes:
        kind: what the text says it is
        preamble: its lines above the header, by key
        head: these lines, the header and the units row, as they stand
        lines: the rows as they stand
        rows: the cells of each of them
    """

    kind: TableKind
    preamble: Mapping[str, str]
    head: tuple[str, ...]
    lines: tuple[str, ...]
    rows: tuple[Cells, ...]


def read_text(name: str, text: str) -> TableText:
    """Return the parts of a table's text.

    Raises:
        UnreadableTable: it is of no known kind, has other columns, or a line that is no CSV
    """
    kind = KINDS.get(name)
    if kind is None:
        raise UnreadableTable(f"{name} is no known kind of table")
    every = text.removesuffix("\n").split("\n")
    above = list(takewhile(lambda line: line.startswith("#"), every))
    head, lines = every[: len(above) + 2], every[len(above) + 2 :]
    header = cells_of(head[len(above)]) if len(head) > len(above) else ()
    if header != tuple(kind.position):
        raise UnreadableTable(f"the header of {name} is not {','.join(kind.position)}")
    return TableText(kind, _preamble(above), tuple(head), tuple(lines), _rows(kind, lines, len(head)))


def preamble_of(text: str) -> dict[str, str]:
    r"""Return what stands above a table, by key; nothing of a text that has no such lines.

    >>> preamble_of("#table: joist_spans\n#section: R507.6\nload_psf\n")
    {'table': 'joist_spans', 'section': 'R507.6'}
    """
    return _preamble([*takewhile(lambda line: line.startswith("#"), text.split("\n"))])


def _preamble(lines: Sequence[str]) -> dict[str, str]:
    pairs = (line[1:].partition(":") for line in lines)
    return {key: value.strip() for key, _, value in pairs}


def _rows(kind: TableKind, lines: Sequence[str], above: int) -> tuple[Cells, ...]:
    rows = tuple(cells_of(line) for line in lines)
    for number, row in enumerate(rows, start=above + 1):
        if len(row) != len(kind.columns):
            raise UnreadableTable(
                f"line {number} of {kind.name} has {len(row)} cells, the table {len(kind.columns)} columns"
            )
    return rows


def cells_of(line: str) -> Cells:
    """Return the cells of one line of CSV.

    >>> cells_of('40,"a, b",')
    ('40', 'a, b', '')

    Raises:
        UnreadableTable: the line is no CSV
    """
    try:
        return tuple(next(csv.reader([line], strict=True), []))
    except csv.Error as error:
        raise UnreadableTable(f"a line cannot be read as CSV: {error}") from error


def line_of(cells: Sequence[str]) -> str:
    """Return the line of a row, quoted only where it has to be.

    >>> line_of(["40", "a, b", ""])
    '40,"a, b",'
    """
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()


def text_of(head: Sequence[str], lines: Sequence[str]) -> str:
    """Return a table's text from its lines."""
    return "".join(f"{line}\n" for line in (*head, *lines))


def values_of(kind: TableKind, cells: Sequence[str]) -> Row:
    """Return what the cells of a row say, so that "40" and "40.0" are one value."""
    return tuple(cell_value(column, cell) for column, cell in zip(kind.columns, cells, strict=True))


def key_of(kind: TableKind, values: Row) -> Row:
    """Return the values of a row that name it."""
    return tuple(values[kind.position[name]] for name in kind.key)


def expected(column: Column) -> str:
    """Return the end of a sentence about a cell that is not a number; empty where its column takes words.

    >>> expected(KINDS["joist_spans"].columns[5])
    '; a decimal number of inches is needed, like 114 or 57.5'
    """
    if column.type != "number":
        return ""
    unit = f" of {_UNITS[column.unit]}" if column.unit in _UNITS else ""
    return f"; a decimal number{unit} is needed, like 114 or 57.5"

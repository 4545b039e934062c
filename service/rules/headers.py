"""Which column of a table a header of somebody's spreadsheet means: said, or plain to see, and never guessed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.rules.faults import TableFault, TableRefused
from service.rules.kinds import TableKind
from service.rules.parse import cell_fault

_NOT_PLAIN = re.compile(r"[^a-z0-9]")


@dataclass(frozen=True)
class Reading:
    """How a sheet is read, where its headers alone do not say it.

    Attributes:
        columns: header of the sheet to column of the table; an empty column leaves the header's cells out
        constants: column to the cell every row has in it
        preamble: what stands above the table, by key; the sheet's own lines `#key: value` come first
    """

    columns: Mapping[str, str]
    constants: Mapping[str, str]
    preamble: Mapping[str, str]


@dataclass(frozen=True)
class At:
    """Where the header stands."""

    file: str
    line: int

    def fault(self, column: str | None, text: str) -> TableFault:
        """Return a fault of the header."""
        return TableFault(self.file, self.line, column, text)


def plain(header: str) -> str:
    """Return the letters and digits of a header, which are all it is known by.

    >>> plain("Max Span (in)") == plain("max_span_in")
    True
    """
    return _NOT_PLAIN.sub("", header.casefold())


def places_of(kind: TableKind, headers: Sequence[str], reading: Reading, at: At) -> dict[str, int]:
    """Return the place of every column that the sheet has.

    Args:
        kind: of the table
        headers: of the sheet
        reading: says which header is which column, and what stands in columns the sheet does not have
        at: where the header stands

    Raises:
        TableRefused: a header means no column or one that another means, or a column is neither there nor given
    """
    meant = [_meant(kind, header, reading) for header in headers]
    faults = [
        *_said_wrongly(kind, headers, reading, at),
        *_unknown(kind, headers, meant, reading, at),
        *_twice(headers, meant, at),
        *_missing(kind, meant, reading, at),
    ]
    if faults:
        raise TableRefused(faults)
    return {column: place for place, column in enumerate(meant) if column}


def _meant(kind: TableKind, header: str, reading: Reading) -> str | None:
    """The column a header means, empty where its cells are left out, None where nobody knows."""
    if header in reading.columns:
        return reading.columns[header]
    found = [name for name in kind.position if plain(name) == plain(header)]
    return found[0] if len(found) == 1 else None


def _said_wrongly(kind: TableKind, headers: Sequence[str], reading: Reading, at: At) -> Iterator[TableFault]:
    known = ", ".join(kind.position)
    for header, column in reading.columns.items():
        if header not in headers:
            yield at.fault(
                column or None,
                f"the sheet has no header {header!r}; it has {', '.join(filter(None, headers))}",
            )
        if column and column not in kind.position:
            yield at.fault(column, f"{kind.name} has no such column; it has {known}")
    for column, value in reading.constants.items():
        if column not in kind.position:
            yield at.fault(column, f"{kind.name} has no such column; it has {known}")
        elif said := cell_fault(kind.columns[kind.position[column]], value):
            yield at.fault(column, said)


def _unknown(
    kind: TableKind, headers: Sequence[str], meant: Sequence[str | None], reading: Reading, at: At
) -> Iterator[TableFault]:
    free = [name for name in kind.position if name not in meant and name not in reading.constants]
    for header, column in zip(headers, meant, strict=True):
        if column is None:
            name = repr(header) if header else "a column without a header"
            yield at.fault(
                None, f"{name} is no column of {kind.name}; not found yet: {', '.join(free) or 'none'}"
            )


def _twice(headers: Sequence[str], meant: Sequence[str | None], at: At) -> Iterator[TableFault]:
    for column in dict.fromkeys(filter(None, meant)):
        named = [header for header, one in zip(headers, meant, strict=True) if one == column]
        if len(named) > 1:
            yield at.fault(column, f"{' and '.join(map(repr, named))} both mean this column")


def _missing(kind: TableKind, meant: Sequence[str | None], reading: Reading, at: At) -> Iterator[TableFault]:
    for name in kind.position:
        if name in meant and name in reading.constants:
            yield at.fault(name, "the sheet has this column, so no cell can be given for every row")
        elif name not in meant and name not in reading.constants:
            yield at.fault(
                name,
                "the sheet has no such column: say which header means it, or give its cell for every row",
            )

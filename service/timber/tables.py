"""Strict reading of a value table given as text: every refusal names the table and the line."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Sequence

STATUSES = ("two_sources", "one_source", "second_hand", "memory", "disputed")
# Best known first; the status of a product is that of its worst part.
CITED_STATUSES = ("two_sources", "one_source", "second_hand", "own_convention", "memory")


class MalformedTable(ValueError):
    """A value table that cannot be trusted; the message names table, line and fault.

    Source: convention of this service; no unit.

    >>> str(MalformedTable("factors", 3, "no unit"))
    'factors, line 3: no unit'
    """

    def __init__(self, table: str, line: int, fault: str) -> None:
        """Name the table, the line and the fault."""
        super().__init__(f"{table}, line {line}: {fault}")


def rows(
    table: str, text: str, columns: Sequence[str], needed: Sequence[str]
) -> Iterator[tuple[int, dict[str, str]]]:
    """Yield line number and cells of each row of a comma-separated table.

    Source: convention of this service; no unit.

    Args:
        table: name used in messages.
        text: the whole table, heading first.
        columns: the exact heading.
        needed: columns that may not be empty.

    Yields:
        Line number (1 is the heading) and the row by column.

    Raises:
        MalformedTable: wrong heading, wrong cell count, empty cell, unknown status, or no rows.

    >>> list(rows("t", "a,status\\n1,memory\\n", ("a", "status"), ("a",)))
    [(2, {'a': '1', 'status': 'memory'})]
    """
    reader = csv.reader(io.StringIO(text))
    if tuple(next(reader, [])) != tuple(columns):
        raise MalformedTable(table, 1, f"the heading must be {','.join(columns)}")
    found = 0
    for cells in reader:
        if len(cells) != len(columns):
            raise MalformedTable(table, reader.line_num, f"{len(cells)} cells where {len(columns)} are due")
        row = dict(zip(columns, cells, strict=True))
        _refuse_bad_row(table, reader.line_num, row, needed)
        found += 1
        yield reader.line_num, row
    if not found:
        raise MalformedTable(table, 1, "no rows")


def _refuse_bad_row(table: str, line: int, row: dict[str, str], needed: Sequence[str]) -> None:
    for column in needed:
        if not row[column].strip():
            raise MalformedTable(table, line, f"{column} is empty")
    if row["status"] not in STATUSES:
        raise MalformedTable(table, line, f"status {row['status']!r} is not one of {', '.join(STATUSES)}")


def positive(table: str, line: int, column: str, cell: str) -> float:
    """Return a cell as a number above zero, in the unit its column or row names.

    Source: convention of this service.

    Args:
        table: name used in messages.
        line: line number used in messages.
        column: column used in messages.
        cell: the text.

    Returns:
        The number, in the unit of the cell.

    Raises:
        MalformedTable: not a finite number above zero.

    >>> positive("t", 2, "fb_psi", "875")
    875.0
    """
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value > 0):
        raise MalformedTable(table, line, f"{column} must be a number above zero, not {cell!r}")
    return value


def worse_status(*statuses: str) -> str:
    """Return the least well known of several statuses; no unit.

    Source: convention of this service.

    >>> worse_status("second_hand", "memory")
    'memory'
    """
    return max(statuses, key=CITED_STATUSES.index)

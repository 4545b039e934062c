"""An amendment laid on one table: cells changed, a row added, rows taken off it; or why it does not fit there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from service.rules.amendment import Amendment
from service.rules.citing import shown
from service.rules.figures import LOCAL_FIGURES
from service.rules.kinds import NOT_PERMITTED, Column
from service.rules.parse import row_faults
from service.rules.rulebook import AppliedAmendment
from service.rules.settings import setting_cell
from service.rules.table import Amended, Row, Table, Value
from service.rules.unread import unread

NO_ROW = "finds no row"


class Misfit(ValueError):
    """Why an amendment does not fit a table as it stands."""


@dataclass(frozen=True)
class Laid:
    """A table with an amendment on it, and what is told of each of its columns."""

    table: Table
    records: tuple[AppliedAmendment, ...]


def lay(tables: Mapping[str, Table], amendment: Amendment) -> Laid:
    """Return the amendment's table with one more amendment on it; raises ``Misfit``."""
    table = tables[amendment.table]
    why = unread(tables, amendment, _matching(table, amendment))
    if why:
        raise Misfit(why)
    by_change = {"changed": _changed, "added": _added, "removed": _removed}
    return by_change[amendment.change](table, amendment)


def record(amendment: Amendment, column: str, printed: Value, value: Value) -> AppliedAmendment:
    """Return what is told of one column: ``printed`` is what stood there before."""
    return AppliedAmendment(
        id=amendment.id,
        title=amendment.title,
        table=amendment.table,
        column=column,
        printed=shown(printed),
        value=shown(value),
        document=amendment.citation.document,
        section=amendment.citation.section,
    )


def _matching(table: Table, amendment: Amendment) -> list[int]:
    wanted = {table.kind.position[name]: value for name, value in amendment.match.items()}
    return [
        number
        for number, row in enumerate(table.rows)
        if number not in table.removed and all(row[place] == value for place, value in wanted.items())
    ]


def _cells(amendment: Amendment) -> dict[str, Value]:
    return {name: setting_cell(value) for name, value in amendment.cells.items()}


def _changed(table: Table, amendment: Amendment) -> Laid:
    rows = _matching(table, amendment)
    if not rows:
        raise Misfit(NO_ROW)
    cells = _cells(amendment)
    made = {row: _checked(table, _with(table, table.rows[row], cells)) for row in rows}
    for name, value in cells.items():
        for row in rows:
            _refuse_unlike(table.cell(row, name), value, name)
    marks = {(row, name): _mark(table, row, name, amendment) for row in rows for name in cells}
    records = tuple(
        record(amendment, name, table.cell(rows[0], name), value) for name, value in cells.items()
    )
    return Laid(_with_rows(table, made, marks), records)


def _refuse_unlike(printed: Value, value: Value, name: str) -> None:
    """A number stays a number, and one over zero stays so: everything that reads it counts on that."""
    if printed is None:
        raise Misfit(f"gives {name}, which is blank there and not read")
    if isinstance(printed, float) != isinstance(value, float):
        raise Misfit(
            f"gives {name} a {'word' if isinstance(value, str) else 'number'} where the code has none"
        )
    if printed and value == 0:
        raise Misfit(f"gives {name} as 0")


def _removed(table: Table, amendment: Amendment) -> Laid:
    # What a row forbids it forbids on: off the table would be less.
    rows = [row for row in _matching(table, amendment) if not _forbids(table, row)]
    if not rows:
        raise Misfit(NO_ROW)
    columns = tuple(table.kind.safer) or ("value",)
    made = {row: _with(table, table.rows[row], dict.fromkeys(columns)) for row in rows}
    marks = {(row, name): _mark(table, row, name, amendment) for row in rows for name in columns}
    told = record(amendment, columns[0], table.cell(rows[0], columns[0]), "removed")
    laid = _with_rows(table, made, marks)
    return Laid(replace(laid, removed=table.removed | set(rows)), (told,))


def _forbids(table: Table, row: int) -> bool:
    return "flag" in table.kind.position and table.cell(row, "flag") == NOT_PERMITTED


def _added(table: Table, amendment: Amendment) -> Laid:
    cells = {**amendment.match, **_cells(amendment)}
    row = tuple(cells.get(column.name, _filled(column, amendment)) for column in table.kind.columns)
    number = table.by_key.get(tuple(row[place] for place in table.key_positions.values()), len(table.rows))
    if number < len(table.rows) and number not in table.removed:
        raise Misfit("adds a row that the table has: change it")
    columns = tuple(_cells(amendment))
    marks = {(number, name): _mark(table, number, name, amendment) for name in columns}
    laid = _with_rows(table, {number: _checked(table, row)}, marks)
    told = tuple(record(amendment, name, None, cells[name]) for name in columns)
    return Laid(replace(laid, removed=table.removed - {number}), told)


def _filled(column: Column, amendment: Amendment) -> Value:
    """A cell of an added row that says where it comes from: the amendment itself."""
    law = amendment.citation
    known = {
        "source_id": amendment.id,
        "source": f"{law.document} {law.section}",
        "verified": "one source",
        "section": law.section,
        "item": amendment.title,
        "topic": "local",
        "requirement": amendment.title,
        "limit": "min",
        "unit": LOCAL_FIGURES.get(amendment.key, ("", None))[1],
    }
    return known.get(column.name)


def _checked(table: Table, row: Row) -> Row:
    for fault in row_faults(table.kind, row):
        raise Misfit(f"makes a row that no table may have ({fault})")
    return row


def _with(table: Table, row: Row, cells: dict[str, Value]) -> Row:
    return tuple(cells.get(name, value) for name, value in zip(table.columns, row, strict=True))


def _mark(table: Table, row: int, column: str, amendment: Amendment) -> Amended:
    before = table.amended.get((row, column))
    printed = table.cell(row, column) if row < len(table.rows) else None
    return Amended(amendment.id, printed, amendment.citation.citation, amendment.change, before)


def _with_rows(table: Table, made: dict[int, Row], marks: dict[tuple[int, str], Amended]) -> Table:
    rows = list(table.rows)
    for number, row in made.items():
        rows[number : number + 1] = [row]
    return replace(table, rows=tuple(rows), amended={**table.amended, **marks})

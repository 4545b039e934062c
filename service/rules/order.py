"""Whether amended rows still fall in order: a case made harsher must not be allowed more than the one before it."""

from __future__ import annotations

from collections.abc import Iterator

from service.rules.kinds import TableKind
from service.rules.lookups import safe_value
from service.rules.table import Table, Value

# Along every other key column a case grows harsher.
EASIER_UPWARDS = ("soil_bearing_psf",)
# Cantilevers rise with the back span while a quarter of it governs: a longer row that gives more is no harsher there.
RISING = ("joist_cantilevers",)


def disorders(table: Table) -> Iterator[tuple[str, str]]:
    """Yield amendments by id that leave a harsher row allowing more than an easier one, and which.

    Rows out of order as printed stay so: only a cell that an amendment made stricter, or laxer, counts.
    """
    for (row, column), mark in table.amended.items():
        value = safe_value(table, row, column)
        if value is not None and column in table.kind.safer:
            other = next(_out_of_order(table, row, column, mark.in_order[0].printed), None)
            if other is not None:
                yield mark.id, _text(table, column, value, other)


def _out_of_order(table: Table, row: int, column: str, printed: Value) -> Iterator[int]:
    """Rows that differ along the axes alone and are harsher yet laxer than an amended one, or the other way round."""
    value = safe_value(table, row, column)
    stricter = printed is None or _laxer(table.kind, column, printed, value)
    laxer = table.name not in RISING and (printed is None or _laxer(table.kind, column, value, printed))
    for other in _same_but_along(table, row):
        theirs = safe_value(table, other, column)
        under = stricter and _harsher(table, other, row) and _laxer(table.kind, column, theirs, value)
        over = laxer and _harsher(table, row, other) and _laxer(table.kind, column, value, theirs)
        if under or over:
            yield other


def axes_of(kind: TableKind) -> tuple[str, ...]:
    """Return the key columns along which a table's cases grow harsher, or easier."""
    return kind.along or kind.key[-1:]


def _same_but_along(table: Table, row: int) -> Iterator[int]:
    along = axes_of(table.kind)
    same = {name: table.cell(row, name) for name in table.kind.key if name not in along}
    return (other for other in table.rows_with(same) if other != row)


def _harsher(table: Table, row: int, than: int) -> bool:
    """Whether a row is as harsh as another along every axis (and is another)."""
    return all(
        _no_easier(name, table.cell(row, name), table.cell(than, name)) for name in axes_of(table.kind)
    )


def _no_easier(name: str, cell: Value, than: Value) -> bool:
    if isinstance(cell, float) and isinstance(than, float):
        return cell <= than if name in EASIER_UPWARDS else cell >= than
    return cell is None and than is None


def _laxer(kind: TableKind, column: str, value: Value, than: Value) -> bool:
    """Whether a value allows more than another; of a blank cell or a word nothing is said."""
    if not (isinstance(value, float) and isinstance(than, float)):
        return False
    return value > than if kind.safer[column] == "smaller" else value < than


def _text(table: Table, column: str, value: float, other: int) -> str:
    cells = ((name, table.cell(other, name)) for name in axes_of(table.kind))
    where = ", ".join(f"{name} {cell:g}" for name, cell in cells if isinstance(cell, float))
    theirs = safe_value(table, other, column)
    return f"gives {column} as {value:g}, out of order with {theirs:g} at {where}: amend that row too"

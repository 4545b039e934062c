"""An ordered list of row changes laid on the texts of a rulebook's tables; what they don't touch stays as it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from service.contract.problem import Allowed, Fault, Rejected, pointer
from service.contract.row_change import CellText, RowChange
from service.rules.kinds import TableKind
from service.rules.parse import cell_fault, cell_value
from service.rules.table import Row, Value
from service.rules.table_text import (
    Cells,
    TableText,
    UnreadableTable,
    expected,
    key_of,
    line_of,
    read_text,
    text_of,
    values_of,
)

MOST_FAULTS = 200


@dataclass(eq=False)
class _Line:
    """A row being changed: its line as it will stand, its cells and what they say."""

    text: str
    cells: Cells
    values: Row


@dataclass
class _Table:
    """A table being changed: its rows in order, and by key."""

    text: TableText
    lines: list[_Line] = field(default_factory=list)
    by_key: dict[Row, _Line] = field(default_factory=dict)
    groups: dict[Row, list[_Line]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Take the rows; of two with the same key, which the loader refuses, the first is meant."""
        for text, cells in zip(self.text.lines, self.text.rows, strict=True):
            line = _Line(text, cells, values_of(self.kind, cells))
            self.lines.append(line)
            self.by_key.setdefault(key_of(self.kind, line.values), line)
            self.group(line).append(line)

    @property
    def kind(self) -> TableKind:
        return self.text.kind

    def group(self, line: _Line) -> list[_Line]:
        """The rows that share a row's key columns apart from those its kind runs along, in order."""
        shared = (name for name in self.kind.key if name not in self.kind.along)
        return self.groups.setdefault(tuple(line.values[self.kind.position[name]] for name in shared), [])


@dataclass(frozen=True)
class _Numbered:
    """A change and the number it is told by, from 1."""

    number: int
    change: RowChange

    def fault(
        self, part: str, code: str, said: str, allowed: Sequence[str] = (), at: int | None = None
    ) -> Fault:
        """A fault of a part of the change; ``at`` is the place in a list."""
        place = pointer("changes", self.number - 1, part, *(() if at is None else (at,)))
        given = getattr(self.change, part)
        column = [given[at].column] if at is not None else []
        detail = f"change {self.number}: {', '.join([self.change.table, *column])}: {said}"
        return Fault(place, code, detail, Allowed(one_of=tuple(allowed)) if allowed else None)


def apply_row_changes(texts: Mapping[str, str], changes: Sequence[RowChange]) -> dict[str, str]:
    """Return the texts of the tables by name after the changes, made in their order.

    An untouched line stays byte for byte. An added row goes to its place along the kind's last key columns, within
    the rows that share its other ones; where there are none, to the end.

    Args:
        texts: canonical text of every table by name
        changes: what is done; a later one finds what an earlier one left

    Raises:
        Rejected: invalid_upload, with every fault of every change
    """
    tables: dict[str, _Table] = {}
    faults: list[Fault] = []
    for number, change in enumerate(changes, start=1):
        faults += _made(texts, tables, _Numbered(number, change))
        if len(faults) >= MOST_FAULTS:
            break
    if faults:
        raise Rejected("invalid_upload", _count(len(faults)), tuple(faults[:MOST_FAULTS]))
    changed = {
        name: text_of(one.text.head, [line.text for line in one.lines]) for name, one in tables.items()
    }
    return {**texts, **changed}


def _count(faults: int) -> str:
    if faults >= MOST_FAULTS:
        return f"{MOST_FAULTS} faults or more, the first {MOST_FAULTS} are listed"
    return "1 fault" if faults == 1 else f"{faults} faults"


def _made(texts: Mapping[str, str], tables: dict[str, _Table], one: _Numbered) -> list[Fault]:
    """Make one change, unless it has a fault."""
    name = one.change.table
    if name not in texts:
        known = sorted(texts)
        return [
            one.fault("table", "not_in_list", f"there is no such table; there are {', '.join(known)}", known)
        ]
    try:
        table = tables[name] if name in tables else _Table(read_text(name, texts[name]))
    except UnreadableTable as why:
        return [
            one.fault("table", "unreadable_table", f"no row can be changed before the table is mended: {why}")
        ]
    tables[name] = table
    faults = [*_key_faults(one, table.kind), *_cell_faults(one, table.kind)]
    return faults or _done(table, one)


def _key_faults(one: _Numbered, kind: TableKind) -> Iterator[Fault]:
    given = [cell.column for cell in one.change.key]
    for at, cell in enumerate(one.change.key):
        if cell.column not in kind.key:
            said = f"no key column; a row is named by {', '.join(kind.key)}"
            yield one.fault("key", "not_in_list", said, kind.key, at)
        elif cell.column in given[:at]:
            yield one.fault("key", "duplicate_column", "the column is given twice", at=at)
        else:
            yield from _form(one, kind, "key", at, cell)
    missing = [name for name in kind.key if name not in given]
    if missing:
        said = f"{', '.join(missing)} missing: a row is named by {', '.join(kind.key)}"
        yield one.fault("key", "missing", said, kind.key)


def _cell_faults(one: _Numbered, kind: TableKind) -> Iterator[Fault]:
    cells = one.change.cells
    given = [cell.column for cell in cells]
    free = tuple(name for name in kind.position if name not in kind.key)
    if one.change.change == "removed" and cells:
        yield one.fault("cells", "too_many", "a removed row has no cells: leave them out")
        return
    if one.change.change == "changed" and not cells:
        yield one.fault("cells", "too_few", f"no cell is given; {', '.join(free)} can be changed", free)
    for at, cell in enumerate(cells):
        if cell.column in kind.key:
            said = "a column of the key never changes: remove the row and add another"
            yield one.fault("cells", "key_column", said, free, at)
        elif cell.column not in kind.position:
            yield one.fault("cells", "not_in_list", f"no column; there are {', '.join(free)}", free, at)
        elif cell.column in given[:at]:
            yield one.fault("cells", "duplicate_column", "the column is given twice", at=at)
        else:
            yield from _form(one, kind, "cells", at, cell)


def _form(one: _Numbered, kind: TableKind, part: str, at: int, cell: CellText) -> Iterator[Fault]:
    column = kind.columns[kind.position[cell.column]]
    said = (
        "holds a line break" if "\n" in cell.value or "\r" in cell.value else cell_fault(column, cell.value)
    )
    if said:
        yield one.fault(part, "bad_pattern", f"{said}{expected(column)}", at=at)


def _done(table: _Table, one: _Numbered) -> list[Fault]:
    kind, change = table.kind, one.change
    given = {cell.column: cell.value for cell in change.key}
    key = tuple(cell_value(kind.columns[kind.position[name]], given[name]) for name in kind.key)
    line = table.by_key.get(key)
    told = ", ".join(f"{name} {given[name] or 'empty'}" for name in kind.key)
    if change.change == "added":
        if line is not None:
            return [one.fault("key", "row_exists", f"a row with {told} is there already: change it instead")]
        _add(table, key, {**given, **{cell.column: cell.value for cell in change.cells}})
        return []
    if line is None:
        return [one.fault("key", "unknown_row", f"there is no row with {told}{_nearest(table, key)}")]
    if change.change == "removed":
        table.lines.remove(line)
        table.group(line).remove(line)
        del table.by_key[key]
    else:
        _change(kind, line, {cell.column: cell.value for cell in change.cells})
    return []


def _nearest(table: _Table, key: Row) -> str:
    """What the table has in the first key column that no row of it shares."""
    kind = table.kind
    for count, name in enumerate(kind.key, start=1):
        found = {one[count - 1] for one in table.by_key if one[: count - 1] == key[: count - 1]}
        if key[count - 1] not in found:
            shown = [_shown(value) for value in sorted(found, key=_order)]
            return f"; {name} there is {', '.join(shown[:20])}{', …' if len(shown) > 20 else ''}"
    return ""


def _shown(value: Value) -> str:
    if value is None:
        return "empty"
    return f"{value:.12g}" if isinstance(value, float) else value


def _change(kind: TableKind, line: _Line, given: Mapping[str, str]) -> None:
    line.cells = tuple(given.get(name, cell) for name, cell in zip(kind.position, line.cells, strict=True))
    line.values = values_of(kind, line.cells)
    line.text = line_of(line.cells)


def _add(table: _Table, key: Row, given: Mapping[str, str]) -> None:
    cells = tuple(given.get(name, "") for name in table.kind.position)
    line = _Line(line_of(cells), cells, values_of(table.kind, cells))
    _insert(table, line)
    table.by_key[key] = line


def _insert(table: _Table, new: _Line) -> None:
    group, along = table.group(new), [table.kind.position[name] for name in table.kind.along]
    step = _step(new, along)
    before = [n for n, line in enumerate(group) if _step(line, along) < step]
    place = before[-1] + 1 if before else 0
    if place < len(group):
        table.lines.insert(table.lines.index(group[place]), new)
    elif group:
        table.lines.insert(table.lines.index(group[-1]) + 1, new)
    else:
        table.lines.append(new)
    group.insert(place, new)


def _step(line: _Line, along: Sequence[int]) -> tuple[tuple[int, float, str], ...]:
    return tuple(_order(line.values[place]) for place in along)


def _order(value: Value) -> tuple[int, float, str]:
    """Empty cells first, then numbers, then words."""
    if value is None:
        return (0, 0.0, "")
    return (1, value, "") if isinstance(value, float) else (2, 0.0, value)

"""What differs between two versions of a rulebook, row by row, or of a place's law, value by value."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import msgspec

from service.contract.row_change import CellText, RowChange, RowChangeKind
from service.contract.rule_compare import (
    ChangedCell,
    ComparedRow,
    ComparedTable,
    ComparedVersion,
    JurisdictionComparison,
    KeyCell,
    RulebookComparison,
)
from service.rules.flat import changed_values, flat
from service.rules.jurisdiction import Jurisdiction
from service.rules.kinds import KINDS, TableKind
from service.rules.rulebook import Rulebook, RulebookMeta
from service.rules.table import Row
from service.rules.table_text import Cells, UnreadableTable, key_of, read_text, values_of

# These name the version itself, so they always differ.
_OWN_PREAMBLE, _OWN_PLACE = frozenset({"table", "rulebook"}), frozenset({"id", "version", "digest", "text"})
# What a row is read from; the ids count within one rulebook.
_SOURCES = frozenset({"source_id", "source", "verified", "status", "cross_check"})
_ABOUT = ("edition", "title", "kind", "document", "notes")


@dataclass(frozen=True)
class _Printed:
    """A row: its cells as printed, and what they say."""

    cells: Cells
    values: Row


@dataclass(frozen=True)
class _Side:
    """One version's table, or nothing where it has none."""

    preamble: Mapping[str, str]
    rows: Mapping[Row, _Printed]


@dataclass(frozen=True)
class RulebookTexts:
    """A version of a rulebook to be compared: which, what it says of itself, and its tables' texts by name."""

    version: ComparedVersion
    about: Rulebook | RulebookMeta
    tables: Mapping[str, str]


def compare_rulebooks(old: RulebookTexts, new: RulebookTexts) -> RulebookComparison:
    """Return what differs between two versions of a rulebook, also of different editions."""
    about = (flat({name: getattr(side.about, name) for name in _ABOUT}) for side in (old, new))
    return RulebookComparison(
        from_version=old.version,
        to_version=new.version,
        about=changed_values(*about),
        tables=compare_tables(old.tables, new.tables),
    )


def compare_places(old: Jurisdiction, new: Jurisdiction) -> JurisdictionComparison:
    """Return every value that two versions of a place's law have otherwise, by its path.

    Amendments are told by their ids and adoptions by their rulebooks, so one that is gone moves no other.
    """
    values = (flat(_of_place(place)) for place in (old, new))
    versions = (ComparedVersion(id=one.id, version=one.version, digest=one.digest) for one in (old, new))
    from_version, to_version = versions
    return JurisdictionComparison(
        from_version=from_version, to_version=to_version, changes=changed_values(*values)
    )


def _of_place(place: Jurisdiction) -> dict[str, object]:
    return {name: value for name, value in msgspec.to_builtins(place).items() if name not in _OWN_PLACE}


def compare_tables(old: Mapping[str, str], new: Mapping[str, str]) -> tuple[ComparedTable, ...]:
    """Return every table of either version, by name, with the rows that differ.

    Rows are paired by the key columns of the table's kind, and cells compared by what they say: "40" and "40.0"
    are one number. A table only one version has is told with all of its rows.

    Args:
        old: canonical text of every table by name
        new: the same of the version it is compared with
    """
    return tuple(_compared(name, old.get(name), new.get(name)) for name in sorted({*old, *new}))


def row_changes_of(tables: Sequence[ComparedTable]) -> tuple[RowChange, ...]:
    """Return the changes that make the newer rows of the older ones, for the tables both versions have."""
    both = (table for table in tables if table.change == "changed")
    return tuple(
        RowChange(
            table=table.name,
            change=row.change,
            key=tuple(CellText(cell.column, cell.value) for cell in row.key),
            cells=tuple(CellText(cell.column, cell.new) for cell in row.cells if cell.new is not None),
        )
        for table in both
        for row in table.rows
    )


def _compared(name: str, old: str | None, new: str | None) -> ComparedTable:
    change = _change(old, new)
    try:
        return _paired(name, change, _side(name, old), _side(name, new))
    except UnreadableTable as why:
        return ComparedTable(name=name, change=change, why_not=str(why))


def _change(old: str | None, new: str | None) -> RowChangeKind | None:
    if old == new:
        return None
    return "added" if old is None else "removed" if new is None else "changed"


def _side(name: str, text: str | None) -> _Side:
    if text is None:
        return _Side({}, {})
    read = read_text(name, text)
    rows: dict[Row, _Printed] = {}
    for cells in read.rows:
        values = values_of(read.kind, cells)
        key = key_of(read.kind, values)
        if key in rows:
            raise UnreadableTable(f"two rows of {name} have the same key: {', '.join(map(str, key))}")
        rows[key] = _Printed(cells, values)
    return _Side({key: said for key, said in read.preamble.items() if key not in _OWN_PREAMBLE}, rows)


def _paired(name: str, change: RowChangeKind | None, was: _Side, now: _Side) -> ComparedTable:
    kind = KINDS[name]
    rows = tuple(_differing(kind, was, now))
    both = [(row, now.rows[key]) for key, row in was.rows.items() if key in now.rows]
    counts = Counter(row.change for row in rows)
    rewritten = sum(one.values == other.values and one.cells != other.cells for one, other in both)
    return ComparedTable(
        name=name,
        change=change,
        rows_added=counts["added"],
        rows_removed=counts["removed"],
        rows_changed=counts["changed"],
        rows_source_only=sum(row.change == "changed" and _names_sources(row) for row in rows),
        rows_rewritten=rewritten,
        rows_same=len(both) - counts["changed"] - rewritten,
        one_sided_columns=tuple(_one_sided(kind, was, now)),
        preamble=changed_values(was.preamble, now.preamble),
        rows=rows,
    )


def _names_sources(row: ComparedRow) -> bool:
    return all(cell.column in _SOURCES for cell in row.cells)


def _one_sided(kind: TableKind, was: _Side, now: _Side) -> Iterator[str]:
    """The key columns that are empty in every row of one version, and in no row of the other."""
    for place, name in enumerate(kind.key):
        sides = [{key[place] is None for key in side.rows} for side in (was, now)]
        if sides in ([{True}, {False}], [{False}, {True}]):
            yield name


def _differing(kind: TableKind, was: _Side, now: _Side) -> Iterator[ComparedRow]:
    """The rows that differ: in the older order, then those that are new in the newer one."""
    for key, row in was.rows.items():
        after = now.rows.get(key)
        if after is None:
            yield _row(kind, "removed", row, None)
        elif after.values != row.values:
            yield _row(kind, "changed", row, after)
    for key, row in now.rows.items():
        if key not in was.rows:
            yield _row(kind, "added", None, row)


def _row(kind: TableKind, change: RowChangeKind, was: _Printed | None, now: _Printed | None) -> ComparedRow:
    printed = (was or now or _Printed((), ())).cells
    cells = [
        ChangedCell(
            column=name,
            old=None if was is None else was.cells[place],
            new=None if now is None else now.cells[place],
        )
        for name, place in kind.position.items()
        if name not in kind.key and (was is None or now is None or was.values[place] != now.values[place])
    ]
    key = tuple(KeyCell(column=name, value=printed[kind.position[name]]) for name in kind.key)
    return ComparedRow(change=change, key=key, cells=tuple(cells))

"""A comparison of two versions of rules as a page for people."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape

from service.cli.printing import NOTHING, Column, item, table, title, words
from service.contract.rule_compare import (
    ChangedValue,
    ComparedRow,
    ComparedTable,
    ComparedVersion,
    JurisdictionComparison,
    RulebookComparison,
)

_COUNTS: tuple[Column, ...] = (
    ("table", "left"), ("", "left"), ("added", "right"), ("removed", "right"), ("changed", "right"),
    ("of these in source only", "right"), ("rewritten", "right"), ("same", "right"),
)  # fmt: skip
_ROWS: tuple[Column, ...] = (
    ("", "left"),
    ("row", "left"),
    ("column", "left"),
    ("old", "left"),
    ("new", "left"),
)


def print_rulebooks(found: RulebookComparison, console: Console, *, with_rows: bool) -> None:
    """Print counts by table, then what to mind and, if asked for, every row that differs."""
    title(console, f"{_name(found.from_version)} against {_name(found.to_version)}")
    table(console, _COUNTS, (_counted(one) for one in found.tables))
    for one in found.tables:
        for note in _notes(one):
            item(console, note)
    _print_values("what the versions say of themselves", found.about, console)
    for one in found.tables:
        if with_rows and one.rows:
            title(console, one.name)
            table(console, _ROWS, (line for row in one.rows for line in _row(row)))


def print_places(found: JurisdictionComparison, console: Console) -> None:
    """Print every value that differs."""
    title(console, f"{_name(found.from_version)} against {_name(found.to_version)}")
    if not found.changes:
        item(console, "no value differs")
    _print_values("", found.changes, console)


def _name(version: ComparedVersion) -> str:
    return f"{version.id}@{version.version}"


def _counted(one: ComparedTable) -> tuple[str, ...]:
    counts = (
        one.rows_added, one.rows_removed, one.rows_changed, one.rows_source_only, one.rows_rewritten, one.rows_same,
    )  # fmt: skip
    shown = (NOTHING if count is None else str(count) for count in counts)
    return (one.name, words(one.change or "same"), *shown)


def _notes(one: ComparedTable) -> list[str]:
    found = [f"{one.name}: rows cannot be paired: {one.why_not}"] if one.why_not else []
    for column in one.one_sided_columns:
        said = "only one of the two prints the column"
        found.append(f"{one.name}: {said} {column} of its key, so no row has a counterpart")
    both = () if one.change in ("added", "removed") else one.preamble
    return found + [f"{one.name}: {said.name}: {_shown(said.old)} -> {_shown(said.new)}" for said in both]


def _print_values(heading: str, values: tuple[ChangedValue, ...], console: Console) -> None:
    if values and heading:
        title(console, heading)
    columns: tuple[Column, ...] = (("value", "left"), ("old", "left"), ("new", "left"))
    table(console, columns, ((escape(one.name), _shown(one.old), _shown(one.new)) for one in values))


def _row(row: ComparedRow) -> list[tuple[str, str, str, str, str]]:
    key = ", ".join(f"{cell.column} {_shown(cell.value)}" for cell in row.key)
    if row.change != "changed":
        return [(row.change, key, "", "", "")]
    return [(row.change, key, cell.column, _shown(cell.old), _shown(cell.new)) for cell in row.cells]


def _shown(value: str | None) -> str:
    return NOTHING if value is None or value == "" else escape(value)

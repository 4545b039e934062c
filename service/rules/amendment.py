"""One local amendment as a place writes it: cells changed, a row added or rows removed, and where that is written."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Annotated, Literal

import msgspec

from service.rules.figures import LOCAL_FIGURES, REMOVABLE_FIGURES
from service.rules.kinds import KINDS, LIMIT_TABLES, TableKind
from service.rules.parse import checked_cell
from service.rules.settings import local_setting_fault, setting_cell
from service.units.citation import Citation

Status = Literal["two_sources", "one_source", "second_hand", "memory", "common_practice", "own_convention"]
Change = Literal["changed", "added", "removed"]
Line = Annotated[str, msgspec.Meta(min_length=1, max_length=400)]
Word = Annotated[str, msgspec.Meta(pattern=r"^[a-z][a-z0-9_]*$")]
AmendmentId = Annotated[
    str, msgspec.Meta(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", min_length=3, max_length=40)
]
Given = float | str | bool
Fault = tuple[str, str]

SITE, SETTINGS = "site", "settings"
# Tables of named rows that are read as one figure each: a row of them is changed, never dropped.
WITHOUT_REMOVAL = (*LIMIT_TABLES, "ledger_placement")
FILLED = ("source_id", "source", "verified", "section", "item", "topic", "requirement", "unit", "limit")


class AmendmentCitation(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where a local amendment is written."""

    document: Line
    section: Line
    status: Status = "one_source"

    @property
    def citation(self) -> Citation:
        """The same as a citation of the report."""
        return Citation(document=self.document, section=self.section, status=self.status)


class Amendment(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A local change of the rows that ``match``, of one column or of several ``values``.

    A row ``added`` has its key in ``match`` and the rest in ``values``; its source is the amendment. Rows
    ``removed`` are off the table. ``table`` is one of the rulebook, or `settings` or `site` of the place itself.
    """

    id: AmendmentId
    title: Line
    table: Word
    match: dict[str, float | str]
    citation: AmendmentCitation
    change: Change = "changed"
    column: Word | None = None
    value: Given | None = None
    values: dict[str, Given] = {}

    @property
    def cells(self) -> dict[str, Given]:
        """The cells it gives, by column."""
        return self.values if self.column is None or self.value is None else {self.column: self.value}

    @property
    def key(self) -> str:
        """The row it names, of a table whose rows have a name."""
        return str(self.match.get("key", ""))


def amendment_faults(amendment: Amendment, site_keys: Collection[str]) -> Iterator[Fault]:
    """Yield what is wrong with an amendment whatever the rulebook: each with the field it stands in."""
    yield from _form_faults(amendment)
    if amendment.table in (SITE, SETTINGS):
        yield from _own_faults(amendment, site_keys)
        return
    kind = KINDS.get(amendment.table)
    if kind is None or amendment.table == "sources":
        yield "table", f"{amendment.table} is no table that can be amended"
        return
    yield from _match_faults(amendment, kind)
    yield from {"changed": _changed_faults, "added": _added_faults, "removed": _removed_faults}[
        amendment.change
    ](amendment, kind)


def _form_faults(amendment: Amendment) -> Iterator[Fault]:
    if (amendment.column is None) != (amendment.value is None):
        yield "column", "a column and its value are given together"
    elif amendment.column is not None and amendment.values:
        yield "values", "either one column with its value, or several values"
    elif (amendment.change == "removed") == bool(amendment.cells):
        given = "gives no values" if amendment.change == "removed" else "gives a value"
        yield "change", f"an amendment that has rows {amendment.change} {given}"
    if not amendment.match:
        yield "match", "an amendment names the rows it changes"


def _own_faults(amendment: Amendment, site_keys: Collection[str]) -> Iterator[Fault]:
    """What is wrong with a change of the place's own values."""
    if amendment.change != "changed" or set(amendment.match) != {"key"} or set(amendment.cells) != {"value"}:
        yield "match", f"a value of {amendment.table} is changed by its key, in the column value"
    elif amendment.table == SITE and amendment.key not in site_keys:
        yield "match", f"no value of a site; known are {', '.join(site_keys)}"
    elif amendment.table == SETTINGS:
        fault = local_setting_fault(amendment.key, amendment.cells["value"])
        if fault:
            yield "match", fault


def _match_faults(amendment: Amendment, kind: TableKind) -> Iterator[Fault]:
    for name in amendment.match:
        if name not in kind.key:
            yield "match", f"{amendment.table} is not keyed by {name}"


def _cell_faults(amendment: Amendment, kind: TableKind) -> Iterator[Fault]:
    field = "value" if amendment.column else "values"
    for name, value in amendment.cells.items():
        column = kind.columns[kind.position[name]]
        if isinstance(value, bool):
            yield field, f"{name} takes no yes or no"
        elif column.type == "number" and isinstance(value, str):
            yield field, f"{name} takes a number"
        else:
            for text in checked_cell(column, setting_cell(value))[1]:
                yield field, f"{name}: {text}"


def _changed_faults(amendment: Amendment, kind: TableKind) -> Iterator[Fault]:
    field = "column" if amendment.column else "values"
    for name in amendment.cells:
        if name not in kind.safer and name != "value":
            yield field, f"{name} is no column an amendment may change"
        elif name not in kind.position:
            yield field, f"{amendment.table} has no column {name}"
    if all(name in kind.position for name in amendment.cells):
        yield from _cell_faults(amendment, kind)


def _added_faults(amendment: Amendment, kind: TableKind) -> Iterator[Fault]:
    optional = {column.name for column in kind.columns if column.optional}
    for name in kind.key:
        if name not in amendment.match and name not in optional:
            yield "match", f"a row added is named by its whole key: {name} is missing"
    for name in amendment.cells:
        if name not in kind.position or name in kind.key or name in FILLED:
            yield "values", f"{name} is no column that a row added to {amendment.table} gives"
    if all(name in kind.position for name in amendment.cells):
        yield from _cell_faults(amendment, kind)
    if amendment.table in WITHOUT_REMOVAL:
        known = [key for key, (table, _) in LOCAL_FIGURES.items() if table == amendment.table]
        if amendment.key not in known:
            yield (
                "match",
                f"no check reads a row {amendment.key or '?'} added here; known are {', '.join(known) or 'none'}",
            )


def _removed_faults(amendment: Amendment, kind: TableKind) -> Iterator[Fault]:
    if amendment.table in WITHOUT_REMOVAL and amendment.key not in REMOVABLE_FIGURES:
        yield (
            "change",
            f"designs read {amendment.key or amendment.table} as one figure: change it, it can't be removed",
        )
    elif not kind.safer and amendment.table not in WITHOUT_REMOVAL:
        yield "table", f"rows of {amendment.table} can't be removed"

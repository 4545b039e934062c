"""What differs between two versions of a rulebook, or of a place's law."""

from __future__ import annotations

import msgspec

from service.contract.row_change import RowChangeKind

_ENDS = {"from_version": "from", "to_version": "to"}


class ComparedVersion(msgspec.Struct, frozen=True, kw_only=True):
    """One of the two versions compared; `digest` is over what it holds now, also for a draft."""

    id: str
    version: int
    digest: str


class ChangedValue(msgspec.Struct, frozen=True, kw_only=True):
    """A value by its name or path; null where a side does not have it."""

    name: str
    old: str | None
    new: str | None


class ChangedCell(msgspec.Struct, frozen=True, kw_only=True):
    """A cell as each version prints it; null where a version does not have its row, empty for an empty cell."""

    column: str
    old: str | None
    new: str | None


class KeyCell(msgspec.Struct, frozen=True, kw_only=True):
    """A cell of the key a row is named by, as it is printed."""

    column: str
    value: str


class ComparedRow(msgspec.Struct, frozen=True, kw_only=True):
    """A row only one version has, or whose cells say something else."""

    change: RowChangeKind
    key: tuple[KeyCell, ...]
    cells: tuple[ChangedCell, ...]


class ComparedTable(msgspec.Struct, frozen=True, kw_only=True):
    """A table of either version.

    `change` is null where both have the same text. Of `rows_changed`, `rows_source_only` name another source or
    standing of it and nothing else. `rows_rewritten` say the same in other characters. `one_sided_columns` are key
    columns that only one version prints, so that no row has a counterpart by them. `why_not` is null, or says why rows
    could not be paired at all; the counts are null then.
    """

    name: str
    change: RowChangeKind | None
    why_not: str | None = None
    rows_added: int | None = None
    rows_removed: int | None = None
    rows_changed: int | None = None
    rows_source_only: int | None = None
    rows_rewritten: int | None = None
    rows_same: int | None = None
    one_sided_columns: tuple[str, ...] = ()
    preamble: tuple[ChangedValue, ...] = ()
    rows: tuple[ComparedRow, ...] = ()


class RulebookComparison(msgspec.Struct, frozen=True, kw_only=True, rename=_ENDS):
    """Two versions of a rulebook, also of different editions, table by table."""

    from_version: ComparedVersion
    to_version: ComparedVersion
    about: tuple[ChangedValue, ...]
    tables: tuple[ComparedTable, ...]


class JurisdictionComparison(msgspec.Struct, frozen=True, kw_only=True, rename=_ENDS):
    """Two versions of a place's law, value by value; each value is written as JSON."""

    from_version: ComparedVersion
    to_version: ComparedVersion
    changes: tuple[ChangedValue, ...]

"""What is told of rulebooks: their versions, drafts of them, and whole tables."""

from __future__ import annotations

from datetime import date
from typing import Any, Literal

import msgspec

from service.contract.rule_drafts import DraftFacts, RuleState
from service.rules.kinds import TableKind
from service.rules.parse import digest_of
from service.rules.rulebook import Rulebook, parse_meta
from service.rules.table import Table
from service.rules.table_text import UnreadableTable, read_text, values_of
from service.store.rule_drafts import Draft
from service.store.texts import RulebookText
from service.web.desk import Desk


class RulebookSummary(msgspec.Struct, frozen=True, kw_only=True):
    """One version of a rulebook.

    It is in force from a day, null where it was so before anything was answered, to a day, null where none is set.
    """

    id: str
    version: int
    edition: str
    title: str
    kind: Literal["code", "guide"]
    state: RuleState
    published_on: date
    in_force_from: date | None
    in_force_to: date | None
    digest: str
    url: str


class RulebookList(msgspec.Struct, frozen=True, kw_only=True):
    """Every published version of every rulebook."""

    items: tuple[RulebookSummary, ...]
    next: str | None


class TableSummary(msgspec.Struct, frozen=True, kw_only=True):
    """A table of a version, with the SHA-256 of its text."""

    name: str
    document: str
    section: str
    printed: str
    note: str
    rows: int
    digest: str
    url: str


class RulebookVersion(RulebookSummary, frozen=True, kw_only=True):
    """One version with its tables; its digest is taken over their names and digests.

    `draft` is null once it is published.
    """

    document: str
    notes: tuple[str, ...]
    tables: tuple[TableSummary, ...]
    draft: DraftFacts | None


class TableColumn(msgspec.Struct, frozen=True, kw_only=True):
    """A column of a table; ``key`` columns name a row, `unit` is null for words."""

    name: str
    unit: str | None
    key: bool


class RuleTable(TableSummary, frozen=True, kw_only=True):
    """A whole table, with where and when it was read."""

    rulebook: str
    version: int
    edition: str
    checked_on: str
    columns: tuple[TableColumn, ...]
    cells: tuple[tuple[float | str | None, ...], ...]


def summary_of(book: Rulebook, desk: Desk) -> RulebookSummary:
    """Return a published version in short."""
    return RulebookSummary(**_summary(book, desk))


def version_of(book: Rulebook, desk: Desk) -> RulebookVersion:
    """Return a published version with its tables."""
    tables = tuple(TableSummary(**_table_summary(book.tables[name])) for name in sorted(book.tables))
    return RulebookVersion(
        **_summary(book, desk), document=book.document, notes=book.notes, tables=tables, draft=None
    )


def table_of(table: Table) -> RuleTable:
    """Return a table of a published version, whole."""
    return RuleTable(
        **_table_summary(table),
        rulebook=table.rulebook_id,
        version=table.version,
        edition=table.edition,
        checked_on=table.checked_on,
        columns=_columns(table.kind),
        cells=table.rows,
    )


def draft_summary_of(draft: Draft) -> RulebookSummary:
    """Return a draft in short."""
    return RulebookSummary(**_draft_summary(draft, draft_content(draft)))


def draft_of(draft: Draft) -> RulebookVersion:
    """Return a draft with its tables, as far as they can be read."""
    texts = draft_content(draft)
    meta = parse_meta(texts.meta)
    return RulebookVersion(
        **_draft_summary(draft, texts),
        document=meta.document,
        notes=meta.notes,
        tables=tuple(
            TableSummary(**_draft_table(draft, name, texts.tables[name])) for name in sorted(texts.tables)
        ),
        draft=draft_facts(draft),
    )


def draft_facts(draft: Draft) -> DraftFacts:
    """Return what only a draft has."""
    return DraftFacts(based_on=draft.based_on, valid=draft.digest is not None, written_by=draft.written_by)


def draft_table_of(draft: Draft, name: str) -> RuleTable:
    """Return a table of a draft, whole.

    Raises:
        UnreadableTable: its text cannot be taken apart into cells
    """
    texts = draft_content(draft)
    read = read_text(name, texts.tables[name])
    return RuleTable(
        **_draft_table(draft, name, texts.tables[name]),
        rulebook=draft.id,
        version=draft.version,
        edition=parse_meta(texts.meta).edition,
        checked_on=read.preamble.get("checked_on", ""),
        columns=_columns(read.kind),
        cells=tuple(values_of(read.kind, row) for row in read.rows),
    )


def draft_content(draft: Draft) -> RulebookText:
    """Return the texts of a draft of a rulebook."""
    if isinstance(draft.content, str):
        raise TypeError(f"{draft.reference} is no rulebook")
    return draft.content


def _summary(book: Rulebook, desk: Desk) -> dict[str, Any]:
    return {
        "id": book.id,
        "version": book.version,
        "edition": book.edition,
        "title": book.title,
        "kind": book.kind,
        "state": desk.snapshot.rulebooks.state_on((book.id, book.version), desk.today(None)),
        **_days(book, desk),
        "published_on": book.published_on,
        "digest": book.digest,
        "url": f"/v1/rulebooks/{book.id}/versions/{book.version}",
    }


def _days(book: Rulebook, desk: Desk) -> dict[str, date | None]:
    days = desk.snapshot.rulebooks.days.get((book.id, book.version))
    return {"in_force_from": days and days.first, "in_force_to": days and days.last}


def _draft_summary(draft: Draft, texts: RulebookText) -> dict[str, Any]:
    meta = parse_meta(texts.meta)
    return {
        "id": draft.id,
        "version": draft.version,
        "edition": meta.edition,
        "title": meta.title,
        "kind": meta.kind,
        "state": "draft",
        "in_force_from": None,
        "in_force_to": None,
        "published_on": meta.published_on,
        "digest": texts.digest,
        "url": f"/v1/rulebooks/{draft.id}/versions/{draft.version}",
    }


def _table_summary(table: Table) -> dict[str, Any]:
    return {
        "name": table.name,
        "document": table.document,
        "section": table.section,
        "printed": table.printed,
        "note": table.note,
        "rows": len(table.rows),
        "digest": table.digest,
        "url": table.url,
    }


def _draft_table(draft: Draft, name: str, text: str) -> dict[str, Any]:
    try:
        read = read_text(name, text)
        said, rows = read.preamble, len(read.rows)
    except UnreadableTable:
        said, rows = {}, 0
    return {
        "name": name,
        **{key: said.get(key, "") for key in ("document", "section", "printed", "note")},
        "rows": rows,
        "digest": digest_of(text),
        "url": f"/v1/rulebooks/{draft.id}/versions/{draft.version}/tables/{name}",
    }


def _columns(kind: TableKind) -> tuple[TableColumn, ...]:
    return tuple(
        TableColumn(
            name=one.name, unit=None if one.unit in ("text", "-") else one.unit, key=one.name in kind.key
        )
        for one in kind.columns
    )

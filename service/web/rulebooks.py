"""GET /v1/rulebooks: editions, their versions, and every table as it was read."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal

import msgspec
from litestar import Request, Response, get
from litestar.params import PathParameter

from service.contract.problem import Rejected
from service.rules.rulebook import Rulebook
from service.rules.table import Table
from service.store.errors import NotServed
from service.web.desk import Desk, GivenDesk
from service.web.negotiate import CSV, JSON, VARY, best_type, has_already
from service.web.path_names import VersionNumber, id_in_path

State = Literal["draft", "announced", "in_force", "superseded", "withdrawn"]
RulebookName = Annotated[str, id_in_path("a rulebook", "irc-2021")]
TableName = Annotated[
    str,
    PathParameter(
        description="Name of a table",
        pattern=r"^[a-z][a-z0-9_]{0,47}$",
        schema_extra={"examples": ["joist_spans"]},
    ),
]


class RulebookSummary(msgspec.Struct, frozen=True, kw_only=True):
    """One version of a rulebook.

    It is in force from a day, null where it was so before anything was answered, to a day, null where none is set.
    """

    id: str
    version: int
    edition: str
    title: str
    kind: Literal["code", "guide"]
    state: State
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
    """One version with its tables; its digest is taken over their names and digests."""

    document: str
    notes: tuple[str, ...]
    tables: tuple[TableSummary, ...]


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


@get(
    "/v1/rulebooks",
    operation_id="listRulebooks",
    summary="Rulebooks and their versions",
    tags=["rules"],
    sync_to_thread=False,
)
def list_rulebooks(desk: GivenDesk) -> RulebookList:
    """List every published version, by id and number."""
    shelf = desk.snapshot.rulebooks
    found = (RulebookSummary(**_summary(shelf.versions[key], desk)) for key in sorted(shelf.versions))
    return RulebookList(items=tuple(found), next=None)


@get(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}",
    operation_id="getRulebookVersion",
    summary="One version of a rulebook",
    tags=["rules"],
    sync_to_thread=False,
)
def get_rulebook_version(
    rulebook_id: RulebookName, version: VersionNumber, request: Request[Any, Any, Any], desk: GivenDesk
) -> Response[RulebookVersion]:
    """Show a version with the digest of each table, so that its own digest can be worked out again."""
    best_type(request, [JSON])
    book = _book(rulebook_id, version, desk)
    tables = tuple(TableSummary(**_table_summary(book.tables[name])) for name in sorted(book.tables))
    return _unless_had(
        request,
        f'"{book.digest}"',
        RulebookVersion(**_summary(book, desk), document=book.document, notes=book.notes, tables=tables),
    )


@get(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}/tables/{table:str}",
    operation_id="getTable",
    summary="One table of a rulebook",
    tags=["rules"],
    sync_to_thread=False,
)
def get_table(
    rulebook_id: RulebookName,
    version: VersionNumber,
    table: TableName,
    request: Request[Any, Any, Any],
    desk: GivenDesk,
) -> Response[RuleTable]:
    """Show a whole table; as `text/csv` it is the very text the digest is taken over."""
    media_type = best_type(request, [JSON, CSV])
    found = _book(rulebook_id, version, desk).tables.get(table)
    if found is None:
        raise Rejected("not_found", f"{rulebook_id}@{version} has no table {table[:48]}")
    if media_type == CSV:
        return _unless_had(request, f'"{found.digest}.csv"', found.text, CSV)
    return _unless_had(request, f'"{found.digest}"', _whole(found))


def _book(rulebook_id: str, version: int, desk: Desk) -> Rulebook:
    try:
        return desk.snapshot.rulebooks.pinned(rulebook_id, version)
    except NotServed as missing:
        known = any(id == rulebook_id for id, _ in desk.snapshot.rulebooks.states)
        raise Rejected("unknown_version" if known else "not_found", str(missing)) from None


def _unless_had(
    request: Request[Any, Any, Any], etag: str, content: object, media_type: str = JSON
) -> Response[Any]:
    """Return the content with its entity tag, or 304 where the caller has it. A version never changes."""
    headers = {"ETag": etag, "Cache-Control": "public, max-age=86400", **VARY}
    if has_already(request, etag):
        return Response(None, status_code=304, headers=headers)
    return Response(content, media_type=media_type, headers=headers)


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


def _whole(table: Table) -> RuleTable:
    columns = tuple(
        TableColumn(
            name=one.name,
            unit=None if one.unit in ("text", "-") else one.unit,
            key=one.name in table.kind.key,
        )
        for one in table.kind.columns
    )
    return RuleTable(
        **_table_summary(table),
        rulebook=table.rulebook_id,
        version=table.version,
        edition=table.edition,
        checked_on=table.checked_on,
        columns=columns,
        cells=table.rows,
    )

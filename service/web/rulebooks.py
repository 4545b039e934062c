"""GET /v1/rulebooks: editions, their versions, every table as it was read, and what differs between two versions."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import Response, get
from litestar.params import PathParameter

from service.contract.problem import Rejected
from service.contract.rule_compare import ComparedVersion, RulebookComparison
from service.rules.compare import RulebookTexts, compare_rulebooks
from service.rules.rulebook import Rulebook, parse_meta
from service.rules.table_text import UnreadableTable
from service.store.rule_drafts import Draft
from service.web.desk import GivenDesk
from service.web.negotiate import CSV, JSON, best_type, tagged
from service.web.path_names import VersionNumber, compared_with, id_in_path
from service.web.rule_access import AnyRequest, tag_of, told
from service.web.rule_publishing import RuleKind, compared_versions, version_seen
from service.web.rulebook_answers import (
    RulebookList,
    RulebookVersion,
    RuleTable,
    draft_content,
    draft_of,
    draft_summary_of,
    draft_table_of,
    summary_of,
    table_of,
    version_of,
)

RulebookName = Annotated[str, id_in_path("a rulebook", "irc-2021")]
TableName = Annotated[
    str,
    PathParameter(
        description="Name of a table",
        pattern=r"^[a-z][a-z0-9_]{0,47}$",
        schema_extra={"examples": ["joist_spans"]},
    ),
]
ComparedWith = Annotated[str, compared_with("rulebook", "irc-2024@1")]
RULEBOOKS = RuleKind("rulebook", "unknown_rulebook", summary_of, draft_summary_of, version_of, draft_of)


@get(
    "/v1/rulebooks",
    operation_id="listRulebooks",
    summary="Rulebooks and their versions",
    tags=["rules"],
    sync_to_thread=False,
)
def list_rulebooks(request: AnyRequest, desk: GivenDesk) -> RulebookList:
    """List every published version, by id and number."""
    best_type(request, [JSON])
    shelf = desk.snapshot.rulebooks
    return RulebookList(
        items=tuple(summary_of(shelf.versions[key], desk) for key in sorted(shelf.versions)), next=None
    )


@get(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}",
    operation_id="getRulebookVersion",
    summary="One version of a rulebook",
    tags=["rules"],
)
async def get_rulebook_version(
    rulebook_id: RulebookName, version: VersionNumber, request: AnyRequest, desk: GivenDesk
) -> Response[RulebookVersion]:
    """Show a version with the digest of each table, so that its own digest can be worked out again.

    A key that may write or publish them sees drafts too.
    """
    best_type(request, [JSON])
    found = await version_seen(RULEBOOKS, rulebook_id, version, request)
    if isinstance(found, Draft):
        return told(draft_of(found), etag=found.etag)
    answer = version_of(found, desk)
    # its state and its last day change though its tables never do
    return tagged(tag_of(answer), answer, keep="public, no-cache")


@get(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}/tables/{table:str}",
    operation_id="getTable",
    summary="One table of a rulebook",
    tags=["rules"],
)
async def get_table(
    rulebook_id: RulebookName, version: VersionNumber, table: TableName, request: AnyRequest
) -> Response[RuleTable]:
    """Show a whole table; as `text/csv` it is the very text the digest is taken over."""
    media_type = best_type(request, [JSON, CSV])
    book = await version_seen(RULEBOOKS, rulebook_id, version, request)
    if isinstance(book, Draft):
        return _of_draft(book, table, media_type)
    found = book.tables.get(table)
    if found is None:
        raise _no_table(rulebook_id, version, table)
    if media_type == CSV:
        return tagged(f'"{found.digest}.csv"', found.text, CSV)
    return tagged(f'"{found.digest}"', table_of(found))


@get(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}/compare",
    operation_id="compareVersions",
    summary="What differs between two versions of rulebooks",
    tags=["rules"],
)
async def compare_versions(
    rulebook_id: RulebookName, version: VersionNumber, other: ComparedWith, request: AnyRequest
) -> Response[RulebookComparison]:
    """Tell every row that differs, with old and new cells, from this version to the one it is compared with.

    Rows are paired by the key columns of their table. Drafts are compared for a key that may see them.
    """
    return await compared_versions(RULEBOOKS, rulebook_id, version, other, request, _compared)


def _compared(old: Rulebook | Draft, new: Rulebook | Draft) -> RulebookComparison:
    return compare_rulebooks(_texts(old), _texts(new))


def _texts(found: Rulebook | Draft) -> RulebookTexts:
    if isinstance(found, Rulebook):
        version = ComparedVersion(id=found.id, version=found.version, digest=found.digest)
        return RulebookTexts(version, found, {name: table.text for name, table in found.tables.items()})
    content = draft_content(found)
    version = ComparedVersion(id=found.id, version=found.version, digest=content.digest)
    return RulebookTexts(version, parse_meta(content.meta), content.tables)


def _of_draft(draft: Draft, table: str, media_type: str) -> Response[Any]:
    text = draft_content(draft).tables.get(table)
    if text is None:
        raise _no_table(draft.id, draft.version, table)
    if media_type == CSV:
        return told(text, media_type=CSV)
    try:
        return told(draft_table_of(draft, table))
    except UnreadableTable as why:
        raise Rejected(
            "not_acceptable", f"it can be had as text/csv alone before it is mended: {why}"
        ) from None


def _no_table(id: str, version: int, table: str) -> Rejected:
    return Rejected("not_found", f"{id}@{version} has no table {table[:48]}")

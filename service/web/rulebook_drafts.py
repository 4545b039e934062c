"""Versions of rulebooks to come: drafts, what is wrong with them, their publication and its withdrawal."""

from __future__ import annotations

from litestar import Response, delete, get, patch, post

from service.contract.rule_drafts import DraftCheck, PublicationSpec, RulebookDraftChange, RulebookDraftSpec
from service.web.caller import GivenCaller
from service.web.desk import Desk, GivenDesk
from service.web.negotiate import JSON, best_type
from service.web.path_names import VersionNumber
from service.web.rule_access import (
    DRAFT_BYTES,
    AnyRequest,
    body_of,
    drafts_seen,
    needs_any,
    no_id,
    tag_seen,
    told,
    work_on,
)
from service.web.rule_checks import check_of
from service.web.rule_drafting import begun_rulebook, changed_rulebook
from service.web.rule_publishing import (
    begin_draft,
    own_draft,
    publish_version,
    remove_draft,
    rewrite_draft,
    take_back_version,
)
from service.web.rulebook_answers import (
    RulebookList,
    RulebookVersion,
    draft_of,
    draft_summary_of,
    summary_of,
    version_of,
)
from service.web.rulebooks import RulebookName


@get(
    "/v1/rulebooks/{rulebook_id:str}/versions",
    operation_id="listRulebookVersions",
    summary="Versions of a rulebook",
    tags=["rules"],
)
async def list_rulebook_versions(
    rulebook_id: RulebookName, request: AnyRequest, desk: GivenDesk, caller: GivenCaller
) -> Response[RulebookList]:
    """List the versions of a rulebook, oldest first, with the days each is in force.

    What is announced only has no effect yet. A key that may write or publish them sees drafts too.
    """
    best_type(request, [JSON])
    shelf = desk.snapshot.rulebooks
    published = [
        summary_of(shelf.versions[key], desk) for key in sorted(shelf.versions) if key[0] == rulebook_id
    ]
    seen = await drafts_seen(request, caller, "rulebook", rulebook_id)
    drafts = [draft_summary_of(one) for one in seen if (one.id, one.version) not in shelf.states]
    if not published and not drafts:
        raise no_id("rulebook", rulebook_id)
    return told(RulebookList(items=(*published, *drafts), next=None))


@post(
    "/v1/rulebooks/{rulebook_id:str}/versions",
    operation_id="createRulebookDraft",
    summary="Begin a draft of a rulebook",
    tags=["rules"],
    request_max_body_size=DRAFT_BYTES,
)
async def create_rulebook_draft(
    rulebook_id: RulebookName, request: AnyRequest, desk: GivenDesk, caller: GivenCaller
) -> Response[RulebookVersion]:
    """Begin a draft from a published version, with whole tables, changes of rows or both; nobody is served it.

    It takes the next number. Changes of rows are made in their order after whole tables are in place; rows they do
    not name stay byte for byte. What it holds may still be wrong: validate it.
    """
    caller.needs_rules("rules:write", rulebook_id)
    best_type(request, [JSON])
    spec = await body_of(request, RulebookDraftSpec)
    write = begun_rulebook(spec, rulebook_id, desk.today(None))
    draft = await begin_draft(request, caller, "rulebook", rulebook_id, spec.based_on, write)
    answer = draft_of(draft)
    return told(answer, 201, draft.etag, {"Location": answer.url})


@patch(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}",
    operation_id="changeRulebookDraft",
    summary="Change a draft of a rulebook",
    tags=["rules"],
    request_max_body_size=DRAFT_BYTES,
)
async def change_rulebook_draft(
    rulebook_id: RulebookName,
    version: VersionNumber,
    request: AnyRequest,
    desk: GivenDesk,
    caller: GivenCaller,
) -> Response[RulebookVersion]:
    """Change the draft whose entity tag If-Match names; a published version never changes."""
    caller.needs_rules("rules:write", rulebook_id)
    best_type(request, [JSON])
    tag_seen(request)
    change = await body_of(request, RulebookDraftChange)
    write = changed_rulebook(change, desk.today(None))
    draft = await rewrite_draft(request, caller, "rulebook", rulebook_id, version, write)
    return told(draft_of(draft), etag=draft.etag)


@delete(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}",
    operation_id="discardRulebookDraft",
    summary="Discard a draft of a rulebook",
    tags=["rules"],
    status_code=204,
)
async def discard_rulebook_draft(
    rulebook_id: RulebookName, version: VersionNumber, request: AnyRequest, caller: GivenCaller
) -> None:
    """Take away the draft whose entity tag If-Match names; its number becomes free."""
    caller.needs_rules("rules:write", rulebook_id)
    await remove_draft(request, caller, "rulebook", rulebook_id, version)


@post(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}/validate",
    operation_id="validateRulebookDraft",
    summary="What is wrong with a draft of a rulebook",
    tags=["rules"],
    status_code=200,
)
async def validate_rulebook_draft(
    rulebook_id: RulebookName,
    version: VersionNumber,
    request: AnyRequest,
    desk: GivenDesk,
    caller: GivenCaller,
) -> Response[DraftCheck]:
    """Read a draft as strictly as its publication would, and tell every fault at once, by table, line and column."""
    needs_any(caller, rulebook_id)
    best_type(request, [JSON])
    draft = await own_draft(request, caller, "rulebook", rulebook_id, version)
    return told(await work_on(request, check_of, draft, desk), etag=draft.etag)


@post(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}/publish",
    operation_id="publishRulebookVersion",
    summary="Publish a draft of a rulebook",
    tags=["rules"],
    status_code=200,
)
async def publish_rulebook_version(
    rulebook_id: RulebookName, version: VersionNumber, request: AnyRequest, caller: GivenCaller
) -> Response[RulebookVersion]:
    """Publish the draft whose entity tag If-Match names, in force from a day on: today at the earliest.

    From then on it never changes. The key has to be another than those that wrote any of it.
    """
    caller.needs_rules("rules:publish", rulebook_id)
    best_type(request, [JSON])
    tag_seen(request)
    first = (await body_of(request, PublicationSpec)).in_force_from
    desk = await publish_version(request, caller, "rulebook", rulebook_id, version, first)
    return _published(rulebook_id, version, desk)


@post(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}/withdraw",
    operation_id="withdrawRulebookVersion",
    summary="Withdraw an announced version of a rulebook",
    tags=["rules"],
    status_code=200,
)
async def withdraw_rulebook_version(
    rulebook_id: RulebookName, version: VersionNumber, request: AnyRequest, caller: GivenCaller
) -> Response[RulebookVersion]:
    """Withdraw a published version before the day it comes into force; later it can only be followed by another."""
    caller.needs_rules("rules:publish", rulebook_id)
    best_type(request, [JSON])
    desk = await take_back_version(request, caller, "rulebook", rulebook_id, version)
    return _published(rulebook_id, version, desk)


def _published(id: str, version: int, desk: Desk) -> Response[RulebookVersion]:
    return told(version_of(desk.snapshot.rulebooks.pinned(id, version), desk))

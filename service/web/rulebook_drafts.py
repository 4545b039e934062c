"""Versions of rulebooks to come: drafts, what is wrong with them, their publication and its withdrawal."""

from __future__ import annotations

from litestar import Response, delete, get, patch, post

from service.contract.rule_drafts import DraftCheck, RulebookDraftChange, RulebookDraftSpec
from service.web.desk import GivenDesk
from service.web.path_names import VersionNumber
from service.web.rule_access import ASKED_AGAIN, DRAFT_BYTES, AnyRequest, told
from service.web.rule_drafting import begun_rulebook, changed_rulebook
from service.web.rule_publishing import begun, discarded, listed, published, rewritten, validated, withdrawn
from service.web.rulebook_answers import RulebookList, RulebookVersion
from service.web.rulebooks import RULEBOOKS, RulebookName


@get(
    "/v1/rulebooks/{rulebook_id:str}/versions",
    operation_id="listRulebookVersions",
    summary="Versions of a rulebook",
    tags=["rules"],
)
async def list_rulebook_versions(rulebook_id: RulebookName, request: AnyRequest) -> Response[RulebookList]:
    """List the versions of a rulebook, oldest first, with the days each is in force.

    What is announced only has no effect yet. A key that may write or publish them sees drafts too.
    """
    return told(
        RulebookList(items=await listed(RULEBOOKS, rulebook_id, request), next=None), keep=ASKED_AGAIN
    )


@post(
    "/v1/rulebooks/{rulebook_id:str}/versions",
    operation_id="createRulebookDraft",
    summary="Begin a draft of a rulebook",
    tags=["rules"],
    request_max_body_size=DRAFT_BYTES,
)
async def create_rulebook_draft(
    rulebook_id: RulebookName, request: AnyRequest, desk: GivenDesk
) -> Response[RulebookVersion]:
    """Begin a draft from a published version, with whole tables, changes of rows or both; nobody is served it.

    It takes the next number. Changes of rows are made in their order after whole tables are in place; rows they do
    not name stay byte for byte. What it holds may still be wrong: validate it.
    """
    day = desk.today(None)
    return await begun(
        RULEBOOKS,
        rulebook_id,
        request,
        RulebookDraftSpec,
        lambda spec: begun_rulebook(spec, rulebook_id, day),
    )


@patch(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}",
    operation_id="changeRulebookDraft",
    summary="Change a draft of a rulebook",
    tags=["rules"],
    request_max_body_size=DRAFT_BYTES,
)
async def change_rulebook_draft(
    rulebook_id: RulebookName, version: VersionNumber, request: AnyRequest, desk: GivenDesk
) -> Response[RulebookVersion]:
    """Change the draft whose entity tag If-Match names; a published version never changes."""
    day = desk.today(None)
    return await rewritten(
        RULEBOOKS,
        rulebook_id,
        version,
        request,
        RulebookDraftChange,
        lambda change: changed_rulebook(change, day),
    )


@delete(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}",
    operation_id="discardRulebookDraft",
    summary="Discard a draft of a rulebook",
    tags=["rules"],
    status_code=204,
)
async def discard_rulebook_draft(
    rulebook_id: RulebookName, version: VersionNumber, request: AnyRequest
) -> None:
    """Take away the draft whose entity tag If-Match names; its number becomes free."""
    await discarded(RULEBOOKS, rulebook_id, version, request)


@post(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}/validate",
    operation_id="validateRulebookDraft",
    summary="What is wrong with a draft of a rulebook",
    tags=["rules"],
    status_code=200,
)
async def validate_rulebook_draft(
    rulebook_id: RulebookName, version: VersionNumber, request: AnyRequest
) -> Response[DraftCheck]:
    """Read a draft as strictly as its publication would, and tell every fault at once, by table, line and column."""
    return await validated(RULEBOOKS, rulebook_id, version, request)


@post(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}/publish",
    operation_id="publishRulebookVersion",
    summary="Publish a draft of a rulebook",
    tags=["rules"],
    status_code=200,
)
async def publish_rulebook_version(
    rulebook_id: RulebookName, version: VersionNumber, request: AnyRequest
) -> Response[RulebookVersion]:
    """Publish the draft whose entity tag If-Match names, in force from a day on: today at the earliest.

    From then on it never changes. The key has to be another than those that wrote any of it.
    """
    return await published(RULEBOOKS, rulebook_id, version, request)


@post(
    "/v1/rulebooks/{rulebook_id:str}/versions/{version:int}/withdraw",
    operation_id="withdrawRulebookVersion",
    summary="Withdraw an announced version of a rulebook",
    tags=["rules"],
    status_code=200,
)
async def withdraw_rulebook_version(
    rulebook_id: RulebookName, version: VersionNumber, request: AnyRequest
) -> Response[RulebookVersion]:
    """Withdraw a published version before the day it comes into force; later it can only be followed by another."""
    return await withdrawn(RULEBOOKS, rulebook_id, version, request)

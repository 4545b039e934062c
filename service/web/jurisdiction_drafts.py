"""Versions of a place's law: published ones, drafts, what differs, publication and its withdrawal."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import Response, delete, get, patch, post
from litestar.params import QueryParameter

from service.contract.problem import Allowed, Fault, Rejected, pointer
from service.contract.rule_compare import JurisdictionComparison
from service.contract.rule_drafts import (
    DraftCheck,
    JurisdictionDraftChange,
    JurisdictionDraftSpec,
    JurisdictionVersion,
    JurisdictionVersionList,
    PublicationSpec,
)
from service.rules.compare import compare_places
from service.rules.faults import TableRefused
from service.rules.jurisdiction import Jurisdiction
from service.rules.meta_text import numbered_text
from service.store.errors import NotServed
from service.store.rule_drafts import Draft
from service.web.caller import Caller, GivenCaller
from service.web.desk import Desk, GivenDesk
from service.web.jurisdictions import JurisdictionName
from service.web.negotiate import JSON, TOML, best_type, unless_had
from service.web.path_names import PINNED_PATTERN, VersionNumber, named_version
from service.web.place_answers import place_draft, place_draft_summary, place_summary, place_version
from service.web.queries import invalid_query
from service.web.rule_access import (
    DRAFT_BYTES,
    AnyRequest,
    body_of,
    compared,
    draft_seen,
    drafts_seen,
    needs_any,
    no_id,
    no_version,
    tag_of,
    tag_seen,
    told,
    work_on,
)
from service.web.rule_checks import check_of
from service.web.rule_drafting import begun_place
from service.web.rule_publishing import (
    begin_draft,
    own_draft,
    publish_version,
    remove_draft,
    rewrite_draft,
    take_back_version,
)

ComparedWith = Annotated[
    str,
    QueryParameter(
        name="with",
        description="The other version, also of another place",
        pattern=PINNED_PATTERN,
        max_length=48,
        schema_extra={"examples": ["sallowmere-bay@1"]},
    ),
]


@get(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions",
    operation_id="listJurisdictionVersions",
    summary="Versions of a place's law",
    tags=["rules"],
)
async def list_jurisdiction_versions(
    jurisdiction_id: JurisdictionName, request: AnyRequest, desk: GivenDesk, caller: GivenCaller
) -> Response[JurisdictionVersionList]:
    """List the versions of a place's law, oldest first, with the days each is in force.

    What is announced only has no effect yet. A key that may write or publish them sees drafts too.
    """
    best_type(request, [JSON])
    shelf = desk.snapshot.jurisdictions
    keys = (key for key in sorted(shelf.versions) if key[0] == jurisdiction_id)
    published = [place_summary(shelf.versions[key], desk) for key in keys]
    seen = await drafts_seen(request, caller, "jurisdiction", jurisdiction_id)
    drafts = [place_draft_summary(one) for one in seen if (one.id, one.version) not in shelf.states]
    if not published and not drafts:
        raise no_id("jurisdiction", jurisdiction_id)
    return told(JurisdictionVersionList(items=(*published, *drafts), next=None))


@get(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}",
    operation_id="getJurisdictionVersion",
    summary="One version of a place's law",
    tags=["rules"],
)
async def get_jurisdiction_version(
    jurisdiction_id: JurisdictionName,
    version: VersionNumber,
    request: AnyRequest,
    desk: GivenDesk,
    caller: GivenCaller,
) -> Response[JurisdictionVersion]:
    """Show a version with its document; as `application/toml` it is the document alone, byte for byte.

    A key that may write or publish them sees drafts too.
    """
    media_type = best_type(request, [JSON, TOML])
    found = await _seen(jurisdiction_id, version, request, desk, caller)
    if isinstance(found, Draft):
        content: Any = found.content if media_type == TOML else place_draft(found)
        return told(content, etag=found.etag, media_type=media_type)
    if media_type == TOML:
        return unless_had(request, f'"{found.digest}.toml"', found.text, TOML)
    answer = place_version(found, desk)
    # its state and its last day change though its document never does
    return unless_had(request, tag_of(answer), answer, keep="public, no-cache")


@get(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}/compare",
    operation_id="compareJurisdictionVersions",
    summary="What differs between two versions of places' law",
    tags=["rules"],
)
async def compare_jurisdiction_versions(
    jurisdiction_id: JurisdictionName,
    version: VersionNumber,
    other: ComparedWith,
    request: AnyRequest,
    desk: GivenDesk,
    caller: GivenCaller,
) -> Response[JurisdictionComparison]:
    """Tell every value that differs, by its path, from this version to the one it is compared with.

    Amendments are told by their ids. Drafts are compared for a key that may see them, once they can be read.
    """
    best_type(request, [JSON])
    old = await _seen(jurisdiction_id, version, request, desk, caller)
    name, number = named_version(other)
    try:
        new = await _seen(name, number, request, desk, caller)
    except Rejected as refused:
        shelf = desk.snapshot.jurisdictions
        known = Allowed(one_of=tuple(f"{id}@{n}" for id, n in sorted(shelf.versions)))
        raise invalid_query([Fault(pointer("with"), "unknown_jurisdiction", refused.detail, known)]) from None
    return told(await compared(request, _compared, old, new))


@post(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions",
    operation_id="createJurisdictionDraft",
    summary="Begin a draft of a place's law",
    tags=["rules"],
    request_max_body_size=DRAFT_BYTES,
)
async def create_jurisdiction_draft(
    jurisdiction_id: JurisdictionName, request: AnyRequest, caller: GivenCaller
) -> Response[JurisdictionVersion]:
    """Begin a draft from a published version, a document in TOML or both; nobody is served it.

    It takes the next number, which its document is given too. What it holds may still be wrong: validate it.
    """
    caller.needs_rules("rules:write", jurisdiction_id)
    best_type(request, [JSON])
    spec = await body_of(request, JurisdictionDraftSpec)
    write = begun_place(spec)
    draft = await begin_draft(request, caller, "jurisdiction", jurisdiction_id, spec.based_on, write)
    answer = place_draft(draft)
    return told(answer, 201, draft.etag, {"Location": answer.url})


@patch(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}",
    operation_id="changeJurisdictionDraft",
    summary="Change a draft of a place's law",
    tags=["rules"],
    request_max_body_size=DRAFT_BYTES,
)
async def change_jurisdiction_draft(
    jurisdiction_id: JurisdictionName, version: VersionNumber, request: AnyRequest, caller: GivenCaller
) -> Response[JurisdictionVersion]:
    """Put another document in the place of the draft's whose entity tag If-Match names."""
    caller.needs_rules("rules:write", jurisdiction_id)
    best_type(request, [JSON])
    tag_seen(request)
    document = numbered_text((await body_of(request, JurisdictionDraftChange)).document, version)
    draft = await rewrite_draft(request, caller, "jurisdiction", jurisdiction_id, version, lambda _: document)
    return told(place_draft(draft), etag=draft.etag)


@delete(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}",
    operation_id="discardJurisdictionDraft",
    summary="Discard a draft of a place's law",
    tags=["rules"],
    status_code=204,
)
async def discard_jurisdiction_draft(
    jurisdiction_id: JurisdictionName, version: VersionNumber, request: AnyRequest, caller: GivenCaller
) -> None:
    """Take away the draft whose entity tag If-Match names; its number becomes free."""
    caller.needs_rules("rules:write", jurisdiction_id)
    await remove_draft(request, caller, "jurisdiction", jurisdiction_id, version)


@post(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}/validate",
    operation_id="validateJurisdictionDraft",
    summary="What is wrong with a draft of a place's law",
    tags=["rules"],
    status_code=200,
)
async def validate_jurisdiction_draft(
    jurisdiction_id: JurisdictionName,
    version: VersionNumber,
    request: AnyRequest,
    desk: GivenDesk,
    caller: GivenCaller,
) -> Response[DraftCheck]:
    """Read a draft as strictly as its publication would, also beside the rulebooks it adopts, and tell every fault."""
    needs_any(caller, jurisdiction_id)
    best_type(request, [JSON])
    draft = await own_draft(request, caller, "jurisdiction", jurisdiction_id, version)
    return told(await work_on(request, check_of, draft, desk), etag=draft.etag)


@post(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}/publish",
    operation_id="publishJurisdictionVersion",
    summary="Publish a draft of a place's law",
    tags=["rules"],
    status_code=200,
)
async def publish_jurisdiction_version(
    jurisdiction_id: JurisdictionName, version: VersionNumber, request: AnyRequest, caller: GivenCaller
) -> Response[JurisdictionVersion]:
    """Publish the draft whose entity tag If-Match names, in force from a day on: today at the earliest, there too.

    From then on it never changes. The key has to be another than those that wrote any of it.
    """
    caller.needs_rules("rules:publish", jurisdiction_id)
    best_type(request, [JSON])
    tag_seen(request)
    first = (await body_of(request, PublicationSpec)).in_force_from
    desk = await publish_version(request, caller, "jurisdiction", jurisdiction_id, version, first)
    return _published(jurisdiction_id, version, desk)


@post(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}/withdraw",
    operation_id="withdrawJurisdictionVersion",
    summary="Withdraw an announced version of a place's law",
    tags=["rules"],
    status_code=200,
)
async def withdraw_jurisdiction_version(
    jurisdiction_id: JurisdictionName, version: VersionNumber, request: AnyRequest, caller: GivenCaller
) -> Response[JurisdictionVersion]:
    """Withdraw a published version before the day it comes into force; later it can only be followed by another."""
    caller.needs_rules("rules:publish", jurisdiction_id)
    best_type(request, [JSON])
    desk = await take_back_version(request, caller, "jurisdiction", jurisdiction_id, version)
    return _published(jurisdiction_id, version, desk)


def _published(id: str, version: int, desk: Desk) -> Response[JurisdictionVersion]:
    return told(place_version(desk.snapshot.jurisdictions.pinned(id, version), desk))


async def _seen(
    id: str, version: int, request: AnyRequest, desk: Desk, caller: Caller
) -> Jurisdiction | Draft:
    """A published version, or a draft the caller may see."""
    try:
        return desk.snapshot.jurisdictions.pinned(id, version)
    except NotServed:
        draft = await draft_seen(request, caller, "jurisdiction", id, version)
        if draft is None:
            raise no_version("jurisdiction", id, version, desk) from None
        return draft


def _compared(old: Jurisdiction | Draft, new: Jurisdiction | Draft) -> JurisdictionComparison:
    return compare_places(_read(old), _read(new))


def _read(found: Jurisdiction | Draft) -> Jurisdiction:
    if isinstance(found, Jurisdiction):
        return found
    try:
        made = found.built()
    except TableRefused as refused:
        said = f"{found.reference} cannot be compared before it can be read: {refused.faults[0]}"
        raise Rejected("publishing_conflict", said) from None
    if not isinstance(made, Jurisdiction):
        raise TypeError(f"{found.reference} is no place")
    return made

"""Versions of a place's law: published ones, drafts, what differs, publication and its withdrawal."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import Response, delete, get, patch, post

from service.contract.problem import Rejected
from service.contract.rule_compare import JurisdictionComparison
from service.contract.rule_drafts import (
    DraftCheck,
    JurisdictionDraftChange,
    JurisdictionDraftSpec,
    JurisdictionVersion,
    JurisdictionVersionList,
)
from service.rules.compare import compare_places
from service.rules.faults import TableRefused
from service.rules.jurisdiction import Jurisdiction
from service.store.rule_drafts import Draft
from service.web.desk import GivenDesk
from service.web.jurisdictions import JurisdictionName
from service.web.negotiate import JSON, TOML, best_type, tagged
from service.web.path_names import VersionNumber, compared_with
from service.web.place_answers import place_draft, place_draft_summary, place_summary, place_version
from service.web.rule_access import ASKED_AGAIN, DRAFT_BYTES, AnyRequest, tag_of, told
from service.web.rule_drafting import begun_place, changed_place
from service.web.rule_publishing import (
    RuleKind,
    begun,
    compared_versions,
    discarded,
    listed,
    published,
    rewritten,
    validated,
    version_seen,
    withdrawn,
)

PLACES = RuleKind(
    "jurisdiction", "unknown_jurisdiction", place_summary, place_draft_summary, place_version, place_draft
)
ComparedWith = Annotated[str, compared_with("place", "sallowmere-bay@1")]


@get(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions",
    operation_id="listJurisdictionVersions",
    summary="Versions of a place's law",
    tags=["rules"],
)
async def list_jurisdiction_versions(
    jurisdiction_id: JurisdictionName, request: AnyRequest
) -> Response[JurisdictionVersionList]:
    """List the versions of a place's law, oldest first, with the days each is in force.

    What is announced only has no effect yet. A key that may write or publish them sees drafts too.
    """
    return told(
        JurisdictionVersionList(items=await listed(PLACES, jurisdiction_id, request), next=None),
        keep=ASKED_AGAIN,
    )


@get(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}",
    operation_id="getJurisdictionVersion",
    summary="One version of a place's law",
    tags=["rules"],
)
async def get_jurisdiction_version(
    jurisdiction_id: JurisdictionName, version: VersionNumber, request: AnyRequest, desk: GivenDesk
) -> Response[JurisdictionVersion]:
    """Show a version with its document; as `application/toml` it is the document alone, byte for byte.

    A key that may write or publish them sees drafts too.
    """
    media_type = best_type(request, [JSON, TOML])
    found = await version_seen(PLACES, jurisdiction_id, version, request)
    if isinstance(found, Draft):
        content: Any = found.content if media_type == TOML else place_draft(found)
        return told(content, etag=found.etag, media_type=media_type)
    if media_type == TOML:
        return tagged(f'"{found.digest}.toml"', found.text, TOML)
    answer = place_version(found, desk)
    # its state and its last day change though its document never does
    return tagged(tag_of(answer), answer, keep="public, no-cache")


@get(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}/compare",
    operation_id="compareJurisdictionVersions",
    summary="What differs between two versions of places' law",
    tags=["rules"],
)
async def compare_jurisdiction_versions(
    jurisdiction_id: JurisdictionName, version: VersionNumber, other: ComparedWith, request: AnyRequest
) -> Response[JurisdictionComparison]:
    """Tell every value that differs, by its path, from this version to the one it is compared with.

    Amendments are told by their ids. Drafts are compared for a key that may see them, once they can be read.
    """
    return await compared_versions(PLACES, jurisdiction_id, version, other, request, _compared)


@post(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions",
    operation_id="createJurisdictionDraft",
    summary="Begin a draft of a place's law",
    tags=["rules"],
    request_max_body_size=DRAFT_BYTES,
)
async def create_jurisdiction_draft(
    jurisdiction_id: JurisdictionName, request: AnyRequest
) -> Response[JurisdictionVersion]:
    """Begin a draft from a published version, a document in TOML or both; nobody is served it.

    It takes the next number, which its document is given too. What it holds may still be wrong: validate it.
    """
    return await begun(PLACES, jurisdiction_id, request, JurisdictionDraftSpec, begun_place)


@patch(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}",
    operation_id="changeJurisdictionDraft",
    summary="Change a draft of a place's law",
    tags=["rules"],
    request_max_body_size=DRAFT_BYTES,
)
async def change_jurisdiction_draft(
    jurisdiction_id: JurisdictionName, version: VersionNumber, request: AnyRequest
) -> Response[JurisdictionVersion]:
    """Put another document in the place of the draft's whose entity tag If-Match names."""
    return await rewritten(
        PLACES,
        jurisdiction_id,
        version,
        request,
        JurisdictionDraftChange,
        lambda new: changed_place(new, version),
    )


@delete(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}",
    operation_id="discardJurisdictionDraft",
    summary="Discard a draft of a place's law",
    tags=["rules"],
    status_code=204,
)
async def discard_jurisdiction_draft(
    jurisdiction_id: JurisdictionName, version: VersionNumber, request: AnyRequest
) -> None:
    """Take away the draft whose entity tag If-Match names; its number becomes free."""
    await discarded(PLACES, jurisdiction_id, version, request)


@post(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}/validate",
    operation_id="validateJurisdictionDraft",
    summary="What is wrong with a draft of a place's law",
    tags=["rules"],
    status_code=200,
)
async def validate_jurisdiction_draft(
    jurisdiction_id: JurisdictionName, version: VersionNumber, request: AnyRequest
) -> Response[DraftCheck]:
    """Read a draft as strictly as its publication would, also beside the rulebooks it adopts, and tell every fault."""
    return await validated(PLACES, jurisdiction_id, version, request)


@post(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}/publish",
    operation_id="publishJurisdictionVersion",
    summary="Publish a draft of a place's law",
    tags=["rules"],
    status_code=200,
)
async def publish_jurisdiction_version(
    jurisdiction_id: JurisdictionName, version: VersionNumber, request: AnyRequest
) -> Response[JurisdictionVersion]:
    """Publish the draft whose entity tag If-Match names, in force from a day on: today at the earliest, there too.

    From then on it never changes. The key has to be another than those that wrote any of it.
    """
    return await published(PLACES, jurisdiction_id, version, request)


@post(
    "/v1/jurisdictions/{jurisdiction_id:str}/versions/{version:int}/withdraw",
    operation_id="withdrawJurisdictionVersion",
    summary="Withdraw an announced version of a place's law",
    tags=["rules"],
    status_code=200,
)
async def withdraw_jurisdiction_version(
    jurisdiction_id: JurisdictionName, version: VersionNumber, request: AnyRequest
) -> Response[JurisdictionVersion]:
    """Withdraw a published version before the day it comes into force; later it can only be followed by another."""
    return await withdrawn(PLACES, jurisdiction_id, version, request)


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

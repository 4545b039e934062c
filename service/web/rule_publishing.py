"""The life of a version over HTTP, the same for rulebooks and places: seen, begun, changed, published, withdrawn.

A handler says only which kind it is for. Its request holds the rest: who asks, and the desk it began with.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeVar

import msgspec
from litestar import Response

from service.contract.faults import LAST_DAY
from service.contract.problem import Allowed, Fault, Rejected, pointer
from service.contract.rule_drafts import DraftCheck, PublicationSpec
from service.rules.faults import TableRefused
from service.rules.jurisdiction import Jurisdiction
from service.rules.rulebook import Rulebook
from service.store.errors import NotServed
from service.store.rule_drafts import Draft, Kind
from service.store.rule_writer import (
    Content,
    change_draft,
    create_draft,
    discard_draft,
    publish_draft,
    read_draft,
    withdraw_version,
)
from service.web.chosen import choose
from service.web.desk import Desk
from service.web.negotiate import JSON, best_type
from service.web.path_names import named_version
from service.web.queries import invalid_query
from service.web.rule_access import (
    ASKED_AGAIN,
    AnyRequest,
    actor_of,
    body_of,
    caller_in,
    compared,
    current_of,
    desk_in,
    draft_seen,
    drafts_seen,
    needs_any,
    no_id,
    no_version,
    refusal_of_texts,
    shelf_of,
    tag_seen,
    told,
    work_on,
)
from service.web.rule_checks import check_of, refuse_beside

R = TypeVar("R")
Body = TypeVar("Body", bound=msgspec.Struct)


@dataclass(frozen=True)
class RuleKind:
    """How versions of rulebooks, or of places' law, are told.

    Attributes:
        kind: which of the two
        unknown: code of the fault where there is no such version
        summary: a published version in short
        draft_summary: a draft in short
        version: a published version
        draft: a draft
    """

    kind: Kind
    unknown: str
    summary: Callable[[Any, Desk], Any]
    draft_summary: Callable[[Draft], Any]
    version: Callable[[Any, Desk], Any]
    draft: Callable[[Draft], Any]


async def listed(of: RuleKind, id: str, request: AnyRequest) -> tuple[Any, ...]:
    """Return the versions of an id, oldest first, then the drafts the caller may see.

    Raises:
        Rejected: not_found where there is neither
    """
    best_type(request, [JSON])
    desk = desk_in(request)
    shelf = shelf_of(of.kind, desk)
    published = [of.summary(shelf.versions[key], desk) for key in sorted(shelf.versions) if key[0] == id]
    seen = await drafts_seen(request, of.kind, id)
    drafts = [of.draft_summary(one) for one in seen if (one.id, one.version) not in shelf.states]
    if not published and not drafts:
        raise no_id(of.kind, id)
    return (*published, *drafts)


async def version_seen(of: RuleKind, id: str, version: int, request: AnyRequest) -> Any:
    """Return a published version, or a draft the caller may see.

    Raises:
        Rejected: not_found, unknown_version
    """
    try:
        return named_in_headers(shelf_of(of.kind, desk_in(request)).pinned(id, version))
    except NotServed:
        draft = await draft_seen(request, of.kind, id, version)
        if draft is None:
            raise no_version(of.kind, id, version, desk_in(request)) from None
        return draft


async def compared_versions(
    of: RuleKind, id: str, version: int, other: str, request: AnyRequest, work: Callable[[Any, Any], R]
) -> Response[R]:
    """Return what differs from a version to the one a query names, each published or seen as a draft.

    Raises:
        Rejected: invalid_query where the query names none
    """
    best_type(request, [JSON])
    old = await version_seen(of, id, version, request)
    try:
        new = await version_seen(of, *named_version(other), request)
    except Rejected as refused:
        known = Allowed(one_of=_references(of, desk_in(request)))
        raise invalid_query([Fault(pointer("with"), of.unknown, refused.detail, known)]) from None
    named_in_headers(old)
    return told(await compared(request, work, old, new), keep=ASKED_AGAIN)


def named_in_headers(found: R) -> R:
    """Return a version; the answer names it where it is published."""
    if isinstance(found, Rulebook):
        choose(found)
    elif isinstance(found, Jurisdiction):
        choose(place=found)
    return found


async def begun(
    of: RuleKind,
    id: str,
    request: AnyRequest,
    asked: type[Body],
    writing: Callable[[Body], Callable[[Content | None, int], Content]],
) -> Response[Any]:
    """Begin a draft of the next number; `writing` gives its content from the body.

    Raises:
        Rejected: invalid_upload where there is no such published version to begin from
    """
    caller_in(request).needs_rules("rules:write", id)
    best_type(request, [JSON])
    spec = await body_of(request, asked)
    write, current = writing(spec), current_of(request)
    said: str | None = getattr(spec, "based_on", None)
    base = None
    if said is not None:
        # it may have been published a moment ago, by way of another process
        await current.renew()
        base = named_version(said)
        _refuse_unknown(of, said, base, current.desk)
    work = partial(create_draft, current.store.url, of.kind, id, write, actor=_actor(request), based_on=base)
    draft = await current.uploads.run(work)
    answer = of.draft(draft)
    return told(answer, 201, draft.etag, {"Location": answer.url})


def _references(of: RuleKind, desk: Desk) -> tuple[str, ...]:
    return tuple(f"{id}@{version}" for id, version in sorted(shelf_of(of.kind, desk).versions))


def _refuse_unknown(of: RuleKind, said: str, base: tuple[str, int], desk: Desk) -> None:
    shelf = shelf_of(of.kind, desk)
    if base not in shelf.versions:
        known = Allowed(one_of=_references(of, desk))
        fault = Fault("/from", of.unknown, f"there is no published {shelf.sort} {said}", known)
        raise Rejected("invalid_upload", "1 fault", (fault,))


async def rewritten(
    of: RuleKind,
    id: str,
    version: int,
    request: AnyRequest,
    asked: type[Body],
    writing: Callable[[Body], Callable[[Draft], Content]],
) -> Response[Any]:
    """Change the draft that If-Match names; `writing` gives its new content from the body."""
    caller_in(request).needs_rules("rules:write", id)
    best_type(request, [JSON])
    tag = tag_seen(request)
    write = writing(await body_of(request, asked))
    draft = await _stored(of, id, version, request, partial(change_draft, etag=tag, write=write))
    return told(of.draft(draft), etag=draft.etag)


async def discarded(of: RuleKind, id: str, version: int, request: AnyRequest) -> None:
    """Take away the draft that If-Match names."""
    caller_in(request).needs_rules("rules:write", id)
    await _stored(of, id, version, request, partial(discard_draft, etag=tag_seen(request)))


async def validated(of: RuleKind, id: str, version: int, request: AnyRequest) -> Response[DraftCheck]:
    """Return what is wrong with a draft, which is not published yet."""
    needs_any(caller_in(request), id)
    best_type(request, [JSON])
    current = current_of(request)
    work = current.uploads.run(read_draft, current.store.url, of.kind, id, version)
    draft = await _found(work, of.kind, id, version, current.desk)
    return told(await work_on(request, check_of, draft, desk_in(request)), etag=draft.etag)


async def published(of: RuleKind, id: str, version: int, request: AnyRequest) -> Response[Any]:
    """Publish the draft that If-Match names, in force from the day in the body.

    Raises:
        Rejected: invalid_upload with every fault of the draft
    """
    caller_in(request).needs_rules("rules:publish", id)
    best_type(request, [JSON])
    tag = tag_seen(request)
    first = (await body_of(request, PublicationSpec)).in_force_from
    if first > LAST_DAY:
        allowed = Allowed(max=LAST_DAY.isoformat())
        fault = Fault("/in_force_from", "date_out_of_range", f"{LAST_DAY} is the last day taken", allowed)
        raise Rejected("invalid_upload", "1 fault", (fault,))
    current = current_of(request)
    await current.renew()
    check = partial(refuse_beside, desk=current.desk)
    try:
        await _stored(of, id, version, request, partial(publish_draft, etag=tag, first=first, check=check))
    except TableRefused as refused:
        raise refusal_of_texts(refused) from None
    return await _told_again(of, id, version, request)


async def withdrawn(of: RuleKind, id: str, version: int, request: AnyRequest) -> Response[Any]:
    """Withdraw a version that is announced only."""
    caller_in(request).needs_rules("rules:publish", id)
    best_type(request, [JSON])
    await _stored(of, id, version, request, withdraw_version)
    return await _told_again(of, id, version, request)


async def _told_again(of: RuleKind, id: str, version: int, request: AnyRequest) -> Response[Any]:
    """A version as it is read back after a write."""
    current = current_of(request)
    await current.renew()
    desk = current.desk.stopped()
    if (id, version) not in shelf_of(of.kind, desk).versions:
        raise Rejected(
            "store_unavailable", f"{id}@{version} was written, but could not be read back yet: get it"
        )
    return told(of.version(named_in_headers(shelf_of(of.kind, desk).pinned(id, version)), desk))


async def _stored(of: RuleKind, id: str, version: int, request: AnyRequest, write: Callable[..., R]) -> R:
    """What a write of one draft or version gives, signed with the key of the request."""
    current = current_of(request)
    work = partial(write, current.store.url, of.kind, id, version, actor=_actor(request))
    return await _found(current.uploads.run(work), of.kind, id, version, current.desk)


async def _found(work: Awaitable[R], kind: Kind, id: str, version: int, desk: Desk) -> R:
    try:
        return await work
    except NotServed:
        raise no_version(kind, id, version, desk) from None


def _actor(request: AnyRequest) -> str:
    return actor_of(caller_in(request))

"""Who may see and write drafts, by what they are named in the store, and which state of one a request has seen."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from typing import Any, TypeVar, cast

import msgspec
from litestar import Request, Response

from service.contract.problem import Fault, Rejected, pointer
from service.contract.strict import decode
from service.rules.faults import TableFault, TableRefused
from service.rules.rulebook import RULEBOOK_FILE
from service.store.actor import key_actor
from service.store.errors import NotServed, PublishingConflict
from service.store.rule_drafts import Draft, Kind
from service.store.rule_writer import read_draft, read_drafts
from service.store.snapshot import Shelf
from service.web.caller import Caller, KeyScope
from service.web.current import CurrentDesk
from service.web.desk import Desk
from service.web.keys import Scope, desk_of, settled_caller
from service.web.negotiate import JSON, VARY, sent_type

AnyRequest = Request[Any, Any, Any]
T = TypeVar("T", bound=msgspec.Struct)
R = TypeVar("R")
DRAFT_BYTES = 4_194_304
SCOPES: tuple[KeyScope, ...] = ("rules:write", "rules:publish")
# a list grows, and so does what is known of a version
ASKED_AGAIN = "no-cache"
_TAG = re.compile(r'"([0-9a-f]{64})"')


def current_of(request: AnyRequest) -> CurrentDesk:
    """Return what holds the desk requests begin with."""
    current: CurrentDesk = request.app.state.current
    return current


def desk_in(request: AnyRequest) -> Desk:
    """Return the desk a request began with."""
    return desk_of(cast("Scope", request.scope))


def caller_in(request: AnyRequest) -> Caller:
    """Return who sent a request."""
    return settled_caller(cast("Scope", request.scope))


def shelf_of(kind: Kind, desk: Desk) -> Shelf[Any]:
    """Return the published versions of rulebooks or places."""
    return desk.snapshot.rulebooks if kind == "rulebook" else desk.snapshot.jurisdictions


def sees_drafts(caller: Caller, id: str) -> bool:
    """Return whether a caller may see drafts of an id."""
    return id in caller.rules_bound and any(scope in caller.scopes for scope in SCOPES)


def actor_of(caller: Caller) -> str:
    """Return how a caller is named where it writes."""
    return key_actor(caller.key_id)


async def draft_seen(request: AnyRequest, kind: Kind, id: str, version: int) -> Draft | None:
    """Return a draft the caller may see; None where there is none, or none that it may see."""
    if not sees_drafts(caller_in(request), id):
        return None
    current = current_of(request)
    try:
        return await current.uploads.run(read_draft, current.store.url, kind, id, version)
    except (NotServed, PublishingConflict):
        return None


async def drafts_seen(request: AnyRequest, kind: Kind, id: str) -> tuple[Draft, ...]:
    """Return the drafts of an id the caller may see."""
    if not sees_drafts(caller_in(request), id):
        return ()
    current = current_of(request)
    return await current.uploads.run(read_drafts, current.store.url, kind, id)


def no_version(kind: Kind, id: str, version: int, desk: Desk) -> Rejected:
    """Return what is said where there is no such version, or a draft the caller may not see: one and the same."""
    shelf = shelf_of(kind, desk)
    known = any(one == id for one, _ in shelf.states)
    return Rejected("unknown_version" if known else "not_found", f"there is no {shelf.sort} {id}@{version}")


def tag_seen(request: AnyRequest) -> str | None:
    """Return the entity tag an If-Match header names; None for `*`, whichever there is.

    Raises:
        Rejected: precondition_required without the header, precondition_failed where it can match no draft
    """
    given = ",".join(request.headers.getall("if-match", [])).strip()
    if not given:
        raise Rejected("precondition_required", "send If-Match with the entity tag the draft was read with")
    if given == "*":
        return None
    found = _TAG.fullmatch(given)
    if found is None:
        raise Rejected(
            "precondition_failed", 'If-Match takes one entity tag as it was given, like "0123…", or *'
        )
    return found[1]


async def body_of(request: AnyRequest, type_: type[T]) -> T:
    """Return the value in a body.

    Raises:
        Rejected: unsupported_media_type, or what is wrong with the body
    """
    sent_type(request.headers.get("content-type", ""), [JSON])
    try:
        return decode(await request.body(), type_)
    except Rejected as refused:
        code = "invalid_upload" if refused.code == "invalid_spec" else refused.code
        raise Rejected(code, refused.detail, refused.faults) from None


def refusal_of_texts(refused: TableRefused) -> Rejected:
    """Return the refusal of a draft for the faults of its texts."""
    faults = tuple(Fault(_place(one), "rule_text", str(one)) for one in refused.faults[:200])
    count = len(refused.faults)
    said = "1 fault" if count == 1 else f"{count} faults"
    return Rejected("invalid_upload", f"the draft cannot be published: {said}", faults)


def _place(fault: TableFault) -> str:
    table = table_in(fault)
    return "" if table is None else pointer("tables", table)


def table_in(fault: TableFault) -> str | None:
    """Return the name of the table a fault is in; None for a `.toml` text."""
    return (
        None
        if fault.file == RULEBOOK_FILE or fault.file.endswith(".toml")
        else fault.file.removesuffix(".csv")
    )


def needs_any(caller: Caller, id: str) -> None:
    """Refuse a caller that may neither write nor publish rules of an id.

    Raises:
        Rejected: unauthenticated, scope_missing
    """
    held = next((scope for scope in SCOPES if scope in caller.scopes), SCOPES[0])
    caller.needs_rules(held, id)


def no_id(kind: Kind, id: str) -> Rejected:
    """Return what is said where there is no rulebook or place of an id."""
    return Rejected("not_found", f"there is no {kind} {id}")


async def work_on(request: AnyRequest, work: Callable[..., R], *given: object) -> R:
    """Return what work on drafts gives, beside the event loop, one piece of it at a time."""
    return await current_of(request).uploads.run(work, *given)


async def compared(request: AnyRequest, work: Callable[..., R], *given: object) -> R:
    """Return what a comparison gives, one at a time and apart from work on drafts."""
    return await current_of(request).comparisons.run(work, *given)


def tag_of(answer: msgspec.Struct) -> str:
    """Return the entity tag of an answer that is told by what it says."""
    return f'"{hashlib.sha256(msgspec.json.encode(answer)).hexdigest()}"'


def told(
    content: Any,
    status: int = 200,
    etag: str | None = None,
    headers: dict[str, str] | None = None,
    media_type: str = JSON,
    keep: str = "no-store",
) -> Response[Any]:
    """Return an answer that may change: with its entity tag, and kept by nobody unless ``keep`` says otherwise."""
    tag = {} if etag is None else {"ETag": f'"{etag}"'}
    found = {**VARY, "Cache-Control": keep, **tag, **(headers or {})}
    return Response(content, status_code=status, media_type=media_type, headers=found)

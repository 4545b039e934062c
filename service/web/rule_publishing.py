"""The life of a version over HTTP, the same for rulebooks and places: begun, changed, published, withdrawn."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import date
from functools import partial
from typing import TypeVar

from service.contract.faults import LAST_DAY
from service.contract.problem import Allowed, Fault, Rejected
from service.rules.faults import TableRefused
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
from service.web.caller import Caller
from service.web.desk import Desk
from service.web.path_names import named_version
from service.web.rule_access import (
    AnyRequest,
    actor_of,
    current_of,
    no_version,
    refusal_of_texts,
    sees_drafts,
    shelf_of,
    tag_seen,
)
from service.web.rule_checks import refuse_beside

R = TypeVar("R")


async def begin_draft(
    request: AnyRequest,
    caller: Caller,
    kind: Kind,
    id: str,
    based_on: str | None,
    write: Callable[[Content | None, int], Content],
) -> Draft:
    """Begin a draft of the next number.

    Raises:
        Rejected: invalid_upload where there is no such published version to begin from
    """
    current = current_of(request)
    base = None
    if based_on is not None:
        # it may have been published a moment ago, by way of another process
        await current.renew()
        base = named_version(based_on)
        _refuse_unknown(kind, based_on, base, current.desk)
    work = partial(create_draft, current.store.url, kind, id, write, actor=actor_of(caller), based_on=base)
    return await current.uploads.run(work)


def _refuse_unknown(kind: Kind, said: str, base: tuple[str, int], desk: Desk) -> None:
    shelf = shelf_of(kind, desk)
    if base not in shelf.versions:
        known = Allowed(one_of=tuple(f"{id}@{version}" for id, version in sorted(shelf.versions)))
        code = "unknown_rulebook" if kind == "rulebook" else "unknown_jurisdiction"
        fault = Fault("/from", code, f"there is no published {shelf.sort} {said}", known)
        raise Rejected("invalid_upload", "1 fault", (fault,))


async def rewrite_draft(
    request: AnyRequest, caller: Caller, kind: Kind, id: str, version: int, write: Callable[[Draft], Content]
) -> Draft:
    """Change the draft that If-Match names."""
    tag, current = tag_seen(request), current_of(request)
    work = partial(change_draft, current.store.url, kind, id, version, tag, write, actor=actor_of(caller))
    return await _found(current.uploads.run(work), kind, id, version, current.desk)


async def remove_draft(request: AnyRequest, caller: Caller, kind: Kind, id: str, version: int) -> None:
    """Take away the draft that If-Match names."""
    tag, current = tag_seen(request), current_of(request)
    work = partial(discard_draft, current.store.url, kind, id, version, tag, actor=actor_of(caller))
    await _found(current.uploads.run(work), kind, id, version, current.desk)


async def own_draft(request: AnyRequest, caller: Caller, kind: Kind, id: str, version: int) -> Draft:
    """Return a draft, which is not published yet."""
    current = current_of(request)
    if not sees_drafts(caller, id):
        raise no_version(kind, id, version, current.desk)
    work = current.uploads.run(read_draft, current.store.url, kind, id, version)
    return await _found(work, kind, id, version, current.desk)


async def publish_version(
    request: AnyRequest, caller: Caller, kind: Kind, id: str, version: int, first: date
) -> Desk:
    """Publish the draft that If-Match names, and return a desk that has it.

    Raises:
        Rejected: invalid_upload with every fault of the draft
    """
    tag, current = tag_seen(request), current_of(request)
    if first > LAST_DAY:
        allowed = Allowed(max=LAST_DAY.isoformat())
        fault = Fault("/in_force_from", "date_out_of_range", f"{LAST_DAY} is the last day taken", allowed)
        raise Rejected("invalid_upload", "1 fault", (fault,))
    await current.renew()
    work = partial(
        publish_draft,
        current.store.url,
        kind,
        id,
        version,
        tag,
        first,
        actor=actor_of(caller),
        check=partial(refuse_beside, desk=current.desk),
    )
    try:
        await _found(current.uploads.run(work), kind, id, version, current.desk)
    except TableRefused as refused:
        raise refusal_of_texts(refused) from None
    return await _desk_with(request, kind, id, version)


async def take_back_version(request: AnyRequest, caller: Caller, kind: Kind, id: str, version: int) -> Desk:
    """Withdraw a version that is announced only, and return a desk that knows it."""
    current = current_of(request)
    work = partial(withdraw_version, current.store.url, kind, id, version, actor=actor_of(caller))
    await _found(current.uploads.run(work), kind, id, version, current.desk)
    return await _desk_with(request, kind, id, version)


async def _desk_with(request: AnyRequest, kind: Kind, id: str, version: int) -> Desk:
    current = current_of(request)
    await current.renew()
    if (id, version) not in shelf_of(kind, current.desk).versions:
        raise Rejected(
            "store_unavailable", f"{id}@{version} was written, but could not be read back yet: get it"
        )
    return current.desk.stopped()


async def _found(work: Awaitable[R], kind: Kind, id: str, version: int, desk: Desk) -> R:
    try:
        return await work
    except NotServed:
        raise no_version(kind, id, version, desk) from None

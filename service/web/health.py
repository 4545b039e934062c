"""Whether the service runs, and whether it can answer."""

from __future__ import annotations

from typing import Any, Literal

import msgspec
from litestar import Request, Response, get

from service.web.current import CurrentDesk
from service.web.desk import Desk, GivenDesk
from service.web.negotiate import JSON, best_type
from service.web.sight import Database

AnyRequest = Request[Any, Any, Any]
# how it is at this moment
NOW = {"Cache-Control": "no-store"}


class Health(msgspec.Struct, frozen=True):
    """State of the service."""

    status: Literal["ok"]
    engine_version: str


class Readiness(msgspec.Struct, frozen=True):
    """What the service can answer from.

    Attributes:
        status: it can answer, with or without its database
        engine_version: version of the service
        rulebooks: versions of rulebooks in memory
        jurisdictions: versions of jurisdictions in memory
        price_books: versions of public price books in memory
        damaged: versions that cannot be served, since their stored text is no longer what was published
        database: `away` means that answers are from what was read before
        seconds_since_store_seen: whole seconds; 0 while the database is reachable, null where there is none
    """

    status: Literal["ok"]
    engine_version: str
    rulebooks: int
    jurisdictions: int
    price_books: int
    damaged: tuple[str, ...]
    database: Database
    seconds_since_store_seen: int | None


@get(
    "/health/live",
    operation_id="checkLive",
    summary="Is the process up",
    tags=["operations"],
    sync_to_thread=False,
)
def check_live(request: AnyRequest, desk: GivenDesk) -> Response[Health]:
    """Answer as long as the process takes requests."""
    best_type(request, [JSON])
    return Response(Health("ok", desk.engine_version), headers=NOW)


@get(
    "/health/ready",
    operation_id="checkReady",
    summary="Can it answer",
    tags=["operations"],
    sync_to_thread=False,
)
def check_ready(desk: GivenDesk, request: AnyRequest) -> Response[Readiness]:
    """Answer 200 once rulebooks are in memory, 503 before; without its database it goes on answering."""
    best_type(request, [JSON])
    desk.guide()
    snapshot = desk.snapshot
    current: CurrentDesk = request.app.state.current
    database = current.sight.database
    # those everyone may read: the number of the others would tell when one is published
    public = frozenset(desk.books())
    found = Readiness(
        "ok",
        desk.engine_version,
        rulebooks=len(snapshot.rulebooks.versions),
        jurisdictions=len(snapshot.jurisdictions.versions),
        price_books=sum(id in public for id, _ in snapshot.price_books.versions),
        damaged=_damaged(desk),
        database=database,
        seconds_since_store_seen=None if database == "none" else current.sight.seconds,
    )
    return Response(found, headers=NOW)


def _damaged(desk: Desk) -> tuple[str, ...]:
    """Rules, and those price books everyone may read: of another its name alone would tell something."""
    snapshot, public = desk.snapshot, frozenset(desk.books())
    rules = {f"{id}@{n}" for shelf in (snapshot.rulebooks, snapshot.jurisdictions) for id, n in shelf.damaged}
    books = {f"{id}@{n}" for id, n in snapshot.price_books.damaged if id in public}
    return tuple(sorted(rules | books))

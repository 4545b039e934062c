"""Whether the service runs, and whether it can answer."""

from __future__ import annotations

from typing import Literal

import msgspec
from litestar import get

from service.web.desk import GivenDesk


class Health(msgspec.Struct, frozen=True):
    """State of the service."""

    status: Literal["ok"]
    engine_version: str


class Readiness(msgspec.Struct, frozen=True):
    """What the service can answer from."""

    status: Literal["ok"]
    engine_version: str
    rulebooks: int
    jurisdictions: int
    price_books: int


@get(
    "/health/live",
    operation_id="checkLive",
    summary="Is the process up",
    tags=["operations"],
    sync_to_thread=False,
)
def check_live(desk: GivenDesk) -> Health:
    """Answer as long as the process takes requests."""
    return Health("ok", desk.engine_version)


@get(
    "/health/ready",
    operation_id="checkReady",
    summary="Can it answer",
    tags=["operations"],
    sync_to_thread=False,
)
def check_ready(desk: GivenDesk) -> Readiness:
    """Answer 200 once rulebooks are in memory, 503 before."""
    desk.guide()
    snapshot = desk.snapshot
    # those everyone may read: the number of the others would tell when one is published
    public = frozenset(desk.books())
    return Readiness(
        "ok",
        desk.engine_version,
        rulebooks=len(snapshot.rulebooks.versions),
        jurisdictions=len(snapshot.jurisdictions.versions),
        price_books=sum(id in public for id, _ in snapshot.price_books.versions),
    )

"""The application with keys of every kind, answering from memory; its clock is set by the test."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

from service.app import make_app
from service.settings import Settings
from service.store.access import Access, ApiKey, BookHead, secret_digest
from service.web.door import Door
from service.web.envelope import Application
from tests.contract.api import NOON, desk

SECRET = "A" * 43
PAGE, OTHER_PAGE = "https://yard.example", "https://other.example"
OWN, PUBLIC, PRIVATE = "tollgate-yard", "brindlemoor-yard", "oakline-yard"
PAGE_KEY, OTHER_KEY, SECRET_KEY, EXPIRING, RULES_KEY = (digit * 16 for digit in "12345")


def api_key(id: str, kind: str = "secret", scopes: set[str] | None = None, **more: Any) -> ApiKey:
    given = frozenset({"designs"} if scopes is None else scopes)
    return ApiKey(id, "tollgate", kind, given, more.pop("price_book", None), secret_digest(SECRET), **more)


KEYS = (
    api_key(PAGE_KEY, "publishable", price_book=PUBLIC, origins=frozenset({PAGE, "http://localhost:9000"})),
    api_key(OTHER_KEY, "publishable", price_book=PUBLIC, origins=frozenset({OTHER_PAGE})),
    api_key(SECRET_KEY, scopes={"designs", "prices:read", "prices:write", "admin"}),
    api_key(
        EXPIRING,
        "publishable",
        price_book=PUBLIC,
        origins=frozenset({"https://old.example"}),
        expires_at=NOON,
    ),
    api_key(RULES_KEY, scopes={"rules:write"}, rules_bound=frozenset({"irc-2021"})),
)
BOOKS = {
    PUBLIC: BookHead(PUBLIC, "brindlemoor-timber", public=True),
    OWN: BookHead(OWN, "tollgate", public=False),
    PRIVATE: BookHead(PRIVATE, "oakline", public=False),
}


def keyed(
    door: Door | None = None,
    *,
    now: dt.datetime = NOON,
    per_minute: int = 6000,
    keys: tuple[ApiKey, ...] = KEYS,
) -> Application:
    """The application; each of the three price books has the prices of the public one."""
    here = desk()
    shelf = here.snapshot.price_books
    versions = {
        (id, version): replace(book, id=id, organisation=BOOKS[id].organisation)
        for id in BOOKS
        for (_, version), book in shelf.versions.items()
    }
    states = {(id, version): state for id in BOOKS for (_, version), state in shelf.states.items()}
    snapshot = replace(
        here.snapshot,
        price_books=replace(shelf, versions=versions, states=states),
        access=Access(keys={one.id: one for one in keys}, books=BOOKS),
    )
    limits = Settings(publishable_per_minute=per_minute, batch_workers=1)
    return make_app(replace(here, snapshot=snapshot, clock=lambda: now), limits, door=door)


def bearer(id: str = PAGE_KEY, kind: str = "publishable", secret: str = SECRET) -> str:
    return f"Bearer {kind}.{id}.{secret}"


def from_page(origin: str = PAGE, id: str = PAGE_KEY) -> dict[str, str]:
    """What a page's call carries."""
    return {"Authorization": bearer(id), "Origin": origin}


SECRET_HEADER = {"Authorization": bearer(SECRET_KEY, "secret")}

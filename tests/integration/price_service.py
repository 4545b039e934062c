"""A service over a real database with keys of two organisations, for the tests of price books."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import partial
from typing import Any

import httpx
import pytest

from service.app import serving_app
from service.cli.trial import served
from service.store.embedded import EmbeddedServer
from service.store.key_writer import create_key
from tests import waiting

EVERYTHING = ("designs", "prices:read", "prices:write")
CSV = {"Content-Type": "text/csv"}
PATIENCE_S = 10
until = partial(waiting.until, patience_s=PATIENCE_S)
_numbers = itertools.count(1)


def today() -> date:
    """The day the database takes for today."""
    return datetime.now(UTC).date()  # noqa: TID251 - the tests meet the real clock of a real database


def day(after: int) -> str:
    """A day so many days from today."""
    return (today() + timedelta(days=after)).isoformat()


def bearer(key: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {key}"}


def line(item: str = "lumber.2x8.hem_fir.no_2.uc3b", price: str = "14.20", **changes: Any) -> dict[str, Any]:
    """One line of an upload."""
    return {
        "item": item,
        "sku": "L-28-12",
        "description": "2x8 12 ft",
        "unit": "piece",
        "length_ft": 12,
        "unit_price": price,
        "availability": "in_stock",
        **changes,
    }


def prices(first: str, last: str | None = None, **changes: Any) -> dict[str, Any]:
    """A version to upload, of one line unless others are given."""
    head = {"currency": "USD", "effective_from": first, "effective_to": last, "tax_included": False}
    return {**head, "lines": [line()], **changes}


@dataclass(frozen=True)
class Yard:
    """An organisation of its own, with a key for everything and a book without versions."""

    address: str
    key: str
    organisation: str
    book: str

    @property
    def versions(self) -> str:
        return f"/v1/price-books/{self.book}/versions"

    def ask(self, method: str, path: str, **sent: Any) -> httpx.Response:
        headers = {**bearer(self.key), **sent.pop("headers", {})}
        return httpx.request(
            method, self.address + path, headers=headers, trust_env=False, timeout=60, **sent
        )

    def upload(self, body: dict[str, Any], **sent: Any) -> httpx.Response:
        return self.ask("POST", self.versions, json=body, **sent)


@contextmanager
def service(server: EmbeddedServer) -> Iterator[str]:
    """The service on a database, which it looks at more often than it would, to save the tests' time."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("service.web.current.LOOK_EVERY_S", 0.05)
        with served(serving_app(server.service_url)) as address:
            yield address


def new_yard(server: EmbeddedServer, address: str, *scopes: str) -> Yard:
    """A new organisation whose key the service has seen, and its book."""
    organisation = f"yard{next(_numbers)}x"
    key = create_key(server.owner_url, organisation, EVERYTHING)
    yard = Yard(address, key, organisation, f"{organisation}-book")
    until(lambda: yard.ask("GET", "/v1/price-books").status_code == 200)
    assert yard.ask("POST", "/v1/price-books", json={"id": yard.book}).status_code == 201
    if scopes:
        narrow = create_key(server.owner_url, organisation, scopes)
        yard = Yard(address, narrow, organisation, yard.book)
        until(lambda: yard.ask("GET", "/v1/price-books").status_code != 401)
    return yard


def without_id(answer: httpx.Response, *names: str) -> str:
    """A problem's text without what differs between any two requests."""
    text = answer.text.replace(answer.headers["x-request-id"], "")
    for name in names:
        text = text.replace(name, "NAME")
    return text

"""Keys of NDJSON calls: whose price books a line may name, and what a key that is not good is answered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import httpx
import pytest

from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.settings import Settings
from service.store.access import Access, ApiKey, BookHead, secret_digest
from tests.ndjson import (
    DESIGNS,
    answered,
    body,
    connected,
    head,
    post,
    quote,
    spec,
    spool_files,
    spool_folder,
    until,
)

__all__ = ["spool_folder"]

SECRET = "A" * 43
OPEN = "/v1/repricings"
NAMED = "/v1/repricings?price_book=brindlemoor-yard"


def key(number: int, organisation: str, scopes: set[str], price_book: str | None = None) -> ApiKey:
    id = f"{number:016x}"
    return ApiKey(id, organisation, "secret", frozenset(scopes), price_book, secret_digest(SECRET))


KEYS = (
    key(1, "brindlemoor", {"designs"}, "brindlemoor-yard"),
    key(2, "another", {"designs"}),
    key(3, "brindlemoor", {"prices:read"}),
)


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """A service whose only price book is its organisation's own."""
    access = Access(
        keys={one.id: one for one in KEYS},
        books={"brindlemoor-yard": BookHead("brindlemoor-yard", "brindlemoor", public=False)},
    )
    desk = make_desk(replace(bundled_snapshot(), access=access))
    with served(make_app(desk, Settings(batch_workers=1))) as found:
        yield found


def with_key(number: int, secret: str = SECRET) -> dict[str, str]:
    return {"Authorization": f"Bearer secret.{number:016x}.{secret}"}


def code(answer: httpx.Response) -> tuple[int, str]:
    return answer.status_code, answer.json()["code"]


def test_stream_book_of_a_key(address: str) -> None:
    for path in (OPEN, NAMED):
        answer = post(address, path, body(quote(1)), **with_key(1))
        assert answer.headers["deck-price-book"].startswith("brindlemoor-yard@")
        assert answered(answer)[0]["repricing"]["price_book"]["id"] == "brindlemoor-yard"


def test_stream_book_of_another_organisation_does_not_exist(address: str) -> None:
    for headers in ({}, with_key(2)):
        answer = post(address, NAMED, body(quote(1)), **headers)
        assert code(answer) == (422, "invalid_query")
        (fault,) = answer.json()["errors"]
        nowhere = post(address, NAMED.replace("brindlemoor", "nowhere"), b"", **headers).json()["errors"][0]
        assert fault == {**nowhere, "detail": nowhere["detail"].replace("nowhere", "brindlemoor")}


@pytest.mark.parametrize("path", [DESIGNS, "/v1/rule-impacts?from=irc-2021@1&to=irc-2021@1"])
def test_stream_specs_may_name_books_their_key_may_read(address: str, path: str) -> None:
    content = body(spec(1, price_book="brindlemoor-yard"), spec(2))
    for headers, books in (
        (with_key(1), ["brindlemoor-yard"] * 2),
        (with_key(2), ["unknown_price_book", None]),
    ):
        found = answered(post(address, path, content, **headers))[:-1]
        assert [named(line) for line in found] == books


def named(line: dict) -> str | None:
    if line["kind"] == "problem":
        return line["problem"]["errors"][0]["code"]
    book = (line["summary"] if "summary" in line else line["impact"])["price_book"]
    return book and book["id"]


def test_stream_places_are_kept_for_callers_with_a_key(spool_folder: Path) -> None:
    """Strangers that send a few bytes and wait keep each other out, and nobody with a key."""
    desk = make_desk(replace(bundled_snapshot(), access=Access(keys={one.id: one for one in KEYS})))
    content = body(quote(1))
    with served(make_app(desk, Settings(batch_workers=1, batch_calls=2))) as address:
        with connected(address) as stranger:
            stranger.sendall(head(address, DESIGNS, 100) + b"{")
            until(spool_files)
            assert code(post(address, DESIGNS, content)) == (503, "overloaded")
            assert post(address, DESIGNS, content, **with_key(1)).status_code == 200
        until(lambda: not spool_files())
        assert post(address, DESIGNS, content).status_code == 200


def test_stream_keys_that_are_not_good(address: str) -> None:
    for path in (DESIGNS, NAMED):
        assert code(post(address, path, b"", **with_key(1, "B" * 43))) == (401, "unauthenticated")
        assert code(post(address, path, b"", **with_key(9))) == (401, "unauthenticated")
        assert code(post(address, path, b"", **with_key(3))) == (403, "scope_missing")

"""Which answers a cache may keep, and what it has to tell apart (RFC 9111, sections 3.5, 4.1 and 5.2.2)."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from service.app import make_app
from service.store.access import Access, ApiKey, secret_digest
from service.web.envelope import Application
from tests.contract.api import SMALLEST, call, desk

SECRET, KEY_ID = "A" * 43, "0" * 16
KEY = {"Authorization": f"Bearer secret.{KEY_ID}.{SECRET}"}
NDJSON = {"Content-Type": "application/x-ndjson"}
CALLS: list[tuple[str, str, dict[str, Any], int]] = [
    ("POST", "/v1/designs", {"json": SMALLEST}, 200),
    ("POST", "/v1/designs", {"json": {}}, 422),
    ("POST", "/v1/designs", {"content": b"{"}, 415),
    ("POST", "/v1/designs", {"json": {}, "headers": {"Content-Encoding": "gzip"}}, 415),
    ("GET", "/v1/designs", {}, 405),
    ("GET", "/v1/options", {}, 200),
    ("HEAD", "/v1/options", {}, 200),
    ("GET", "/v1/options?colour=red", {}, 422),
    ("GET", "/v1/nothing", {}, 404),
    ("GET", "/v1/rulebooks/nothing/versions/1", {}, 404),
    ("OPTIONS", "/v1/price-books", {}, 204),
    ("POST", "/v1/design-batches", {"content": b"\n", "headers": NDJSON}, 200),
    ("POST", "/v1/design-batches?view=all", {"content": b"\n", "headers": NDJSON}, 422),
    ("POST", "/v1/design-batches", {"content": b"\n"}, 415),
    ("GET", "/v1/design-batches", {}, 405),
    ("OPTIONS", "/v1/repricings", {}, 204),
]


def keyed() -> Application:
    """The application with a key of an organisation that has no books."""
    scopes = frozenset({"designs", "prices:read", "prices:write"})
    key = ApiKey(KEY_ID, "tollgate", "secret", scopes, None, secret_digest(SECRET))
    access = Access(keys={KEY_ID: key}, books=desk().snapshot.access.books)
    return make_app(dataclasses.replace(desk(), snapshot=dataclasses.replace(desk().snapshot, access=access)))


def asked(method: str, path: str, sent: dict[str, Any], headers: dict[str, str]) -> Any:
    return call(method, path, keyed(), **{**sent, "headers": {**sent.get("headers", {}), **headers}})


@pytest.mark.parametrize(("method", "path", "sent", "status"), CALLS)
@pytest.mark.parametrize("key", [{}, KEY, {"Authorization": "Bearer nonsense"}], ids=["none", "good", "bad"])
def test_an_answer_to_a_key_is_kept_by_nobody(
    method: str, path: str, sent: dict[str, Any], status: int, key: dict[str, str]
) -> None:
    answer = asked(method, path, sent, key)
    assert answer.status_code == status or (key not in ({}, KEY) and answer.status_code == 401)
    # what stays is asked for again each time
    kept = "no-cache" if method in ("GET", "HEAD") and answer.status_code == 200 else None
    assert answer.headers.get("cache-control") == ("private, no-store" if key else kept)
    vary = answer.headers.get_list("vary", split_commas=True)
    assert (vary.count("Authorization"), vary.count("Origin")) == (1, 1)
    assert len(answer.headers.get_list("vary")) == 1


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/v1/price-books", 200),
        ("GET", "/v1/price-books/brindlemoor-yard/versions/1", 200),
        ("GET", "/v1/price-books/tollgate-none", 404),
        ("POST", "/v1/price-books", 415),
    ],
)
def test_price_books_are_kept_by_nobody(method: str, path: str, status: int) -> None:
    answer = asked(method, path, {}, KEY)
    assert (answer.status_code, answer.headers["cache-control"]) == (status, "private, no-store")
    if status == 200:
        vary = answer.headers.get_list("vary", split_commas=True)
        assert vary == ["Accept", "Accept-Encoding", "Authorization", "Origin"]
    assert "Authorization" in answer.headers["vary"]
    without = asked(method, path, {}, {})
    assert (without.status_code, without.headers["vary"]) == (
        401,
        "Accept-Encoding, Authorization, Origin",
    )


def test_public_tables_stay_cacheable_without_a_key() -> None:
    path = table_path()
    first = call("GET", path)
    again = call("GET", path, headers={"If-None-Match": first.headers["etag"]})
    assert (first.status_code, again.status_code) == (200, 304)
    for answer in (first, again):
        assert answer.headers["cache-control"] == "public, max-age=86400"
        assert answer.headers["vary"] == "Accept, Accept-Encoding, Origin"
    with_key = asked("GET", path, {}, KEY)
    assert (with_key.headers.get_list("cache-control"), with_key.text) == (["private, no-store"], first.text)


def table_path() -> str:
    book = call("GET", "/v1/rulebooks").json()["items"][0]
    return f"{book['url']}/tables/{call('GET', book['url']).json()['tables'][0]['name']}"


def test_pages_for_people_do_not_depend_on_a_key() -> None:
    for path in ("/", "/problems/invalid_spec", "/health/live"):
        assert "authorization" not in call("GET", path).headers.get("vary", "").lower()
        assert asked("GET", path, {}, KEY).headers["cache-control"] == "private, no-store"

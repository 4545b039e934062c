"""Publishable keys and pages of other origins: what a browser is told, and what an attacker with the key gets."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import cache
from typing import Any

import httpx
import pytest

from service.web.door import PAGE_CALLS, PAGE_READS, Door
from service.web.envelope import Application
from tests.contract.api import NOON, SMALLEST, call
from tests.contract.keyed import (
    ALSO_PUBLIC,
    EXPIRING,
    KEYS,
    OTHER_KEY,
    OTHER_PAGE,
    OWN,
    PAGE,
    PAGE_KEY,
    PRIVATE,
    PUBLIC,
    RULES_KEY,
    SECRET,
    SECRET_HEADER,
    SECRET_KEY,
    bearer,
    from_page,
    keyed,
)

ALLOW_ORIGIN = "access-control-allow-origin"
NDJSON = {"Content-Type": "application/x-ndjson"}
PREFLIGHT = {"Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "authorization"}


@cache
def app() -> Application:
    return keyed()


def ask(method: str, path: str, headers: Any = None, **sent: Any) -> httpx.Response:
    return call(method, path, app(), headers=headers or {}, **sent)


def code(answer: httpx.Response) -> tuple[int, str]:
    return answer.status_code, answer.json()["code"]


def cors_of(answer: httpx.Response) -> list[str]:
    return [name for name in answer.headers if name.startswith("access-control-")]


def test_a_page_with_its_key_gets_a_design_it_may_read() -> None:
    answer = ask("POST", "/v1/designs", from_page(), json=SMALLEST)
    assert answer.status_code == 200
    assert answer.headers[ALLOW_ORIGIN] == PAGE
    assert {"Deck-Verdict", "Retry-After"} <= set(answer.headers["access-control-expose-headers"].split(", "))
    assert "access-control-allow-credentials" not in answer.headers
    # priced with the book of the key, which the spec does not name
    assert answer.headers["deck-price-book"].startswith(f"{PUBLIC}@")


@pytest.mark.parametrize(
    ("method", "path", "sent", "status"),
    [
        ("POST", "/v1/designs", {"json": {}}, 422),
        ("POST", "/v1/designs", {"content": b"{"}, 415),
        ("POST", "/v1/designs", {"json": SMALLEST, "headers": {"Content-Encoding": "gzip"}}, 415),
        (
            "POST",
            "/v1/designs",
            {"content": b" " * 300_000, "headers": {"Content-Type": "application/json"}},
            413,
        ),
        ("GET", "/v1/rulebooks/nothing/versions/1", {}, 404),
        ("GET", "/v1/options?colour=red", {}, 422),
        ("POST", "/v1/design-batches", {"content": b"\n", "headers": NDJSON}, 403),
        ("POST", "/v1/price-books", {"json": {"id": OWN}}, 403),
        ("GET", "/v1/nothing", {}, 403),
    ],
)
def test_a_page_may_read_problems_too(method: str, path: str, sent: dict[str, Any], status: int) -> None:
    answer = ask(method, path, {**sent.pop("headers", {}), **from_page()}, **sent)
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    assert (answer.headers[ALLOW_ORIGIN], answer.headers["x-request-id"] != "") == (PAGE, True)


@pytest.mark.parametrize(
    "origin",
    [
        "null", "", "*", "https://yard.example:8443", "http://yard.example", "https://www.yard.example",
        "https://yard.example.evil.example", "https://evilyard.example", "https://YARD.example",
        "https://yard.example.", "https://yard.example/", "https://yard.example:443", " https://yard.example x",
        "https://yard.example,https://evil.example", "yard.example", "//yard.example", "https://yard.example\u00a0",
        OTHER_PAGE, "http://localhost:9001", "http://127.0.0.1:9000",
    ],
)  # fmt: skip
def test_an_origin_that_is_not_the_keys_is_refused_unread(origin: str) -> None:
    headers = [(b"Authorization", bearer().encode()), (b"Origin", origin.encode("latin-1"))]
    for path in ("/v1/designs", "/v1/options", "/v1/rulebooks"):
        method = "POST" if path == "/v1/designs" else "GET"
        answer = ask(method, path, headers, **({"json": SMALLEST} if method == "POST" else {}))
        assert code(answer) == (403, "origin_not_allowed")
        assert cors_of(answer) == []
        assert "Origin" in answer.headers.get_list("vary", split_commas=True)


def test_a_publishable_key_without_an_origin_or_with_two_is_refused() -> None:
    key = (b"Authorization", bearer().encode())
    page, other = (b"Origin", PAGE.encode()), (b"Origin", b"https://evil.example")
    for headers in ([key], [key, page, page], [key, page, other], [key, other, page]):
        answer = ask("GET", "/v1/options", headers)
        assert code(answer) == (403, "origin_not_allowed")
        assert cors_of(answer) == []


def test_two_keys_are_none() -> None:
    page = (b"Origin", PAGE.encode())
    good, secret = ((b"Authorization", one.encode()) for one in (bearer(), SECRET_HEADER["Authorization"]))
    for headers in ([good, good, page], [good, secret, page], [secret, good]):
        assert code(ask("GET", "/v1/options", headers)) == (401, "unauthenticated")


@pytest.mark.parametrize(
    "key",
    [
        bearer(secret="B" * 43), bearer("9" * 16), bearer(PAGE_KEY, "secret"), bearer(SECRET_KEY, "publishable"),
        bearer(OTHER_KEY, "secret"), f"Basic {bearer()[7:]}", bearer()[7:], f"{bearer()} {bearer()}", f"{bearer()}x",
    ],
)  # fmt: skip
def test_a_key_that_is_not_good_is_told_in_the_same_words(key: str) -> None:
    answer, unknown = (
        ask("GET", "/v1/options", {"Authorization": one, "Origin": PAGE}) for one in (key, bearer("8" * 16))
    )
    assert code(answer) == (401, "unauthenticated")
    assert answer.headers["www-authenticate"] == "Bearer"
    told = [one.text.replace(one.headers["x-request-id"], "") for one in (answer, unknown)]
    assert told[0] == told[1]
    # a page whose key was replaced can tell its visitor so
    assert answer.headers[ALLOW_ORIGIN] == PAGE


def test_a_key_is_in_force_until_the_moment_it_expires() -> None:
    headers = from_page("https://old.example", EXPIRING)
    before, then = (keyed(now=NOON - timedelta(seconds=after)) for after in (1, 0))
    assert call("GET", "/v1/options", before, headers=headers).headers[ALLOW_ORIGIN] == "https://old.example"
    expired = call("GET", "/v1/options", then, headers=headers)
    unknown = call("GET", "/v1/options", then, headers={**headers, "Authorization": bearer("8" * 16)})
    assert code(expired) == (401, "unauthenticated")
    told = [one.text.replace(one.headers["x-request-id"], "") for one in (expired, unknown)]
    assert told[0] == told[1]
    # its page is nobody's any more
    assert cors_of(expired) == []
    asked = {**PREFLIGHT, "Origin": "https://old.example"}
    assert call("OPTIONS", "/v1/designs", before, headers=asked).status_code == 204
    assert code(call("OPTIONS", "/v1/designs", then, headers=asked)) == (403, "origin_not_allowed")


def test_a_key_elsewhere_than_in_its_header_is_not_looked_at() -> None:
    key = SECRET_HEADER["Authorization"]
    bare = key.removeprefix("Bearer ")
    for headers in (
        {"Cookie": f"Authorization={bare}; key={bare}"}, {"X-Api-Key": bare}, {"Proxy-Authorization": key},
        {"Api-Key": bare}, {"X-Authorization": key},
    ):  # fmt: skip
        assert code(ask("GET", "/v1/price-books", headers)) == (401, "unauthenticated")
    for name in ("key", "access_token", "authorization"):
        assert code(ask("GET", f"/v1/price-books?{name}={bare}")) in (
            (401, "unauthenticated"),
            (422, "invalid_query"),
        )
    assert ask("GET", "/v1/price-books", SECRET_HEADER).status_code == 200


def test_a_publishable_key_sees_its_one_book_alone() -> None:
    """Another that its organisation, or everyone, may read is told like one that is not there."""
    listed = {
        name: {one["id"] for one in ask("GET", "/v1/options", headers).json()["price_books"]}
        for name, headers in (("page", from_page()), ("secret", SECRET_HEADER), ("nobody", {}))
    }
    assert listed == {
        "page": {PUBLIC},
        "secret": {PUBLIC, ALSO_PUBLIC, OWN},
        "nobody": {PUBLIC, ALSO_PUBLIC},
    }
    for book, headers in ((OWN, SECRET_HEADER), (ALSO_PUBLIC, {}), (PUBLIC, from_page())):
        named = {**SMALLEST, "price_book": book}
        assert ask("POST", "/v1/takeoffs", headers, json=named).status_code == 200
    told = set()
    for book in (OWN, PRIVATE, ALSO_PUBLIC, f"{ALSO_PUBLIC}@1", "nowhere-yard"):
        (fault,) = ask("POST", "/v1/takeoffs", from_page(), json={**SMALLEST, "price_book": book}).json()[
            "errors"
        ]
        assert (fault["code"], fault["allowed"]["one_of"]) == ("unknown_price_book", [PUBLIC])
        told.add(str(fault).replace(book, ""))
    assert len(told) == 1


def test_a_book_that_is_public_no_more_is_gone_for_its_publishable_key() -> None:
    private = tuple(
        type(one)(**{**{name: getattr(one, name) for name in one.__dataclass_fields__}, "price_book": OWN})
        for one in KEYS
        if one.id == PAGE_KEY
    )
    answer = call("POST", "/v1/takeoffs", keyed(keys=private), headers=from_page(), json=SMALLEST)
    assert answer.json()["errors"][0]["code"] == "unknown_price_book"


WRITES = [
    ("GET", "/v1/price-books"), ("POST", "/v1/price-books"), ("GET", f"/v1/price-books/{PUBLIC}"),
    ("GET", f"/v1/price-books/{PUBLIC}/versions"), ("POST", f"/v1/price-books/{PUBLIC}/versions"),
    ("GET", f"/v1/price-books/{PUBLIC}/versions/1"), ("POST", "/v1/design-batches"), ("POST", "/v1/repricings"),
    ("POST", "/v1/rulebooks/irc-2021/versions"), ("PATCH", "/v1/rulebooks/irc-2021/versions/2"),
    ("POST", "/v1/rulebooks"), ("DELETE", "/v1/rulebooks/irc-2021"), ("POST", "/v1/jurisdictions"),
    ("POST", "/v1/options"), ("GET", "/v1/designs"), ("PUT", "/v1/designs"), ("POST", "/v1/designs/"),
    ("POST", "/v1//price-books"), ("POST", "/v1/rule-impacts"), ("GET", "/v1/audit-entries"),
]  # fmt: skip


@pytest.mark.parametrize(("method", "path"), WRITES)
def test_a_publishable_key_does_nothing_else(method: str, path: str) -> None:
    answer = ask(method, path, from_page(), **({"content": b"{}"} if method != "GET" else {}))
    expected = {(403, "scope_missing")} | (
        {(415, "unsupported_media_type")} if path.endswith("designs/") else set()
    )
    assert code(answer) in expected


def test_what_a_publishable_key_is_for_is_there() -> None:
    for path in PAGE_CALLS:
        assert code(ask("POST", path, from_page(), json={"colour": "red"}))[1] == "invalid_spec"
    for path in PAGE_READS:
        assert ask("GET", path, from_page()).status_code == 200
        assert ask("HEAD", path, from_page()).headers[ALLOW_ORIGIN] == PAGE


@pytest.mark.parametrize(
    "path", ["/v1/designs", "/v1/options", "/v1/nothing", "/assets/try/deck-framing.js", "/", "/docs"]
)
@pytest.mark.parametrize("door", [None, Door(keyless=False)], ids=["open", "closed"])
def test_a_preflight_needs_no_key_and_is_answered_for_registered_origins(
    path: str, door: Door | None
) -> None:
    for origin in (PAGE, OTHER_PAGE):
        answer = call("OPTIONS", path, keyed(door), headers={**PREFLIGHT, "Origin": origin})
        assert (answer.status_code, answer.content) == (204, b"")
        assert answer.headers[ALLOW_ORIGIN] == origin
        assert answer.headers["access-control-allow-methods"] == "GET, HEAD, POST"
        assert (
            answer.headers["access-control-allow-headers"]
            == "Authorization, Content-Type, Accept, If-None-Match, X-Request-Id"
        )
        assert int(answer.headers["access-control-max-age"]) > 0
        assert "Origin" in answer.headers.get_list("vary", split_commas=True)
        assert "access-control-allow-credentials" not in answer.headers


@pytest.mark.parametrize(
    "origin", ["https://evil.example", "null", "https://YARD.example", "https://yard.example."]
)
def test_a_preflight_of_anyone_else_gets_no_headers(origin: str) -> None:
    for extra in ({}, {"Authorization": bearer()}):
        answer = ask("OPTIONS", "/v1/designs", {**PREFLIGHT, "Origin": origin, **extra})
        assert code(answer) == (403, "origin_not_allowed")
        assert cors_of(answer) == []


def test_an_origin_is_never_told_to_who_does_not_match_it() -> None:
    for headers in ({}, SECRET_HEADER, {**SECRET_HEADER, "Origin": PAGE}, {"Origin": "https://evil.example"}):
        for path in ("/v1/options", "/assets/try/deck-framing.js"):
            if headers.get("Origin") == PAGE and path.startswith("/assets"):
                continue
            answer = ask("GET", path, headers)
            assert answer.status_code == 200
            assert cors_of(answer) == []
            # a cache must not give this answer to a page either
            assert "Origin" in answer.headers.get_list("vary", split_commas=True)


def test_a_registered_page_may_load_the_element() -> None:
    answer = ask("GET", "/assets/try/deck-framing.js", {"Origin": PAGE})
    assert (answer.status_code, answer.headers[ALLOW_ORIGIN]) == (200, PAGE)
    again = ask(
        "GET", "/assets/try/deck-framing.js", {"Origin": PAGE, "If-None-Match": answer.headers["etag"]}
    )
    assert (again.status_code, again.headers[ALLOW_ORIGIN]) == (304, PAGE)


def test_pages_for_people_are_shared_with_no_origin() -> None:
    for path in ("/", "/docs", "/openapi.json", "/health/ready", "/problems/not_found"):
        assert cors_of(ask("GET", path, from_page())) == []


def test_a_key_bound_to_rules_is_for_those_alone(caller_of_key: Callable[[str], Any]) -> None:
    caller = caller_of_key(RULES_KEY)
    caller.needs_rules("rules:write", "irc-2021")
    for scope, id in (("rules:write", "irc-2024"), ("rules:publish", "irc-2021")):
        with pytest.raises(Exception, match="needs a key with the scope") as refused:
            caller.needs_rules(scope, id)
        assert refused.value.code == "scope_missing"
    assert (caller.key_id, caller.publishable) == (RULES_KEY, False)


@pytest.fixture
def caller_of_key() -> Callable[[str], Any]:
    from service.web.keys import caller_with

    return lambda id: caller_with(next(one for one in KEYS if one.id == id))


def test_the_rate_is_counted_by_key() -> None:
    slow = keyed(per_minute=6)
    statuses = [call("GET", "/v1/rulebooks", slow, headers=from_page()).status_code for _ in range(3)]
    assert statuses == [200, 200, 429]
    late = call("POST", "/v1/designs", slow, headers=from_page(), json=SMALLEST)
    assert code(late) == (429, "too_many_requests")
    assert 0 < int(late.headers["retry-after"]) <= 10
    assert late.headers[ALLOW_ORIGIN] == PAGE
    assert call("GET", "/v1/rulebooks", slow, headers=from_page(OTHER_PAGE, OTHER_KEY)).status_code == 200
    for headers in ({}, SECRET_HEADER):
        assert {call("GET", "/v1/rulebooks", slow, headers=headers).status_code for _ in range(5)} == {200}


def test_what_is_refused_for_its_origin_uses_up_nothing() -> None:
    """Whoever has read the key in the page cannot lock its visitors out from elsewhere."""
    slow = keyed(per_minute=6)
    for _ in range(4):
        assert (
            call("GET", "/v1/rulebooks", slow, headers=from_page("https://evil.example")).status_code == 403
        )
    assert call("GET", "/v1/rulebooks", slow, headers=from_page()).status_code == 200


def test_no_secret_is_in_any_answer() -> None:
    for headers in (from_page(), from_page("null"), {"Authorization": bearer(secret="B" * 43)}):
        answer = ask("GET", "/v1/options", headers)
        assert SECRET not in answer.text
        assert "B" * 43 not in answer.text

"""What every answer carries: methods of its path, versions, rates, request ids, what is deprecated."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from functools import cache
from typing import Any

import httpx
import pytest

from service.web import deprecations
from service.web.cors import EXPOSED
from service.web.deprecations import Deprecation
from service.web.door import Door
from service.web.envelope import Application
from service.web.openapi.build import document
from service.web.problem_answer import RETRY_AFTER_S
from tests.contract.api import SMALLEST, call
from tests.contract.keyed import PAGE, SECRET_HEADER, bearer, from_page, keyed
from tests.contract.test_negotiation import DOCUMENT, ID, OPERATIONS, PARTS, app, ask, good, media_type_of

PATHS = {path: sorted(method.upper() for method in item) for path, item in DOCUMENT["paths"].items()}
HEX = re.compile("[0-9a-f]{32}")


@cache
def closed() -> Application:
    """A service that wants a key."""
    return keyed(Door(keyless=False))


@pytest.mark.parametrize("path", PATHS)
def test_a_path_tells_its_methods_without_a_key(path: str) -> None:
    also = ["HEAD", "OPTIONS"] if "GET" in PATHS[path] else ["OPTIONS"]
    allow = ", ".join(sorted([*PATHS[path], *also]))
    here = path.format(**PARTS)
    for headers in ({}, {"Authorization": "Bearer nonsense"}, {"Accept": "image/png"}):
        answer = call("OPTIONS", here, closed(), headers=headers)
        assert (answer.status_code, answer.content, answer.headers["allow"]) == (204, b"", allow)
    for method in {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "TRACE", "PROPFIND"} - set(
        allow.split(", ")
    ):
        refused = ask_as_admin(method, here)
        assert (refused.status_code, refused.headers["allow"]) == (405, allow), method
        if method != "HEAD":
            assert refused.json()["code"] == "method_not_allowed"


def ask_as_admin(method: str, path: str) -> httpx.Response:
    return call(method, path, app(), headers={"Authorization": bearer(ID, "secret")})


def test_no_route_is_left_out_of_the_table_of_methods() -> None:
    from service.web.methods import place_of

    found = {
        (path, method): place_of(path.format(**PARTS))
        for path, methods in PATHS.items()
        for method in methods
    }
    for (path, method), place in found.items():
        assert place is not None
        assert place.operations[method] == DOCUMENT["paths"][path][method.lower()]["operationId"]
    assert place_of("/assets/try/index.html") is not None


@pytest.mark.parametrize(
    "path", ["/v1/nothing", "/nothing", "/v1/rulebooks/irc-2021/versions/one", "/v1", "*"]
)
def test_a_path_that_is_not_there_is_not_there_for_any_method(path: str) -> None:
    for method in ("GET", "HEAD", "POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "PROPFIND", "BREW"):
        assert call(method, path).status_code == 404, method


@pytest.mark.parametrize("name", sorted(OPERATIONS))
def test_a_refusal_says_who_refuses_and_what_describes_it(name: str) -> None:
    answer = ask(name, [(b"accept", b"image/png"), *media_type_of(name)], **good(name))
    assert answer.headers["deck-engine"] == DOCUMENT["info"]["version"]
    described = (
        answer.headers.get("link")
        == '</openapi.json>; rel="service-desc"; type="application/vnd.oai.openapi+json"'
    )
    assert described is OPERATIONS[name][1].startswith("/v1/")
    assert HEX.fullmatch(answer.headers["x-request-id"])


TABLE = "/v1/rulebooks/irc-2021/versions/1"
BOOK = "/v1/price-books/tollgate-yard/versions/1"
JOIST = {
    "kind": "joist", "rulebook": "irc-2021@1", "species": "southern_pine", "grade": "no_2", "size": "2x8",
    "spacing_in": 16,
}  # fmt: skip


@pytest.mark.parametrize(
    ("method", "path", "sent", "rulebook", "book"),
    [
        (
            "POST",
            "/v1/takeoffs",
            {"json": {**SMALLEST, "price_book": "brindlemoor-yard"}},
            "irc-2021@1",
            "brindlemoor-yard@2",
        ),
        # refused, and by which versions it was read
        ("POST", "/v1/designs", {"json": {**SMALLEST, "levels": []}}, "irc-2021@1", None),
        ("POST", "/v1/designs", {"json": {**SMALLEST, "rulebook": "irc-1900"}}, None, None),
        ("POST", "/v1/drawings", {"json": {"spec": {**SMALLEST, "levels": []}}}, "irc-2021@1", None),
        ("POST", "/v1/stair-layouts", {"json": {"risers_in": [7.25, 7.25]}}, "irc-2024@1", None),
        (
            "POST",
            "/v1/stair-layouts",
            {"json": {"total_rise_in": 34, "rulebook": "irc-2021"}},
            "irc-2021@1",
            None,
        ),
        ("GET", "/v1/options?price_book=brindlemoor-yard", {}, None, "brindlemoor-yard@2"),
        ("GET", "/v1/options", {}, None, None),
        ("GET", TABLE, {}, "irc-2021@1", None),
        ("GET", f"{TABLE}/tables/joist_spans", {}, "irc-2021@1", None),
        ("GET", f"{TABLE}/compare?with=irc-2024@1", {}, "irc-2021@1", None),
        ("GET", "/v1/jurisdictions/alder-county/versions/1", {}, None, None),
        ("GET", BOOK, {"headers": SECRET_HEADER}, None, "tollgate-yard@1"),
        ("GET", "/v1/rulebooks", {}, None, None),
    ],
)
def test_an_answer_names_the_versions_it_was_made_by(
    method: str, path: str, sent: dict[str, Any], rulebook: str | None, book: str | None
) -> None:
    answer = call(method, path, keyed_once(), **sent)
    assert (answer.headers.get("deck-rulebook"), answer.headers.get("deck-price-book")) == (rulebook, book)
    for name in ("deck-rulebook", "deck-price-book", "deck-engine"):
        assert len(answer.headers.get_list(name)) <= 1


@pytest.mark.parametrize(
    ("method", "path", "sent", "place"),
    [
        ("POST", "/v1/takeoffs", {"json": SMALLEST, "headers": {"Accept": "text/csv"}}, "alder-county@1"),
        ("POST", "/v1/drawings", {"json": {"spec": SMALLEST, "sheet": "framing_plan"}}, "alder-county@1"),
        ("POST", "/v1/designs", {"json": {**SMALLEST, "levels": []}}, "alder-county@1"),
        ("POST", "/v1/designs", {"json": {**SMALLEST, "jurisdiction": "nowhere"}}, None),
        ("POST", "/v1/designs", {"json": {**SMALLEST, "jurisdiction": None, "rulebook": "irc-2021"}}, None),
        ("POST", "/v1/member-checks", {"json": {**JOIST, "jurisdiction": "alder-county"}}, "alder-county@1"),
        ("POST", "/v1/member-checks", {"json": JOIST}, None),
        ("GET", "/v1/options?jurisdiction=alder-county", {}, "alder-county@1"),
        ("GET", "/v1/jurisdictions/alder-county", {}, "alder-county@1"),
        ("GET", "/v1/jurisdictions/alder-county/versions/1", {}, "alder-county@1"),
        ("GET", "/v1/jurisdictions", {}, None),
        ("GET", TABLE, {}, None),
    ],
)
def test_an_answer_names_the_place_whose_law_it_was_made_by(
    method: str, path: str, sent: dict[str, Any], place: str | None
) -> None:
    answer = call(method, path, keyed_once(), **sent)
    assert answer.headers.get_list("deck-jurisdiction") == ([] if place is None else [place])
    assert "Deck-Jurisdiction" in EXPOSED.decode().split(", ")


# What HTTP itself needs.
OF_THE_CONNECTION = {"connection", "content-type", "content-length"}


@pytest.mark.parametrize("wish", ["*/*", "image/png"])
@pytest.mark.parametrize("name", sorted(OPERATIONS))
def test_every_header_of_an_answer_is_in_the_document(name: str, wish: str) -> None:
    answer = ask(name, [(b"accept", wish.encode()), *media_type_of(name)], **good(name))
    described = OPERATIONS[name][2]["responses"][str(answer.status_code)]
    if "$ref" in described:
        described = DOCUMENT["components"]["responses"][described["$ref"].rpartition("/")[2]]
    headers = {title.lower(): one for title, one in described["headers"].items()}
    assert set(answer.headers) - OF_THE_CONNECTION <= set(headers)
    for title, one in headers.items():
        told = one if "$ref" not in one else DOCUMENT["components"]["headers"][one["$ref"].rpartition("/")[2]]
        if title not in answer.headers:
            assert not told["required"], title
        else:
            assert re.search(told["schema"].get("pattern", ""), answer.headers[title]), title


@cache
def keyed_once() -> Application:
    return keyed()


def test_a_member_check_names_its_rulebook() -> None:
    from service.web.openapi.examples import REQUEST_EXAMPLES

    for _, _, body in REQUEST_EXAMPLES["checkMember"][:1]:
        answer = call("POST", "/v1/member-checks", json=body)
        assert (answer.status_code, answer.headers["deck-rulebook"][:4]) == (200, "irc-")


def test_the_choice_of_one_request_is_not_told_to_the_next() -> None:
    assert "deck-rulebook" in call("GET", TABLE).headers
    assert "deck-rulebook" not in call("GET", "/v1/rulebooks").headers


# The rate of publishable keys.


def test_a_page_is_told_how_often_it_may_come() -> None:
    slow = keyed(per_minute=6)
    found = [call("GET", "/v1/rulebooks", slow, headers=from_page()) for _ in range(3)]
    assert [one.status_code for one in found] == [200, 200, 429]
    assert {one.headers["ratelimit-policy"] for one in found} == {'"publishable";q=2;w=20'}
    told = [re.fullmatch(r'"publishable";r=(\d+);t=(\d+)', one.headers["ratelimit"]) for one in found]
    assert [int(one[1]) for one in told if one] == [1, 0, 0]
    assert [0 < int(one[2]) <= 20 for one in told if one] == [True] * 3
    shown = found[2].headers["access-control-expose-headers"].split(", ")
    assert {"RateLimit", "RateLimit-Policy", "Retry-After", "Deprecation", "Sunset", "Link"} <= set(shown)


def test_a_refusal_of_a_page_tells_the_rate_too_and_nobody_else_is_told() -> None:
    refused = call("POST", "/v1/price-books", keyed_once(), headers=from_page(), json={})
    assert (refused.status_code, "ratelimit" in refused.headers) == (403, True)
    for headers in ({}, SECRET_HEADER, from_page("https://evil.example"), {"Origin": PAGE}):
        answer = call("GET", "/v1/rulebooks", keyed_once(), headers=headers)
        assert not [name for name in answer.headers if name.startswith("ratelimit")]


def test_who_is_asked_to_come_again_is_told_when_and_not_all_alike() -> None:
    sent = [f"{number:032x}" for number in range(24)]
    found = [
        call(
            "POST",
            "/v1/price-books",
            keyed_once(),
            headers={**SECRET_HEADER, "X-Request-Id": one},
            json={"id": "tollgate-a"},
        )
        for one in sent
    ]
    assert {one.status_code for one in found} == {503}
    assert {int(one.headers["retry-after"]) for one in found} == set(RETRY_AFTER_S)


# Request ids.

ASKED_BY_A_BROWSER = {"Origin": "https://x.example", "Access-Control-Request-Method": "GET"}


@pytest.mark.parametrize(
    ("method", "path", "sent", "status"),
    [
        ("GET", "/health/live", {}, 200), ("GET", "/v1/nothing", {}, 404), ("PUT", "/v1/designs", {}, 405),
        ("OPTIONS", "/v1/designs", {}, 204), ("POST", "/v1/designs", {"json": {}}, 422),
        ("GET", "/v1/options", {"headers": {"Authorization": "Bearer nonsense"}}, 401),
        ("GET", "/v1/options", {"headers": {"Accept-Encoding": "*;q=0"}}, 406),
        ("POST", "/v1/design-batches", {"content": b""}, 415),
        ("OPTIONS", "/v1/designs", {"headers": ASKED_BY_A_BROWSER}, 403),
    ],
)  # fmt: skip
def test_an_id_is_kept_or_made_anew(method: str, path: str, sent: dict[str, Any], status: int) -> None:
    good_id = "0123456789abcdef" * 2
    more = sent.get("headers", {})
    rest = {key: value for key, value in sent.items() if key != "headers"}
    kept = call(method, path, headers={**more, "X-Request-Id": good_id}, **rest)
    assert (kept.status_code, kept.headers.get_list("x-request-id")) == (status, [good_id])
    hostile = [
        b"0" * 31,
        b"0" * 33,
        b"0" * 5000,
        b"G" * 32,
        b"\xc3\xa9" * 16,
        b"0" * 31 + b"\n",
        b"a\r\nSet-Cookie: a=b",
        b"",
        b"0" * 16 + b"\x00" * 16,
    ]
    for one in hostile:
        lines = [*((k.encode(), v.encode()) for k, v in more.items()), (b"X-Request-Id", one)]
        answer = call(method, path, headers=lines, **rest)
        assert HEX.fullmatch(answer.headers["x-request-id"])
        assert answer.headers["x-request-id"].encode() != one
        assert "set-cookie" not in answer.headers
    twice = [*((k.encode(), v.encode()) for k, v in more.items()), *[(b"X-Request-Id", good_id.encode())] * 2]
    assert call(method, path, headers=twice, **rest).headers["x-request-id"] != good_id


# What will be withdrawn.

SINCE, SUNSET = datetime(2027, 1, 1, tzinfo=UTC), datetime(2028, 7, 1, 12, tzinfo=UTC)
LEAVING = Deprecation(("listRulebooks",), SINCE, SUNSET, "https://decks.example/leaving#lists")
FIELD = Deprecation(("createDesign", "createTakeoff"), SINCE, None, "/docs", field="DeckSpec.reference")


def test_nothing_is_deprecated_yet() -> None:
    assert deprecations.DEPRECATIONS == ()
    assert "deprecat" not in str([*DOCUMENT["paths"].values()])
    assert "deprecation" not in call("GET", "/v1/rulebooks").headers


def test_what_is_deprecated_is_told_in_answers_and_in_the_document(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(deprecations, "DEPRECATIONS", (LEAVING, FIELD))
    links = f'<{LEAVING.link}>; rel="deprecation"; type="text/html"'
    for path, headers in (
        ("/v1/rulebooks", {}),
        ("/v1/rulebooks?colour=red", {}),
        ("/v1/rulebooks", {"Accept": "a/b"}),
    ):
        answer = call("GET", path, headers=headers)
        assert answer.headers["deprecation"] == "@1798761600"
        assert answer.headers["sunset"] == "Sat, 01 Jul 2028 12:00:00 GMT"
        assert links in answer.headers.get_list("link")
    assert "deprecation" in call("HEAD", "/v1/rulebooks").headers
    taken = call("POST", "/v1/designs", json={})
    assert (taken.headers["deprecation"], "sunset" in taken.headers) == ("@1798761600", False)
    for path in ("/v1/jurisdictions", "/v1/rulebooks/irc-2021/versions/1", "/"):
        assert "deprecation" not in call("GET", path).headers
    found = document()
    operation = found["paths"]["/v1/rulebooks"]["get"]
    assert operation["deprecated"] is True
    assert {"Deprecation", "Sunset"} <= set(operation["responses"]["200"]["headers"])
    of_a_field = found["paths"]["/v1/designs"]["post"]
    assert "deprecated" not in of_a_field
    assert "Deprecation" in of_a_field["responses"]["200"]["headers"]
    assert found["components"]["schemas"]["DeckSpec"]["properties"]["reference"]["deprecated"] is True


def test_a_field_that_is_not_there_cannot_be_deprecated(monkeypatch: pytest.MonkeyPatch) -> None:
    wrong = Deprecation(("createDesign",), SINCE, None, "/docs", field="DeckSpec.colour")
    monkeypatch.setattr(deprecations, "DEPRECATIONS", (wrong,))
    with pytest.raises(KeyError):
        document()


@pytest.mark.parametrize("number", ["+1", " 1", "%201", "0_1", "٢", "-1"])
@pytest.mark.parametrize("method", ["DELETE", "PATCH", "GET", "OPTIONS"])
def test_a_number_in_another_spelling_names_nothing(method: str, number: str) -> None:
    """The router would read it; a method it does not know there is not to become another."""
    answer = ask_as_admin(method, f"/v1/rulebooks/irc-2021/versions/{number}")
    assert (answer.status_code, answer.json()["code"]) == (404, "not_found")

"""Every refusal is application/problem+json with a code, an id and no inner workings."""

from __future__ import annotations

import datetime as dt
import json
import re
from dataclasses import replace
from typing import Any

import pytest

from service.app import make_app
from service.contract.vocabulary import known
from service.settings import Settings
from service.store.snapshot import Shelf
from service.web.envelope import Envelope
from service.web.gate import Gate
from service.web.resolve import context_of, read_spec
from tests.contract.api import SMALLEST, call, desk
from tests.layers import layer

JSON = {"Content-Type": "application/json"}
DESIGNS = "/v1/designs"


def problem(answer: Any, status: int, code: str) -> dict[str, Any]:
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    body = answer.json()
    assert list(body) == ["type", "code", "title", "status", "detail", "instance", "request_id", "errors"]
    assert (body["status"], body["code"], body["type"]) == (status, code, f"/problems/{code}")
    assert body["request_id"] == answer.headers["x-request-id"]
    assert re.fullmatch("[0-9a-f]{32}", body["request_id"])
    return body


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        (b"{", 400, "not_json"),
        (b"", 400, "not_json"),
        (b'{"reference": "a\\u0000b"}', 400, "not_json"),
        (b'{"a": NaN}', 400, "not_json"),
        (b'{"a": 1e999}', 400, "not_json"),
        (b"\xff", 400, "not_json"),
        (b'{"a": 1, "a": 2}', 400, "duplicate_key"),
        (b"[" * 100_000, 400, "too_deep"),
        (b"[]", 422, "invalid_spec"),
        (b"null", 422, "invalid_spec"),
        (b" " * 262_145, 413, "too_large"),
    ],
)
def test_api_body_refused(body: bytes, status: int, code: str) -> None:
    problem(call("POST", DESIGNS, content=body, headers=JSON), status, code)


@pytest.mark.parametrize(
    "headers",
    [
        {"Content-Type": "text/plain"},
        {"Content-Type": "application/json; charset=utf-16"},
        {},
        {**JSON, "Content-Encoding": "gzip"},
        {**JSON, "Content-Encoding": "identity"},
    ],
)
def test_api_media_type_refused(headers: dict[str, str]) -> None:
    answer = call("POST", DESIGNS, content=json.dumps(SMALLEST).encode(), headers=headers)
    problem(answer, 415, "unsupported_media_type")


@pytest.mark.parametrize("path", [DESIGNS, "/v1/takeoffs", "/v1/footing-comparisons"])
def test_api_answer_type_refused(path: str) -> None:
    problem(call("POST", path, json=SMALLEST, headers={"Accept": "image/png"}), 406, "not_acceptable")


@pytest.mark.parametrize(
    ("path", "code"),
    [
        ("/nothing", "not_found"),
        ("/v1/rulebooks/irc-1900/versions/1", "not_found"),
        ("/v1/rulebooks/irc-2021/versions/99", "unknown_version"),
        ("/v1/rulebooks/irc-2021/versions/one", "not_found"),
        ("/v1/rulebooks/irc-2021/versions/0", "not_found"),
        ("/v1/rulebooks/irc-2021/versions/1/tables/no_such", "not_found"),
        ("/v1/jurisdictions/nowhere", "not_found"),
        ("/v1/jurisdictions/Alder", "not_found"),
        ("/problems/no_such_problem", "not_found"),
        ("/v1/%ff", "not_found"),
    ],
)
def test_api_path_names_nothing(path: str, code: str) -> None:
    problem(call("GET", path), 404, code)


@pytest.mark.parametrize(
    ("method", "path", "allow"),
    [
        ("GET", DESIGNS, {"POST", "OPTIONS"}),
        ("DELETE", "/v1/rulebooks", {"GET", "HEAD", "OPTIONS"}),
        ("DELETE", "/v1/price-books", {"GET", "HEAD", "OPTIONS", "POST"}),
        ("TRACE", "/health/live", {"GET", "HEAD", "OPTIONS"}),
        ("QUERY", "/", {"GET", "HEAD", "OPTIONS"}),
    ],
)
def test_api_method_refused(method: str, path: str, allow: set[str]) -> None:
    answer = call(method, path)
    problem(answer, 405, "method_not_allowed")
    assert set(answer.headers["allow"].split(", ")) == allow


@pytest.mark.parametrize(
    ("path", "pointer", "code"),
    [
        ("/v1/jurisdictions?name=x", "/name", "unknown_field"),
        ("/v1/designs?debug=1", "/debug", "unknown_field"),
        ("/v1/jurisdictions?q=a&q=b", "/q", "too_many"),
        ("/v1/jurisdictions?q=%00", "/q", "bad_pattern"),
        ("/v1/options?jurisdiction=nowhere", "/jurisdiction", "unknown_jurisdiction"),
        ("/v1/options?price_book=nobody", "/price_book", "unknown_price_book"),
    ],
)
def test_api_query_refused(path: str, pointer: str, code: str) -> None:
    method = "POST" if "designs" in path else "GET"
    found = problem(
        call(method, path, **({"json": SMALLEST} if method == "POST" else {})), 422, "invalid_query"
    )
    assert [(fault["pointer"], fault["code"]) for fault in found["errors"]] == [(pointer, code)]


@pytest.mark.parametrize(
    ("query", "code", "detail", "allowed"),
    [
        (
            "options?jurisdiction=A!c",
            "bad_pattern",
            "the form needed here; for example alder-county",
            (3, None),
        ),
        ("options?price_book=ab", "bad_pattern", "2 characters given, at least 3 needed", (3, None)),
        (f"jurisdictions?q={'x' * 81}", "too_long", "81 characters given, at most 80 taken", (None, 80)),
    ],
)
def test_api_query_is_refused_in_plain_words(
    query: str, code: str, detail: str, allowed: tuple[int | None, int | None]
) -> None:
    (fault,) = problem(call("GET", f"/v1/{query}"), 422, "invalid_query")["errors"]
    assert fault["code"] == code
    assert detail in fault["detail"]
    assert "Expected" not in fault["detail"]
    assert (fault["allowed"]["min"], fault["allowed"]["max"]) == allowed
    assert fault["allowed"]["pattern"].startswith("^")


@pytest.mark.parametrize("name", ["jurisdiction", "price_book"])
def test_api_names_in_a_query_are_answered_with_those_known(name: str) -> None:
    (fault,) = problem(call("GET", f"/v1/options?{name}=nowhere"), 422, "invalid_query")["errors"]
    (same,) = problem(call("POST", DESIGNS, json={**SMALLEST, name: "nowhere"}), 422, "invalid_spec")[
        "errors"
    ]
    assert fault["allowed"]["one_of"] == same["allowed"]["one_of"]
    assert fault["allowed"]["one_of"]


BOOK = {**SMALLEST, "price_book": "brindlemoor-yard", "as_of": "2026-11-25"}
CREW, CEILING = "/crew/currency", "/framing/cost_ceiling/currency"


@pytest.mark.parametrize(
    ("crew", "ceiling", "more", "pointers"),
    [
        ("EUR", None, {}, {CREW}),
        (None, "EUR", {}, {CEILING}),
        ("EUR", "EUR", {}, {CREW, CEILING}),
        ("USD", "EUR", {}, {CEILING}),
        ("EUR", "USD", {}, {CREW}),
        ("EUR", "USD", {"colour": "red"}, {CREW}),
        ("EUR", "EUR", {"rulebook": "irc-1900"}, {CREW, CEILING}),
        ("EUR", "USD", {"price_book": None}, {CEILING}),
    ],
)
def test_api_currency_of_the_price_book_decides(
    crew: str | None, ceiling: str | None, more: dict[str, Any], pointers: set[str]
) -> None:
    spec = {
        **BOOK,
        "crew": crew and {"currency": crew},
        "framing": ceiling and {"cost_ceiling": {"currency": ceiling, "amount": "9500.00"}},
        **more,
    }
    faults = problem(call("POST", DESIGNS, json=spec), 422, "invalid_spec")["errors"]
    mixed = [fault for fault in faults if fault["code"] == "currency_mixed"]
    assert {fault["pointer"] for fault in mixed} == pointers
    assert len(mixed) == len(pointers)
    assert len(faults) == len(mixed) + len([key for key in more if key != "price_book"])
    if "price_book" not in more:
        assert all(fault["allowed"]["one_of"] == ["USD"] for fault in mixed)


def test_api_day_is_settled_once() -> None:
    """The clock passes midnight in New York between reading and designing."""
    moments = iter(
        [dt.datetime(2026, 11, 25, 4, 59, tzinfo=dt.UTC), dt.datetime(2026, 11, 25, 5, 1, tzinfo=dt.UTC)]
    )
    late = replace(desk(), clock=lambda: next(moments))
    spec = read_spec(json.dumps(SMALLEST).encode(), late)
    assert spec.as_of == dt.date(2026, 11, 24)
    assert context_of(spec, late).as_of == spec.as_of


def test_api_area_is_a_fault_of_the_level() -> None:
    spec = {**SMALLEST, "levels": [{"width_ft": 100, "projection_ft": 100, "surface_height_in": 34}]}
    (fault,) = problem(call("POST", DESIGNS, json=spec), 422, "invalid_spec")["errors"]
    assert (fault["pointer"], fault["allowed"]["max"]) == ("/levels/0", 5000)
    assert "10000 sq ft" in fault["detail"]


def test_api_all_faults_at_once() -> None:
    """Faults of form, between fields and of names stand in one answer."""
    spec = {
        "jurisdiction": "nowhere",
        "rulebook": "irc-1900",
        "price_book": "nobody@3",
        "levels": [{"width_ft": 101, "projection_ft": 12, "surface_height_in": 34, "colour": "red"}],
        "stairs": [{"edge": 9}],
    }
    found = problem(call("POST", DESIGNS, json=spec), 422, "invalid_spec")["errors"]
    assert {(fault["pointer"], fault["code"]) for fault in found} == {
        ("/levels/0/width_ft", "out_of_range"),
        ("/levels/0/colour", "unknown_field"),
        ("/stairs/0/edge", "edge_out_of_range"),
        ("/jurisdiction", "unknown_jurisdiction"),
        ("/rulebook", "unknown_rulebook"),
        ("/price_book", "unknown_price_book"),
    }
    assert all(fault["code"] in known("error") for fault in found)


def test_api_names_are_looked_up_beside_a_missing_field() -> None:
    found = problem(call("POST", DESIGNS, json={"jurisdiction": "nowhere"}), 422, "invalid_spec")["errors"]
    assert {fault["code"] for fault in found} == {"missing", "unknown_jurisdiction"}


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"rulebook": "dca-6"}, "/rulebook"),
        ({"rulebook": "irc-2021@7"}, "/rulebook"),
        ({"as_of": "2015-02-01"}, "/rulebook"),
        ({"price_book": "brindlemoor-yard", "as_of": "2016-08-01"}, "/price_book"),
    ],
)
def test_api_name_stands_for_nothing(changes: dict[str, str], pointer: str) -> None:
    found = problem(call("POST", DESIGNS, json={**SMALLEST, **changes}), 422, "invalid_spec")["errors"]
    assert [fault["pointer"] for fault in found] == [pointer]


def test_api_failure_tells_nothing_of_the_inside(monkeypatch: pytest.MonkeyPatch, caplog: Any) -> None:
    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("secret deck of 1234 Example Street")

    monkeypatch.setattr("service.web.provenance.design", fail)
    answer = call("POST", DESIGNS, json=SMALLEST)
    problem(answer, 500, "internal")
    for word in ("secret", "RuntimeError", "Traceback", ".py"):
        assert word not in answer.text
    assert "secret" not in caplog.text
    assert "RuntimeError" in caplog.text
    assert answer.headers["x-request-id"] in caplog.text


def test_api_too_much_work_is_refused() -> None:
    full = replace(desk(), gate=Gate(threads=1, waiting=0))
    full.gate.inside = 1
    answer = call("POST", DESIGNS, make_app(full), json=SMALLEST)
    problem(answer, 503, "overloaded")
    assert int(answer.headers["retry-after"]) > 0


COMPARE = "/v1/rulebooks/irc-2021/versions/1/compare?with=irc-2024@1"
COMPARE_PLACES = "/v1/jurisdictions/alder-county/versions/1/compare?with=sallowmere-bay@1"


@pytest.mark.parametrize("path", [COMPARE, COMPARE_PLACES])
def test_api_comparisons_keep_nobody_else_out(path: str) -> None:
    app = make_app(desk())
    current = layer(app, Envelope).current
    current.uploads.inside = current.uploads.most
    assert call("GET", path, app).status_code == 200
    current.uploads.inside, current.comparisons.inside = 0, current.comparisons.most
    problem(call("GET", path, app), 503, "overloaded")
    assert current.uploads.inside == 0


@pytest.mark.parametrize(
    ("path", "name"),
    [(f"{COMPARE}%0a", "with"), (f"{COMPARE_PLACES}%0A", "with"), ("/v1/jurisdictions?q=alder%0a", "q"),
     ("/v1/jurisdictions?q=al%00der", "q"), ("/v1/jurisdictions?q=al%7fder", "q")],
)  # fmt: skip
def test_api_no_query_value_ends_in_a_line_feed(path: str, name: str) -> None:
    answer = call("GET", path)
    problem(answer, 422, "invalid_query")
    assert [(one["pointer"], one["code"]) for one in answer.json()["errors"]] == [(f"/{name}", "bad_pattern")]


def test_api_without_rulebooks_is_not_ready() -> None:
    snapshot = replace(desk().snapshot, rulebooks=Shelf("rulebook", {}, {}, {}))
    empty = make_app(replace(desk(), snapshot=snapshot))
    for answer in (call("GET", "/health/ready", empty), call("POST", DESIGNS, empty, json=SMALLEST)):
        problem(answer, 503, "no_rulebook")
        assert "retry-after" in answer.headers
    assert call("GET", "/health/live", empty).status_code == 200


def test_api_damaged_version_is_not_served() -> None:
    shelf = desk().snapshot.rulebooks
    key = ("irc-2021", 1)
    rest = {name: book for name, book in shelf.versions.items() if name != key}
    damaged = Shelf("rulebook", rest, shelf.states, {key: "rulebook irc-2021@1 is damaged: table text"})
    app = make_app(replace(desk(), snapshot=replace(desk().snapshot, rulebooks=damaged)))
    answer = call("POST", DESIGNS, app, json=SMALLEST)
    assert "table text" not in problem(answer, 503, "no_rulebook")["detail"]


def test_api_body_limit_is_a_setting() -> None:
    app = make_app(desk(), Settings(max_body_bytes=1024))
    found = problem(call("POST", DESIGNS, app, content=b" " * 1025, headers=JSON), 413, "too_large")
    assert "1024 bytes" in found["detail"]


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("0123456789abcdef" * 2, True),
        ("0123456789ABCDEF" * 2, False),
        ("abc", False),
        ("a" * 31 + "\t", False),
    ],
)
def test_api_request_id(sent: str, kept: bool) -> None:
    answer = call("GET", "/nothing", headers={"X-Request-Id": sent})
    assert (problem(answer, 404, "not_found")["request_id"] == sent) is kept


def test_api_every_problem_has_a_page() -> None:
    for code in known("problem"):
        page = call("GET", f"/problems/{code}")
        assert page.status_code == 200
        assert code in page.text

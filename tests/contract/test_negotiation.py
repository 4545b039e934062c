"""What may be asked for and sent, over every operation of the document: 406, 415, and problems in their own form."""

from __future__ import annotations

from functools import cache
from typing import Any

import httpx
import pytest

from service.web.envelope import Application
from service.web.openapi.build import document
from service.web.openapi.examples import REQUEST_EXAMPLES
from tests.contract.api import call
from tests.contract.keyed import api_key, bearer, keyed

ID = "7" * 16
SCOPES = {"designs", "prices:read", "prices:write", "rules:write", "rules:publish", "admin"}
PARTS = {
    "price_book_id": "tollgate-yard", "rulebook_id": "irc-2021", "jurisdiction_id": "alder-county", "version": "1",
    "table": "joist_spans", "code": "not_found", "folder": "try", "file": "index.html",
}  # fmt: skip
QUERIES = {
    "compareVersions": "?with=irc-2024@1",
    "compareJurisdictionVersions": "?with=sallowmere-bay@1",
    "reprice": "?price_book=brindlemoor-yard",
    "assessRuleImpacts": "?from=irc-2021@1&to=irc-2024@1",
}
DOCUMENT = document()
OPERATIONS = {
    operation["operationId"]: (method.upper(), path.format(**PARTS), operation)
    for path, item in DOCUMENT["paths"].items()
    for method, operation in item.items()
}
# They say nothing when they are done.
SILENT = {"discardRulebookDraft", "discardJurisdictionDraft"}
ANSWERING = sorted(set(OPERATIONS) - SILENT)
GETS = [name for name in ANSWERING if OPERATIONS[name][0] == "GET"]
# What is asked of the database, which is not there.
READ = {"listAuditEntries": 503}
TAKING = [name for name in OPERATIONS if "requestBody" in OPERATIONS[name][2]]


@cache
def app() -> Application:
    return keyed(keys=(api_key(ID, scopes=SCOPES, rules_bound=frozenset({"irc-2021", "alder-county"})),))


def ask(name: str, headers: Any, **sent: Any) -> httpx.Response:
    method, path, _ = OPERATIONS[name]
    keyless = OPERATIONS[name][2]["security"] == [] or {} in OPERATIONS[name][2]["security"]
    key = [] if keyless else [(b"authorization", bearer(ID, "secret").encode())]
    given = [*key, (b"if-match", b"*"), (b"accept-encoding", b"identity"), *headers]
    return call(method, path + QUERIES.get(name, ""), app(), headers=given, **sent)


def good(name: str) -> dict[str, Any]:
    """A body whose form and media type are those taken."""
    if name in REQUEST_EXAMPLES:
        return {"json": REQUEST_EXAMPLES[name][0][2]}
    taken = next(iter(OPERATIONS[name][2].get("requestBody", {}).get("content", {"": 0})))
    return {"content": b"{}"} if taken else {}


def media_type_of(name: str) -> list[tuple[bytes, bytes]]:
    taken = OPERATIONS[name][2].get("requestBody", {}).get("content", {})
    return [(b"content-type", next(iter(taken)).encode())] if taken and name not in REQUEST_EXAMPLES else []


def is_problem(answer: httpx.Response, status: int, code: str) -> None:
    assert (answer.status_code, answer.json().get("code")) == (status, code), answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.headers["deck-engine"]


@pytest.mark.parametrize("name", ANSWERING)
def test_a_form_that_is_not_offered_is_refused(name: str) -> None:
    offered = OPERATIONS[name][2]["responses"]["200" if "200" in OPERATIONS[name][2]["responses"] else "201"]
    none = ", ".join(f"{one};q=0" for one in offered["content"])
    for accept in ([b"image/png", b"audio/*;q=0.5"], [none.encode() + b", */*;q=0"]):
        lines = [(b"accept", one) for one in accept]
        answer = ask(name, [*lines, *media_type_of(name)], **good(name))
        is_problem(answer, 406, "not_acceptable")


WISHES = (
    b"*/*", b"*", b"", b",", b";q=1", b"not a type", b"image/png, */*;q=0.1", b"*/*;q=.2", b"*/*;q=zero", b"\xff",
    b"/;;,===", b"image/png;q=0",
)  # fmt: skip


@pytest.mark.parametrize(
    ("name", "accept"),
    [*((name, b"image/png, */*;q=0.1") for name in GETS), *(("checkLive", one) for one in WISHES)],
)
def test_a_wish_that_leaves_something_or_cannot_be_read_is_no_refusal(name: str, accept: bytes) -> None:
    refused = name == "checkLive" and accept == b"image/png;q=0"
    answer = ask(name, [(b"accept", accept)])
    assert answer.status_code == (406 if refused else READ.get(name, 200)), answer.text


@pytest.mark.parametrize("name", sorted(set(GETS) - set(READ)))
def test_each_form_of_an_answer_can_be_had_by_its_name(name: str) -> None:
    for wanted in OPERATIONS[name][2]["responses"]["200"]["content"]:
        for accept in (wanted.upper(), f"{wanted};charset=utf-8;q=0.1, image/png"):
            answer = ask(name, [(b"accept", accept.encode())])
            assert answer.status_code == 200
            assert answer.headers["content-type"].partition(";")[0] == wanted


def test_the_form_of_the_greater_weight_is_taken_and_of_equals_the_first() -> None:
    name = "getTable"
    for accept, told in (
        ("text/csv", "text/csv"), ("text/csv;q=0.5, application/json;q=0.6", "application/json"),
        ("application/json;q=0.5, text/csv;q=0.6", "text/csv"), ("*/*", "application/json"),
        ("text/*, application/json;q=0.9", "text/csv"), ("text/csv;q=0, */*", "application/json"),
        ("text/csv, application/json", "application/json"), ("application/*;q=0.2, text/csv;q=0.1", "application/json"),
    ):  # fmt: skip
        answer = ask(name, [(b"accept", accept.encode())])
        assert answer.headers["content-type"].partition(";")[0] == told, accept
        assert "Accept" in answer.headers["vary"].split(", ")


@pytest.mark.parametrize("name", TAKING)
def test_a_body_of_another_media_type_is_refused(name: str) -> None:
    taken = list(OPERATIONS[name][2]["requestBody"]["content"])
    wrong = ["", "text/plain", "multipart/form-data; boundary=x"]
    for content_type in [*wrong, *(f"{one}; charset=latin-1" for one in taken), f"{taken[0]}x"]:
        answer = ask(name, [(b"content-type", content_type.encode())], content=b"{}")
        is_problem(answer, 415, "unsupported_media_type")
    # an answer in any form is wanted less than to be told why there is none
    is_problem(ask(name, [(b"accept", b"*/*")], content=b"{}"), 415, "unsupported_media_type")
    is_problem(
        ask(name, [(b"content-type", taken[0].encode()), (b"content-encoding", b"gzip")], content=b"{}"),
        415,
        "unsupported_media_type",
    )


@pytest.mark.parametrize("name", TAKING)
def test_parameters_of_the_media_type_are_read(name: str) -> None:
    for one in OPERATIONS[name][2]["requestBody"]["content"]:
        for content_type in (one.upper(), f'{one}; charset="UTF-8"', f"{one};charset=utf8;version=1"):
            # no call in lines is begun: its query is refused after its media type
            lines = {"params": {"colour": "red"}} if "ndjson" in one else {}
            answer = ask(name, [(b"content-type", content_type.encode())], content=b"\x00", **lines)
            assert answer.status_code not in (406, 415), answer.text


def test_a_problem_comes_in_its_own_form_whatever_is_wanted() -> None:
    for accept in ("text/html", "application/json", "application/problem+json;q=0", "image/png"):
        for path in ("/v1/nothing", "/v1/rulebooks/nothing/versions/1", "/v1/rulebooks?colour=red"):
            answer = call("GET", path, headers={"Accept": accept})
            assert answer.status_code in (404, 406, 422)
            assert answer.headers["content-type"] == "application/problem+json"

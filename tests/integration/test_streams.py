"""NDJSON calls over real HTTP: what each line is answered, and in which order."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import httpx
import msgspec
import pytest
from hypothesis import given, settings

from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.settings import Settings
from service.store.reader import load_snapshot
from service.store.snapshot import NOTHING
from service.web.open_quotes import reprice_quote
from tests.contract.deck_specs import deck_specs
from tests.ndjson import DESIGNS, NDJSON, REPRICINGS, REQUEST_ID, answered, body, post, quote, spec


@pytest.fixture(scope="module")
def address(service_url: str) -> Iterator[str]:
    limits = Settings(batch_workers=1, max_batch_bytes=2_000_000)
    with served(make_app(make_desk(load_snapshot(service_url)), limits)) as found:
        yield found


def alone(address: str, value: Any) -> httpx.Response:
    return httpx.post(
        f"{address}/v1/designs",
        content=value if isinstance(value, bytes) else json.dumps(value).encode(),
        headers={"Content-Type": "application/json", "X-Request-Id": REQUEST_ID},
        trust_env=False,
        timeout=60,
    )


def test_stream_full_design_is_what_the_spec_alone_is_answered(address: str) -> None:
    one = spec(1, price_book="brindlemoor-yard")
    result, end = answered(post(address, f"{DESIGNS}?view=full", body(one)))
    assert (result["kind"], result["line"], result["reference"]) == ("result", 1, "LEAD-1")
    assert result["design"] == alone(address, one).json()
    assert result["summary"] is None
    assert end == {"kind": "end", "lines": 1, "results": 1, "problems": 0}


def test_stream_summary_is_of_the_same_design(address: str) -> None:
    one = spec(2, price_book="brindlemoor-yard")
    result = answered(post(address, DESIGNS, body(one)))[0]
    report, found = alone(address, one).json(), result["summary"]
    shared = (
        "design_id",
        "reference",
        "as_of",
        "engine_version",
        "verdict",
        "cautions",
        "rulebook",
        "price_book",
    )
    assert {name: found[name] for name in shared} == {name: report[name] for name in shared}
    assert found["total"] == report["takeoff"]["total"]
    assert found["footing_count"] == len(report["footings"]) > 0
    assert found["attachment"] == report["attachment"]["kind"]
    assert found["recommended"] == report["footing_comparison"]["recommended"]
    assert found["area_sqft"] == pytest.approx(10 * 6)
    assert found["days"] in [option["days"] for option in report["attachment"]["options"]]
    assert result["design"] is None


def test_stream_answers_every_line_in_order(address: str) -> None:
    long = b'{"reference": "' + b"x" * 262_144 + b'"}'
    wrong = spec(5, price_book="nowhere")
    found = answered(
        post(
            address,
            DESIGNS,
            body(spec(1), "", "not JSON", long, wrong, "   ", spec(7), b"\xff", '{"a": 1, "a": 2}'),
        )
    )
    told = [(line["kind"], line.get("line"), line.get("problem", {}).get("code")) for line in found]
    assert told == [
        ("result", 1, None),
        ("problem", 3, "not_json"),
        ("problem", 4, "too_large"),
        ("problem", 5, "invalid_spec"),
        ("result", 7, None),
        ("problem", 8, "not_json"),
        ("problem", 9, "duplicate_key"),
        ("end", None, None),
    ]
    assert found[-1] == {"kind": "end", "lines": 9, "results": 2, "problems": 5}
    assert [line["reference"] for line in found[:4]] == ["LEAD-1", None, None, "LEAD-5"]


def test_stream_problem_is_what_the_line_alone_is_answered(address: str) -> None:
    for wrong in (spec(1, levels=[]), spec(2, jurisdiction="nowhere", reference="bad\n"), ["no object"]):
        (problem, _) = answered(post(address, DESIGNS, body(wrong)))
        wanted = {**alone(address, wrong).json(), "instance": "/v1/design-batches"}
        assert problem["problem"] == wanted
        assert problem["problem"]["request_id"] == REQUEST_ID


def test_stream_repricing_is_what_the_quote_alone_comes_to(address: str) -> None:
    quotes = [
        quote(1),
        {"reference": "LEAD-2", "previous_total": quote(1)["previous_total"], "spec": spec(3)},
    ]
    answer = post(address, REPRICINGS, body(*quotes))
    assert answer.headers["deck-price-book"] == "brindlemoor-yard@2"
    found = answered(answer)
    desk = make_desk(bundled_snapshot())
    prices = desk.snapshot.price_books.pinned("brindlemoor-yard", 2)
    for number, one in enumerate(quotes):
        repricing = json.loads(_encoded(reprice_quote(json.dumps(one).encode(), desk, prices)))
        wanted = {"kind": "result", "line": number + 1, "reference": one["reference"], "repricing": repricing}
        assert found[number] == wanted
    assert found[0]["repricing"]["total"]["amount"] != found[1]["repricing"]["total"]["amount"]


def _encoded(value: Any) -> bytes:
    return msgspec.json.encode(value)


def test_stream_first_line_resumes(address: str) -> None:
    content = body(quote(1), "", "nope", quote(4), quote(5))
    whole = answered(post(address, REPRICINGS, content))
    for first in range(1, 8):
        found = answered(post(address, f"{REPRICINGS}&first_line={first}", content))
        assert found[:-1] == [line for line in whole[:-1] if line["line"] >= first]
        assert found[-1]["lines"] == 5
        assert found[-1]["results"] + found[-1]["problems"] == len(found) - 1


def test_stream_empty_body_has_an_end(address: str) -> None:
    for content in (b"", b"\n\n"):
        assert answered(post(address, DESIGNS, content)) == [
            {"kind": "end", "lines": len(content), "results": 0, "problems": 0}
        ]


def test_stream_headers(address: str) -> None:
    answer = post(address, DESIGNS, b"", Accept="application/ndjson, text/html;q=0.5")
    assert answer.headers["content-type"] == "application/ndjson"
    assert answer.headers["vary"] == "Accept, Accept-Encoding, Authorization, Origin"
    assert answer.headers["x-request-id"] == REQUEST_ID
    assert answer.headers["deck-engine"] == make_desk(bundled_snapshot()).engine_version


def refused(answer: httpx.Response, status: int, code: str) -> dict[str, Any]:
    assert answer.headers["content-type"] == "application/problem+json"
    problem: dict[str, Any] = answer.json()
    assert (answer.status_code, problem["status"], problem["code"]) == (status, status, code), problem
    return problem


@pytest.mark.parametrize(
    ("path", "at", "code"),
    [
        ("/v1/design-batches?first_line=0", "/first_line", "bad_pattern"),
        ("/v1/design-batches?first_line=1&first_line=2", "/first_line", "too_many"),
        ("/v1/design-batches?view=all", "/view", "not_in_list"),
        ("/v1/design-batches?price_book=brindlemoor-yard", "/price_book", "unknown_field"),
        ("/v1/repricings", "/price_book", "missing"),
        ("/v1/repricings?price_book=", "/price_book", "bad_pattern"),
        (f"/v1/repricings?price_book={'a' * 48}", "/price_book", "too_long"),
        ("/v1/repricings?price_book=nowhere", "/price_book", "unknown_price_book"),
        ("/v1/repricings?price_book=brindlemoor-yard@9", "/price_book", "unknown_price_book"),
        ("/v1/repricings?price_book=brindlemoor-yard&view=full", "/view", "unknown_field"),
    ],
)
def test_stream_query_refused(address: str, path: str, at: str, code: str) -> None:
    problem = refused(post(address, path, b""), 422, "invalid_query")
    assert [(fault["pointer"], fault["code"]) for fault in problem["errors"]] == [(at, code)]


@pytest.mark.parametrize("path", [DESIGNS, REPRICINGS])
def test_stream_media_types_refused(address: str, path: str) -> None:
    for content_type in ("application/json", "text/plain", "application/x-ndjson; charset=latin-1"):
        refused(post(address, path, b"", **{"Content-Type": content_type}), 415, "unsupported_media_type")
    refused(post(address, path, b"", **{"Content-Encoding": "gzip"}), 415, "unsupported_media_type")
    refused(post(address, path, b"", Accept="application/json"), 406, "not_acceptable")


@pytest.mark.parametrize("method", ["GET", "HEAD", "PUT", "DELETE", "PATCH"])
def test_stream_methods_refused(address: str, method: str) -> None:
    answer = httpx.request(method, address + DESIGNS, trust_env=False)
    assert answer.status_code == 405
    assert answer.headers["allow"] == "OPTIONS, POST"
    assert (answer.content == b"") is (method == "HEAD")


def test_stream_options(address: str) -> None:
    answer = httpx.options(address + REPRICINGS, trust_env=False)
    assert (answer.status_code, answer.headers["allow"], answer.content) == (204, "OPTIONS, POST", b"")


def test_stream_over_the_limit_is_refused(address: str) -> None:
    refused(post(address, DESIGNS, b"\n" * 2_000_001), 413, "too_large")
    refused(post(address, DESIGNS, iter([b"\n" * 1_000_000] * 3)), 413, "too_large")
    assert answered(post(address, DESIGNS, b"\n" * 2_000_000))[0]["lines"] == 2_000_000


def test_stream_without_rulebooks_is_not_answered() -> None:
    with served(make_app(make_desk(NOTHING))) as empty:
        answer = post(empty, DESIGNS, body(spec(1)))
    refused(answer, 503, "no_rulebook")
    assert int(answer.headers["retry-after"]) > 0


def test_stream_of_any_decks_people_build(address: str) -> None:
    """Each line is answered as it is alone: a result with 200, else its problem."""
    specs: list[Any] = []

    @given(deck_specs())
    @settings(max_examples=4, deadline=None, derandomize=True)
    def collect(one: dict[str, Any]) -> None:
        specs.append(one)

    collect()
    found = answered(post(address, DESIGNS, body(*specs)))
    assert len(found) == len(specs) + 1
    for one, line in zip(specs, found, strict=False):
        answer = alone(address, one)
        if answer.status_code == 200:
            assert line["summary"]["design_id"] == answer.json()["design_id"]
        else:
            assert line["problem"]["errors"] == answer.json()["errors"]


def test_stream_takes_both_names_of_the_media_type(address: str) -> None:
    assert NDJSON["Content-Type"] == "application/x-ndjson"
    answer = post(address, DESIGNS, body("1"), **{"Content-Type": "application/ndjson; charset=UTF-8"})
    assert answered(answer)[0]["problem"]["code"] == "invalid_spec"

"""POST /v1/permit-packages: what is answered, what is refused and where, and that a job leaves no trace."""

from __future__ import annotations

import logging
from dataclasses import replace
from decimal import Decimal
from io import BytesIO
from typing import Any

import httpx
import pytest
from pypdf import PdfReader

from service.app import make_app
from tests.contract.api import SMALLEST, call, desk, example

PATH = "/v1/permit-packages"
JOB = {"owner": "Zyxwv Example", "site_address": "98 Nowhere Reach", "note": "Qwertz"}


def asked(**given: Any) -> httpx.Response:
    headers = given.pop("headers", {})
    return call("POST", PATH, json={"spec": SMALLEST, "paper": "letter", **given}, headers=headers)


def faults(answer: httpx.Response) -> set[tuple[str, str]]:
    assert answer.status_code == 422, answer.text
    return {(one["pointer"], one["code"]) for one in answer.json()["errors"]}


@pytest.mark.parametrize(
    "accept", ["application/pdf", "*/*", "application/*", "text/html, application/pdf;q=0.5", ""]
)
def test_api_permit_package_is_a_pdf_with_the_headers_of_its_design(accept: str) -> None:
    answer = asked(headers={"Accept": accept})
    design = call("POST", "/v1/designs", json=SMALLEST)
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
    assert answer.content.startswith(b"%PDF-")
    own, its = ({k: v for k, v in one.headers.items() if k.startswith("deck-")} for one in (answer, design))
    assert own == its
    name = f"permit-package-{own['deck-design-id'][:8]}.pdf"
    assert answer.headers["content-disposition"] == f'inline; filename="{name}"'
    assert answer.headers["content-security-policy"] == "default-src 'none'; sandbox"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "Accept" in answer.headers["vary"]


def test_api_permit_package_prints_the_members_of_its_design() -> None:
    spec = example("ledger-composite")
    text = "\n".join(one.extract_text() for one in PdfReader(BytesIO(asked(spec=spec).content)).pages)
    report = call("POST", "/v1/designs", json=spec).json()
    marks = [one["mark"] for one in (*report["posts"], *report["footings"])]
    assert marks
    assert [mark for mark in marks if mark not in text] == []
    assert report["design_id"] in text
    assert report["rulebook"]["digest"] in text


@pytest.mark.parametrize("accept", ["application/json", "image/svg+xml", "text/html"])
def test_api_permit_package_in_another_form_is_refused(accept: str) -> None:
    answer = asked(headers={"Accept": accept})
    assert (answer.status_code, answer.json()["code"]) == (406, "not_acceptable")


def test_api_permit_package_job_is_no_part_of_the_design() -> None:
    with_job, without = asked(job=JOB), asked()
    assert with_job.headers["deck-design-id"] == without.headers["deck-design-id"]
    assert with_job.content != without.content
    assert asked(job=None).content == without.content
    assert asked(job={"owner": None}).content == without.content


def test_api_permit_package_job_is_not_logged(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.DEBUG):
        assert asked(job=JOB).status_code == 200
        assert asked(job={**JOB, "parcel": "=1"}).status_code == 422
    assert not any(text in caplog.text for text in JOB.values())


@pytest.mark.parametrize(
    "field", ["owner", "site_address", "parcel", "builder", "builder_licence", "prepared_for", "note"]
)
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("=1+1", "bad_pattern"),
        ("", "bad_pattern"),
        (" a", "bad_pattern"),
        ("_a", "bad_pattern"),
        ("a\nb", "bad_pattern"),
        ("a\x85b", "bad_pattern"),
        ("a\u0301", "bad_pattern"),
        ("a" * 121, "too_long"),
        (7, "wrong_type"),
    ],
)
def test_api_permit_package_text_of_a_job_is_refused(field: str, text: object, code: str) -> None:
    assert faults(asked(job={field: text})) == {(f"/job/{field}", code)}


def test_api_permit_package_faults_of_all_parts_come_together() -> None:
    spec = {
        **SMALLEST,
        "jurisdiction": "nowhere-at-all",
        "levels": [{**SMALLEST["levels"][0], "width_ft": 1}],
    }
    answer = asked(spec=spec, paper="a4", job={"owner": "=", "shoe_size": 9}, more=1)
    assert faults(answer) == {
        ("/spec/levels/0/width_ft", "out_of_range"),
        ("/spec/jurisdiction", "unknown_jurisdiction"),
        ("/paper", "not_in_list"),
        ("/job/owner", "bad_pattern"),
        ("/job/shoe_size", "unknown_field"),
        ("/more", "unknown_field"),
    }


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"stairs": [{"level": "attic", "edge": 2}]}, ("/spec/stairs/0/level", "unknown_level")),
        ({"rulebook": "irc-1900"}, ("/spec/rulebook", "unknown_rulebook")),
        ({"price_book": "no-such-yard"}, ("/spec/price_book", "unknown_price_book")),
        ({"as_of": "1999-01-01"}, ("/spec/as_of", "date_out_of_range")),
    ],
)
def test_api_permit_package_faults_between_fields_are_under_the_spec(
    change: dict[str, Any], expected: tuple[str, str]
) -> None:
    assert expected in faults(asked(spec={**SMALLEST, **change}))


def test_api_permit_package_amount_too_large_is_told_under_the_spec() -> None:
    """A fault found only while the deck is worked out has its place in this body too."""
    shelf = desk().snapshot.price_books
    dear = {
        key: replace(book, lines=tuple(replace(line, unit_price=Decimal(999_999_999)) for line in book.lines))
        for key, book in shelf.versions.items()
    }
    snapshot = replace(desk().snapshot, price_books=replace(shelf, versions=dear))
    spec = {**SMALLEST, "price_book": "brindlemoor-yard"}
    body = {"spec": spec, "paper": "letter"}
    answer = call("POST", PATH, make_app(replace(desk(), snapshot=snapshot)), json=body)
    assert faults(answer) == {("/spec", "out_of_range")}


def test_api_permit_package_needs_spec_and_paper() -> None:
    answer = call("POST", PATH, json={})
    assert faults(answer) == {("/spec", "missing"), ("/paper", "missing")}

"""Texts that would be commands elsewhere are nothing but texts here: in every sheet, the package and the CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any, get_args
from xml.etree import ElementTree

import httpx
import pytest
from pypdf import PdfReader

from service.app import make_app
from service.contract.choices import Sheet
from tests.contract.api import call, desk, example

HOSTILE = {
    "markup": 'A</text><script>alert("1")</script>&#x3c;',
    "typesetter": 'A #import "x.typ" #panic() $x^2$ *b* _c_ \\u{41} @ref <label> ```raw``` // -',
    "formula": "A=1+1",
    "right-to-left": "A\u202eDEF\u202c \u200fG",
    "long": "W" * 120,
}
REFUSED = (
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "</text><script>",
    "#import",
    "\u202eabc",
    "a\x00b",
    "a\nb",
    "W" * 121,
)
SHEETS = [name for name in get_args(Sheet) if name != "all"]
JOB = ("owner", "site_address", "parcel", "builder", "builder_licence", "prepared_for", "note")
# every place of a spec where a caller writes a text, with one that is good there
TEXTS = {
    "/reference": "LEAD-1",
    "/jurisdiction": "alder-county",
    "/rulebook": "irc-2021",
    "/price_book": "brindlemoor-yard",
    "/levels/0/id": "main",
    "/stairs/0/level": "main",
    "/stairs/0/down_to": "grade",
    "/heavy_objects/0/level": "main",
    "/house/edge_walls/0/level": "main",
    "/crew/currency": "USD",
    "/framing/cost_ceiling/currency": "USD",
    "/framing/cost_ceiling/amount": "9000.00",
}
TAGS = {
    "svg",
    "title",
    "desc",
    "g",
    "text",
    "line",
    "rect",
    "circle",
    "polygon",
    "polyline",
    "path",
    "ellipse",
}


def spec_with(pointer: str, text: str) -> dict[str, Any]:
    spec = example("ledger-composite")
    spec["price_book"] = "brindlemoor-yard"
    spec["heavy_objects"] = [
        {
            "kind": "planter",
            "level": "main",
            "x_ft": 3,
            "y_ft": 3,
            "width_ft": 2,
            "length_ft": 2,
            "filled_weight_lb": 400,
        }
    ]
    spec["framing"] = {"cost_ceiling": {"currency": "USD", "amount": "9000.00"}}
    spec["crew"] = {"currency": "USD", "crew_day_value": "1450.00"}
    spec["house"] = {**spec["house"], "edge_walls": [{"level": "main", "edge": 1, "wall": "none"}]}
    *steps, last = pointer.removeprefix("/").split("/")
    at: Any = spec
    for step in steps:
        at = at[int(step)] if step.isdigit() else at[step]
    at[last] = text
    return spec


def drawn(sheet: str, spec: dict[str, Any], accept: str = "image/svg+xml") -> httpx.Response:
    body = {"spec": spec, "sheet": sheet, "paper": "letter"}
    return call("POST", "/v1/drawings", json=body, headers={"Accept": accept})


@pytest.mark.parametrize("pointer", TEXTS)
def test_the_texts_tried_stand_where_a_spec_has_them(pointer: str) -> None:
    """So that what is refused below is refused for its text."""
    answer = drawn("framing_plan", spec_with(pointer, TEXTS[pointer]))
    assert answer.status_code == 200, answer.text


@pytest.mark.parametrize("text", [*HOSTILE.values(), *REFUSED], ids=repr)
@pytest.mark.parametrize("pointer", TEXTS)
def test_a_hostile_text_in_a_spec_is_refused_at_its_place(pointer: str, text: str) -> None:
    """Every text of a spec is a name or a reference of few letters: none of these is one."""
    answer = drawn("framing_plan", spec_with(pointer, text))
    assert answer.status_code == (400 if "\x00" in text else 422)
    if answer.status_code == 422:
        assert f"/spec{pointer}" in {one["pointer"] for one in answer.json()["errors"]}
    assert "<script" not in answer.text or answer.headers["content-type"].startswith(
        "application/problem+json"
    )


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize(("pointer", "text"), [("/reference", "R" * 64), ("/reference", "A: #1 /b-c_d. 2")])
def test_the_widest_texts_that_are_taken_stay_texts_on_every_sheet(
    sheet: str, pointer: str, text: str
) -> None:
    root = ElementTree.fromstring(drawn(sheet, spec_with(pointer, text)).content)  # noqa: S314 our own
    assert {one.tag.removeprefix("{http://www.w3.org/2000/svg}") for one in root.iter()} <= TAGS
    assert not [
        name for one in root.iter() for name in one.attrib if name.startswith("on") or name == "style"
    ]
    said = [one.text or "" for one in root.iter() if one.tag.endswith("text")]
    (reference,) = (one for one in said if one.startswith("Reference:"))
    assert f"Reference: {text}".startswith(reference.removesuffix("..."))


@cache
def package(text: str) -> str:
    job = dict.fromkeys(JOB, text)
    body = {"spec": example("ledger-composite"), "paper": "letter", "job": job}
    answer = call("POST", "/v1/permit-packages", json=body)
    assert answer.status_code == 200, answer.text
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)


def plain(text: str) -> str:
    """What is left of a text when it is printed: marks that are not seen and breaks of lines aside."""
    unseen = {"\u200b", "\u202e", "\u202c", "\u200f"}
    return "".join(one for one in text if not one.isspace() and one not in unseen)


@pytest.mark.parametrize("name", [name for name in HOSTILE if name != "right-to-left"])
def test_a_hostile_text_of_a_job_is_printed_as_it_stands(name: str) -> None:
    printed = plain(package(HOSTILE[name]))
    assert printed.count(plain(HOSTILE[name])) >= len(JOB)


def test_right_to_left_marks_turn_nothing_but_their_own_text() -> None:
    """A reader may turn the letters between the marks; what follows stands as it does without them."""
    turned, straight = package(HOSTILE["right-to-left"]), package("ADEF G")
    after = "Prepared with the deck framing service"
    assert turned.count(after) == straight.count(after) > 0
    assert turned.count("Not an approval") == straight.count("Not an approval")


@pytest.mark.parametrize("text", REFUSED, ids=repr)
def test_a_text_of_a_job_that_begins_as_a_command_is_refused(text: str) -> None:
    body = {"spec": example("ledger-composite"), "paper": "letter", "job": {"owner": text}}
    answer = call("POST", "/v1/permit-packages", json=body)
    assert answer.status_code == (400 if "\x00" in text else 422)


def supplied(text: str) -> Any:
    """The service with a price book whose supplier wrote one text everywhere."""
    shelf = desk().snapshot.price_books
    versions = {
        key: replace(book, lines=tuple(replace(line, description=text, note=text) for line in book.lines))
        for key, book in shelf.versions.items()
    }
    return make_app(
        replace(desk(), snapshot=replace(desk().snapshot, price_books=replace(shelf, versions=versions)))
    )


def cells(answer: httpx.Response) -> Iterator[str]:
    for row in csv.reader(io.StringIO(answer.text)):
        yield from row


@pytest.mark.parametrize("name", HOSTILE)
def test_a_suppliers_hostile_text_is_no_formula_and_no_command(name: str) -> None:
    app, spec = supplied(HOSTILE[name]), example("ledger-composite")
    listed = call("POST", "/v1/takeoffs", app, json=spec, headers={"Accept": "text/csv"})
    assert listed.status_code == 200
    assert not [cell for cell in cells(listed) if cell[:1] in ("=", "+", "@", "\t", "\r")]
    assert not [cell for cell in cells(listed) if cell[:1] == "-" and not cell[1:].replace(".", "").isdigit()]
    answer = call("POST", "/v1/permit-packages", app, json={"spec": spec, "paper": "letter"})
    assert answer.status_code == 200
    bare = call("POST", "/v1/permit-packages", json={"spec": spec, "paper": "letter"})
    pages = [len(PdfReader(io.BytesIO(one.content)).pages) for one in (answer, bare)]
    assert abs(pages[0] - pages[1]) <= 3

"""POST /v1/drawings: what is answered, in which form, and what is refused and where."""

from __future__ import annotations

from io import BytesIO
from typing import Any, get_args
from xml.etree import ElementTree

import httpx
import pytest
from pypdf import PdfReader

from service.contract.choices import Sheet
from tests.contract.api import SMALLEST, call, example

PATH = "/v1/drawings"
SVG, PDF = "image/svg+xml", "application/pdf"
SHEETS = [name for name in get_args(Sheet) if name != "all"]


def asked(sheet: str = "framing_plan", accept: str = SVG, **given: Any) -> httpx.Response:
    body = {"spec": SMALLEST, "sheet": sheet, "paper": "letter", **given}
    return call("POST", PATH, json=body, headers={"Accept": accept})


def faults(answer: httpx.Response) -> set[tuple[str, str]]:
    assert answer.status_code == 422, answer.text
    return {(one["pointer"], one["code"]) for one in answer.json()["errors"]}


@pytest.mark.parametrize("sheet", SHEETS)
def test_api_drawing_is_svg_with_the_headers_of_its_design(sheet: str) -> None:
    answer = asked(sheet)
    design = call("POST", "/v1/designs", json=SMALLEST)
    assert (answer.status_code, answer.headers["content-type"].partition(";")[0]) == (200, SVG)
    assert ElementTree.fromstring(answer.content).tag == "{http://www.w3.org/2000/svg}svg"  # noqa: S314 our own
    own, its = ({k: v for k, v in one.headers.items() if k.startswith("deck-")} for one in (answer, design))
    assert own == its
    name = f"{sheet.replace('_', '-')}-{own['deck-design-id'][:8]}.svg"
    assert answer.headers["content-disposition"] == f'inline; filename="{name}"'
    assert answer.headers["content-security-policy"] == "default-src 'none'; sandbox"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "Accept" in answer.headers["vary"]


@pytest.mark.parametrize(
    ("accept", "kind"),
    [
        ("", SVG),
        (", ,", SVG),
        ("*/*", SVG),
        ("image/*", SVG),
        (PDF, PDF),
        (f"{SVG};q=0.2, {PDF}", PDF),
        # a weight of nought is a no: RFC 9110, 12.4.2
        (f"{SVG};q=0, */*", PDF),
        (f"*/*;q=0, {SVG}", SVG),
        (f"image/*; q=0.00, {PDF};q=0.1", PDF),
    ],
)
def test_api_drawing_comes_in_the_form_that_is_liked_best(accept: str, kind: str) -> None:
    answer = asked(accept=accept)
    assert (answer.status_code, answer.headers["content-type"].partition(";")[0]) == (200, kind)
    assert answer.content.startswith(b"%PDF-" if kind == PDF else b"<svg")


@pytest.mark.parametrize(
    ("sheet", "accept"),
    [
        ("section", "application/json"),
        ("section", "text/html"),
        ("all", SVG),
        ("section", f"{SVG};q=0"),
        ("section", "*/*;q=0"),
    ],
)
def test_api_drawing_in_another_form_is_refused(sheet: str, accept: str) -> None:
    answer = asked(sheet, accept)
    assert (answer.status_code, answer.json()["code"]) == (406, "not_acceptable")


def test_api_all_drawings_are_one_pdf_with_a_bookmark_each() -> None:
    spec = example("ledger-composite")
    found = PdfReader(BytesIO(asked("all", PDF, spec=spec, paper="tabloid").content))
    titles = [one.title for one in found.outline]
    assert len(found.pages) == len(titles) == len(SHEETS)
    assert {(float(one.mediabox.width), float(one.mediabox.height)) for one in found.pages} == {(1224, 792)}
    for page, title in zip(found.pages, titles, strict=True):
        text = page.extract_text()
        assert title in text
        assert "Not an approval" in text


def test_api_drawing_of_one_level_and_on_larger_paper() -> None:
    spec = example("two-levels")
    whole = asked(spec=spec).text
    one = asked(spec=spec, level=spec["levels"][1]["id"], paper="tabloid").text
    first = spec["levels"][0]["id"]
    assert f'id="{first}.beam-1"' in whole
    assert f'id="{first}.beam-1"' not in one
    assert 'viewBox="0 0 1224 792"' in one


def test_api_drawing_is_the_same_each_time() -> None:
    assert asked().content == asked().content
    assert asked("all", PDF).content == asked("all", PDF).content


def test_api_drawing_faults_of_all_parts_come_together() -> None:
    spec = {
        **SMALLEST,
        "jurisdiction": "nowhere-at-all",
        "levels": [{**SMALLEST["levels"][0], "width_ft": 1}],
    }
    answer = asked("roof_plan", spec=spec, paper="a4", level="Attic", more=1)
    assert faults(answer) == {
        ("/spec/levels/0/width_ft", "out_of_range"),
        ("/spec/jurisdiction", "unknown_jurisdiction"),
        ("/sheet", "not_in_list"),
        ("/paper", "not_in_list"),
        ("/level", "bad_pattern"),
        ("/level", "unknown_level"),
        ("/more", "unknown_field"),
    }


def test_api_drawing_of_a_level_that_is_not_there_is_refused() -> None:
    assert faults(asked(level="attic")) == {("/level", "unknown_level")}


def test_api_drawing_needs_spec_sheet_and_paper() -> None:
    answer = call("POST", PATH, json={})
    assert faults(answer) == {("/spec", "missing"), ("/sheet", "missing"), ("/paper", "missing")}

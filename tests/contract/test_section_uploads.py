"""Section tables in an uploaded price book: JSON and CSV are one content, and every fault has its place."""

from __future__ import annotations

import copy
import json
import re
from dataclasses import replace
from typing import Any

import msgspec
import pytest
from jsonschema import Draft202012Validator

from service.app import bundled_snapshot
from service.contract.problem import Fault, Rejected
from service.rules.price_book import canonical_text, parse_price_book
from service.rules.sections import SECTION_COLUMNS
from service.store.access import BookHead
from service.web.openapi.build import document
from service.web.openapi.upload_examples import NEW_PRICES
from service.web.price_answers import version_answer
from service.web.price_upload import Upload, read_json, read_text
from tests.contract.api import ROOT

ITEM = "laminated_veneer_lumber.1-3-4x9-1-4.1_7e.uc3b"
LINE = {
    "item": ITEM, "sku": "V-9", "description": "LVL, 24 ft", "unit": "piece", "length_ft": 24,
    "unit_price": "146.40", "availability": "in_stock",
}  # fmt: skip
SECTION = {
    "section": "lvl-9", "material": "laminated_veneer_lumber", "use": "both", "depth_in": 9.25, "width_in": 1.75,
    "weight_plf": 5.1, "service": "wet", "protection": "uc3b", "most_plies": 3, "fb_psi": 1950, "fv_psi": 205,
    "fc_perp_psi": 480, "e_psi": 1_700_000, "item": ITEM, "source": "Invented table",
}  # fmt: skip
BODY: dict[str, Any] = {**NEW_PRICES, "lines": [*NEW_PRICES["lines"], LINE], "sections": [SECTION]}
COLUMNS = (
    "section,item,source,material,use,depth_in,width_in,weight_plf,service,protection,most_plies,"
    "fb_psi,fv_psi,fc_perp_psi,e_psi"
)
VALUES = (
    f"lvl-9,{ITEM},Invented table,laminated_veneer_lumber,both,9.25,1.75,5.1,wet,uc3b,3,1950,205,480,1700000"
)
CSV = """\
#currency: USD{pad}
#effective_from: 2027-03-01{pad}
#tax_included: false{pad}
item,sku,description,unit,length_ft,unit_price,breaks,pack_quantity,availability{tail}
lumber.2x8.hem_fir.no_2.uc3b,L-28-12,2x8 12 ft,piece,12,14.20,10:13.90,,in_stock{tail}
concrete.bag.60lb,C-60,Concrete 60 lb,bag,,5.45,,56,in_stock{tail}
laminated_veneer_lumber.1-3-4x9-1-4.1_7e.uc3b,V-9,"LVL, 24 ft",piece,24,146.4,,,in_stock{tail}
"""
CSV += f"{COLUMNS}\n{VALUES}\n"


def published(upload: Upload) -> str:
    book = upload.of(BookHead("tollgate-yard", "tollgate", public=False))
    return canonical_text(replace(book, version=1))


def faults(body: dict[str, Any]) -> list[Fault]:
    with pytest.raises(Rejected) as refused:
        read_json(json.dumps(body).encode())
    assert refused.value.code == "invalid_upload"
    return list(refused.value.faults)


def section(**changes: Any) -> dict[str, Any]:
    return {**BODY, "sections": [{**SECTION, **changes}]}


@pytest.mark.parametrize("padded", [False, True])
def test_json_and_csv_are_one_content(padded: bool) -> None:
    """Saved by a spreadsheet, the rows of both tables are as wide as the wider one."""
    csv = CSV.format(pad="," * 14, tail="," * 6) if padded else CSV.format(pad="", tail="")
    from_json, from_csv = read_json(json.dumps(BODY).encode()), read_text(csv.encode())
    assert published(from_json) == published(from_csv)
    assert parse_price_book(published(from_json), "x").sections == from_json.book.sections
    (one,) = from_json.book.sections
    assert (one.e_psi, one.most_plies, one.inertia_in4) == (1_700_000.0, 3, None)


def test_what_is_told_of_a_version_may_be_sent_back() -> None:
    book = bundled_snapshot().price_books.pinned("brindlemoor-yard", 6)
    told = json.loads(msgspec.json.encode(version_answer(book)))
    assert len(told["sections"]) == len(book.sections) == 13
    assert set(told["sections"][0]) == set(SECTION_COLUMNS)
    assert read_json(json.dumps(told).encode()).book.sections == book.sections


@pytest.mark.parametrize(
    ("changes", "column", "code"),
    [
        ({"depth_in": 92.5}, "depth_in", "out_of_range"),
        ({"depth_in": "9.25"}, "depth_in", "wrong_type"),
        ({"depth_in": None}, "depth_in", "missing"),
        ({"most_plies": 4}, "most_plies", "out_of_range"),
        ({"fb_psi": None}, "fb_psi", "missing"),
        ({"fb_psi": True}, "fb_psi", "wrong_type"),
        ({"inertia_in4": 100}, "inertia_in4", "unit_not_for_item"),
        ({"e_psi": 29_500_000}, "e_psi", "out_of_range"),
        ({"protection": "g90"}, "protection", "not_in_list"),
        ({"material": "plywood"}, "material", "not_in_list"),
        ({"item": "concrete.bag.60lb"}, "item", "not_in_list"),
        ({"item": "laminated_veneer_lumber.1-3-4x9-1-4.2_0e.uc3b"}, "item", "not_in_list"),
        ({"section": "A"}, "section", "bad_pattern"),
        ({"source": "=1"}, "source", "bad_pattern"),
        ({"colour": "red"}, "colour", "unknown_field"),
    ],
)
def test_a_bad_value_is_named(changes: dict[str, Any], column: str, code: str) -> None:
    found = faults(section(**changes))
    assert [(one.pointer, one.code) for one in found] == [(f"/sections/0/{column}", code)], found


def test_a_section_twice_and_too_many_are_refused() -> None:
    twice = faults({**BODY, "sections": [SECTION, SECTION]})
    assert [(one.pointer, one.code) for one in twice] == [("/sections/1/section", "duplicate_line")]
    many = faults({**BODY, "sections": [SECTION] * 501})
    assert [(one.pointer, one.code) for one in many] == [("/sections", "too_many")]


def test_a_bad_row_of_the_second_table_is_named_by_its_row() -> None:
    plain = CSV.format(pad="", tail="")
    for old, new, at, says in (
        (",9.25,", ",925,", "/sections/0/depth_in", "row 9, column depth_in: "),
        ("section,item", "section,thing", "/sections", "row 8 must name the columns"),
        ("lvl-9,", "lvl-9,,", "/sections/0", "row 9: cannot be read as CSV"),
    ):
        assert plain.count(old) == 1
        with pytest.raises(Rejected) as refused:
            read_text(plain.replace(old, new).encode())
        (fault,) = refused.value.faults
        assert fault.pointer == at
        assert says in fault.detail


def test_what_the_schema_refuses_of_a_section_is_refused() -> None:
    schema = {"$ref": "#/components/schemas/PriceBookUpload", "components": document()["components"]}
    validator = Draft202012Validator(schema)
    assert validator.is_valid(BODY)
    junk = (None, True, -1, 0, 0.001, 1e9, "x", "", [], {})
    taken = refused = 0
    for column in SECTION_COLUMNS:
        for value in junk:
            body = copy.deepcopy(BODY)
            body["sections"][0][column] = value
            try:
                read_json(json.dumps(body).encode())
            except Rejected:
                refused += 1
            else:
                taken += 1
                assert validator.is_valid(body), (column, value)
    assert refused > 150
    assert taken >= 6


def test_the_table_of_the_readme_can_be_uploaded() -> None:
    text = (ROOT / "README.md").read_text("utf-8")
    (lines,) = re.findall(r"^```csv\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)
    (sections,) = re.findall(r"^```text\n(laminated.*?)^```$", text, re.DOTALL | re.MULTILINE)
    upload = read_text(f"{lines}{sections}".encode())
    assert [one.section for one in upload.book.sections] == ["lvl-9-1-4"]
    assert len(upload.book.lines) == 3

"""What an uploaded price book may be, in JSON and CSV: every refusal with its place, all of them at once."""

from __future__ import annotations

import json
import re
from collections import Counter
from dataclasses import replace
from typing import Any

import pytest

from service.app import bundled_snapshot
from service.contract.problem import Allowed, Fault, Rejected
from service.rules.price_book import canonical_text, parse_price_book
from service.store.access import Access, BookHead
from service.takeoff.sold_as import sale_faults
from service.web.openapi.upload_examples import NEW_PRICES, NEW_PRICES_CSV
from service.web.price_upload import MOST_FAULTS, Upload, read_json, read_text
from tests.contract.api import ROOT, desk

HEAD = "item,sku,description,unit,length_ft,unit_price,breaks,pack_quantity,availability,note"
LUMBER = "lumber.2x8.hem_fir.no_2.uc3b,L-28-12,2x8 12 ft,piece,12,14.20,10:13.90,,in_stock,"


def faults(read: Any, body: Any) -> list[Fault]:
    text = body if isinstance(body, bytes) else json.dumps(body).encode()
    with pytest.raises(Rejected) as refused:
        read(text)
    assert refused.value.code == "invalid_upload"
    return list(refused.value.faults)


def changed(**changes: Any) -> dict[str, Any]:
    """The example with a change in its first line."""
    first, *others = NEW_PRICES["lines"]
    return {**NEW_PRICES, "lines": [{**first, **changes}, *others]}


def published(upload: Upload) -> str:
    book = upload.of(BookHead("tollgate-yard", "tollgate", public=False))
    return canonical_text(replace(book, version=1))


def test_json_and_csv_are_one_content() -> None:
    from_csv = read_text(NEW_PRICES_CSV.encode())
    from_json = read_json(json.dumps({**NEW_PRICES, "effective_to": "2027-12-31"}).encode())
    assert published(from_csv) == published(from_json)
    assert parse_price_book(published(from_json), "tollgate-yard@1.csv").lines == from_json.book.lines


def test_the_demo_book_could_be_uploaded() -> None:
    for book in bundled_snapshot().price_books.versions.values():
        upload = read_text(book.text.encode())
        assert upload.said == {"id": book.id, "version": book.version, "organisation": book.organisation}
        assert upload.book.lines == book.lines
        assert [fault for line in book.lines for fault in sale_faults(line)] == []


def test_the_file_of_the_readme_can_be_uploaded() -> None:
    text = (ROOT / "README.md").read_text("utf-8")
    (shown,) = re.findall(r"^```csv\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)
    upload = read_text(shown.encode())
    assert [len(line.breaks) for line in upload.book.lines] == [2, 0]


CELLS = [
    ({"item": "lumber"}, "item", "bad_pattern"),
    ({"item": "timber.2x8"}, "item", "not_in_list"),
    ({"item": "lumber.2x8.hem_fir"}, "item", "bad_pattern"),
    ({"item": None}, "item", "missing"),
    ({"sku": "-1"}, "sku", "bad_pattern"),
    ({"sku": "x" * 41}, "sku", "bad_pattern"),
    ({"description": "=SUM(A1)"}, "description", "bad_pattern"),
    ({"description": "+1"}, "description", "bad_pattern"),
    ({"description": "-1"}, "description", "bad_pattern"),
    ({"description": "@now"}, "description", "bad_pattern"),
    ({"description": ""}, "description", "bad_pattern"),
    ({"description": "2x8\u0007"}, "description", "bad_pattern"),
    ({"description": "2x8\u200b"}, "description", "bad_pattern"),
    ({"description": "e\u0301"}, "description", "bad_pattern"),
    ({"description": "x" * 121}, "description", "too_long"),
    ({"note": "=1"}, "note", "bad_pattern"),
    ({"unit": "each"}, "unit", "unit_not_for_item"),
    ({"unit": "board"}, "unit", "not_in_list"),
    ({"length_ft": None}, "length_ft", "missing"),
    ({"length_ft": 0.5}, "length_ft", "bad_pattern"),
    ({"length_ft": 100}, "length_ft", "bad_pattern"),
    ({"length_ft": 12.005}, "length_ft", "bad_pattern"),
    ({"length_ft": "12"}, "length_ft", "wrong_type"),
    ({"length_ft": True}, "length_ft", "wrong_type"),
    ({"unit_price": 14.2}, "unit_price", "wrong_type"),
    ({"unit_price": "14.2"}, "unit_price", "bad_pattern"),
    ({"unit_price": "0.00"}, "unit_price", "bad_pattern"),
    ({"unit_price": "-1.00"}, "unit_price", "bad_pattern"),
    ({"unit_price": "1234567890.00"}, "unit_price", "bad_pattern"),
    ({"unit_price": "1.23456"}, "unit_price", "bad_pattern"),
    ({"breaks": [{"at_least": 10, "unit_price": "14.20"}]}, "breaks", "out_of_range"),
    (
        {"breaks": [{"at_least": 10, "unit_price": "13.00"}, {"at_least": 10, "unit_price": "12.00"}]},
        "breaks",
        "out_of_range",
    ),
    (
        {"breaks": [{"at_least": 10, "unit_price": "13.00"}, {"at_least": 20, "unit_price": "13.00"}]},
        "breaks",
        "out_of_range",
    ),
    ({"breaks": "10:13.90"}, "breaks", "wrong_type"),
    ({"breaks": [{"at_least": 0, "unit_price": "13.00"}]}, "breaks/0/at_least", "out_of_range"),
    ({"pack_quantity": 0}, "pack_quantity", "bad_pattern"),
    ({"availability": "maybe"}, "availability", "not_in_list"),
    ({"colour": "red"}, "colour", "unknown_field"),
]


@pytest.mark.parametrize(("change", "column", "code"), CELLS)
def test_a_bad_cell_is_named_by_row_and_column(change: dict[str, Any], column: str, code: str) -> None:
    found = faults(read_json, changed(**change))
    here = [fault for fault in found if fault.pointer == f"/lines/0/{column}"]
    assert [fault.code for fault in here] == [code], found
    assert here[0].detail.startswith(f"row 1, column {column.partition('/')[0]}: ")
    assert found == here


@pytest.mark.parametrize(
    ("item", "unit", "more", "column", "code"),
    [
        ("concrete.bag.80lb", "cuyd", {}, "unit", "unit_not_for_item"),
        ("concrete.ready_mix.3000psi", "bag", {}, "unit", "unit_not_for_item"),
        ("concrete.bag.80lb", "bag", {"length_ft": 8}, "length_ft", "unit_not_for_item"),
        ("nail.10d.hot_dip_galvanized", "box", {}, "pack_quantity", "missing"),
        ("joist_hanger.2x8", "each", {}, "item", "bad_pattern"),
        ("rental.auger.day", "hour", {}, "unit", "unit_not_for_item"),
    ],
)
def test_an_item_is_sold_as_an_order_counts_it(
    item: str, unit: str, more: dict[str, Any], column: str, code: str
) -> None:
    """A price for another quantity than the order's would be taken for it in silence."""
    found = faults(
        read_json, changed(**{"item": item, "unit": unit, "length_ft": None, "breaks": [], **more})
    )
    assert [(fault.pointer, fault.code) for fault in found] == [(f"/lines/0/{column}", code)]


def test_an_item_is_sold_in_one_way() -> None:
    nail = {**NEW_PRICES["lines"][1], "item": "nail.10d.hot_dip_galvanized", "unit": "each"}
    lines = [nail, {**nail, "unit": "box"}]
    found = [(fault.pointer, fault.code) for fault in faults(read_json, {**NEW_PRICES, "lines": lines})]
    assert found == [("/lines/1/length_ft", "duplicate_line"), ("/lines/1/unit", "units_mixed")]


HEADS = [
    ({"currency": "usd"}, "/currency", "bad_pattern"),
    ({"currency": None}, "/currency", "missing"),
    ({"effective_from": "2027-02-30"}, "/effective_from", "bad_pattern"),
    ({"effective_from": None}, "/effective_from", "missing"),
    ({"effective_to": "2027-02-28"}, "/effective_to", "out_of_range"),
    ({"effective_to": "9999-12-31"}, "/effective_to", "date_out_of_range"),
    ({"effective_to": "2100-01-01"}, "/effective_to", "date_out_of_range"),
    ({"effective_from": "2014-12-31"}, "/effective_from", "date_out_of_range"),
    ({"effective_from": "2100-01-01", "effective_to": None}, "/effective_from", "date_out_of_range"),
    ({"tax_included": "no"}, "/tax_included", "bad_pattern"),
    ({"tax_included": "false"}, "/tax_included", "wrong_type"),
    ({"id": "ACME"}, "/id", "bad_pattern"),
    ({"version": 0}, "/version", "bad_pattern"),
    ({"digest": "x"}, "/digest", "bad_pattern"),
    ({"lines": []}, "/lines", "too_few"),
    ({"lines": [NEW_PRICES["lines"][0]] * 20_001}, "/lines", "too_many"),
    ({"colour": "red"}, "/colour", "unknown_field"),
]


@pytest.mark.parametrize(("change", "pointer", "code"), HEADS)
def test_a_bad_head_is_named(change: dict[str, Any], pointer: str, code: str) -> None:
    found = faults(read_json, {**NEW_PRICES, **change})
    assert [(fault.pointer, fault.code) for fault in found] == [(pointer, code)]


@pytest.mark.parametrize(
    ("old", "new", "pointer", "told"),
    [
        ("#currency: USD\n", "", "/currency", "a row `#currency:` is needed"),
        (
            "#currency: USD",
            "#currency: USD\n#currency: EUR",
            "/currency",
            "row 2: #currency: stands twice, on row 1 too",
        ),
        ("#currency: USD", "#colour: red\n#currency: USD", "/colour", "row 1: there is no 'colour'"),
        ("#tax_included: false", "#tax_included: no", "/tax_included", "row 4: 'no' is not true or false"),
        ("item,sku", "item;sku", "/lines", "row 5 must name the columns"),
        ("item,sku", "item,item,sku", "/lines", "item stands twice"),
        ("unit_price,", "", "/lines", "unit_price is missing"),
        (",14.20,", ",14.20,,", "/lines/0", "row 6: cannot be read as CSV: 11 cells"),
        ("2x8 12 ft", '"2x8 12 ft', "/lines/0", "row 6: cannot be read as CSV"),
        ("2x8 12 ft", '"2x8\n12 ft"', "/lines/0", "a cell holds no line end"),
        ("2x8 12 ft", "2x8\0", "/lines/0/description", "row 6, column description"),
        ("2x8 12 ft", "=2x8", "/lines/0/description", "does not begin with a letter or digit"),
        (",12,14.20", ",12ft,14.20", "/lines/0/length_ft", "'12ft' is not a length in feet from 1 to 99.99"),
        (",5.45,", ",5,45,", "/lines/1", "row 7: cannot be read as CSV: 11 cells"),
        (LUMBER, f"{LUMBER}\n\n,,,\n{LUMBER}", "/lines/1/length_ft", "row 9, column length_ft"),
        (f"{HEAD}\n{LUMBER}", HEAD.replace("concrete", ""), "/lines", ""),
    ],
)
def test_a_bad_row_of_csv_is_named(old: str, new: str, pointer: str, told: str) -> None:
    assert NEW_PRICES_CSV.count(old) == 1
    text = NEW_PRICES_CSV.replace(old, new)
    if not told:
        text = "\n".join(text.splitlines()[:5])
        told = "0 lines given"
    found = faults(read_text, text.encode())
    assert pointer in [fault.pointer for fault in found]
    assert told in next(fault.detail for fault in found if fault.pointer == pointer)


def test_for_ever_is_told_the_days_taken_and_how_to_say_it() -> None:
    text = NEW_PRICES_CSV.replace("#effective_to: 2027-12-31", "#effective_to: 9999-12-31")
    (fault,) = faults(read_text, text.encode())
    assert fault.detail == (
        "row 3: 9999-12-31 is not within 2015-01-01 to 2099-12-31; leave it out where no last day is known"
    )
    assert fault.allowed == Allowed(min="2015-01-01", max="2099-12-31")
    last = read_text(
        NEW_PRICES_CSV.replace("#effective_to: 2027-12-31", "#effective_to: 2099-12-31").encode()
    )
    assert str(last.book.effective_to) == "2099-12-31"


def test_a_key_below_the_column_names_is_refused_with_its_row() -> None:
    for row in ("#currency: EUR", "#currency: EUR" + "," * 9, "#"):
        found = faults(read_text, f"{NEW_PRICES_CSV}{row}\n".encode())
        assert [(fault.pointer, fault.detail) for fault in found] == [
            ("/lines/2", "row 8: rows that begin with # stand above the column names")
        ]
    moved = NEW_PRICES_CSV.replace("#currency: USD\n", "") + "#currency: USD\n"
    assert [fault.pointer for fault in faults(read_text, moved.encode())] == ["/currency", "/lines/2"]


def test_a_key_three_times_is_one_fault_with_the_row_of_the_last() -> None:
    text = NEW_PRICES_CSV.replace("#currency: USD", "#currency: USD\n#currency: x\n#currency: EUR")
    found = faults(read_text, text.encode())
    assert [(one.pointer, one.code, one.detail) for one in found] == [
        ("/currency", "duplicate_line", "row 3: #currency: stands twice, on row 2 too")
    ]


def test_a_body_that_is_not_utf_8_has_that_one_fault() -> None:
    found = faults(read_text, NEW_PRICES_CSV.encode().replace(b"2x8 12 ft", b"2x8 \xff"))
    assert [(fault.pointer, fault.code) for fault in found] == [("", "bad_pattern")]
    assert "is not UTF-8" in found[0].detail


@pytest.mark.parametrize("count", [100, 101, 300_000])
def test_unknown_names_are_cut(count: int) -> None:
    names = [f"k{number}" for number in range(count)]
    bodies = {
        read_json: json.dumps({**NEW_PRICES, **dict.fromkeys(names, 1)}),
        read_text: "".join(f"#{name}: 1\n" for name in names) + NEW_PRICES_CSV,
    }
    for read, body in bodies.items():
        found = faults(read, body.encode())
        assert [fault.pointer for fault in found if fault.pointer] == [f"/k{number}" for number in range(100)]
        more = [fault.detail for fault in found if not fault.pointer]
        assert len(more) == (count > 100)
        assert all(detail.startswith(f"and {count - 100} more ") for detail in more)


def test_a_long_name_is_shortened() -> None:
    for read, body in (
        (read_json, json.dumps({**NEW_PRICES, "x" * 100_000: 1})),
        (read_text, f"#{'x' * 100_000}: 1\n{NEW_PRICES_CSV}"),
        (read_text, f"#{'x' * 100_000}\n{NEW_PRICES_CSV}"),
    ):
        (fault,) = faults(read, body.encode())
        assert len(fault.pointer) < 80
        assert len(fault.detail) < 120


@pytest.mark.parametrize("row", ["a", "#", "a,b,c,d,e,f,g,h,i,j"])
def test_rows_over_the_limit_are_one_fault(row: str) -> None:
    found = faults(read_text, (NEW_PRICES_CSV + f"{row}\n" * 20_000).encode())
    assert [(fault.pointer, fault.code) for fault in found] == [("/lines", "too_many")]


@pytest.mark.parametrize("change", ["order", "crlf", "mark", "filled", "fewer", "noughts"])
def test_csv_as_spreadsheets_write_it_is_taken(change: str) -> None:
    plain = NEW_PRICES_CSV.encode()
    rows = [row.split(",") for row in NEW_PRICES_CSV.splitlines()]
    forms = {
        "order": "\n".join(",".join(row if len(row) == 1 else row[::-1]) for row in rows).encode(),
        "crlf": plain.replace(b"\n", b"\r\n"),
        "noughts": plain.replace(b"14.20", b"14.2").replace(b"13.90", b"13.9"),
        "mark": b"\xef\xbb\xbf" + plain,
        "filled": "\n".join(",".join(row + [""] * (10 - len(row))) for row in [*rows, [""]]).encode(),
        "fewer": "\n".join(",".join(row[:1] if len(row) == 1 else row[:-1]) for row in rows).encode(),
    }
    assert published(read_text(forms[change])) == published(read_text(plain))


def test_faults_are_counted_though_not_all_are_listed() -> None:
    bad = {"item": "x", "sku": "", "description": "", "unit": "", "unit_price": "", "availability": ""}
    with pytest.raises(Rejected) as refused:
        read_json(json.dumps({**NEW_PRICES, "lines": [bad] * 4_000}).encode())
    assert len(refused.value.faults) == MOST_FAULTS
    assert refused.value.detail.startswith("24000 faults, the first")


def test_a_book_of_others_takes_the_steps_of_one_that_is_not_there() -> None:
    """The same look-ups in the same order, whatever the answer: no clock can tell them apart."""

    seen: Counter[str] = Counter()

    class Counting(dict[str, BookHead]):
        def get(self, key: str, default: Any = None) -> Any:
            seen["books"] += 1
            return super().get(key, default)

    class Granted(frozenset[Any]):
        def __contains__(self, pair: object) -> bool:
            seen["grants"] += 1
            return super().__contains__(pair)

    access = desk().snapshot.access
    counting = Access()
    object.__setattr__(
        counting, "books", Counting({"tollgate-yard": BookHead("tollgate-yard", "tollgate", False)})
    )
    object.__setattr__(counting, "grants", Granted({("tollgate-yard", "brook")}))
    steps = []
    for id, organisation in (
        ("tollgate-yard", "other"),
        ("tollgate-none", "other"),
        ("tollgate-yard", "brook"),
        ("tollgate-yard", ""),
    ):
        seen.clear()
        counting.readable(id, organisation)
        steps.append(dict(seen))
    assert steps == [{"books": 1, "grants": 1}] * 4
    assert access.readable("brindlemoor-yard", "").public

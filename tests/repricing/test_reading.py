"""The bytes of an open quote: what is refused, with every fault at once."""

from __future__ import annotations

import json
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from repricing.conftest import BAG, EXAMPLES

from service.contract import strict
from service.contract.problem import Rejected
from service.contract.repricing import RepricingSpec, repricing_faults, repricing_spec
from service.rules.price_book import PriceBook
from service.web.desk import Desk
from service.web.open_quotes import reprice_quote

TOTAL = {"currency": "USD", "amount": "10.00"}
LINE = {"item": BAG, "quantity": 1}
DECK = json.loads((EXAMPLES / "low-ground.json").read_text("utf-8"))


def faults(body: Any) -> list[tuple[str, str]]:
    text = body if isinstance(body, bytes) else json.dumps(body).encode()
    with pytest.raises(Rejected) as refused:
        repricing_spec(text)
    return [(fault.pointer, fault.code) for fault in refused.value.faults] or [("", refused.value.code)]


def test_one_of_lines_and_spec() -> None:
    quote = {"reference": "Q", "previous_total": TOTAL}
    assert faults(quote) == [("/lines", "missing")]
    assert faults({**quote, "lines": None, "spec": None}) == [("/lines", "missing")]
    both = {**quote, "lines": [LINE], "spec": DECK, "pieces": [{"item": BAG, "length_in": 9, "quantity": 1}]}
    assert faults(both) == [("/lines", "both_given"), ("/pieces", "both_given")]


def test_every_fault_at_once() -> None:
    body = {
        "reference": "_Q",
        "previous_total": {"currency": "usd", "amount": "-1.00"},
        "lines": [
            {"item": "Concrete", "quantity": 0},
            {"item": BAG, "quantity": 1, "length_ft": 200},
            {"item": BAG},
            {**LINE, "previous_extended": {"currency": "SEK", "amount": "1.00"}},
        ],
        "price": 4,
        "previous_price_book": "brindlemoor-yard",
    }
    found = faults(body)
    assert sorted(found) == sorted(
        [
            ("/reference", "bad_pattern"),
            ("/previous_total/currency", "bad_pattern"),
            ("/previous_total/amount", "bad_pattern"),
            ("/lines/0/item", "bad_pattern"),
            ("/lines/0/quantity", "out_of_range"),
            ("/lines/1/length_ft", "out_of_range"),
            ("/lines/2/quantity", "missing"),
            ("/previous_price_book", "bad_pattern"),
            ("/price", "unknown_field"),
        ]
    )
    mixed = {"reference": "Q", "previous_total": TOTAL, "lines": body["lines"][3:]}
    assert faults(mixed) == [("/lines/0/previous_extended/currency", "currency_mixed")]


def test_limits() -> None:
    quote = {"reference": "Q", "previous_total": TOTAL}
    assert faults({**quote, "lines": []}) == [("/lines", "too_few")]
    assert faults({**quote, "lines": [LINE] * 2001}) == [("/lines", "too_many")]
    many = [{"item": BAG, "length_in": 9, "quantity": 1001}] * 2
    assert faults({**quote, "lines": [LINE], "pieces": many}) == [("/pieces", "too_many")]


def test_json_itself() -> None:
    assert faults(b"") == [("", "not_json")]
    twice = b'{"reference": "Q", "lines": [{"item": "a.b", "item": "a.b", "quantity": 1}]}'
    assert faults(twice) == [("", "duplicate_key")]


def test_faults_of_a_spec_are_pointed_to_within_it(desk: Desk, yard: PriceBook) -> None:
    quote = {"reference": "Q", "previous_total": TOTAL}
    wide = {**DECK, "jurisdiction": "nowhere-county", "levels": [{**DECK["levels"][0], "width_ft": 500}]}
    with pytest.raises(Rejected) as refused:
        reprice_quote(json.dumps({**quote, "spec": wide}).encode(), desk, yard)
    found = [(fault.pointer, fault.code) for fault in refused.value.faults]
    assert found == [
        ("/spec/levels/0/width_ft", "out_of_range"),
        ("/spec/jurisdiction", "unknown_jurisdiction"),
    ]
    unknown = {**DECK, "jurisdiction": "nowhere-county"}
    with pytest.raises(Rejected) as refused:
        reprice_quote(json.dumps({**quote, "spec": unknown}).encode(), desk, yard)
    assert [fault.pointer for fault in refused.value.faults] == ["/spec/jurisdiction"]


def test_the_price_book_of_a_spec_is_not_looked_at(desk: Desk, yard: PriceBook) -> None:
    body = {"reference": "Q", "previous_total": TOTAL, "spec": {**DECK, "price_book": "long-gone-yard@3"}}
    assert reprice_quote(json.dumps(body).encode(), desk, yard).price_book.id == "brindlemoor-yard"


def test_an_unknown_earlier_book_is_named(desk: Desk, yard: PriceBook) -> None:
    body = {
        "reference": "Q",
        "previous_total": TOTAL,
        "lines": [LINE],
        "previous_price_book": "brindlemoor-yard@77",
    }
    with pytest.raises(Rejected) as refused:
        reprice_quote(json.dumps(body).encode(), desk, yard)
    (fault,) = refused.value.faults
    assert (fault.pointer, fault.code) == ("/previous_price_book", "unknown_price_book")


TEXTS = st.sampled_from(
    ["Q-1", "", "é", "e\u0301", "a\x7fb", "a\nb", "x" * 121, "USD", BAG, "10.00", '"', "\\"]
)
VALUES = st.one_of(
    st.none(), st.booleans(), st.integers(-2, 3000), st.floats(allow_nan=False, allow_infinity=False), TEXTS,
    st.builds(list), st.builds(dict),
)  # fmt: skip
PLACES = (
    ("reference",), ("previous_total",), ("previous_total", "amount"), ("lines",), ("lines", 0, "item"),
    ("lines", 0, "quantity"), ("lines", 0, "length_ft"), ("pieces",), ("pieces", 0, "quantity"), ("spec",),
    ("previous_price_book",), ("extra",),
)  # fmt: skip


def _change(body: Any, place: tuple[str | int, ...], value: Any) -> None:
    """Put a value at a place, where an earlier change has left that place there."""
    for step in place[:-1]:
        there = step in body if isinstance(body, dict) else isinstance(body, list) and len(body) > 0
        body = body[step] if there else {}
    if isinstance(body, dict):
        body[place[-1]] = value


@given(changes=st.lists(st.tuples(st.sampled_from(PLACES), VALUES), max_size=3), plain=st.booleans())
def test_the_quick_way_of_reading_finds_what_the_whole_one_does(
    changes: list[tuple[tuple[str | int, ...], Any]], plain: bool
) -> None:
    body: Any = {
        "reference": "Q-1",
        "previous_total": dict(TOTAL),
        "lines": [{**LINE, "length_ft": 12}],
        "pieces": [{"item": BAG, "length_in": 9.5, "quantity": 2}],
    }
    for place, value in changes:
        _change(body, place, value)
    text = json.dumps(body, ensure_ascii=plain).encode()
    found = []
    for quick in (True, False):
        with pytest.MonkeyPatch.context() as patch:
            if not quick:
                patch.setattr(strict, "_plain", lambda _: False)
            try:
                found.append(strict.decode(text, RepricingSpec, across=repricing_faults))
            except Rejected as refused:
                found.append((refused.code, refused.detail, refused.faults))
    assert found[0] == found[1]


class _Note(msgspec.Struct, forbid_unknown_fields=True):
    text: str


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("a deck by the lake", None),
        ("un mur d'été", None),
        ("x" * 120, None),
        ("x" * 121, "too_long"),
        ("e\u0301te", "bad_pattern"),
        ("a\x7fb", "bad_pattern"),
        ("a\nb", "bad_pattern"),
        ("a\x85b", "bad_pattern"),
    ],
)
@pytest.mark.parametrize("escaped", [True, False])
def test_rules_for_texts_hold_whichever_way_a_body_is_read(
    text: str, code: str | None, escaped: bool
) -> None:
    body = json.dumps({"text": text}, ensure_ascii=escaped).encode()
    if code is None:
        assert strict.decode(body, _Note).text == text
        return
    with pytest.raises(Rejected) as refused:
        strict.decode(body, _Note)
    assert [fault.code for fault in refused.value.faults] == [code]

"""The price book's text: what is read, and each refusal with its line and column."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.rules.faults import TableRefused
from service.rules.price_book import EXAMPLE, parse_price_book

LUMBER = "lumber.2x8.hem_fir.no_2.uc3b,L-28-12,2x8 12 ft,piece,12,14.20,10:13.90,,in_stock,"
CONCRETE = "concrete.bag.60lb,C-60,Concrete 60 lb,bag,,5.45,,56,in_stock,"

REFUSALS = {
    "preamble out of order": (
        "#id: example-yard\n#version: 1\n",
        "#version: 1\n#id: example-yard\n",
        1,
        "id",
    ),
    "version zero": ("#version: 1", "#version: 0", 2, "version"),
    "version with a leading zero": ("#version: 1", "#version: 01", 2, "version"),
    "id in capitals": ("#id: example-yard", "#id: Example", 1, "id"),
    "currency": ("USD", "usd", 4, "currency"),
    "day that is none": ("2027-01-31", "2027-02-30", 6, "effective_to"),
    "last day before the first": ("2027-01-31", "2026-10-31", 6, "effective_to"),
    "tax neither true nor false": ("tax_included: false", "tax_included: no", 7, "tax_included"),
    "unknown column": ("availability,note", "availability,remark", 8, None),
    "too few cells": ("in_stock,\nconcrete", "in_stock\nconcrete", 9, None),
    "quote not closed": ("2x8 12 ft", '"2x8 12 ft', 9, None),
    "unknown kind of item": ("lumber.", "timber.", 9, "item"),
    "item without attributes": ("concrete.bag.60lb", "concrete", 10, "item"),
    "stock number": ("C-60,", "C 60,", 10, "sku"),
    "description begins with a sign": (",2x8 12 ft", ",=2x8", 9, "description"),
    "description with a control character": (",2x8 12 ft", ",2x8\t12", 9, "description"),
    "description too long": (",2x8 12 ft", ",2" + "x" * 120, 9, "description"),
    "unit": (",bag,", ",sack,", 10, "unit"),
    "length": (",piece,12,", ",piece,12ft,", 9, "length_ft"),
    "length of zero": (",piece,12,", ",piece,0,", 9, "length_ft"),
    "price without decimals": ("5.45", "5", 10, "unit_price"),
    "price with five decimals": ("5.45", "5.45123", 10, "unit_price"),
    "price of nothing": ("5.45", "0.00", 10, "unit_price"),
    "negative price": ("5.45", "-5.45", 10, "unit_price"),
    "price in exponents": ("5.45", "5e1", 10, "unit_price"),
    "break without a price": ("10:13.90", "10", 9, "breaks"),
    "breaks that fall in number": ("10:13.90", "10:13.90;5:13.80", 9, "breaks"),
    "breaks that rise in price": ("10:13.90", "10:13.90;20:14.00", 9, "breaks"),
    "break dearer than one piece": ("10:13.90", "10:14.20", 9, "breaks"),
    "pack of none": (",56,", ",0,", 10, "pack_quantity"),
    "availability": ("56,in_stock", "56,maybe", 10, "availability"),
    "same item and length twice": (CONCRETE, f"{CONCRETE}\n{CONCRETE}", 11, "length_ft"),
    "one item in two units": (LUMBER, f"{LUMBER}\n{LUMBER.replace('piece,12', 'each,16')}", 10, "unit"),
    "length on some lines only": (
        LUMBER,
        f"{LUMBER}\n{LUMBER.replace('piece,12', 'piece,')}",
        10,
        "length_ft",
    ),
}


@pytest.mark.parametrize("name", REFUSALS)
def test_each_fault_is_refused_with_line_and_column(name):
    old, new, line, column = REFUSALS[name]
    assert EXAMPLE.count(old) == 1
    with pytest.raises(TableRefused) as refused:
        parse_price_book(EXAMPLE.replace(old, new), "example-yard@1.csv")
    (fault,) = refused.value.faults
    assert (fault.file, fault.line, fault.column) == ("example-yard@1.csv", line, column), str(fault)
    assert len(fault.text) > 10


@pytest.mark.parametrize(
    "text", ["", EXAMPLE[:-1], EXAMPLE.replace("\n", "\r\n"), EXAMPLE + "\0\n", EXAMPLE + "\n"]
)
def test_a_text_that_is_not_in_its_one_form_is_refused(text):
    with pytest.raises(TableRefused):
        parse_price_book(text, "example-yard@1.csv")


def test_all_faults_are_named_at_once():
    text = EXAMPLE.replace("5.45", "5").replace("C-60", "C 60").replace("14.20", "14")
    with pytest.raises(TableRefused) as refused:
        parse_price_book(text, "x")
    assert [(one.line, one.column) for one in refused.value.faults] == [
        (9, "unit_price"),
        (10, "sku"),
        (10, "unit_price"),
    ]


def test_lines_are_found_by_item_and_length():
    text = EXAMPLE.replace(LUMBER, f"{LUMBER.replace('12,14.20', '16,19.1050')}\n{LUMBER}")
    book = parse_price_book(text, "x")
    item = "lumber.2x8.hem_fir.no_2.uc3b"
    assert [line.length_ft for line in book.ladder(item)] == [12.0, 16.0]
    assert book.line(item, 16).unit_price == Decimal("19.1050")
    assert book.line(item, 14) is None
    assert book.line(item) is None
    assert book.line("concrete.bag.60lb").pack_quantity == 56
    assert book.ladder("lumber.2x6.hem_fir.no_2.uc3b") == ()
    assert book.effective_to.isoformat() == "2027-01-31"

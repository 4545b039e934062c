"""Money of an order: rounding, breaks, packs, what has no price, and orders without a price book."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.contract.report import Caution
from service.rules.price_book import ITEM_KINDS
from service.takeoff.concrete import loads_cuyd
from service.takeoff.csv_form import COLUMNS, as_csv, safe
from service.takeoff.items import GRAMMAR, is_item
from service.takeoff.ladders import Ladders, PriceLadder
from service.takeoff.order import take_off
from service.takeoff.pricing import line_total, priced


@given(st.integers(1, 10**7), st.integers(1, 10**4))
def test_a_line_is_rounded_half_up_to_a_cent(price, count):
    exact = Decimal(price) * count
    assert line_total(Decimal(price).scaleb(-4), count) * 100 == (exact + 50) // 100


def test_the_total_is_the_sum_of_the_rounded_lines(frame, spec, criteria, prices):
    order = take_off(frame(), spec(), criteria, prices)
    lines = (*order.stock, *order.decking, *order.hardware, *order.concrete)
    for line in lines:
        assert line.extended is not None
        whole = line_total(Decimal(line.unit_price), line.quantity)
        assert line.extended.amount == f"{whole:.2f}"
    assert Decimal(order.total.amount) == sum(Decimal(line.extended.amount) for line in lines)
    assert order.subtotal.amount == order.total.amount


def test_quantity_breaks_and_boxes(prices):
    screws = "decking_screw.no_8.2-1-2in.hot_dip_galvanized"
    assert [priced(prices, screws, count, "each").quantity for count in (350, 351)] == [1, 2]
    hanger = prices.line("joist_hanger.2x8.1ply.hot_dip_galvanized")
    assert priced(prices, hanger.item, 24, "each").unit_price == f"{hanger.unit_price}"
    assert priced(prices, hanger.item, 25, "each").unit_price == f"{hanger.breaks[0].unit_price}"


def test_without_a_price_book_all_money_is_null_and_the_stock_is_there(frame, spec, criteria):
    order = take_off(frame(), spec(), criteria, None)
    lines = (*order.stock, *order.decking, *order.hardware, *order.concrete)
    assert {(line.sku, line.unit_price, line.extended) for line in lines} == {(None, None, None)}
    assert (order.total, order.subtotal, order.cutting_bound, order.stock_offered) == (None, None, None, ())
    assert order.unpriced == ()
    assert order.stock
    assert order.decking


@pytest.mark.parametrize("start", ["lumber.2x8.", "joist_hanger.2x8.", "decking.5-4x6.", "nail.10d."])
def test_what_has_no_price_is_named_and_the_total_is_incomplete(frame, spec, criteria, without, start):
    order = take_off(frame(), spec(), criteria, without(start))
    assert {one.item for one in order.unpriced} == {
        line.item for line in (*order.stock, *order.decking, *order.hardware) if line.item.startswith(start)
    }
    assert not order.total.complete
    assert all("brindlemoor-yard@4" in one.because for one in order.unpriced)


def test_western_cedar_2x12_is_left_out_of_the_demo_book_on_purpose(prices):
    assert prices.ladder("lumber.2x12.western_cedar.no_2.none") == ()
    assert prices.ladder("lumber.2x10.western_cedar.no_2.none")


def test_the_grammar_covers_the_kinds_and_the_demo_book(prices):
    assert {form.kind for form in GRAMMAR} == ITEM_KINDS
    assert all(is_item(form.example) for form in GRAMMAR)
    assert [line.item for line in prices.lines if not is_item(line.item)] == []


def test_concrete_comes_the_cheaper_way_unless_asked(frame, spec, criteria, prices, without):
    few = take_off(frame(), spec(), criteria, prices).concrete
    assert [line.item for line in few] == ["concrete.bag.80lb"]
    assert few[0].quantity == 12, "3 piers of 2.094 cu ft with 10 % waste in bags of 0.6 cu ft: 11.52"
    asked = take_off(frame(), spec(supply="ready_mix"), criteria, prices).concrete
    assert [(line.item, line.quantity) for line in asked] == [
        ("concrete.ready_mix.3000psi", 1.0),
        ("fee.ready_mix.short_load", 1),
    ]
    assert asked[0].unit_price == "178.00"
    no_bags = take_off(frame(), spec(), criteria, without("concrete.bag")).concrete
    assert no_bags[0].item == "concrete.ready_mix.3000psi"
    assert loads_cuyd(26.0) == 1.25


def test_price_of_a_piece_shares_a_board_that_yields_several(prices):
    ladder = PriceLadder(prices)
    item = "lumber.2x8.southern_pine.no_2.uc3b"
    price = {line.length_ft: line.unit_price for line in prices.ladder(item)}
    assert ladder.price_per_piece(item, 192.0) == price[16]
    assert ladder.price_per_piece(item, 59.0) == min(price[10] / 2, price[16] / 3, price[20] / 4, price[8])
    assert ladder.price_per_piece(item, 241.0) is None
    assert ladder.price_per_piece("lumber.2x12.western_cedar.no_2.none", 96.0) is None


def test_a_length_out_of_stock_is_not_offered(prices):
    item = "lumber.2x8.southern_pine.no_2.uc3b"
    offered = {offer.length_ft for offer in Ladders(prices).of(item).stock}
    assert offered == {line.length_ft for line in prices.ladder(item)}


def test_csv_names_every_line_once_and_no_cell_is_a_formula(frame, spec, criteria, without):
    order = take_off(frame(), spec(), criteria, without("nail.10d."))
    caution = Caution(code="ledger_flashing", text="=HYPERLINK(1)", action="@do")
    text = as_csv(order, "engineer_required", [caution])
    lines = text.split("\r\n")
    assert lines[0] == ",".join(COLUMNS)
    kinds = [line.partition(",")[0] for line in lines[1:-1]]
    counted = len(order.stock) + len(order.decking) + len(order.hardware) + len(order.concrete)
    assert kinds == ["item"] * (counted - 1) + ["quantity", "unpriced", "caution"]
    assert all(",engineer_required," in line for line in lines[1:-1])
    assert "'=HYPERLINK(1). @do." in text


@pytest.mark.parametrize("cell", ["=1", "+1", "-1", "@x", "\t=1", "\r=1"])
def test_a_cell_that_a_spreadsheet_would_run_is_quoted(cell):
    assert safe(cell) == f"'{cell}"

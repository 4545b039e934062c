"""Orders priced again; every sum is worked by hand from the prices in conftest.py."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from repricing.conftest import BAG, BASE, BOARD, HANGER, MIX, NAIL, NEW, OLD, SCREW, book, line, quote

from service.contract.problem import Rejected
from service.repricing.reprice import reprice_lines
from service.rules.price_book import PriceBook


def test_the_total_is_each_line_rounded_then_summed(new: PriceBook) -> None:
    """9 x 16.80 = 151.20; 7 x 2.3450 = 16.415 -> 16.42; 41 x 5.62 = 230.42; together 398.04."""
    found = reprice_lines(quote(line(BOARD, 9, 12), line(HANGER, 7), line(BAG, 41), before="380.00"), new)
    assert found.total is not None
    assert (found.total.amount, found.total.complete, found.total.currency) == ("398.04", True, "USD")
    assert found.change is not None
    assert found.change.amount == "18.04"
    assert found.change_percent == 4.747  # 18.04 / 380 = 4.7474 %
    assert (found.price_book.id, found.price_book.version) == ("test-yard", 2)
    assert (found.moved, found.compared_lines, found.unpriced) == ((), 0, ())
    assert (found.recut, found.frame, found.design) == (None, None, None)


@pytest.mark.parametrize(
    ("given", "total"),
    [
        (line(BOARD, 9, 12), "151.20"),  # 9 x 16.80
        (line(BOARD, 10, 12), "159.00"),  # 10 x 15.90
        (line(BAG, 41), "230.42"),  # 41 x 5.62
        (line(BAG, 42), "218.40"),  # 42 x 5.20: one more costs less
        (line(HANGER, 24), "56.28"),  # 24 x 2.3450
        (line(HANGER, 25), "52.88"),  # 25 x 2.1150 = 52.875
        (line(MIX, 1.25), "214.38"),  # 1.25 x 171.50 = 214.375; a yard may be split
        (line(BAG, 1.2), "11.24"),  # two bags: part of one is bought whole
        (line(NAIL, 3, unit="box"), "12.30"),  # three boxes, not three nails
    ],
)
def test_a_line_with_its_quantity_break(given: dict[str, Any], total: str, new: PriceBook) -> None:
    found = reprice_lines(quote(given), new).total
    assert found is not None
    assert found.amount == total


def test_what_moved_most_by_the_earlier_book(old: PriceBook, new: PriceBook) -> None:
    """12 x (15.90 - 15.00) = 10.80; 50 x (5.20 - 5.00) = 10.00; 2 x (18 - 22) = -8.00; 30 x 2.1150 - 60.00 = 3.45."""
    given = quote(line(BOARD, 12, 12), line(HANGER, 30), line(BAG, 50), line(BOARD, 2, 16), line(SCREW, 1))
    found = reprice_lines(given, new, old)
    assert [(one.item, one.length_ft, one.change.amount) for one in found.moved] == [
        (BOARD, 12, "10.80"),
        (BAG, None, "10.00"),
        (BOARD, 16, "-8.00"),
        (HANGER, None, "3.45"),
    ]
    assert (found.moved[0].previous_extended.amount, found.moved[0].extended.amount) == ("180.00", "190.80")
    assert found.compared_lines == 4  # the old book sold no screws


def test_an_amount_of_the_caller_is_taken_before_the_book(old: PriceBook, new: PriceBook) -> None:
    found = reprice_lines(quote(line(BAG, 10, before="40.00"), line(HANGER, 2)), new, old)
    assert [(one.item, one.change.amount) for one in found.moved] == [(BAG, "16.20"), (HANGER, "0.69")]
    alone = reprice_lines(quote(line(BAG, 10, before="40.00"), line(HANGER, 2)), new)
    assert [one.item for one in alone.moved] == [BAG]
    assert alone.compared_lines == 1


def test_at_most_five_lines_moved_and_none_that_stood_still(new: PriceBook) -> None:
    """Now 56.20, 2 x 11.20 = 22.40, 16.80, 18.00, 10 x 2.3450 = 23.45, 2 x 4.10 = 8.20 and 171.50."""
    found = reprice_lines(
        quote(
            line(BAG, 10, before="60.00"),  # -3.80
            line(BOARD, 2, 8, before="22.40"),  # still
            line(BOARD, 1, 12, before="6.80"),  # 10.00
            line(BOARD, 1, 16, before="17.50"),  # 0.50
            line(HANGER, 10, before="3.45"),  # 20.00
            line(NAIL, 2, unit="box", before="1.20"),  # 7.00
            line(MIX, 1, before="135.30"),  # 36.20
        ),
        new,
    )
    assert [one.change.amount for one in found.moved] == ["36.20", "20.00", "10.00", "7.00", "-3.80"]
    assert found.compared_lines == 7


def test_a_box_of_another_size_is_counted_anew(old: PriceBook, new: PriceBook) -> None:
    """Three boxes of 250 are 750 nails: eight boxes of 100 at 4.10 = 32.80 against 28.50."""
    found = reprice_lines(quote(line(NAIL, 3)), new, old)
    assert found.total is not None
    assert (found.total.amount, found.moved[0].quantity, found.moved[0].unit) == ("32.80", 8, "box")
    assert found.moved[0].previous_extended.amount == "28.50"


def test_a_unit_that_does_not_convert_is_not_guessed(old: PriceBook) -> None:
    by_the_bag = book(f"{MIX},M-1,Ready-mix,bag,,6.00,,,in_stock,\n")
    found = reprice_lines(quote(line(MIX, 2)), by_the_bag, old)
    assert found.total is not None
    assert (found.total.amount, found.total.complete, found.change) == ("0.00", False, None)
    assert found.unpriced[0].because == f"{MIX} is sold by the bag, and the quantity is by the cuyd"
    assert (found.unpriced[0].quantity, found.unpriced[0].unit) == (2, "cuyd")


def test_an_item_that_left_the_book_and_a_length_out_of_stock_are_named(
    old: PriceBook, new: PriceBook
) -> None:
    given = quote(line(BASE, 6), line(BOARD, 3, 14), line(BOARD, 2, 10), line(BAG, 10))
    found = reprice_lines(given, new, old)
    assert [(one.item, one.quantity, one.unit, one.because) for one in found.unpriced] == [
        (BASE, 6, "each", f"{BASE} has no price in test-yard@2"),
        (BOARD, 3, "piece", f"{BOARD} in 14 ft is out of stock"),
        (BOARD, 2, "piece", f"{BOARD} in 10 ft has no price in test-yard@2"),
    ]
    assert found.total is not None
    assert (found.total.amount, found.total.complete) == ("56.20", False)
    # what is left of an order is no cheaper order
    assert (found.change, found.change_percent) == (None, None)


def test_the_currency_is_the_book_s(old: PriceBook) -> None:
    crowns = book(NEW, currency="SEK")
    with pytest.raises(Rejected) as refused:
        reprice_lines(quote(line(BAG, 1)), crowns, old)
    found = {fault.pointer: fault.code for fault in refused.value.faults}
    assert found == {"/previous_total/currency": "currency_mixed", "/previous_price_book": "currency_mixed"}


def test_more_than_money_can_be_written_is_refused() -> None:
    dear = book(f"{BAG},C-60,Bag,bag,,999999.00,,,in_stock,\n")
    with pytest.raises(Rejected) as refused:
        reprice_lines(quote(line(BAG, 100_000)), dear)
    assert [(fault.pointer, fault.code) for fault in refused.value.faults] == [("/lines", "out_of_range")]


def test_an_amount_before_or_a_recut_beyond_what_is_written_is_refused() -> None:
    """100,000 x 99,999.00 = 9,999,900,000.00 before; two boards of 999,999,999.00 anew, one of 12 ft as listed."""
    dear = book(f"{BAG},C-60,Bag,bag,,99999.00,,,in_stock,\n", version=1)
    cheap = book(f"{BAG},C-60,Bag,bag,,1.00,,,in_stock,\n")
    boards = book(
        f"{BOARD},B-8,B,piece,8,999999999.00,,,in_stock,\n{BOARD},B-16,B,piece,16,1.00,100:0.50,,out,\n"
    )
    pieces = ({"item": BOARD, "length_in": 90, "quantity": 2},)
    for asked, prices, previous in (
        (quote(line(BAG, 100_000)), cheap, dear),
        (quote(line(BOARD, 1, 8), pieces=pieces), boards, None),
    ):
        with pytest.raises(Rejected) as refused:
            reprice_lines(asked, prices, previous)
        (fault,) = refused.value.faults
        assert (refused.value.code, fault.pointer, fault.code) == ("invalid_spec", "/lines", "out_of_range")
        assert fault.allowed is not None
        assert fault.allowed.max == "999999999.99"


@pytest.mark.parametrize(("then", "now"), [("true", "false"), ("false", "true")])
def test_prices_with_tax_are_not_compared_with_prices_without(then: str, now: str) -> None:
    """10 x 5.62 = 56.20 either way; 6.20 more than 50.00 is no change of price where one of them holds tax."""
    old, new = book(OLD, version=1, tax=then), book(NEW, tax=now)
    found = reprice_lines(quote(line(BAG, 10, before="50.00"), before="50.00"), new, old)
    assert found.total is not None
    assert (found.total.amount, found.total.complete) == ("56.20", True)
    assert (found.change, found.change_percent, found.moved, found.compared_lines) == (None, None, (), 0)
    taxed, untaxed = ("test-yard@1", "test-yard@2") if then == "true" else ("test-yard@2", "test-yard@1")
    assert found.because == f"prices of {taxed} include tax, those of {untaxed} do not"


def test_why_there_is_no_change_is_said(new: PriceBook) -> None:
    assert reprice_lines(quote(line(BAG, 10)), new).because == ""
    part = reprice_lines(quote(line(BAG, 10), line(BASE, 1)), new)
    assert (part.change, part.because) == (None, "not every line of the order has a price")


def test_nothing_before_has_no_percent(new: PriceBook) -> None:
    found = reprice_lines(quote(line(BAG, 1), before="0.00"), new)
    assert found.change is not None
    assert (found.change.amount, found.change_percent) == ("5.62", None)


CENTS = st.integers(1, 99_999).map(lambda cents: Decimal(cents) / 100)
ITEMS = (BAG, HANGER, BASE, SCREW)


@given(prices=st.tuples(*(CENTS,) * len(ITEMS)), counts=st.tuples(*(st.integers(1, 500),) * len(ITEMS)))
def test_twice_every_price_is_twice_the_total(prices: tuple[Decimal, ...], counts: tuple[int, ...]) -> None:
    """Without breaks and with prices of whole cents nothing is rounded."""
    lines = "".join(
        f"{item},S,One,each,,{price:.2f},,,in_stock,\n" for item, price in zip(ITEMS, prices, strict=True)
    )
    once = book(lines)
    twice = replace(once, lines=tuple(replace(one, unit_price=2 * one.unit_price) for one in once.lines))
    given = quote(*(line(item, count) for item, count in zip(ITEMS, counts, strict=True)))
    totals = [reprice_lines(given, one).total for one in (once, twice)]
    assert all(totals)
    small, large = (Decimal(total.amount) for total in totals if total)
    assert large == 2 * small == 2 * sum(p * n for p, n in zip(prices, counts, strict=True))


@given(counts=st.lists(st.integers(1, 200), min_size=2, max_size=6))
def test_the_order_of_lines_does_not_matter(counts: list[int]) -> None:
    prices = book(NEW)
    kinds = ((BAG, "bag"), (HANGER, "each"), (NAIL, "box"))
    lines = [line(kinds[n % 3][0], count, unit=kinds[n % 3][1]) for n, count in enumerate(counts)]
    one, other = (reprice_lines(quote(*order), prices) for order in (lines, lines[::-1]))
    assert one.total == other.total

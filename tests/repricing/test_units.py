"""The unit of a quantity: pieces are never priced as boxes. Sums by hand from the prices in conftest.py."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st
from repricing.conftest import BAG, BOARD, HANGER, NAIL, NEW, OLD, book, line, quote

from service.contract.repricing_answer import Repricing
from service.repricing.reprice import reprice_lines
from service.rules.price_book import PriceBook

SHORT_NAIL = "nail.10d_1-1-2in.hot_dip_galvanized"
TAPE = "flashing_tape.4in.butyl"


def _total(found: Repricing) -> tuple[str, bool]:
    assert found.total is not None
    return found.total.amount, found.total.complete


def test_nails_are_not_priced_as_boxes(desk: Any) -> None:
    """304 nails, unpriced by @1, come in 2 boxes of 300 at 18.60 in @2: 37.20, not 304 x 18.60 = 5,654.40."""
    first, second = (desk.snapshot.price_books.versions["brindlemoor-yard", n] for n in (1, 2))
    assert first.line(SHORT_NAIL) is None
    for previous in (None, first):
        said = reprice_lines(quote(line(SHORT_NAIL, 304, unit="each")), second, previous)
        assert _total(said) == ("37.20", True)
        assert said.packs_assumed == ()
    silent = reprice_lines(quote(line(SHORT_NAIL, 304)), second, first)
    assert _total(silent) == ("0.00", False)
    assert silent.change is None
    (unpriced,) = silent.unpriced
    because = f"{SHORT_NAIL} is sold by the box of 300: say the unit of the quantity"
    assert (unpriced.quantity, unpriced.because) == (304, because)


def test_without_a_unit_and_an_earlier_book_packs_are_assumed_and_named(desk: Any) -> None:
    """2 boxes at 18.60."""
    second = desk.snapshot.price_books.versions["brindlemoor-yard", 2]
    found = reprice_lines(quote(line(SHORT_NAIL, 2)), second)
    assert _total(found) == ("37.20", True)
    assert found.packs_assumed == (SHORT_NAIL,)


@pytest.mark.parametrize(
    ("given", "total"),
    [
        (line(NAIL, 100, unit="each"), "4.10"),  # one box of 100
        (line(NAIL, 101, unit="piece"), "8.20"),  # two
        (line(NAIL, 2, unit="box"), "8.20"),  # boxes of the book asked for
        (line(HANGER, 3, unit="piece"), "7.04"),  # 3 x 2.3450 = 7.035
        (line(BAG, 3, unit="bag"), "16.86"),  # 3 x 5.62
    ],
)
def test_a_unit_that_is_said_is_converted(given: dict[str, Any], total: str, new: PriceBook) -> None:
    assert _total(reprice_lines(quote(given), new)) == (total, True)


@pytest.mark.parametrize(
    ("given", "unit"),
    [
        (line(NAIL, 5, unit="lb"), "box"),
        (line(NAIL, 2, unit="roll"), "box"),
        (line(BAG, 2, unit="cuyd"), "bag"),
        (line(HANGER, 2, unit="box"), "each"),  # nobody says how many are in one
        (line(BOARD, 24, 12, unit="lineal_ft"), "piece"),
    ],
)
def test_a_unit_that_does_not_convert_has_no_price(given: dict[str, Any], unit: str, new: PriceBook) -> None:
    found = reprice_lines(quote(given), new)
    assert _total(found) == ("0.00", False)
    (unpriced,) = found.unpriced
    assert unpriced.unit == given["unit"]
    assert unpriced.because.endswith(f"is sold by the {unit}, and the quantity is by the {given['unit']}")


def test_the_unit_that_is_said_goes_before_that_of_the_earlier_book(old: PriceBook, new: PriceBook) -> None:
    """251 nails: two boxes of 250 at 9.50 = 19.00 then, three of 100 at 4.10 = 12.30 now."""
    found = reprice_lines(quote(line(NAIL, 251, unit="each")), new, old)
    assert _total(found) == ("12.30", True)
    assert found.moved[0].previous_extended.amount == "19.00"


def test_an_item_the_earlier_book_was_out_of_was_counted_in_pieces(new: PriceBook) -> None:
    out = book(OLD.replace(",250,in_stock", ",250,out"), version=1)
    assert _total(reprice_lines(quote(line(NAIL, 304)), new, out)) == ("0.00", False)


def test_a_roll_of_tape_holds_feet() -> None:
    """40 ft are one roll of 50 ft at 27.50; 40 tapes are no 40 ft."""
    prices = book(f"{TAPE},T,Tape,roll,,27.50,,50,in_stock,\n")
    assert _total(reprice_lines(quote(line(TAPE, 40, unit="lineal_ft")), prices)) == ("27.50", True)
    assert _total(reprice_lines(quote(line(TAPE, 2, unit="roll")), prices)) == ("55.00", True)
    assert _total(reprice_lines(quote(line(TAPE, 40, unit="each")), prices)) == ("0.00", False)


def test_part_of_a_box_is_a_box_before_it_is_converted(old: PriceBook) -> None:
    """1.1 boxes of 250 are bought as 2: four boxes of 125 at 5.00 = 20.00, against 2 x 9.50 = 19.00."""
    prices = book(f"{NAIL},N-1,Nails,box,,5.00,,125,in_stock,\n")
    found = reprice_lines(quote(line(NAIL, 1.1)), prices, old)
    assert _total(found) == ("20.00", True)
    assert found.moved[0].previous_extended.amount == "19.00"


def test_like_lines_are_one_line(old: PriceBook, new: PriceBook) -> None:
    """5 + 5 of 12 ft: 10 x 15.90 = 159.00 against 10 x 15.00; the bags between them stay where they are."""
    given = quote(line(BOARD, 5, 12), line(BAG, 1), line(BOARD, 5, 12, unit="piece"))
    found = reprice_lines(given, new, old)
    assert _total(found) == ("164.62", True)  # and 5.62
    assert [(one.item, one.quantity, one.change.amount) for one in found.moved] == [
        (BOARD, 10, "9.00"),
        (BAG, 1, "0.62"),
    ]
    assert found.compared_lines == 2


def test_amounts_of_like_lines_are_summed_where_all_have_one(old: PriceBook, new: PriceBook) -> None:
    """40.00 + 2.00; where one is silent the earlier book speaks for all of them: 11 x 5.00."""
    both = reprice_lines(quote(line(BAG, 10, before="40.00"), line(BAG, 1, before="2.00")), new, old)
    assert both.moved[0].previous_extended.amount == "42.00"
    one = quote(line(BAG, 10, before="40.00"), line(BAG, 1))
    assert reprice_lines(one, new, old).moved[0].previous_extended.amount == "55.00"
    assert reprice_lines(one, new).moved == ()


@drawn(counts=st.lists(st.integers(1, 60), min_size=1, max_size=8))
def test_an_order_split_into_lines_costs_the_same(counts: list[int]) -> None:
    prices = book(NEW)
    for item, unit in ((BAG, "bag"), (HANGER, "each"), (NAIL, "each")):
        apart = reprice_lines(quote(*(line(item, count, unit=unit) for count in counts)), prices)
        whole = reprice_lines(quote(line(item, sum(counts), unit=unit)), prices)
        assert apart.total == whole.total

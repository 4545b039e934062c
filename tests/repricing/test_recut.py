"""Pieces cut anew; every sum is worked by hand from the prices in conftest.py."""

from __future__ import annotations

from typing import Any

import pytest
from repricing.conftest import BAG, BASE, BOARD, NEW, book, line, quote

from service.contract.repricing_answer import Recut
from service.repricing.reprice import reprice_lines
from service.rules.price_book import PriceBook

OTHER = "lumber.2x8.southern_pine.no_2.uc3b"


def piece(length_in: float, quantity: int, item: str = BOARD) -> dict[str, Any]:
    return {"item": item, "length_in": length_in, "quantity": quantity}


def recut(prices: PriceBook, lines: list[dict[str, Any]], *pieces: dict[str, Any]) -> Recut:
    found = reprice_lines(quote(*lines, pieces=pieces), prices).recut
    assert found is not None
    return found


def test_two_from_one_long_board_now_cost_less(new: PriceBook) -> None:
    """Four of 94 in were four of 8 ft: 4 x 11.20 = 44.80. Two and a kerf are 188.125 in, within 16 ft: 2 x 18.00."""
    found = recut(new, [line(BOARD, 4, 8)], piece(94, 4))
    assert (found.cost_as_listed.amount, found.cost_recut.amount, found.saving.amount) == (
        "44.80",
        "36.00",
        "8.80",
    )
    (board,) = found.boards
    assert (board.length_ft, board.count, board.cuts_in) == (16, 2, (94, 94))
    assert board.offcut_in == 192 - 2 * 94 - 2 * 0.125
    assert (found.only_recut, found.left_out) == ((), ())


def test_at_the_old_prices_nothing_was_to_be_saved(old: PriceBook) -> None:
    """4 x 10.00 = 40.00 against 2 x 22.00 = 44.00."""
    found = recut(old, [line(BOARD, 4, 8)], piece(94, 4))
    assert (found.cost_recut.amount, found.saving.amount) == ("40.00", "0.00")


def test_a_quantity_break_can_make_the_list_cheaper() -> None:
    """The plan goes by list prices: ten of 12 ft are 168.00, of 16 ft 160.00. With its break the list costs 150.00."""
    prices = book(
        f"{BOARD},B-12,Board,piece,12,16.80,10:15.00,,in_stock,\n{BOARD},B-16,Board,piece,16,16.00,,,in_stock,\n"
    )
    found = recut(prices, [line(BOARD, 10, 12)], piece(140, 10))
    assert (found.cost_as_listed.amount, found.cost_recut.amount, found.saving.amount) == (
        "150.00",
        "160.00",
        "-10.00",
    )
    assert found.because.startswith("as listed the boards cost less: a quantity break")


def test_boards_out_of_stock_are_cut_from_others(new: PriceBook) -> None:
    found = recut(new, [line(BOARD, 2, 14)], piece(160, 2))
    assert (found.only_recut, found.cost_recut.amount, found.saving.amount) == ((BOARD,), "0.00", "0.00")
    assert [(board.length_ft, board.count) for board in found.boards] == [(16, 2)]


def test_what_cannot_be_judged_is_named_and_in_no_sum(new: PriceBook) -> None:
    found = recut(
        new,
        [line(BOARD, 4, 8), line(BAG, 1), line(OTHER, 1, 8)],
        piece(94, 4),
        piece(90, 1, OTHER),
        piece(5, 1, BASE),
    )
    assert found.saving.amount == "8.80"
    assert [(one.item, one.because) for one in found.left_out] == [
        (OTHER, f"{OTHER} cannot be bought in any length"),
        (BASE, f"no line lists boards of {BASE}"),
    ]
    long = recut(new, [line(BOARD, 4, 8)], piece(200, 1))
    assert long.boards == ()
    assert "longer than the longest stock length" in long.left_out[0].because


@pytest.mark.parametrize(
    ("listed", "pieces"),
    [
        # 4 x 94 = 376 in from 3 x 96 = 288 in
        ([line(BOARD, 3, 8)], [piece(94, 4)]),
        # 10 x 60 = 600 in from 7 x 96 = 672 in, but 2 x 60 do not fit into 96
        ([line(BOARD, 7, 8)], [piece(60, 10)]),
        # none of 8 ft holds 100 in
        ([line(BOARD, 9, 8)], [piece(100, 1), piece(20, 3)]),
    ],
)
def test_boards_that_do_not_hold_the_pieces_are_compared_with_nothing(
    listed: list[dict[str, Any]], pieces: list[dict[str, Any]], new: PriceBook
) -> None:
    found = recut(new, listed, *pieces)
    assert (found.cost_as_listed.amount, found.cost_recut.amount, found.saving.amount) == (
        "0.00",
        "0.00",
        "0.00",
    )
    assert found.only_recut == (BOARD,)
    assert found.because == f"the boards listed of {BOARD} do not hold the pieces"
    assert sum(len(one.cuts_in) * one.count for one in found.boards) == sum(one["quantity"] for one in pieces)


def test_boards_that_just_hold_the_pieces_are_compared(new: PriceBook) -> None:
    """Two of 95-15/16 in and a kerf are 192 in: one of 16 ft, 18.00, listed and anew."""
    found = recut(new, [line(BOARD, 1, 16)], piece(95.9375, 2))
    assert (found.cost_as_listed.amount, found.saving.amount, found.because) == ("18.00", "0.00", "")


def test_like_lines_reach_their_break_before_a_saving_is_claimed() -> None:
    """5 + 5 of 12 ft reach the break at 10: 10 x 15.90 = 159.00, listed and anew; apart they were 168.00."""
    prices = book(f"{BOARD},B-12,Board,piece,12,16.80,10:15.90,,in_stock,\n")
    given = quote(line(BOARD, 5, 12), line(BOARD, 5, 12, unit="each"), pieces=(piece(140, 10),))
    found = reprice_lines(given, prices)
    assert found.total is not None
    assert found.total.amount == "159.00"
    assert found.recut is not None
    assert (found.recut.cost_as_listed.amount, found.recut.saving.amount) == ("159.00", "0.00")


def test_without_pieces_nothing_is_said(new: PriceBook) -> None:
    assert reprice_lines(quote(line(BOARD, 4, 8)), new).recut is None


def test_every_piece_is_in_the_new_plan_once() -> None:
    lengths = [(141.0, 13), (94.5, 4), (22.5, 12), (190.0, 2)]
    found = recut(book(NEW), [line(BOARD, 20, 12)], *(piece(length, count) for length, count in lengths))
    cut = sorted(length for board in found.boards for length in board.cuts_in * board.count)
    assert cut == sorted(length for length, count in lengths for _ in range(count))
    for board in found.boards:
        used = sum(board.cuts_in) + 0.125 * (len(board.cuts_in) - 1)
        assert used <= 12 * board.length_ft

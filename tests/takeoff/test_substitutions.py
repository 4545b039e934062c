"""What is ordered in place of what is out of stock: never smaller, weaker, less treated or another species."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from order_decks import ordered, short_of

from service.contract.report import DesignReport
from service.rules.price_book import PriceBook
from service.takeoff.csv_form import as_csv
from service.takeoff.items import GRAMMAR, is_item
from service.takeoff.ladders import Ladders, PriceLadder
from service.takeoff.substitutes import COATINGS, GRADES, TREATMENTS, substitutes

DECK = "hand-counted"
PINE = "southern_pine.no_2"
HDG, SS = "hot_dip_galvanized", "stainless_steel"
JOIST = f"lumber.2x8.{PINE}.uc3b"


def total(report: DesignReport) -> Decimal:
    assert report.takeoff.total is not None
    return Decimal(report.takeoff.total.amount)


def test_nothing_is_replaced_while_everything_is_in_stock() -> None:
    assert ordered(DECK).takeoff.substitutions == ()


def test_joists_out_in_every_length_come_better_treated() -> None:
    report = short_of(DECK, (JOIST, None))
    (one,) = report.takeoff.substitutions
    assert (one.item, one.instead, one.length_ft, one.unit) == (
        JOIST,
        f"lumber.2x8.{PINE}.uc4a",
        None,
        "piece",
    )
    # 13 joists, a rim, 14 and 8 blocks
    assert one.quantity == 13 + 1 + 14 + 8
    assert {"main.joists-1", "main.rim-1"} <= set(one.members)
    assert not [p for p in report.takeoff.pieces if p.item == JOIST]
    assert report.takeoff.unpriced == ()
    assert report.takeoff.total is not None
    assert report.takeoff.total.complete
    # piece by piece at list price: near what the whole order costs more
    assert one.cost_difference is not None
    more = total(report) - total(ordered(DECK))
    assert float(one.cost_difference.amount) == pytest.approx(float(more), rel=0.1)
    assert "items_substituted" in {caution.code for caution in report.cautions}


def test_a_length_that_is_out_is_cut_from_others_and_says_what_that_costs() -> None:
    report = short_of(DECK, (JOIST, 12.0))
    (one,) = report.takeoff.substitutions
    assert (one.item, one.instead, one.length_ft, one.quantity) == (JOIST, JOIST, 12.0, 14)
    assert not [line for line in report.takeoff.stock if line.item == JOIST and line.length_ft == 12.0]
    assert one.cost_difference is not None
    assert Decimal(one.cost_difference.amount) == total(report) - total(ordered(DECK)) > 0
    assert "12 ft" in one.because


def test_only_pieces_no_length_in_stock_holds_are_replaced() -> None:
    report = short_of(DECK, *((JOIST, float(length)) for length in (12, 14, 16, 18, 20)))
    moved = [one for one in report.takeoff.substitutions if one.instead != one.item]
    # joists of 141 in are longer than the 10 ft that are left; blocks are not, and the rim is butted on a joist
    assert [(one.item, one.quantity) for one in moved] == [(JOIST, 13)]
    assert {p.length_in for p in report.takeoff.pieces if p.item == JOIST} == {96.0, 14.5, 13.75}


def test_a_stainless_hanger_is_hung_with_stainless_nails() -> None:
    report = short_of(DECK, (f"joist_hanger.2x8.1ply.{HDG}", None))
    replaced = {one.item: one for one in report.takeoff.substitutions}
    plain = replaced[f"joist_hanger.2x8.1ply.{HDG}"]
    assert (plain.instead, plain.quantity) == (f"joist_hanger.2x8.1ply.{SS}", 11)
    assert plain.cost_difference is not None
    # 11 at 6.13 in place of 11 at 2.27
    assert plain.cost_difference.amount == "42.46"
    assert f"joist_hanger.2x8.1ply.{HDG}.concealed_flange" in replaced
    nails = {line.item: line for line in report.takeoff.hardware if line.item.startswith("nail.10d.")}
    assert nails[f"nail.10d.{SS}"].members == ("main.joists-1",)
    assert nails[f"nail.10d.{SS}"].quantity == 1  # a box of 400 holds 13 times 12


def test_a_longer_lag_screw_stands_in() -> None:
    report = short_of(DECK, (f"lag_screw.1-2in.4in.{HDG}", None))
    (one,) = report.takeoff.substitutions
    assert (one.instead, one.quantity) == (f"lag_screw.1-2in.4-1-2in.{HDG}", 14)
    # 14 at 2.08 in place of 14 at 1.89
    assert one.cost_difference is not None
    assert one.cost_difference.amount == "2.66"


def test_what_nothing_stands_in_for_is_named_and_the_total_is_incomplete() -> None:
    report = short_of(DECK, ("decking.5-4x6.wood", None), (f"post_cap.6x6.2ply.{HDG}", None),
                      (f"post_cap.6x6.2ply.{SS}", None))  # fmt: skip
    assert {one.item for one in report.takeoff.unpriced} == {"decking.5-4x6.wood", f"post_cap.6x6.2ply.{HDG}"}
    assert all("out of stock" in one.because for one in report.takeoff.unpriced)
    assert report.takeoff.total is not None
    assert not report.takeoff.total.complete
    assert "unpriced_lines" in {caution.code for caution in report.cautions}


def test_another_size_of_joist_is_a_frame_of_its_own_not_a_substitute() -> None:
    assert short_of(DECK, framing={}).levels[0].joists[0].size == "2x8"
    report = short_of(DECK, (f"lumber.2x8.{PINE}", None), framing={})
    assert report.levels[0].joists[0].size != "2x8"
    assert report.takeoff.total is not None
    assert report.takeoff.total.complete


def test_the_list_in_csv_says_what_stands_in_for_what() -> None:
    report = short_of(DECK, (f"lag_screw.1-2in.4in.{HDG}", None))
    text = as_csv(report.takeoff, report.verdict.status, report.cautions)
    (row,) = (line for line in text.splitlines() if line.startswith(f"item,lag_screw.1-2in.4-1-2in.{HDG}"))
    assert f"in_stock,lag_screw.1-2in.4in.{HDG},main.ledger-1" in row


def test_what_has_to_be_ordered_is_named() -> None:
    piles = [
        one
        for one in ordered("helical-freestanding-near-salt").takeoff.hardware
        if one.item.startswith("helical")
    ]
    assert {one.availability for one in piles} == {"to_order"}
    assert {one.availability for one in ordered(DECK).takeoff.hardware} == {"in_stock"}


def test_a_search_prices_what_stands_in(prices: PriceBook) -> None:
    out = replace(prices, lines=tuple(
        replace(line, availability="out") if line.item == JOIST else line for line in prices.lines
    ))  # fmt: skip
    assert PriceLadder(out).price_per_piece(JOIST, 141.0) == PriceLadder(prices).price_per_piece(
        f"lumber.2x8.{PINE}.uc4a", 141.0
    )
    assert Ladders(out).longest_in(JOIST) == 240.0


def classes(code: str) -> dict[str, Any]:
    """A code's attributes by name, with its kind."""
    kind, *words = code.split(".")
    (form,) = (one for one in GRAMMAR if one.kind == kind)
    return {"kind": kind, **dict(zip((*form.attributes, *form.optional), words, strict=False))}


RANKS = {"coating": COATINGS, "treatment": TREATMENTS, "grade": GRADES}


@given(st.data())
def test_a_substitute_is_the_same_but_for_a_higher_class_or_more_length(data: st.DataObject) -> None:
    form = data.draw(st.sampled_from(GRAMMAR))
    words = [
        data.draw(st.sampled_from(RANKS[name]))
        if name in RANKS
        else data.draw(st.sampled_from(["1-2in", "4in", "3-1-2in", "10in"]))
        if name in ("length", "diameter")
        else data.draw(st.sampled_from(["2x8", "6x6", "southern_pine", "1ply", "tube"]))
        for name in form.attributes
    ]
    code = ".".join([form.kind, *words])
    found = list(substitutes(code))
    assert code not in found
    for other in found:
        assert is_item(other)
        before, after = classes(code), classes(other)
        for name, word in before.items():
            if name in RANKS:
                assert RANKS[name].index(after[name]) >= RANKS[name].index(word)
            elif name == "length":
                assert after[name] == word or form.kind in ("lag_screw", "ledger_fastener", "decking_screw")
            else:
                assert after[name] == word

"""Decks designed again, and the frame that was quoted against a free one."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from typing import Any

import msgspec
import pytest
from repricing.conftest import EXAMPLES, with_prices

from service.contract.problem import Rejected
from service.contract.report import Verdict
from service.contract.repricing import RepricingSpec, repricing_spec
from service.contract.repricing_answer import Repricing
from service.pipeline import design
from service.repricing.frames import frame_change, freed
from service.repricing.lines import lines_of
from service.repricing.recut import pieces_of
from service.repricing.reprice import reprice_lines
from service.rules.price_book import PriceBook
from service.store.snapshot import Shelf
from service.web.desk import Desk
from service.web.open_quotes import reprice_quote
from service.web.resolve import context_of, read_spec

NAMES = sorted(
    p.stem for p in EXAMPLES.glob("*.json") if p.name != "answers.json" and ".answer" not in p.name
)
DECK = "clipped-corner"


def _quote(name: str, framing: dict[str, Any] | None = None, **fields: Any) -> bytes:
    spec = json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))
    if framing:
        spec["framing"] = {**spec.get("framing", {}), **framing}
    total = {"currency": "USD", "amount": "1500.00"}
    return json.dumps({"reference": name, "spec": spec, "previous_total": total, **fields}).encode()


def _desk_with(desk: Desk, book: PriceBook) -> Desk:
    """The desk once a later version of the book is there."""
    shelf = desk.snapshot.price_books
    key = (book.id, book.version)
    later = Shelf(shelf.sort, {**shelf.versions, key: book}, {**shelf.states, key: "in_force"}, {})
    return replace(desk, snapshot=replace(desk.snapshot, price_books=later))


@pytest.mark.parametrize("name", NAMES)
def test_the_lines_of_a_takeoff_come_to_its_total(name: str, desk: Desk, yard: PriceBook) -> None:
    """What POST /v1/takeoffs lists, sent back line by line, costs what it says; cut anew it saves nothing."""
    spec = read_spec((EXAMPLES / f"{name}.json").read_bytes(), desk)
    takeoff = design(spec, replace(context_of(spec, desk), prices=yard)).takeoff
    given = {
        "reference": "R",
        "previous_total": {"currency": "USD", "amount": "0.00"},
        "lines": msgspec.to_builtins(lines_of(takeoff)),
        "pieces": msgspec.to_builtins(pieces_of(takeoff)),
    }
    found = reprice_lines(msgspec.convert(given, RepricingSpec), yard)
    assert takeoff.total is not None
    assert found.total is not None
    assert found.total.amount == takeoff.total.amount
    assert found.recut is not None
    assert found.recut.saving.amount == "0.00"
    boards = sum(one.count for one in found.recut.boards)
    nobody_sells = {one.item for one in found.recut.left_out}
    assert nobody_sells <= {one.item for one in takeoff.unpriced}
    bought = [one for one in (*takeoff.stock, *takeoff.decking) if one.item not in nobody_sells]
    assert boards == sum(one.quantity for one in bought) > 0


def test_a_spec_without_pins_or_an_earlier_book(desk: Desk, yard: PriceBook) -> None:
    """The design itself, as POST /v1/designs gives it, and nothing to compare its frame with."""
    found = reprice_quote(_quote(DECK), desk, yard)
    spec = read_spec((EXAMPLES / f"{DECK}.json").read_bytes(), desk)
    report = design(spec, replace(context_of(spec, desk), prices=yard))
    assert found.total == report.takeoff.total
    assert found.design is not None
    assert (found.design.design_id, found.design.verdict) == (report.design_id, report.verdict)
    assert (found.design.cautions, found.design.rulebook) == (report.cautions, report.rulebook)
    assert (found.frame, found.recut, found.moved) == (None, None, ())
    assert found.change is not None
    assert Decimal(found.change.amount) == Decimal(report.takeoff.total.amount) - 1500


@pytest.fixture(scope="module")
def quoted(desk: Desk, yard: PriceBook) -> str:
    """The size of the joists as quoted: prices of that size are what the tests below change."""
    spec = read_spec((EXAMPLES / f"{DECK}.json").read_bytes(), desk)
    return design(spec, replace(context_of(spec, desk), prices=yard)).levels[0].joists[0].size


@pytest.fixture(scope="module")
def dearer(desk: Desk, yard: PriceBook, quoted: str) -> Repricing:
    """The quote once its joists' size costs four times as much overnight: frames of it are no longer the cheapest."""
    dear = with_prices(yard, {f"lumber.{quoted}.": "4"})
    return reprice_quote(_quote(DECK, previous_price_book="brindlemoor-yard@2"), _desk_with(desk, dear), dear)


def test_another_frame_is_cheaper_once_its_size_is_dear(dearer: Repricing, quoted: str) -> None:
    change = dearer.frame
    assert change is not None
    assert (change.another_frame_cheaper, change.quoted_from) == (True, "previous_price_book")
    assert quoted in change.kept.summary
    assert quoted not in change.cheapest.summary
    saving = Decimal(change.kept.total.amount) - Decimal(change.cheapest.total.amount)
    assert Decimal(change.saving.amount) == saving > 0
    assert dearer.total == change.kept.total


def test_the_lines_that_moved_are_those_whose_price_did(dearer: Repricing, quoted: str) -> None:
    assert dearer.moved
    assert all(one.item.startswith(f"lumber.{quoted}.") for one in dearer.moved)
    for one in dearer.moved:
        assert Decimal(one.extended.amount) == 4 * Decimal(one.previous_extended.amount)
    assert dearer.compared_lines > len(dearer.moved)


def test_at_the_prices_of_the_quote_the_frame_stays(desk: Desk, yard: PriceBook) -> None:
    found = reprice_quote(_quote(DECK, previous_price_book="brindlemoor-yard@2"), desk, yard)
    assert found.frame is not None
    assert (found.frame.another_frame_cheaper, found.frame.saving.amount) == (False, "0.00")
    assert found.frame.cheapest == found.frame.kept
    assert found.moved == ()
    assert found.recut is not None
    assert found.recut.saving.amount == "0.00"


def test_a_long_board_that_got_cheap_saves_by_cutting_anew(desk: Desk, yard: PriceBook, quoted: str) -> None:
    """A 20 ft joist at the price of an 8 ft one: every listed board is the dearer way to have its pieces."""
    of_size = [one for one in yard.lines if one.item.startswith(f"lumber.{quoted}.")]
    short = {one.item: one.unit_price for one in of_size if one.length_ft == 8}
    lines = tuple(
        replace(one, unit_price=short[one.item], breaks=()) if one in of_size and one.length_ft == 20 else one
        for one in yard.lines
    )
    cheap = replace(yard, version=9, lines=lines, digest="2" * 64)
    body = _quote(DECK, previous_price_book="brindlemoor-yard@2")
    found = reprice_quote(body, _desk_with(desk, cheap), cheap)
    assert found.recut is not None
    assert Decimal(found.recut.saving.amount) > 0
    assert {board.length_ft for board in found.recut.boards if board.item in short} == {20}


def test_a_box_of_another_size_is_no_dearer_deck(desk: Desk, yard: PriceBook) -> None:
    """Boxes of half as many at half the price: a line of n costs n/2 x the old price now; before, ceil(n/2) x it.

    So at least as much before, by half a box at most: a price that fell or stood, never one that doubled.
    """
    half = tuple(
        replace(one, unit_price=one.unit_price / 2, breaks=(), pack_quantity=one.pack_quantity // 2)
        if one.unit == "box" and one.pack_quantity and one.pack_quantity % 2 == 0
        else one
        for one in yard.lines
    )
    later = replace(yard, version=9, lines=half, digest="3" * 64)
    body = _quote(DECK, previous_price_book="brindlemoor-yard@2")
    found = reprice_quote(body, _desk_with(desk, later), later)
    boxes = [one for one in found.moved if one.unit == "box"]
    assert boxes
    for one in boxes:
        old = yard.line(one.item)
        assert old is not None
        whole = (int(one.quantity) + 1) // 2
        assert Decimal(one.previous_extended.amount) == whole * old.unit_price
        assert -old.unit_price / 2 - 1 < Decimal(one.change.amount) <= 0


def test_a_deck_that_comes_to_more_than_money_is_written_with_is_refused(desk: Desk, yard: PriceBook) -> None:
    """A million times 1,000 and more is 1,000,000,000 and more; the highest amount is 999,999,999.99."""
    spec = read_spec((EXAMPLES / f"{DECK}.json").read_bytes(), desk)
    priced = replace(context_of(spec, desk), prices=yard)
    total = design(spec, priced).takeoff.total
    assert total is not None
    assert Decimal(total.amount) > 1000
    dear = with_prices(yard, {"": "1000000"})
    with pytest.raises(Rejected) as refused:
        design(spec, replace(priced, prices=dear))
    assert [(one.pointer, one.code) for one in refused.value.faults] == [("", "out_of_range")]
    with pytest.raises(Rejected) as refused:
        reprice_quote(_quote(DECK), desk, dear)
    (fault,) = refused.value.faults
    assert (refused.value.code, fault.pointer, fault.code) == ("invalid_spec", "/spec", "out_of_range")
    assert fault.allowed is not None
    assert fault.allowed.max == "999999999.99"


def test_pins_are_what_was_quoted(desk: Desk, yard: PriceBook) -> None:
    found = reprice_quote(_quote(DECK, {"joist_size": "2x12", "joist_spacing_in": 12}), desk, yard)
    change = found.frame
    assert change is not None
    assert (change.another_frame_cheaper, change.quoted_from) == (True, "pins")
    assert "2x12 at 12 in" in change.kept.summary
    assert Decimal(change.cheapest.total.amount) < Decimal(change.kept.total.amount)
    assert found.total == change.kept.total


def test_a_worse_verdict_or_half_an_order_is_no_cheaper_frame(desk: Desk, yard: PriceBook) -> None:
    quote = repricing_spec(_quote(DECK, {"joist_size": "2x12", "joist_spacing_in": 12}))
    assert quote.spec is not None
    context = replace(context_of(quote.spec, desk), prices=yard)
    kept, free = design(quote.spec, context), design(freed(quote.spec), context)
    cheaper = frame_change(kept, free, "pins")
    assert cheaper is not None
    assert cheaper.another_frame_cheaper
    worse = msgspec.structs.replace(free, verdict=Verdict(status="engineer_required", reasons=()))
    assert free.takeoff.total is not None
    half = msgspec.structs.replace(free.takeoff.total, complete=False)
    part = msgspec.structs.replace(free, takeoff=msgspec.structs.replace(free.takeoff, total=half))
    for other in (worse, part):
        found = frame_change(kept, other, "pins")
        assert found is not None
        assert (found.another_frame_cheaper, found.saving.amount) == (False, "0.00")
        assert found.cheapest == found.kept
    nothing = msgspec.structs.replace(free, takeoff=msgspec.structs.replace(free.takeoff, total=None))
    assert frame_change(kept, nothing, "pins") is None


def test_pins_that_cannot_stand_keep_their_verdict(desk: Desk, yard: PriceBook) -> None:
    found = reprice_quote(_quote(DECK, {"joist_size": "2x6", "joist_spacing_in": 24}), desk, yard)
    assert found.frame is not None
    assert found.design is not None
    assert found.frame.kept.verdict == found.design.verdict.status == "not_permitted"


def test_currencies_within_a_spec_are_the_book_s(desk: Desk, yard: PriceBook) -> None:
    with pytest.raises(Rejected) as refused:
        reprice_quote(_quote(DECK, {"cost_ceiling": {"currency": "SEK", "amount": "10.00"}}), desk, yard)
    assert [fault.pointer for fault in refused.value.faults] == ["/spec/framing/cost_ceiling/currency"]

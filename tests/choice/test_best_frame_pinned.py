"""The frame answered, posted back with every size pinned, is the same frame at the same cost.

`PYTHONPATH=.:tests python -m choice.pinned 300` does so for 300 decks of any space.
"""

from __future__ import annotations

from functools import cache

from choice.brute_decks import case_of
from choice.pinned import Again, again, every, free_deck, pinned_to
from context import designed, spec_of

from service.choice.search.decide import decide

DECKS = 16


@cache
def found() -> tuple[Again, ...]:
    return tuple(every(DECKS))


def test_pinned_to_itself_a_frame_is_answered_again() -> None:
    said = [f"seed {one.deck.seed}: {text}" for one in found() for text in one.wrong]
    assert not said, "\n".join(said)


def test_the_decks_are_of_every_kind() -> None:
    assert sum(one.status == "prescriptive" for one in found()) > DECKS / 3
    assert sum(one.proven for one in found()) > DECKS / 2
    assert any("outline_ft" in one.deck.given["levels"][0] for one in found())
    assert {one.deck.given["framing"]["attachment"] for one in found()} == {"auto", "ledger", "freestanding"}


def test_the_whole_answer_is_the_same_but_for_the_pins() -> None:
    """Through the whole pipeline: verdict, members, footings, checks and the order of one deck."""
    deck = next(one.deck for one in found() if one.proven and one.status == "prescriptive")
    first = designed(deck.spec, deck.where)
    chosen = decide(case_of(deck)).chosen
    assert chosen is not None
    second = designed(spec_of(**pinned_to(deck, chosen)), deck.where)
    for part in ("verdict", "levels", "posts", "footings", "checks", "takeoff"):
        assert getattr(first, part) == getattr(second, part), part
    assert all(check.passes for check in second.checks if check.basis != "calculated")


def test_other_pins_come_out_different() -> None:
    """The comparison can fail: with a joist size that was not chosen the frame is another."""
    deck = free_deck(next(one.deck.seed for one in found() if one.proven and one.status == "prescriptive"))
    chosen = decide(case_of(deck)).chosen
    assert chosen is not None
    pinned = pinned_to(deck, chosen)
    other = "2x12" if pinned["framing"]["joist_size"] != "2x12" else "2x10"
    framing = {**pinned["framing"], "joist_size": other, "one_size": False}
    other_frame = decide(case_of(deck, {**pinned, "framing": framing})).chosen
    assert other_frame is None or other_frame.layout.joist_size == other
    assert other_frame is None or other_frame.price != chosen.price


def test_a_ledger_is_as_long_boarded_whatever_joists_are_left_open() -> None:
    """An L of Douglas fir whose 2x6 joists hang on a 2x8 ledger, sold to 16 ft: pinned, its fasteners stay as many."""
    assert again(free_deck(210)).wrong == []

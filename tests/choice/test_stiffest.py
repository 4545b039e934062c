"""The stiffest frame within what it may cost: one ceiling for the deck, whichever way it is supported."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from choice.priced_cases import HOUSE, case_of
from context import NOWHERE, context, designed, prices, spec_of

from service.choice.search.decide import Decision, decide

DECKS: tuple[tuple[float, float, float], ...] = ((16, 12, 36), (20, 12, 36), (14, 10, 30))


def decided(deck: tuple[float, float, float], **framing: Any) -> Decision:
    width_ft, projection_ft, height_in = deck
    level = {"width_ft": width_ft, "projection_ft": projection_ft, "surface_height_in": height_in}
    house = {**HOUSE, "door_sill_height_in": height_in + 1.5}
    return decide(case_of(levels=[level], house=house, framing=framing))


def order_of(found: Decision) -> float:
    assert found.chosen is not None
    assert found.chosen.takeoff.total is not None
    return float(found.chosen.takeoff.total.amount)


@pytest.mark.parametrize("deck", DECKS)
def test_without_a_ceiling_it_costs_no_more_than_a_tenth_over_the_cheapest_of_all(
    deck: tuple[float, float, float],
) -> None:
    cheapest, stiff = decided(deck).chosen, decided(deck, objective="stiffness").chosen
    assert cheapest is not None
    assert stiff is not None
    assert cheapest.price is not None
    assert stiff.price is not None
    assert stiff.price.total <= 1.1 * cheapest.price.total
    assert stiff.deflection_in is not None
    assert cheapest.deflection_in is not None
    assert stiff.deflection_in < cheapest.deflection_in


def test_a_ceiling_holds_for_the_order_whichever_way_of_support_is_stiffer() -> None:
    """Standing free is stiffer and dearer: under a low ceiling the deck hangs on the house."""
    deck = DECKS[1]
    least = order_of(decided(deck))
    free = order_of(decided(deck, attachment="freestanding"))
    assert least + 20 < free
    gives, kinds = [], []
    for more in (20.0, 60.0, 120.0, free - least + 200):
        ceiling = {"currency": "USD", "amount": f"{least + more:.2f}"}
        found = decided(deck, objective="stiffness", cost_ceiling=ceiling)
        assert order_of(found) <= least + more
        assert found.chosen is not None
        assert found.chosen.deflection_in is not None
        gives.append(found.chosen.deflection_in)
        kinds.append(found.chosen.attached)
    assert gives == sorted(gives, reverse=True)
    assert kinds[0]


def test_under_a_ceiling_that_none_is_within_the_cheapest_is_answered() -> None:
    found = decided(DECKS[0], objective="stiffness", cost_ceiling={"currency": "USD", "amount": "100.00"})
    assert order_of(found) == order_of(decided(DECKS[0]))


def test_an_order_that_lacks_prices_is_under_no_ceiling() -> None:
    """A book without 2x12: a frame of it costs nothing there, and yet it is not the one the money reaches."""
    book = prices()
    lines = tuple(one for one in book.lines if not one.item.startswith("lumber.2x12."))
    where = replace(context(), prices=replace(book, lines=lines))
    level = {"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}
    wish = {"objective": "stiffness", "cost_ceiling": {"currency": "USD", "amount": "2330.00"}}
    decision = decide(case_of(where, levels=[level], framing=wish))
    for option in decision.options:
        assert option.worked is not None
        assert option.worked.takeoff.total is not None
        assert option.worked.takeoff.total.complete, option.kind
    found = decision.chosen
    assert found is not None
    assert found.takeoff.total is not None
    assert float(found.takeoff.total.amount) <= 2330
    cheapest = decide(case_of(where, levels=[level])).chosen
    assert cheapest is not None
    assert cheapest.deflection_in is not None
    assert found.deflection_in is not None
    assert found.deflection_in < cheapest.deflection_in


def test_on_measured_ground_other_footings_may_stand_clear_of_a_bank() -> None:
    """40 in down beyond 18 ft: 5 ft clear of it (R403.1.7 from memory) a ledger deck's beam stands by the tables."""
    ground = [
        {"x_ft": x, "y_ft": y, "grade_in": -40.0 if y > 18 else 0.0}
        for x in (-2, 8, 18)
        for y in (-1, 8, 17.4, 18.4, 24)
    ]
    level = {"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}
    site = {**NOWHERE, "grade_points": ground}
    found = decide(case_of(levels=[level], site=site, framing={"attachment": "ledger"})).found
    assert found is not None
    assert found.worked.verdict.status == "prescriptive"
    assert found.judged > 1


def test_of_several_levels_none_is_told_as_proven() -> None:
    """Their footings are of one method, and each level is searched by itself."""
    levels = [
        {"id": "main", "width_ft": 16, "projection_ft": 12, "surface_height_in": 36},
        {"id": "low", "width_ft": 12, "projection_ft": 10, "surface_height_in": 20, "origin_ft": [0, 14]},
    ]
    search = designed(spec_of(levels=levels, site=NOWHERE), context()).search
    assert search is not None
    assert not search.proven
    assert "levels" in (search.why_not_proven or "")

"""Veneer lumber and light-gauge steel: what is offered beside the sawn frame, and decks framed of them."""

from __future__ import annotations

import dataclasses
from decimal import Decimal
from typing import Any

import msgspec
import pytest
from choice.material_decks import (
    BY_VALUES,
    DECKS,
    HAND,
    MATERIALS,
    asked,
    book,
    codes,
    option,
    report,
    where,
    with_sections,
)
from context import designed

from service.rules.sections import STEEL, WOOD


def test_beside_a_sawn_frame_both_materials_are_offered_and_change_nothing_of_it() -> None:
    found = report(HAND, None)
    assert found.verdict.status == "prescriptive"
    assert [one.material for one in found.material_options] == list(MATERIALS)
    for one in found.material_options:
        assert (one.verdict, one.already, one.stays_sawn, one.why_not) == ("engineer_required", False, (), ())
        assert [member.member for member in one.members] == ["main.joists-1", "main.beam-1"]
        assert all(0 < member.ratio <= 1 for member in one.members)
        assert {text.code for text in one.cautions} >= {"supplier_values_govern"}
    assert {piece.item.partition(".")[0] for piece in found.takeoff.pieces}.isdisjoint(MATERIALS)


def test_the_price_of_veneer_lumber_counted_by_hand() -> None:
    """13 joists, two halves of 24 ft boards; two plies of 16 ft for three sawn ones; prices of the book, typed off."""
    found = option(report(HAND, None), WOOD)
    joists, beam = found.members
    assert (joists.sawn, joists.section) == ("2x8", "lvl-1-3-4x7-1-4-1-7e")
    assert (beam.sawn, beam.plies, beam.section) == ("3-ply 2x10", 2, "lvl-1-3-4x9-1-4-1-7e")
    lumber = 13 * (Decimal("116.40") / 2 - Decimal("15.64")) + 2 * Decimal("97.60") - 3 * Decimal("31.64")
    hangers = 11 * (Decimal("4.10") - Decimal("2.40")) + 2 * (Decimal("9.43") - Decimal("6.23"))
    caps = 2 * (Decimal("28.30") - Decimal("26.35"))
    # two rows at 16 in over 192 in: 26 a joint, screws in boxes of 50, nails of 400
    plies = 26 * Decimal("29.80") / 50 - 52 * Decimal("21.94") / 400
    assert found.cost_change is not None
    assert abs(Decimal(found.cost_change.amount) - (lumber + hangers + caps + plies)) <= Decimal("0.01")
    feet = Decimal(141 * 13) / 12
    assert joists.price_per_ft is not None
    assert joists.price_per_ft.amount == f"{13 * Decimal('58.20') / feet:.2f}"
    assert joists.price_ratio == pytest.approx(58.20 / 15.64, abs=0.001)


def test_spans_beside_each_other_by_hand() -> None:
    """16 in apart, 50 psf: L/360 under 40 psf gives 165.5 in for 1-3/4 x 7-1/4 of 1.7 million psi."""
    joists, _ = option(report(HAND, None), WOOD).members
    by_hand = (384 * 1.7e6 * (1.75 * 7.25**3 / 12) / (5 * 360 * 40 * 16 / 144)) ** (1 / 3)
    assert joists.span_in == pytest.approx(by_hand, abs=1e-3)
    # southern pine 2x8 at 16 in: 11 ft 10 in in the code's table, to the nearest inch
    assert joists.sawn_span_in is not None
    assert round(joists.sawn_span_in) == 142
    assert joists.span_ratio == pytest.approx(by_hand / joists.sawn_span_in, abs=1e-3)


@pytest.mark.parametrize("material", MATERIALS)
@pytest.mark.parametrize(
    "name", [HAND, "surface-posts-flush-beam", "two-levels", "hillside", "freestanding-veneer"]
)
def test_a_deck_asked_for_in_a_material_is_framed_of_it(name: str, material: str) -> None:
    found = report(name, material)
    offer = option(found, material)
    assert found.verdict.status == "engineer_required"
    assert "material_not_in_rulebook" in codes(found)
    taken = {one.member: one for one in offer.members}
    assert taken
    members = [one for level in found.levels for one in (*level.joists, *level.beams)]
    for one in members:
        if one.id in taken:
            assert (one.size, one.species, one.plies) == (
                taken[one.id].section,
                material,
                taken[one.id].plies,
            )
            checks = [check for check in found.checks if check.member == one.id]
            worked = {
                check.citation.document
                for check in checks
                if check.basis == "calculated"
                and check.check.endswith(BY_VALUES)
                and "_and_" not in check.check
            }
            assert worked == {"Invented section table of the demo yard 2027"}
            assert not [
                check for check in checks if check.check in ("joist_span", "joist_cantilever", "beam_span")
            ]
        else:
            assert one.id in offer.stays_sawn
            assert one.species != material
    failing = {check.member for check in found.checks if not check.passes}
    assert not failing & set(taken)


@pytest.mark.parametrize("material", MATERIALS)
def test_what_is_ordered_is_what_is_framed(material: str) -> None:
    found = report(HAND, material)
    pieces = {
        member: [
            (one.item, one.length_in, one.quantity)
            for one in found.takeoff.pieces
            if member in one.members and one.item.partition(".")[0] in ("lumber", material)
        ]
        for member in ("main.joists-1", "main.beam-1")
    }  # fmt: skip
    joists, beam = option(found, material).members
    assert pieces["main.joists-1"] == [(joists.item, 141.0, 13)]
    assert pieces["main.beam-1"] == [(beam.item, 192.0, beam.plies)]
    assert found.takeoff.total is not None
    assert found.takeoff.total.complete
    metal = {line.item: line.quantity for line in found.takeoff.hardware}
    width = "1-3-4" if material == WOOD else "2"
    assert metal[f"joist_hanger.{width}x7-1-4.1ply.hot_dip_galvanized"] == 11
    assert metal[f"post_cap.6x6.{'3-1-2' if material == WOOD else '4'}in.hot_dip_galvanized"] == 2
    assert not [item for item in metal if item.startswith("joist_hanger.2x8.")]
    assert all(post.cap in metal for post in found.posts)
    assert metal.get("web_stiffener.7-1-4in.g90") == (13 if material == STEEL else None)


def test_the_order_costs_more_by_about_what_the_option_says() -> None:
    """Whole boards and boxes against shares of them: within a box of screws and one board."""
    sawn = report(HAND, None)
    for material in MATERIALS:
        change = option(sawn, material).cost_change
        totals = [one.takeoff.subtotal for one in (report(HAND, material), sawn)]
        assert change is not None
        assert totals[0] is not None
        assert totals[1] is not None
        difference = Decimal(totals[0].amount) - Decimal(totals[1].amount)
        assert abs(difference - Decimal(change.amount)) < 60


@pytest.mark.parametrize("material", MATERIALS)
def test_posted_back_it_is_the_same_design(material: str) -> None:
    found = report(HAND, material)
    again = designed(found.resolved_spec, where(DECKS[HAND], book()))
    assert msgspec.json.encode(again) == msgspec.json.encode(found)


@pytest.mark.parametrize("material", MATERIALS)
def test_without_section_tables_the_answer_says_so(material: str) -> None:
    none = asked(HAND, material, None)
    before = asked(HAND, material, with_sections(()))
    for found, says in ((none, "price book"), (before, "has no sections")):
        assert "outside_scope" in codes(found)
        assert found.verdict.status == "engineer_required"
        assert found.levels[0].joists == ()
        assert any(says in one.text for one in found.verdict.reasons)
    sawn = asked(HAND, None, None)
    assert [one.why_not[0].code for one in sawn.material_options] == ["no_price_book"] * 2


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"service": "dry"}, "section_not_outdoors"),
        ({"protection": "none"}, "section_not_outdoors"),
        ({"depth_in": 9.5}, "no_section_of_depth"),
        ({"fb_psi": 500.0, "e_psi": 500_000.0}, "no_section_carries"),
        ({"use": "beam"}, "no_section_of_depth"),
    ],
)
def test_a_section_that_will_not_do_is_not_taken(change: dict[str, Any], code: str) -> None:
    """Of joists alone: the only section there is, spoilt in one way."""
    (one,) = [s for s in book().sections if s.material == WOOD and s.depth_in == 7.25]
    good, bad = ([one], [dataclasses.replace(one, **change)])
    taken = option(asked(HAND, None, with_sections(good)), WOOD)
    assert [member.member for member in taken.members] == ["main.joists-1"]
    assert taken.stays_sawn == ("main.beam-1",)
    spoilt = option(asked(HAND, None, with_sections(bad)), WOOD)
    assert "main.joists-1" not in [member.member for member in spoilt.members]
    assert code in {text.code for text in spoilt.why_not}


def test_what_stays_sawn_is_said_where_the_material_is_asked_for() -> None:
    joists = with_sections(one for one in book().sections if one.use == "joist")
    found = asked(HAND, STEEL, joists)
    (said,) = [one for one in found.cautions if one.code == "material_in_part"]
    assert said.text.startswith("main.beam-1: ")
    (beam,) = found.levels[0].beams
    assert (beam.size, beam.species) == ("2x10", "southern_pine")
    assert "beam_span" in {one.check for one in found.checks if one.member == beam.id}


def test_near_salt_water_steel_needs_more_zinc() -> None:
    found = option(report("helical-freestanding-near-salt", None), STEEL)
    assert found.verdict is None
    assert {text.code for text in found.why_not} >= {"section_not_outdoors"}
    refused = report("helical-freestanding-near-salt", STEEL)
    assert "outside_scope" in codes(refused)
    heavier = [
        dataclasses.replace(one, protection="g185") for one in book().sections if one.material == STEEL
    ]
    taken = option(asked("helical-freestanding-near-salt", None, with_sections(heavier)), STEEL)
    assert taken.verdict == "engineer_required"


@pytest.mark.parametrize("material", MATERIALS)
def test_under_a_heavy_object_no_section_takes_a_members_place(material: str) -> None:
    """Its load is not in the checks of a section: a plain answer, and no frame."""
    offer = option(report("hot-tub", None), material)
    assert (offer.verdict, offer.members) == (None, ())
    assert {text.code for text in offer.why_not} == {"other_load_there"}
    found = report("hot-tub", material)
    assert codes(found) >= {"outside_scope", "heavy_object", "material_not_in_rulebook"}
    assert found.levels[0].joists == ()


@pytest.mark.parametrize("material", MATERIALS)
def test_a_beam_under_a_stair_carries_it(material: str) -> None:
    """Two equal spans: over the middle post 5/4 w L, w the deck's and what the stair brings."""
    pins = {"joist_size": "2x8", "beam_size": "2x10", "beam_plies": 3, "beam_placement": "dropped"}
    found = asked("hand-counted", material, book(), **pins, attachment="ledger")
    (beam,) = found.levels[0].beams
    span_in, other_in = beam.spans_in
    assert span_in == other_in
    of_deck_lb = 1.25 * beam.line_load_plf * span_in / 12
    (pressed,) = [
        one
        for one in found.checks
        if (one.member, one.check, one.basis) == (beam.id, "beam_bearing_on_post", "calculated")
    ]
    assert pressed.demand is not None
    width_in = 1.75 * beam.plies
    reaction_lb = pressed.demand * (width_in * 5.5 if material == WOOD else 1.0)
    # half of a 4 ft stair of three treads, 50 psf, over its 4 ft: more than 10 % on top
    assert reaction_lb > 1.1 * of_deck_lb


@pytest.mark.parametrize("material", MATERIALS)
def test_what_no_material_helps_is_refused_in_every_one(material: str) -> None:
    """Boards on joists 24 in apart fail whatever the joists are of."""
    wide = asked(HAND, material, book(), joist_spacing_in=24)
    spaced = [one for one in wide.checks if one.check == "joist_spacing_for_decking"]
    assert [one.passes for one in spaced] == [False]
    assert wide.verdict.status == "not_permitted"
    assert option(wide, material).verdict == "not_permitted"


def test_out_of_stock_sections_are_not_taken() -> None:
    gone = tuple(
        dataclasses.replace(line, availability="out") if line.item.startswith(WOOD) else line
        for line in book().lines
    )
    found = option(asked(HAND, None, dataclasses.replace(book(), lines=gone)), WOOD)
    assert {text.code for text in found.why_not} == {"section_not_sold"}


def test_a_beam_longer_than_any_section_stays_sawn() -> None:
    found = option(report("wrap-of-two-walls", None), STEEL)
    assert found.stays_sawn
    assert "section_not_sold" in {text.code for text in found.why_not}


def test_the_cheapest_section_that_carries_it_is_taken() -> None:
    """A dearer, stronger one beside it is passed over; once the cheap one is weak it is taken."""
    sections = [one for one in book().sections if one.material == STEEL and one.depth_in == 7.25]
    thin, thick = (
        next(one for one in sections if one.section == name) for name in ("725s200-43", "725s200-54")
    )
    strong = dataclasses.replace(thin, allowable_reaction_lb=900.0)
    taken = option(asked(HAND, None, with_sections([strong, thick])), STEEL)
    assert [one.section for one in taken.members] == ["725s200-43"]
    # as the table has it, 43 mil cripples in the hanger: 390 lb against 360
    taken = option(asked(HAND, None, with_sections([thin, thick])), STEEL)
    assert [one.section for one in taken.members] == ["725s200-54"]

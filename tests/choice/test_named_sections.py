"""Section tables that a rulebook names: what is then left to the checks, and what stays an engineer's."""

from __future__ import annotations

import dataclasses
from typing import Any

import msgspec
import pytest
from choice.material_decks import (
    DECKS,
    DEEP,
    HAND,
    LOW,
    TALL,
    asked,
    book,
    codes,
    option,
    where,
    with_sections,
)
from context import designed, spec_of
from order_decks import HELD

from service.contract.report import DesignReport
from service.rules.jurisdiction import local_setting_fault
from service.rules.sections import STEEL, WOOD


def named(name: str, material: str | None, tables: str, **framing: Any) -> DesignReport:
    """A design in a place whose rulebook names section tables."""
    request = {key: value for key, value in DECKS[name].items() if key in HELD}
    at = where(request, book())
    settings = msgspec.structs.replace(at.rulebook.in_force_settings, section_tables_named=tables)
    assert local_setting_fault("section_tables_named", tables) is None
    accepted = dataclasses.replace(at, rulebook=dataclasses.replace(at.rulebook, settings=settings))
    wishes = {**request.get("framing", {}), **framing, **({} if material is None else {"material": material})}
    return designed(spec_of(**{**request, "framing": wishes}), accepted)


def unproven(found: DesignReport) -> set[str | None]:
    return {one.member for one in found.verdict.reasons if one.code == "section_connection_unproven"}


@pytest.mark.parametrize("tables", ["brindlemoor-yard@6", "other-yard@2 brindlemoor-yard@6"])
def test_a_table_that_the_rulebook_names_leaves_the_verdict_to_the_checks(tables: str) -> None:
    assert option(named(LOW, None, tables), WOOD).verdict == "prescriptive"
    framed = named(LOW, WOOD, tables)
    assert framed.verdict.status == "prescriptive"
    assert {one.value for one in framed.inputs if one.pointer == "/settings/section_tables_named"} == {tables}


@pytest.mark.parametrize("tables", ["", "brindlemoor-yard@5", "brindlemoor-yard@60"])
def test_another_book_or_version_named_changes_nothing(tables: str) -> None:
    assert option(named(LOW, None, tables), WOOD).verdict == "engineer_required"
    assert "material_not_in_rulebook" in codes(named(LOW, WOOD, tables))


def test_what_joins_steel_to_the_rest_stays_an_engineers() -> None:
    framed = named(LOW, STEEL, "brindlemoor-yard@6")
    assert unproven(framed) == {"main.joists-1", "main.beam-1"}
    assert option(named(LOW, None, "brindlemoor-yard@6"), STEEL).verdict == "engineer_required"


@pytest.mark.parametrize(
    ("name", "framing", "told"),
    [
        (HAND, {}, {"main.joists-1"}),  # guards
        (LOW, {"beam_placement": "flush", "beam_plies": 3}, {"main.beam-1"}),
        (
            TALL,
            {"attachment": "freestanding"},
            {"main.beam-1", "main.beam-2", "main.joists-1"},
        ),  # braces and guards
    ],
)
def test_what_no_section_table_settles_stays_an_engineers(
    name: str, framing: dict[str, Any], told: set[str | None]
) -> None:
    framed = named(name, WOOD, "brindlemoor-yard@6", **framing)
    assert framed.verdict.status == "engineer_required"
    assert unproven(framed) == told


def test_formulas_for_steel_over_a_post_are_told_as_remembered() -> None:
    pins = {"joist_size": "2x8", "beam_size": "2x10", "beam_plies": 3, "beam_placement": "dropped"}
    framed = named("hand-counted", STEEL, "brindlemoor-yard@6", **pins, attachment="ledger")
    both = [one for one in framed.checks if one.check.endswith(("_and_shear", "_and_reaction"))]
    assert {one.check for one in both} >= {"beam_bending_and_shear", "beam_bending_and_reaction"}
    assert {one.citation.status for one in both} == {"memory"}


def test_joists_on_both_sides_of_a_beam_stay_outside_the_tables_in_any_material() -> None:
    """Accepting a supplier's table does not accept the reading of a beam between: that is a setting of its own."""
    for material in (None, WOOD):
        framed = named(DEEP, material, "brindlemoor-yard@6")
        assert "joists_on_both_sides" in codes(framed)


def test_a_beam_of_veneer_lumber_is_treated_for_ground_contact() -> None:
    """As sawn beams are: UC4A for what the whole deck stands on."""
    for protection, taken in (("uc4a", True), ("uc3b", False)):
        sections = [
            dataclasses.replace(one, protection=protection) for one in book().sections if one.material == WOOD
        ]
        offer = option(asked(HAND, None, with_sections(sections)), WOOD)
        assert ("main.beam-1" in {one.member for one in offer.members}) is taken
        assert "main.joists-1" in {one.member for one in offer.members}


def test_names_of_tables_are_books_with_a_version() -> None:
    assert local_setting_fault("section_tables_named", "brindlemoor-yard")

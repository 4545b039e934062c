"""Decks that once came out better than they are, or could: each keeps its verdict and says why."""

from __future__ import annotations

from typing import Any

import pytest
from context import NOWHERE, context, designed, spec_of

BAND = {"wall": "wood_band", "door_sill_height_in": 37.5, "rim_depth_in": 11.25, "foundation_depth_in": 96}
LEVEL = {"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}
ENGINEER, FORBIDDEN = "engineer_required", "not_permitted"
HOUSE_2 = {**BAND, "edge_walls": [{"level": "main", "edge": 3, "wall": "brick_veneer"}]}
SAND_WET = {"soil_class": "sand", "soil_bearing_psf": 2000, "water_table_depth_in": 6}
# four risers, and no room for a beam under them
LOW = {"house": {"wall": "none"}, "levels": [{**LEVEL, "surface_height_in": 24}]}

CASES: dict[str, tuple[dict[str, Any], str, str]] = {
    "ledger on the second wall alone": (
        {"house": {**HOUSE_2, "wall": "unknown"}, "framing": {"attachment": "ledger"}},
        ENGINEER, "ledger_on_unknown_wall",
    ),
    "ground steeper than one in three": ({"site": {"grade_fall_y_in_per_ft": 5}}, ENGINEER, "slope_needs_engineer"),
    "stair on the end joist": (
        {**LOW, "framing": {"joist_direction": "away_from_house"}, "stairs": [{"edge": 1, "offset_ft": 2}]},
        ENGINEER, "stair_on_end_joist",
    ),
    "wet sand": ({"site": SAND_WET, "foundation": {"method": "tube_form_pier"}}, ENGINEER, "soil_needs_engineer"),
    "milder earthquakes": (
        {"site": {"seismic_design_category": "A"}}, ENGINEER, "site_value_below_jurisdiction",
    ),
    "shallower frost": ({"site": {"frost_depth_in": 20}}, ENGINEER, "site_value_below_jurisdiction"),
    "ledger without a wall": (
        {"house": {"wall": "none"}, "framing": {"attachment": "ledger"}}, ENGINEER, "ledger_without_wall",
    ),
    "veneer ledger": (
        {"house": {**BAND, "wall": "brick_veneer"}, "framing": {"attachment": "ledger"}},
        FORBIDDEN, "ledger_on_veneer",
    ),
    "stair on a flush beam": (
        {**LOW, "framing": {"beam_placement": "flush"}, "stairs": [{"edge": 2, "offset_ft": 4}]},
        ENGINEER, "stair_on_flush_beam",
    ),
    "guard left out": ({"levels": [{**LEVEL, "guard": {"extent": "none"}}]}, FORBIDDEN, "guard_omitted"),
    "a method that can't serve": (
        {"foundation": {"method": "pier_block_on_grade"}}, ENGINEER, "method_cannot_serve",
    ),
    "a method the place does not allow": (
        {"jurisdiction": "ketterwick-township", "foundation": {"method": "pier_block_on_grade"}},
        FORBIDDEN, "method_not_allowed_here",
    ),
    "no room under the boards": (
        {"house": {"wall": "none"}, "levels": [{**LEVEL, "surface_height_in": 8}]}, FORBIDDEN, "no_frame_found",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_deck_keeps_its_verdict_and_says_why(name: str) -> None:
    given, status, code = CASES[name]
    asked = {"house": BAND, "levels": [LEVEL], "jurisdiction": "alder-county", **given}
    report = designed(spec_of(**asked), context(asked["jurisdiction"]))
    assert (report.verdict.status, code in [r.code for r in report.verdict.reasons]) == (status, True)


@pytest.mark.parametrize("diameter_in", [14, 15])
def test_a_pier_too_small_without_a_table_never_passes(diameter_in: int) -> None:
    foundation = {"method": "tube_form_pier", "pier_diameter_in": diameter_in}
    spec = spec_of(rulebook="irc-2015", site=NOWHERE, house=BAND, levels=[LEVEL], foundation=foundation)
    assert designed(spec, context(None, "irc-2015")).verdict.status != "prescriptive"


@pytest.mark.parametrize("surface_in", [12, 20, 36])
def test_no_free_standing_row_stands_in_the_house_footing(surface_in: int) -> None:
    level = {**LEVEL, "surface_height_in": surface_in}
    report = designed(spec_of(jurisdiction="alder-county", levels=[level]), context("alder-county"))
    for footing in report.footings if report.attachment.kind == "freestanding" else ():
        width = (
            footing.concrete.base_size_in or footing.concrete.shaft_diameter_in if footing.concrete else 12
        )
        assert footing.y_ft * 12 - (width or 0) / 2 > 0


def test_a_hundred_foot_beam_is_spliced_in_a_moment() -> None:
    spec = spec_of(house=BAND, levels=[{**LEVEL, "width_ft": 100}], jurisdiction="alder-county")
    beam = designed(spec, context("alder-county")).levels[0].beams[0]
    assert len({(s.ply, s.at_post) for s in beam.splices}) == len(beam.splices) >= 2 * 4

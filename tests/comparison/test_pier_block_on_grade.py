"""Pier blocks: what rules them out, in which order, and how they are sized where a place accepts them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import msgspec
import pytest
from comparison.footing_parts import check, concrete, needs, refused, served

from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.methods.pier_block_on_grade import PierBlockOnGrade
from service.foundations.site import DeckFacts, Site
from service.rules.amend import apply_amendments
from service.rules.jurisdiction import local_setting_fault
from service.sizing.criteria import Criteria
from tests.context import AS_OF, context, designed, places, rulebooks, spec_of

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]
LOW = PierBlockOnGrade(DeckFacts(area_sqft=150.0, surface_over_grade_in=18.0))
WIDE = PierBlockOnGrade(DeckFacts(area_sqft=200.5, surface_over_grade_in=18.0))
HIGH = PierBlockOnGrade(DeckFacts(area_sqft=200.0, surface_over_grade_in=20.5))


def accepted(criteria: Criteria) -> Criteria:
    """The same place with its own word that blocks may carry beams."""
    settings = msgspec.structs.replace(criteria.rulebook.in_force_settings, pier_blocks_carry_beams=True)
    return replace(criteria, rulebook=replace(criteria.rulebook, settings=settings))


@pytest.mark.parametrize(
    ("method", "edition", "attached", "code", "number"),
    [
        (WIDE, "2015", True, "not_allowed_here", "0 sq ft"),
        (WIDE, "2021", True, "size_limit_of_edition", "hangs on the house"),
        (PierBlockOnGrade(None), "2021", False, "size_limit_of_edition", "not known"),
        (WIDE, "2021", False, "size_limit_of_edition", "200.5 sq ft"),
        (HIGH, "2024", False, "size_limit_of_edition", "20.5 in above"),
        (HIGH, "2018", False, "size_limit_of_edition", "20 in stand on blocks"),
        (LOW, "2024", False, "not_allowed_here", "900 lb of a beam"),
    ],
)
def test_ruled_out_in_order(
    method: PierBlockOnGrade, edition: str, attached: bool, code: str, number: str,
    criteria: Make, facts: FoundationFacts, demand: Ask,
) -> None:  # fmt: skip
    found = refused(method, demand(900.0, attached=attached), Site(criteria(edition), facts))
    assert found.code == code
    assert number in found.text


def test_a_place_that_accepts_beams_on_blocks(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    """1500 psf on 11 x 11 in: 1260 lb. The block is 8 in high, 3 in of it out of the ground."""
    site = Site(accepted(criteria()), facts)
    one = served(LOW, demand(1200.0, attached=False, y_ft=20.0), site)
    assert check(one, "footing_size", "calculated").capacity == pytest.approx(1500 * 121 / 144)
    assert (one.footing.top_height_in, one.footing.bottom_height_in) == (3.0, -5.0)
    made = concrete(one)
    assert (made.shape, made.base_size_in, made.volume_cuft) == ("square", 11.0, 0.0)
    # 4 in of stone under it
    assert made.stone_cuft == pytest.approx(121 * 4 / 1728)
    assert not one.unsafe
    hung = refused(LOW, demand(1200.0, attached=True, y_ft=20.0), site)
    assert hung.code == "size_limit_of_edition"
    assert "hangs on the house" in hung.text
    found = refused(LOW, demand(1300.0, attached=False), site)
    assert found.code == "bearing_too_low"
    assert "1,260 lb" in found.text
    strong = Site(accepted(criteria(soil_bearing_psf=3000.0)), facts)
    assert (
        check(served(LOW, demand(1300.0, attached=False), strong), "footing_size", "calculated").capacity
        == 1500
    )


def test_what_does_not_fit_a_block(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    site = Site(accepted(criteria()), facts)
    assert refused(LOW, demand(900.0, attached=False, post_size="8x8"), site).code == "seat_not_offered"
    high = demand(900.0, attached=False, post=None, seat="2ply", top_above_grade_in=9.0)
    assert "9 in above" in refused(LOW, high, site).text
    fits = served(
        LOW, demand(900.0, attached=False, post=None, seat="2ply", top_above_grade_in=6.5, y_ft=20.0), site
    )
    assert fits.footing.bottom_height_in == -1.5


def test_what_is_bought_and_said(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    site = Site(accepted(criteria()), facts)
    several = [served(LOW, demand(900.0, n, attached=False, y_ft=20.0), site) for n in range(1, 6)]
    # 5 x 0.28 cu ft in bags of half a cubic foot
    assert needs(LOW, several, site) == {
        "pier_block.11in.precast": 5.0,
        "aggregate.crushed_stone.bag_50lb": 3.0,
    }
    codes = [caution.code for caution in LOW.cautions(several, site)]
    assert codes == ["frost_heave_grip", "no_uplift_resistance", "maker_listing_governs"]


def test_the_setting_is_a_place_s_own() -> None:
    assert local_setting_fault("pier_blocks_carry_beams", True) is None
    assert local_setting_fault("pier_blocks_carry_beams", "perhaps")
    book, place = rulebooks()["irc-2021"], places()["alder-county"]
    assert apply_amendments(book, place).in_force_settings.pier_blocks_carry_beams is False
    open_place = msgspec.structs.replace(place, settings={**place.settings, "pier_blocks_carry_beams": True})
    amended = apply_amendments(book, open_place)
    assert amended.in_force_settings.pier_blocks_carry_beams is True
    assert amended.setting("pier_blocks_carry_beams").citation.document == "local settings of " + place.name
    assert not book.setting("pier_blocks_carry_beams").found


def test_a_low_free_standing_deck_on_blocks_in_a_place_that_accepts_it() -> None:
    """10 x 8 ft, 18 in high: within 200 sq ft and 20 in; 26 in on the same ground are not."""
    spec = {
        "house": {"wall": "none"},
        "site": {"frost_depth_in": 24, "ground_snow_load_psf": 30, "soil_class": "clay"},
        "foundation": {"method": "pier_block_on_grade"},
    }
    where = context(None, "irc-2021")
    settings = msgspec.structs.replace(where.rulebook.in_force_settings, pier_blocks_carry_beams=True)
    here = replace(where, rulebook=replace(where.rulebook, settings=settings), as_of=AS_OF)
    level = {"width_ft": 10, "projection_ft": 8}
    low = designed(spec_of(**spec, levels=[{**level, "surface_height_in": 18}]), here)
    assert {footing.method for footing in low.footings} == {"pier_block_on_grade"}
    high = designed(spec_of(**spec, levels=[{**level, "surface_height_in": 26}]), here)
    assert "pier_block_on_grade" not in {footing.method for footing in high.footings}
    assert any("26 in above the ground" in reason.text for reason in high.verdict.reasons)
    usual = designed(spec_of(**spec, levels=[{**level, "surface_height_in": 18}]), where)
    assert usual.verdict.status == "not_permitted"

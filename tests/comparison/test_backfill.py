"""The ground beside a house: fill, load line, and what each method does about it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import msgspec
import pytest
from context import AS_OF, NOWHERE, context

from service.contract.spec import DeckSpec, EdgeWallSpec, HouseSpec, LevelSpec, SiteSpec
from service.foundations.backfill import beside_house, excavation
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.method import CannotServe, FootingMethod, Sized
from service.foundations.methods.helical_pile import HelicalPile
from service.foundations.methods.pier_block_on_grade import PierBlockOnGrade
from service.foundations.methods.tube_form_pier import TubeFormPier
from service.foundations.site import DeckFacts, Site
from service.sizing.criteria import Criteria
from service.sizing.resolve import criteria_of, resolve_spec

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]


def sized(method: FootingMethod, demand: Demand, criteria: Criteria, facts: FoundationFacts) -> Sized:
    found = method.size(demand, Site(criteria, facts))
    assert not isinstance(found, CannotServe)
    return found


def failing(one: Sized) -> set[str]:
    return {finding.check for finding in one.findings if not finding.passes}


# 8 ft excavation: width at grade and 32 in down, ft (29 CFR 1926 slopes, 2 ft working room; computed)
WIDTHS = [
    ("stable_rock", 2, 2), ("type_a", 8, 6), ("type_b", 10, 7.333), ("type_c", 14, 10),
]  # fmt: skip


@pytest.mark.parametrize(("slope", "at_grade", "at_frost"), WIDTHS)
def test_zone_of_an_eight_foot_dig(
    slope: str, at_grade: float, at_frost: float, criteria: Make, facts: FoundationFacts
) -> None:
    dug = excavation(criteria(excavation_slope=slope), facts)
    assert dug is not None
    assert dug.width_in(0) / 12 == pytest.approx(at_grade)
    assert dug.width_in(32) / 12 == pytest.approx(at_frost, abs=0.001)
    assert dug.width_in(96) == 0


def test_zone_of_a_crawl_space(criteria: Make, facts: FoundationFacts) -> None:
    dug = excavation(criteria(foundation_depth_in=48.0), facts)
    assert dug is not None
    assert dug.width_in(32) / 12 == pytest.approx(3.3, abs=0.04)


def test_nearest_edge_decides(criteria: Make, facts: FoundationFacts) -> None:
    where = criteria()
    just_out, just_in = 88.0 / 12 + 0.75, 88.0 / 12 + 0.74
    assert beside_house(where, facts, just_out, 9.0, 0.0).in_zone is False
    assert beside_house(where, facts, just_in, 9.0, 0.0).in_zone is True


def test_unknown_depth_is_said_not_guessed(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    pier = sized(TubeFormPier(), demand(y_ft=2.0), criteria(foundation_depth_in=None), facts)
    assert pier.footing.in_backfill_zone is None
    assert "backfill_settles" in [caution.code for caution in pier.cautions]
    assert not pier.engineer


def test_no_house_no_zone(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    pier = sized(TubeFormPier(), demand(y_ft=1.0), criteria(house_present=False), facts)
    assert pier.footing.in_backfill_zone is False
    assert not pier.engineer
    assert not {"backfill_settles", "near_house_footing"} & {caution.code for caution in pier.cautions}


def test_a_wing_alone_is_a_house() -> None:
    """The wall line is none, and the deck touches a wing: its hole was dug and filled too."""
    level = LevelSpec(width_ft=16.0, projection_ft=12.0, surface_height_in=36.0)
    for wall, present in (("none", False), ("wood_band", True)):
        house = HouseSpec(wall="none", edge_walls=(EdgeWallSpec(edge=3, wall=wall),))  # type: ignore[arg-type]
        spec = DeckSpec(levels=(level,), house=house, site=SiteSpec(**NOWHERE))
        where = context()
        resolved = resolve_spec(spec, where.rulebook, None, None, AS_OF)
        found = criteria_of(resolved, where.rulebook, where.guide, None, where.timber)
        assert found.ground.house_present is present


def test_pier_on_fill_needs_an_engineer(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    pier = sized(TubeFormPier(), demand(y_ft=4.0), criteria(), facts)
    assert pier.footing.in_backfill_zone is True
    assert failing(pier) == {"footing_in_undisturbed_ground", "footing_house_load_line"}
    assert {reason.code for reason in pier.engineer} == {"ground_not_undisturbed", "house_load_line"}
    assert not pier.unsafe


def test_pile_goes_through_the_fill(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    near = sized(HelicalPile("torque_log"), demand(y_ft=4.0), criteria(), facts)
    far = sized(HelicalPile("torque_log"), demand(y_ft=12.0), criteria(), facts)
    assert near.footing.in_backfill_zone is True
    assert not failing(near)
    assert near.footing.bottom_height_in < -96
    assert near.footing.pile
    assert far.footing.pile
    assert near.footing.pile.length_ft > far.footing.pile.length_ft


def test_outside_the_fill_but_near_is_a_caution(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    pier = sized(TubeFormPier(), demand(y_ft=5.0), criteria(foundation_depth_in=48.0), facts)
    assert pier.footing.in_backfill_zone is False
    assert "near_house_footing" in [caution.code for caution in pier.cautions]
    assert not pier.engineer


def test_steep_dig_leaves_the_load_line(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    where = criteria(excavation_slope="stable_rock")
    pier = sized(TubeFormPier(), demand(y_ft=4.0), where, facts)
    assert failing(pier) == {"footing_house_load_line"}
    assert [reason.code for reason in pier.engineer] == ["house_load_line"]


def test_hole_below_a_shallow_house_footing(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    shallow = criteria(foundation_depth_in=12.0, frost_depth_in=48.0)
    assert failing(sized(TubeFormPier(), demand(y_ft=2.0), shallow, facts)) == {"footing_house_load_line"}
    assert not failing(sized(TubeFormPier(), demand(y_ft=6.0), shallow, facts))
    assert not failing(sized(HelicalPile("torque_log"), demand(y_ft=2.0), shallow, facts))


def test_a_block_on_fill_needs_an_engineer(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    """R403.1 asks for undisturbed ground; the hole of an 8 ft basement reaches 24 + 96 - 5 = 115 in at 5 in."""
    where = criteria()
    settings = msgspec.structs.replace(where.rulebook.in_force_settings, pier_blocks_carry_beams=True)
    site = Site(replace(where, rulebook=replace(where.rulebook, settings=settings)), facts)
    method = PierBlockOnGrade(DeckFacts(area_sqft=150.0, surface_over_grade_in=18.0))
    for out_in, codes in ((114.0, {"ground_not_undisturbed"}), (116.0, set())):
        found = method.size(demand(900.0, attached=False, y_ft=(out_in + 5.5) / 12), site)
        assert isinstance(found, Sized)
        assert {reason.code for reason in found.engineer} == codes

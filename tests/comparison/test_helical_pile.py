"""Helical piles: choice by bearing and torque, depth, what stops them, and who approves them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import msgspec
import pytest

from service.contract.report_frame import Pile
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.method import CannotServe, Sized
from service.foundations.methods.helical_pile import HelicalPile, strictest_policy
from service.foundations.site import Site
from service.sizing.criteria import Criteria

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]


def sized(demand: Demand, criteria: Criteria, facts: FoundationFacts, policy: str = "torque_log") -> Sized:
    found = HelicalPile(policy).size(demand, Site(criteria, facts))
    assert not isinstance(found, CannotServe)
    return found


def pile(one: Sized) -> Pile:
    assert one.footing.pile
    return one.footing.pile


def test_torque_and_depth(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    one = sized(demand(1200.0), criteria(), facts)
    assert (pile(one).shaft, pile(one).helices, pile(one).kt_per_ft) == ("round_2-7-8in", (10.0,), 9.0)
    assert pile(one).torque_ft_lb == pytest.approx(2 * 1200 / 9)
    # helix five diameters below 32 in of frost, 3 in above the ground, 6 in of toe: 91 in
    assert pile(one).length_ft == 8.0
    assert one.footing.bottom_height_in == pytest.approx(3 - 96)
    assert all(finding.passes for finding in one.findings)
    assert not one.engineer


@pytest.mark.parametrize(
    ("load_lb", "helices"), [(1000, (8.0,)), (2400, (12.0,)), (3400, (14.0,)), (5000, (12.0, 14.0))]
)
def test_smallest_helices_that_bear(
    load_lb: float, helices: tuple[float, ...], criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    assert pile(sized(demand(load_lb), criteria(), facts)).helices == helices


def test_more_than_the_helices_bear(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    found = HelicalPile("none").size(demand(9000.0), Site(criteria(), facts))
    assert isinstance(found, CannotServe)
    assert found.code == "bearing_too_low"


def test_more_than_the_torque_rating(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    found = HelicalPile("none").size(demand(40_000.0), Site(criteria(soil_bearing_psf=12_000.0), facts))
    assert isinstance(found, CannotServe)
    assert found.code == "torque_above_rating"


def test_remembered_factor_that_decides_is_said(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    # 9 (from memory) gives 2667 ft-lb for 12,000 lb, the equation that was seen, 8.44, gives 2843
    shaft = msgspec.structs.replace(facts.shafts[0], torque_rating_ft_lb=2700.0)
    few = replace(facts, shafts=(shaft,))
    one = sized(demand(12_000.0), criteria(soil_bearing_psf=4000.0), few)
    assert [reason.code for reason in one.engineer] == ["memory_value_decides"]


def test_rock_and_a_narrow_gate_stop_it(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    where = criteria(rock_depth_in=60.0, rig_access_width_in=36.0)
    assert {said.code for said in sized(demand(1200.0), where, facts).blocked} == {
        "rig_too_wide",
        "refusal_on_rock",
    }
    assert not sized(demand(1200.0), criteria(rock_depth_in=96.0, rig_access_width_in=48.0), facts).blocked
    bedrock = sized(demand(1200.0), criteria(soil_class="crystalline_bedrock"), facts)
    assert [said.code for said in bedrock.blocked] == ["refusal_on_rock"]


@pytest.mark.parametrize(
    ("place", "policy"),
    [
        ("alder-county", "torque_log"), ("ketterwick-township", "engineer_letter"), ("sallowmere-bay", "none"),
        ("sundrel-flats", "special_inspector"), (None, "engineer_letter"),
    ],
)  # fmt: skip
def test_strictest_policy(place: str | None, policy: str, criteria: Make) -> None:
    assert strictest_policy(criteria(place=place)) == policy


@pytest.mark.parametrize("policy", ["engineer_letter", "special_inspector"])
def test_policies_of_an_engineer(policy: str, criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    one = sized(demand(1200.0), criteria(), facts, policy)
    assert [reason.code for reason in one.engineer] == ["pile_policy_needs_engineer"]
    paid = {need.item for need in HelicalPile(policy).needs([one], Site(criteria(), facts))}
    assert ("service.engineer.letter" in paid) == (policy == "engineer_letter")


def test_needs_count_leads_extensions_and_caps(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    where = criteria()
    beam = demand(1200.0, 2, post=None, serves="main.beam-1", seat="2ply")
    several = [sized(one, where, facts) for one in (demand(1200.0), beam)]
    needs = {need.item: need.quantity for need in HelicalPile("none").needs(several, Site(where, facts))}
    assert needs == {
        "helical_pile.round_2-7-8in.helix_10in": 2.0,
        "pile_extension.round_2-7-8in.5ft": 2.0,
        "pile_cap.round_2-7-8in.6x6.hot_dip_galvanized": 1.0,
        "pile_cap.round_2-7-8in.2ply.hot_dip_galvanized": 1.0,
        "service.helical_pile.install": 2.0,
        "service.helical_pile.mobilise": 1.0,
    }

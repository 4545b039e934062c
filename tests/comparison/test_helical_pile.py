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
    found = HelicalPile("none").needs(several, Site(where, facts))
    # where the torque comes late: one extension more each
    assert {need.item: need.most for need in found if need.most} == {"pile_extension.round_2-7-8in.5ft": 4.0}
    needs = {need.item: need.quantity for need in found}
    assert needs == {
        "helical_pile.round_2-7-8in.helix_10in": 2.0,
        "pile_extension.round_2-7-8in.5ft": 2.0,
        "pile_cap.round_2-7-8in.6x6.hot_dip_galvanized": 1.0,
        "pile_cap.round_2-7-8in.2ply.hot_dip_galvanized": 1.0,
        "service.helical_pile.install": 2.0,
        "service.helical_pile.mobilise": 1.0,
    }


@pytest.mark.parametrize(("policy", "paid"), [("none", False), ("torque_log", True)])
def test_an_inspector_of_the_torque_is_paid_where_one_comes(
    policy: str, paid: bool, criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    site = Site(criteria("2024", place="ketterwick-township"), facts)
    found = HelicalPile(policy).needs([sized(demand(1200.0), site.criteria, facts)], site)
    assert ("fee.inspection.pile_torque" in {need.item for need in found}) == paid
    nowhere = HelicalPile(policy).needs([], Site(criteria(place=None), facts))
    assert "fee.inspection.pile_torque" not in {need.item for need in nowhere}


def test_frost_grips_steel_and_the_helices_hold(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    where = criteria()
    one = sized(demand(1200.0), where, facts)
    (grip,) = [
        c for c in HelicalPile("none").cautions([one], Site(where, facts)) if c.code == "frost_heave_grip"
    ]
    # 100 kPa on 2.875 in by 32 in: 4,200 lb; a 10 in helix bears 9 x 750 x 0.5003 / 2 = 1,690 lb
    assert "2.875 in steel shaft with some 4,200 lb" in grip.text
    assert (
        "helices below frost with some 3,400 lb at the ultimate (1,700 lb allowable, safety 2)" in grip.text
    )

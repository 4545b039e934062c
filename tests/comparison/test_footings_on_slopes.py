"""Depths count from the ground at each footing, on a slope from its lower side; tops stand out of their own ground."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.method import CannotServe, FootingMethod, Sized
from service.foundations.methods.helical_pile import HelicalPile
from service.foundations.methods.tube_form_pier import TubeFormPier
from service.foundations.site import Site
from service.sizing.criteria import Criteria

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]
METHODS = [TubeFormPier(), HelicalPile("torque_log")]


def sized(method: FootingMethod, demand: Demand, criteria: Criteria, facts: FoundationFacts) -> Sized:
    found = method.size(demand, Site(criteria, facts))
    assert not isinstance(found, CannotServe)
    return found


def provided(one: Sized, check: str) -> list[float | None]:
    return [finding.demand for finding in one.findings if finding.check == check]


@pytest.mark.parametrize("method", METHODS, ids=lambda method: str(method.name))
@pytest.mark.parametrize("grade_in", [-40.0, 0.0, 25.0])
def test_a_footing_goes_down_from_its_own_ground(
    method: FootingMethod, grade_in: float, criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    here = sized(method, demand(1200.0, grade_height_in=grade_in, y_ft=40.0), criteria(), facts).footing
    flat = sized(method, demand(1200.0, y_ft=40.0), criteria(), facts).footing
    assert here.grade_height_in == grade_in
    assert here.top_height_in == grade_in + 3.0
    assert here.exposed_in == 3.0
    assert here.bottom_height_in == pytest.approx(flat.bottom_height_in + grade_in)


def test_a_pier_by_hand(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    """18 in wide on 4 in per ft: the lower side is 9 in / 12 x 4 = 3 in down, so 32 in of frost takes 35 in."""
    pier = sized(TubeFormPier(), demand(2600.0, grade_height_in=-40.0, fall_in_per_ft=4.0), criteria(), facts)
    made = pier.footing.concrete
    assert made is not None
    assert made.shaft_diameter_in == 18.0
    assert made.depth_below_grade_in == pytest.approx(35.0)
    assert pier.footing.bottom_height_in == pytest.approx(-75.0)
    assert pier.footing.top_height_in == -37.0
    assert provided(pier, "footing_below_frost") == [pytest.approx(32.0)]
    assert pytest.approx(32.0) in provided(pier, "footing_in_undisturbed_ground")
    assert all(finding.passes for finding in pier.findings)


def test_a_wide_base_goes_deeper(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    """29 in on 3 in per ft: 14.5 / 12 x 3 = 3.625 in."""
    pier = sized(TubeFormPier(), demand(7000.0, y_ft=12.0, fall_in_per_ft=3.0), criteria(), facts)
    made = pier.footing.concrete
    assert made is not None
    assert made.base_size_in == 29.0
    assert made.depth_below_grade_in == pytest.approx(35.625)


def test_a_pile_goes_deeper(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    """A 10 in helix on 4 in per ft: 5 / 12 x 4 = 1.667 in more than 32 + 5 x 10.

    With 6 in of toe and 3 in out of the ground 92.667 in, so 8 ft: the helix ends at 96 - 3 - 6 = 87 in.
    """
    pile = sized(HelicalPile("torque_log"), demand(1200.0, fall_in_per_ft=4.0), criteria(), facts)
    (asked,) = [found.capacity for found in pile.findings if found.check == "pile_depth"]
    assert asked == pytest.approx(83.667, abs=0.001)
    assert provided(pile, "pile_depth") == [pytest.approx(87.0)]
    assert provided(pile, "footing_below_frost") == [pytest.approx(87.0 - 5 / 12 * 4)]
    assert pile.footing.exposed_in == 3.0


def test_the_lower_side_is_in_the_working(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    slope = sized(TubeFormPier(), demand(2600.0, fall_in_per_ft=4.0), criteria(), facts)
    flat = sized(TubeFormPier(), demand(2600.0), criteria(), facts)
    symbols = [
        [s.symbol for f in one.findings for s in f.working if f.check == "footing_in_undisturbed_ground"]
        for one in (slope, flat)
    ]
    assert "s" in symbols[0]
    assert "s" not in symbols[1]


def test_a_saddle_stands_out_as_far_as_its_beam(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    low = demand(1200.0, post=None, top_above_grade_in=5.5, seat="2ply", grade_height_in=-12.0)
    footing = sized(TubeFormPier(), low, criteria(), facts).footing
    assert (footing.top_height_in, footing.exposed_in) == (-6.5, 5.5)


@pytest.mark.parametrize("method", METHODS, ids=lambda method: str(method.name))
def test_another_wall_than_the_line_counts(
    method: FootingMethod, criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    """20 ft before the front, 3 ft from a wing: within the fill of an 8 ft basement."""
    near = sized(method, demand(1200.0, y_ft=20.0, wall_distance_ft=3.0), criteria(), facts)
    far = sized(method, demand(1200.0, y_ft=-4.0, wall_distance_ft=20.0), criteria(), facts)
    assert near.footing.in_backfill_zone is True
    assert far.footing.in_backfill_zone is False
    assert sized(method, demand(1200.0, y_ft=20.0), criteria(), facts).footing.in_backfill_zone is False


def test_a_pile_beside_a_wing_goes_through_its_fill(
    criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    pile = sized(
        HelicalPile("torque_log"), demand(1200.0, y_ft=20.0, wall_distance_ft=4.0), criteria(), facts
    )
    assert pile.footing.bottom_height_in < -96 - 5 * 10


def test_a_pier_beside_a_wing_needs_an_engineer(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    pier = sized(TubeFormPier(), demand(y_ft=20.0, wall_distance_ft=4.0), criteria(), facts)
    assert {one.code for one in pier.engineer} == {"ground_not_undisturbed", "house_load_line"}
    calm = sized(
        TubeFormPier(), demand(y_ft=20.0, wall_distance_ft=4.0), criteria(house_present=False), facts
    )
    assert not calm.engineer

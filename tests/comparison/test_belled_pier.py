"""Belled piers: form, volume, bearing, what is bought, what they are refused for."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from comparison.footing_parts import check, concrete, needs, refused, served

from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.methods.belled_pier import BelledPier
from service.foundations.shape import Shape
from service.foundations.site import Site
from service.sizing.criteria import Criteria

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]


def test_by_hand(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    """18 in are needed for 52 sq ft; the 18 in form takes a 12 in tube and rises 3 tan 60 = 5.196 in over its 6 in rim.

    Shaft 113.1 x 23.804, cone pi x 5.196 / 12 x (144 + 324 + 216), rim 254.5 x 6 cu in.
    """
    one = served(BelledPier(), demand(2600.0), Site(criteria(), facts))
    made = concrete(one)
    assert (made.shaft_diameter_in, made.base_size_in, made.thickness_in) == (12.0, 18.0, 6.0)
    assert made.bell_height_in == pytest.approx(5.196, abs=0.001)
    by_hand = 113.097 * 23.804 + math.pi * 5.196 / 12 * 684 + 254.469 * 6
    assert made.volume_cuft == pytest.approx(by_hand / 1728, abs=1e-3)
    assert check(one, "footing_size", "table").capacity == 18.0
    assert check(one, "footing_thickness", "table").demand == pytest.approx(11.196, abs=0.001)
    assert not one.unsafe


def test_estimating_in_building_construction_example_10_3_in_a_pier() -> None:
    """A shaft of 18 in, a bell of 42 in at 60 deg: 8.96 cu ft, here with nothing above and below it."""
    height = 12 * math.tan(math.radians(60))
    assert Shape(height, 0.0, 18.0, 42.0, "round", 0.0, height).volume_cuft == pytest.approx(8.96, abs=0.005)


def test_smallest_form_that_takes_the_tube(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    site = Site(criteria(), facts)
    assert concrete(served(BelledPier(), demand(2900.0), site)).base_size_in == 22.0
    # an 18 in shaft goes into no form narrower than 28 in
    assert concrete(served(BelledPier(18.0), demand(2900.0), site)).base_size_in == 28.0
    assert concrete(served(BelledPier(), demand(2900.0, post_size="8x8"), site)).shaft_diameter_in == 14.0


def test_deep_enough_for_its_form(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    site = Site(criteria(frost_depth_in=6.0), facts)
    made = concrete(served(BelledPier(), demand(9000.0, y_ft=20.0), site))
    assert made.base_size_in == 36.0
    # rim 6 in, cone 12 tan 60
    assert made.depth_below_grade_in == pytest.approx(6 + 20.785, abs=0.001)


def test_what_is_bought(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    site = Site(criteria(), facts)
    found = needs(BelledPier(), [served(BelledPier(), demand(2600.0, n), site) for n in (1, 2)], site)
    assert found == {
        "form.12in.tube": pytest.approx(2 * (35 - 11.196) / 12, abs=2 / 16 / 12),
        "form.18in.bell": 2.0,
        "anchor.1-2in.10in.hot_dip_galvanized": 2.0,
        "post_base.6x6.hot_dip_galvanized": 2.0,
        "rental.auger.day": 1.0,
        "rental.mixer.day": 1.0,
        "fee.inspection.footing_holes": 1.0,
    }


def test_refused_with_the_number(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    site = Site(criteria(), facts)
    found = refused(BelledPier(), demand(20_000.0), site)
    assert (found.code, "50 in bell" in found.text, "42 in" in found.text) == (
        "pier_too_wide_for_tube",
        True,
        True,
    )
    assert refused(BelledPier(30.0), demand(), site).text == "no bell form takes a 30 in tube"


def test_its_hold_is_said_and_whose_forms_they_are(
    criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    site = Site(criteria(), facts)
    one = served(BelledPier(), demand(2600.0), site)
    grip, listing = BelledPier().cautions([one], site)
    # 12 in by 32 in at 65 kPa; 0.6 x 2600 x 10 / 50 = 312 lb; 2.98 cu ft weigh 447 lb
    assert "11,400 lb" in grip.text
    assert "dead load with 300 lb" in grip.text
    assert "own weight with 400 lb" in grip.text
    assert listing.code == "maker_listing_governs"
    assert not BelledPier().cautions([one], Site(criteria(frost_depth_in=0.0), facts))[:-1]

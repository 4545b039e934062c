"""Posts on buried pads: pad, the longer post, what they are refused for."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from comparison.footing_parts import check, concrete, needs, refused, served

from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.methods.post_on_buried_pad import PostOnBuriedPad
from service.foundations.site import Site
from service.sizing.criteria import Criteria

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]
METHOD = PostOnBuriedPad()


def test_by_hand(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    """18 in round for 52 sq ft; it stands out (18 - 5.5) / 2 = 6.25 in past a 6x6, so it is 7 in thick."""
    one = served(METHOD, demand(2600.0, post_height_in=30.0), Site(criteria(), facts))
    made = concrete(one)
    assert (made.base_shape, made.base_size_in, made.thickness_in) == ("round", 18.0, 7.0)
    assert made.shaft_diameter_in is None
    assert made.volume_cuft == pytest.approx(254.469 * 7 / 1728, abs=1e-4)
    assert (one.footing.bottom_height_in, one.footing.top_height_in, one.footing.exposed_in) == (-32, -25, 0)
    # 30 in over the pier's usual top, 3 in of that, 25 in in the ground
    assert check(one, "post_height", "table").demand == 58.0
    assert not {"footing_anchor_edge"} & {finding.check for finding in one.findings}
    assert not one.unsafe
    assert not one.engineer


def test_twelve_inches_of_post_in_the_ground(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    """R507.4.1: without frost the pad goes down until 12 in of post stand in the ground."""
    one = served(METHOD, demand(2600.0), Site(criteria(frost_depth_in=6.0), facts))
    assert one.footing.grade_height_in - one.footing.top_height_in == 12.0
    assert concrete(one).depth_below_grade_in == 19.0


def test_on_a_slope_the_pad_goes_down_whole(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    one = served(METHOD, demand(2600.0, fall_in_per_ft=4.0), Site(criteria(), facts))
    # 18 in on 4 in per ft: 3 in
    assert one.footing.bottom_height_in == -35.0
    assert one.footing.top_height_in == -28.0
    assert concrete(one).volume_cuft == pytest.approx(254.469 * 7 / 1728, abs=1e-4)


def test_a_post_too_tall_for_the_table(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    """IRC 2018: a 4x4 under two plies stands 96 in tall: 80 + 3 + 26 in do not fit, 60 + 3 + 26 do."""
    site = Site(criteria("2018"), facts)
    low, tall = (
        served(METHOD, demand(1000.0, post_size="4x4", post_height_in=h), site) for h in (60.0, 80.0)
    )
    assert check(low, "post_height", "table").passes
    found = check(tall, "post_height", "table")
    assert (found.demand, found.capacity, found.passes) == (109.0, 96.0, False)
    assert (found.would_pass,) == ("a post of 96 in, or a larger one",)
    assert [f.check for f in tall.unsafe] == ["post_height"]
    three = served(METHOD, demand(1000.0, post_size="4x4", post_height_in=60.0, beam_plies=3), site)
    assert check(three, "post_height", "table").capacity == 81.0


def test_a_post_off_the_table_needs_an_engineer(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    one = served(METHOD, demand(2600.0, post_height_in=160.0), Site(criteria(), facts))
    assert [reason.code for reason in one.engineer] == ["post_above_table"]
    assert "188 in" in one.engineer[0].text


def test_refused_with_the_number(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    site = Site(criteria(), facts)
    low = refused(METHOD, demand(post=None, seat="2ply", top_above_grade_in=5.5), site)
    assert (low.code, "5.5 in above" in low.text) == ("no_post_here", True)
    durable = refused(METHOD, demand(), Site(criteria(species="redwood"), facts))
    assert (durable.code, "UC4B" in durable.text) == ("species_not_below_grade", True)
    assert refused(METHOD, demand(20_000.0), site).code == "pier_too_wide_for_tube"


def test_nothing_is_bought_for_its_foot(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    site = Site(criteria(), facts)
    assert set(needs(METHOD, [served(METHOD, demand(2600.0), site)], site)) == {
        "rental.auger.day", "rental.mixer.day", "fee.inspection.footing_holes",
    }  # fmt: skip


def test_decay_and_grip_are_said(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    site = Site(criteria(), facts)
    decay, grip = METHOD.cautions([served(METHOD, demand(2600.0), site)], site)
    assert decay.code == "post_can_decay"
    # 65 kPa on 4 x 5.5 in by 25 in: 5,185 lb
    assert "5,200 lb" in grip.text
    assert "not the pad" in grip.text

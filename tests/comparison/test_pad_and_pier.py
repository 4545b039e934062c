"""Pads with piers: side, thickness, bars, what is bought, what they are refused for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import msgspec
import pytest
from comparison.footing_parts import check, concrete, needs, refused, served

from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.methods.pad_and_pier import PadAndPier
from service.foundations.site import Site
from service.sizing.criteria import Criteria

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]


def test_by_hand(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    """2600 lb at 50 psf are 52 sq ft: between 14 in at 40 and 17 in at 60 stands 15.8, so 16 in square and 6 thick.

    The pier is 12 in wide under a 6x6 and 35 - 6 in long: 16 x 16 x 6 + 113.1 x 29 cu in.
    """
    one = served(PadAndPier(), demand(2600.0), Site(criteria(), facts))
    made = concrete(one)
    assert (made.base_shape, made.base_size_in, made.thickness_in, made.shaft_diameter_in) == (
        "square",
        16.0,
        6.0,
        12.0,
    )
    assert made.volume_cuft == pytest.approx((1536 + 113.097 * 29) / 1728, abs=1e-4)
    assert made.reinforcement is None
    size = check(one, "footing_size", "table")
    assert (size.demand, size.capacity) == (16.0, 16.0)
    assert size.citation.column == "square_side_in"
    # 1500 psf on 16 x 16 in
    assert check(one, "footing_size", "calculated").capacity == pytest.approx(1500 * 256 / 144)
    assert not one.unsafe
    assert (one.footing.top_height_in, one.footing.bottom_height_in) == (3.0, -32.0)


def test_a_pad_is_wider_than_its_pier(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    # R403.1.1: a projection of 2 in at least
    assert concrete(served(PadAndPier(), demand(200.0), Site(criteria(), facts))).base_size_in == 16.0
    assert concrete(served(PadAndPier(20.0), demand(200.0), Site(criteria(), facts))).base_size_in == 24.0


def test_a_pad_is_as_thick_as_it_stands_out(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    one = served(PadAndPier(8.0), demand(7000.0, y_ft=12.0), Site(criteria(), facts))
    made = concrete(one)
    assert made.base_size_in
    assert made.thickness_in
    # 26 in wide under 8 in: 9 in out, 10 in by the table
    assert (made.base_size_in, made.thickness_in) == (26.0, 10.0)
    # the pier's weight counted too makes it 32 in wide, and 12 in out; the table's 10 in are not enough then
    book = criteria().rulebook
    full = msgspec.structs.replace(book.in_force_settings, own_weight_rule="full")
    heavy = criteria(rulebook=replace(book, settings=full))
    wide = served(PadAndPier(8.0), demand(7000.0, y_ft=12.0), Site(heavy, facts))
    assert (concrete(wide).base_size_in, concrete(wide).thickness_in) == (32.0, 12.0)
    assert check(wide, "footing_thickness", "calculated").capacity == 12.0
    assert check(wide, "footing_thickness", "calculated").citation.section == "R403.1.1"
    edge = check(one, "footing_anchor_edge", "rule")
    assert (edge.passes, edge.would_pass) == (False, "11.5 in round")


@pytest.mark.parametrize(("frost_in", "bars"), [(38.0, None), (40.0, 4)])
def test_bars_in_a_pier_over_three_times_as_tall_as_wide(
    frost_in: float, bars: int | None, criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    """12 in wide: 38 + 3 - 6 = 35 in of pier stand plain, 40 + 3 - 6 = 37 in do not (ACI 318, from memory)."""
    site = Site(criteria(frost_depth_in=frost_in), facts)
    one = served(PadAndPier(), demand(2600.0, y_ft=20.0), site)
    found = concrete(one).reinforcement
    assert (found.bars if found else None) == bars
    assert ("reinforcement.no_4.grade_40" in needs(PadAndPier(), [one], site)) == (bars is not None)
    if found:
        assert found.length_in == frost_in + 3 - 6
        assert "value_from_memory" in [caution.code for caution in one.cautions]


def test_what_is_bought(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    site = Site(criteria(frost_depth_in=60.0), facts)
    beam = demand(2600.0, 2, post=None, serves="main.beam-1", seat="2ply", y_ft=20.0)
    several = [served(PadAndPier(), one, site) for one in (demand(2600.0, y_ft=20.0), beam)]
    # two shafts of 60 + 3 - 6 = 57 in, four bars of 57 in each; no auger, the hole is square
    assert needs(PadAndPier(), several, site) == {
        "form.12in.tube": pytest.approx(2 * 57 / 12),
        "reinforcement.no_4.grade_40": pytest.approx(8 * 57 / 12),
        "anchor.1-2in.10in.hot_dip_galvanized": 2.0,
        "post_base.6x6.hot_dip_galvanized": 1.0,
        "saddle.2ply.hot_dip_galvanized": 1.0,
        "rental.mixer.day": 1.0,
        "fee.inspection.footing_holes": 1.0,
    }
    nowhere = Site(criteria(place=None), facts)
    assert "fee.inspection.footing_holes" not in needs(PadAndPier(), several, nowhere)


def test_refused_with_the_number(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    found = refused(PadAndPier(), demand(30_000.0), Site(criteria(), facts))
    assert found.code == "pier_too_wide_for_tube"
    # 30,000 lb on 1500 psf: 20 sq ft, 53.7 in square
    assert "54 in square" in found.text
    assert (
        refused(PadAndPier(), demand(), Site(criteria(soil_bearing_psf=0.0), facts)).code == "bearing_too_low"
    )


def test_ground_over_the_pad_below_frost_holds_it(
    criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    """Frost 10 in, but the pad lies at 12 in, 6 in thick: its top is above frost and no ground below frost helps.

    On a slope of 4 in per ft 16 in more of it lie below.
    """
    (flat,) = PadAndPier().cautions(
        [served(PadAndPier(), demand(2600.0), Site(criteria(frost_depth_in=10.0), facts))],
        Site(criteria(frost_depth_in=10.0), facts),
    )
    assert "no base below frost helps" in flat.text
    site = Site(criteria(frost_depth_in=4.0), facts)
    deep = served(PadAndPier(), demand(9000.0, y_ft=20.0, fall_in_per_ft=8.0), site)
    made = concrete(deep)
    # 30 in wide on 8 in per ft: 10 in lower than 12 in; 12 in thick, so its top is 6 in below frost
    assert (made.depth_below_grade_in, made.thickness_in) == (22.0, 12.0)
    held = 110 * (900 - 113.1) / 144 * 0.5
    (said,) = PadAndPier().cautions([deep], site)
    assert f"ground over its base below frost {round(held, -2):,.0f} lb" in said.text

"""Tube-form piers: size, depth, base, pin, and what they are refused for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import msgspec
import pytest

from service.contract.report_frame import Concrete
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.ground_risks import ground_risks_of
from service.foundations.method import CannotServe, Sized
from service.foundations.methods.tube_form_pier import TubeFormPier
from service.foundations.site import Site
from service.foundations.volumes import cylinder_cuft
from service.sizing.criteria import Criteria
from tests.context import NOWHERE, context, designed, spec_of

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]


def sized(demand: Demand, criteria: Criteria, facts: FoundationFacts, pinned: float | None = None) -> Sized:
    found = TubeFormPier(pinned).size(demand, Site(criteria, facts))
    assert not isinstance(found, CannotServe)
    return found


def concrete(one: Sized) -> Concrete:
    assert one.footing.concrete
    return one.footing.concrete


def without_frost_rule(criteria: Criteria) -> Criteria:
    settings = msgspec.structs.replace(
        criteria.rulebook.in_force_settings, freestanding_footings_to_frost=False
    )
    return replace(criteria, rulebook=replace(criteria.rulebook, settings=settings))


def test_straight_pier(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    pier = sized(demand(2600.0), criteria(), facts)
    shaft = concrete(pier)
    assert (shaft.shaft_diameter_in, shaft.base_shape, shaft.base_size_in) == (18.0, None, None)
    assert (pier.footing.top_height_in, pier.footing.bottom_height_in) == (3.0, -32.0)
    assert shaft.volume_cuft == pytest.approx(cylinder_cuft(18, 35))
    assert all(finding.passes for finding in pier.findings)
    assert {finding.check for finding in pier.findings} == {
        "footing_size", "footing_thickness", "footing_below_frost", "footing_in_undisturbed_ground",
        "footing_anchor_edge", "footing_house_load_line",
    }  # fmt: skip


def test_wide_pier_gets_a_base(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    pier = concrete(sized(demand(7000.0, y_ft=12.0), criteria(), facts))
    assert (pier.shaft_diameter_in, pier.base_shape, pier.base_size_in) == (12.0, "round", 29.0)
    assert pier.thickness_in == 10.0
    assert pier.volume_cuft == pytest.approx(cylinder_cuft(12, 25) + cylinder_cuft(29, 10))


def test_no_base_is_wide_enough(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    found = TubeFormPier().size(demand(25_000.0), Site(criteria(), facts))
    assert isinstance(found, CannotServe)
    assert found.code == "pier_too_wide_for_tube"


@pytest.mark.parametrize(("size", "shaft"), [("4x4", 10.0), ("6x6", 12.0), ("8x8", 14.0)])
def test_pier_takes_the_post_base(
    size: str, shaft: float, criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    assert concrete(sized(demand(200.0, post_size=size), criteria(), facts)).shaft_diameter_in == shaft


def test_pinned_and_too_narrow_says_what_passes(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    pier = sized(demand(2600.0), criteria(), facts, 12.0)
    (table,) = [f for f in pier.findings if f.check == "footing_size" and f.basis == "table"]
    assert (table.passes, table.demand, table.capacity, table.would_pass) == (
        False,
        12.0,
        18.0,
        "18 in round",
    )
    assert table in pier.unsafe
    assert concrete(pier).shaft_diameter_in == 12.0


def test_pinned_too_narrow_for_the_post(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    pier = sized(demand(200.0), criteria(), facts, 8.0)
    assert [f.check for f in pier.unsafe] == ["footing_anchor_edge"]


def test_depth_without_frost_is_the_code_minimum(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    assert concrete(sized(demand(), criteria(frost_depth_in=6.0), facts)).depth_below_grade_in == 12.0


def test_freestanding_goes_to_frost_unless_the_setting_says_no(
    criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    free = demand(attached=False)
    assert concrete(sized(free, criteria(), facts)).depth_below_grade_in == 32.0
    shallow = sized(free, without_frost_rule(criteria()), facts)
    assert concrete(shallow).depth_below_grade_in == 12.0
    assert "footing_below_frost" not in {finding.check for finding in shallow.findings}
    assert any("heave" in caution.text for caution in shallow.cautions)
    attached = sized(demand(), without_frost_rule(criteria()), facts)
    assert concrete(attached).depth_below_grade_in == 32.0


def test_own_weight_is_a_caution_under_gross_and_governs_otherwise(
    criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    gross = sized(demand(2600.0), criteria(), facts)
    assert "table_permits_calculation_does_not" in [caution.code for caution in gross.cautions]
    book = criteria().rulebook
    full = replace(book, settings=msgspec.structs.replace(book.in_force_settings, own_weight_rule="full"))
    heavy = sized(demand(2600.0), criteria(rulebook=full), facts)
    # 2600 lb over 1500 - 150 x 35 / 12 psf: 2.447 sq ft, 21.2 in round
    assert concrete(heavy).shaft_diameter_in == 24.0
    (size,) = [f for f in heavy.findings if f.check == "footing_size"]
    assert (size.basis, size.capacity, size.passes) == ("calculated", 22.0, True)


def test_heave_force_of_a_12_in_pier_in_32_in_of_frost(
    criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    # Canadian Foundation Engineering Manual: 65 kPa on 12 in by 32 in is 11,400 lb
    pier = sized(demand(200.0), criteria(), facts, 12.0)
    (said,) = TubeFormPier(12.0).cautions([pier], Site(criteria(), facts))
    # 0.6 x 200 x 10 / 50 = 24 lb of deck; 2.29 cu ft of concrete weigh 344 lb
    assert "11,400 lb" in said.text
    assert "dead load with 0 lb, its own weight with 300 lb" in said.text


def test_more_load_never_a_smaller_pier(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    where = criteria()
    widths = [
        (shape.base_size_in or shape.shaft_diameter_in or 0.0)
        for load in range(200, 12_000, 150)
        for shape in [concrete(sized(demand(float(load)), where, facts))]
    ]
    assert widths == sorted(widths)


def test_water_and_sand_and_rock_are_risks(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    where = criteria(water_table_depth_in=24.0, rock_depth_in=20.0, soil_class="sand")
    pier = sized(demand(), where, facts)
    site = Site(where, facts)
    codes = {one.code for one in (*TubeFormPier().risks([pier], site), *ground_risks_of([pier], site))}
    assert {"hole_floods", "hole_caves", "buried_obstruction", "inspection_delay"} <= codes
    assert "groundwater_over_base" in [caution.code for caution in pier.cautions]


def test_fill_and_mud_need_an_engineer() -> None:
    level = {"width_ft": 12, "projection_ft": 10, "surface_height_in": 30}
    site = {**NOWHERE, "soil_class": "organic_or_fill"}
    report = designed(spec_of(site=site, house={"wall": "none"}, levels=[level]), context(None, "irc-2021"))
    assert report.verdict.status == "engineer_required"
    assert "soil_needs_engineer" in [reason.code for reason in report.verdict.reasons]

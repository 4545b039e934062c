"""Posts that are alike are sized once, and every footing still has its own name and place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from service.comparison.compare import compare
from service.contract.spec import DeckSpec
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.methods.helical_pile import HelicalPile
from service.foundations.methods.tube_form_pier import TubeFormPier
from service.foundations.site import DeckFacts, Site
from service.sizing.criteria import Criteria

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]
Build = Callable[..., DeckSpec]
METHODS = {
    "tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad", "helical_pile", "pier_block_on_grade",
}  # fmt: skip


def test_every_method_is_worked_out(criteria: Make, demand: Ask, spec: Build, facts: FoundationFacts) -> None:
    demands = [demand(1200.0), demand(2600.0, 2), demand(1200.0, 3)]
    found = compare(demands, criteria(), spec(), None, facts, DeckFacts(192.0, 36.0))
    assert {one.method for one in found.results} == METHODS
    for one in found.results:
        if one.method == "pier_block_on_grade":
            assert [said.code for said in one.why_not] == ["size_limit_of_edition"]
            assert one.sized == ()
            continue
        assert one.feasible
        assert [s.footing.load_lb for s in one.sized] == [1200.0, 2600.0, 1200.0]
        assert one.alike[0] is one.alike[2]


@pytest.mark.parametrize(
    "method", [TubeFormPier(), HelicalPile("engineer_letter")], ids=lambda m: str(m.name)
)
def test_a_renamed_footing_is_the_one_worked_out_for_it(
    method: Any, criteria: Make, facts: FoundationFacts, demand: Ask
) -> None:
    site = Site(criteria(), facts)
    first, other = demand(2600.0, y_ft=4.0), demand(2600.0, 3, y_ft=4.0, mark="F9-9")
    assert first.likeness == other.likeness
    assert method.size(first, site).renamed(other) == method.size(other, site)


@pytest.mark.parametrize(
    "changed",
    [
        {"load_lb": 2600.5}, {"sizing_load_lb": 2600.5}, {"post_size": "4x4"}, {"seat": "2ply"}, {"post": None},
        {"grade_height_in": -1.0}, {"attached": False}, {"top_above_grade_in": 4.0}, {"wall_distance_ft": 3.0},
        {"fall_in_per_ft": 1.0}, {"post_height_in": 40.0}, {"beam_plies": 3}, {"y_ft": 11.0},
    ],
    ids=str,
)  # fmt: skip
def test_what_makes_posts_unlike(changed: dict[str, Any], demand: Ask) -> None:
    one = demand(2600.0)
    assert replace(one, **changed).likeness != one.likeness
    assert replace(one, x_ft=99.0, footing_id="main.footing-9-9", mark="F9-9").likeness == one.likeness


def test_a_place_that_forbids_a_method(
    criteria: Make, demand: Ask, spec: Build, facts: FoundationFacts
) -> None:
    where = criteria("2024", place="ketterwick-township")
    found = compare([demand(attached=False)], where, spec(), None, facts, DeckFacts(100.0, 10.0))
    blocks = found.result("pier_block_on_grade")
    assert blocks
    assert blocks.status == "not_permitted"
    assert blocks.reasons[0].code == "method_not_allowed_here"


def test_a_calculation_slightly_over_its_table_is_no_prohibition(
    criteria: Make, demand: Ask, spec: Build, facts: FoundationFacts
) -> None:
    """29 in round by the table for 140 sq ft, of which 1500 psf bear 6880 lb of 7000: 1.7 % over."""
    found = compare([demand(7000.0, y_ft=40.0)], criteria(), spec(), None, facts)
    pier = found.result("tube_form_pier")
    assert pier
    assert [f.check for f in pier.sized[0].failing] == ["footing_size"]
    assert pier.status == "prescriptive"
    assert not pier.sized[0].beyond_table(1.05)
    assert pier.sized[0].beyond_table(1.01)

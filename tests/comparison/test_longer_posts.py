"""Posts on buried pads cost what the longer post costs beyond the one on a pier; lengths and prices by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest
from comparison.footing_parts import served
from context import context, designed, spec_of

from service.comparison.longer_posts import longer_posts
from service.contract.report_comparison import MethodComparison
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.methods.post_on_buried_pad import PostOnBuriedPad
from service.foundations.methods.tube_form_pier import TubeFormPier
from service.foundations.site import Site
from service.sizing.criteria import Criteria
from tests.comparison.worked import book

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]
POST = "post.6x6.southern_pine.no_2.uc4b"


@pytest.mark.parametrize(
    ("frost_in", "each"),
    [
        # 29 in over a pier: four from 10 ft at 44.18; 30 + 3 + 25 in down to the pad: two from 10 ft
        (32.0, Decimal("44.18") / 2 - Decimal("44.18") / 4),
        # 30 + 3 + 113 in: one from 16 ft at 73.45
        (120.0, Decimal("73.45") - Decimal("44.18") / 4),
    ],
)
def test_by_hand(frost_in: float, each: Decimal, criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    given = criteria(frost_depth_in=frost_in)
    one = served(PostOnBuriedPad(), demand(2600.0, post_height_in=30.0), Site(given, facts))
    (line,) = longer_posts((one, one), given, book())
    assert (line.item, line.unit, line.per_footing, line.unit_price) == (POST, "lineal_ft", True, None)
    down_in = 3.0 + frost_in - 7.0
    assert line.quantity == pytest.approx(2 * (down_in + 1.0) / 12)
    assert line.extended == round(2 * each, 2)


def test_no_price_for_the_post_is_no_price(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    one = served(PostOnBuriedPad(), demand(2600.0, post_height_in=30.0), Site(criteria(), facts))
    bare = replace(book(), lines=tuple(line for line in book().lines if not line.item.startswith("post.6x6")))
    for prices in (None, bare):
        (line,) = longer_posts((one,), criteria(), prices)
        assert line.extended is None


def test_a_post_on_a_pier_is_no_longer(criteria: Make, facts: FoundationFacts, demand: Ask) -> None:
    one = served(TubeFormPier(None), demand(2600.0, post_height_in=30.0), Site(criteria(), facts))
    assert list(longer_posts((one,), criteria(), book())) == []


def test_deep_frost_costs_more_wood_in_a_whole_deck() -> None:
    def pads(frost_in: float) -> MethodComparison:
        level = {"width_ft": 16, "projection_ft": 12, "surface_height_in": 48}
        spec = spec_of(
            jurisdiction="alder-county", house={"wall": "none"}, levels=[level],
            site={"frost_depth_in": frost_in}, foundation={"method": "post_on_buried_pad"},
        )  # fmt: skip
        found = designed(spec, context("alder-county")).footing_comparison.methods
        return next(one for one in found if one.method == "post_on_buried_pad")

    shallow, deep = pads(12), pads(84)
    wood = [[q for q in one.quantities if q.item.startswith("post.")] for one in (shallow, deep)]
    assert [len(one) for one in wood] == [1, 1]
    low, high = (float(one[0].extended.amount) for one in wood if one[0].extended)
    assert low < high
    assert shallow.cost
    assert deep.cost
    assert float(deep.cost.likely) - float(shallow.cost.likely) >= high - low - 0.005

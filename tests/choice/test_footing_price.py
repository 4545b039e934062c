"""What footings cost to the search, against the deck worked out to the end; and the bound of it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import pytest
from choice.priced_cases import ALONE, CREW, LEVEL, WAGES, case_of, some_layouts
from context import EDITIONS, NOWHERE, context, places, prices
from context import criteria as judged_by
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from service.choice.level.case import Case
from service.choice.level.context import Context
from service.choice.level.deck_facts import deck_facts
from service.choice.level.score import PostLoads
from service.choice.level.worked import work_out
from service.choice.search.footing_price import FootingPrices
from service.choice.search.footing_standing import LeastStandings
from service.choice.search.plans import Attachment
from service.comparison.compare import compared, job_of
from service.comparison.recommend import choose_method
from service.foundations.demand import Demand
from service.framing.layout import Layout
from service.rules.price_book import PriceBook
from service.rules.price_cells import PriceBreak
from service.sizing.footings import FootingSize, footing_size

METHODS = (
    "tube_form_pier",
    "pad_and_pier",
    "belled_pier",
    "post_on_buried_pad",
    "helical_pile",
    "pier_block_on_grade",
)
FOUNDATIONS: tuple[dict[str, Any], ...] = (
    {}, {}, {}, *({"method": one} for one in METHODS), {"pier_diameter_in": 14}, {"concrete_supply": "bagged"},
    {"concrete_supply": "ready_mix"},
)  # fmt: skip
PLAIN = (False, 0, False, False)
LOW = {**LEVEL, "width_ft": 12, "projection_ft": 10, "surface_height_in": 16}
WIDE = {"width_ft": 30, "projection_ft": 16, "surface_height_in": 48}
DECKS: dict[str, tuple[Attachment, str | None, dict[str, Any]]] = {
    "attached": ("ledger", None, {"crew": CREW}),
    "no crew": ("freestanding", None, {}),
    "wages": ("ledger", None, {"crew": WAGES}),
    "low, on saddles": ("freestanding", None, {"crew": CREW, "house": ALONE, "levels": [LOW]}),
    "on a slope, in winter": (
        "freestanding",
        None,
        {
            "crew": CREW,
            "levels": [WIDE],
            "site": {**NOWHERE, "grade_fall_y_in_per_ft": 1.0},
            "schedule": {"start_date": "2026-12-10"},
        },
    ),
    **{f"in {place}": ("freestanding", place, {"crew": CREW}) for place in places()},
    **{f"on {method}": ("ledger", None, {"crew": CREW, "foundation": {"method": method}}) for method in METHODS},
}  # fmt: skip


def deck(name: str) -> tuple[Case, Attachment]:
    kind, place, given = DECKS[name]
    return case_of(context(place), **given), kind


@pytest.mark.parametrize("name", DECKS)
def test_it_is_the_cost_of_the_deck_worked_out(name: str) -> None:
    case, kind = deck(name)
    found = FootingPrices(case)
    layouts = some_layouts(case, kind, 4)
    assert layouts
    for layout in layouts:
        worked, price = work_out(case, [layout]), found.of(layout)
        method = worked.method
        assert price.method == (method.method if method else None)
        cost = method.cost.likely if method and method.cost else None
        assert price.cost == (None if cost is None else 10_000 * cost)


@pytest.mark.parametrize("name", DECKS)
def test_what_is_remembered_is_what_is_worked_out_anew(name: str) -> None:
    """And nothing is under the bound."""
    case, kind = deck(name)
    found = FootingPrices(case)
    for layout in some_layouts(case, kind, 8):
        assert found.of(layout) == FootingPrices(case).of(layout)
        assert_bounded(case, found, layout)


def assert_bounded(case: Case, found: FootingPrices, layout: Layout) -> None:
    """The bound holds for footings that stand as they do, and so does that of how they stand at best."""
    price, demands = found.of(layout), found.demands(layout)
    bottom_in = case.setting().stack(layout).beam_bottom_in
    assert LeastStandings(found).of(layout, bottom_in) <= price.standing
    if price.cost is None:
        return
    loads = sorted(one.sizing_load_lb for one in demands)
    for least in (loads, [0.9 * one for one in loads], [loads[0]] * len(loads), [1.0] * len(loads)):
        assert found.least(least, layout.attached, price.standing) <= price.cost, (price, least)
        assert found.least(least, layout.attached, price.standing, loads) <= price.cost, (price, least)
    sized_for = PostLoads(case.ask(layout.region)).sized_for(layout)
    if sized_for is not None:
        least, most = sized_for
        sized = [one.sizing_load_lb for one in demands]
        assert all(a - 1e-6 <= b <= c + 1e-6 for a, b, c in zip(least, sized, most, strict=True)), layout
        assert found.least(least, layout.attached, price.standing, most) <= price.cost


@cache
def with_breaks(seed: int) -> PriceBook:
    """The demo prices, every fifth line with a lower price from some quantity on."""
    book = prices()
    lines = tuple(
        replace(line, breaks=(PriceBreak(2 + (seed * number) % 13, line.unit_price * (30 + seed * number % 60) / 100),))
        if (number + seed) % 5 == 0
        else line
        for number, line in enumerate(book.lines)
    )  # fmt: skip
    return replace(book, lines=lines)


@st.composite
def cases(draw: st.DrawFn) -> tuple[Case, Attachment]:
    """Decks of any size, ground and season, by any method, priced with breaks."""
    kind: Attachment = draw(st.sampled_from(("ledger", "freestanding")))
    place = draw(st.sampled_from((None, None, *places())))
    where: Context = replace(context(place), prices=with_breaks(draw(st.integers(1, 4))))
    site: dict[str, Any] = {} if place else {
        "frost_depth_in": draw(st.sampled_from((0, 12, 32, 48))),
        "ground_snow_load_psf": draw(st.sampled_from((0, 30, 60))),
        "soil_class": draw(st.sampled_from(("clay", "sand", "sandy_gravel", "sedimentary_rock"))),
    }  # fmt: skip
    special = ({}, {"grade_fall_y_in_per_ft": 0.5}, {"water_table_depth_in": 30}, {"rock_depth_in": 40})
    site |= draw(st.sampled_from(special))
    surface = draw(st.sampled_from((16.0, 24.0, 36.0, 60.0, 110.0)))
    house = {
        "wall": "wood_band", "door_sill_height_in": surface + 1.5, "rim_depth_in": 11.25,
        "foundation_depth_in": draw(st.sampled_from((None, 30, 90))),
    }  # fmt: skip
    wide, deep = draw(st.integers(6, 30)), draw(st.integers(6, 20))
    wished: dict[str, Any] = {
        "site": site,
        "house": house,
        "levels": [{"width_ft": wide, "projection_ft": deep, "surface_height_in": surface}],
        "foundation": draw(st.sampled_from(FOUNDATIONS)),
        "schedule": draw(st.sampled_from(({}, {"start_date": "2026-12-10"}, {"start_date": "2027-06-07"}))),
        "framing": draw(st.sampled_from(({}, {"species": "redwood"}, {"post_size": "4x4"}))),
    }  # fmt: skip
    crew = draw(st.sampled_from((None, CREW, WAGES)))
    if crew is not None:
        wished["crew"] = crew
    return case_of(where, **wished), kind


@settings(max_examples=15, suppress_health_check=list(HealthCheck), deadline=None)
@given(cases())
def test_nothing_is_under_the_bound_on_any_deck(drawn: tuple[Case, Attachment]) -> None:
    case, kind = drawn
    found = FootingPrices(case)
    layouts = some_layouts(case, kind, 6)
    assume(layouts)
    for layout in layouts:
        assert_bounded(case, found, layout)


def test_without_prices_there_is_no_bound() -> None:
    case = case_of(context(priced=False))
    assert FootingPrices(case).least([900.0] * 4, attached=True) == 0
    assert FootingPrices(case).of(some_layouts(case, "ledger", 1)[0]).cost is None


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("load_psf", [40, 50, 60, 70])
def test_more_load_asks_for_no_smaller_footing(edition: str, load_psf: int) -> None:
    """The bound is proven from this: bases of the footing tables widen with the floor carried."""
    rules = judged_by(edition, load_psf)
    for soil in (1000.0, 1500.0, 2000.0, 3000.0):
        at = replace(rules, ground=replace(rules.ground, soil_bearing_psf=soil))
        sizes = [footing_size(at, float(load), 35.0) for load in range(100, 12_000, 100)]
        found = [one for one in sizes if isinstance(one, FootingSize)]
        for column in ([one.round_in for one in found], [one.square_in for one in found]):
            assert column == sorted(column)


@pytest.mark.parametrize("crew", [None, CREW, WAGES])
@pytest.mark.parametrize("count", [3, 8])
def test_a_greater_load_that_comes_cheaper_is_not_under_the_bound(crew: Any, count: int) -> None:
    """A straight pier too wide for a tube gives way to a narrow one on a base, which takes less concrete."""
    case = case_of(foundation={"method": "tube_form_pier"}, **({"crew": crew} if crew else {}))
    found, costs = FootingPrices(case), {}
    job = job_of(case.criteria, case.spec, case.context.prices, case.context.facts, deck_facts([case]))
    for load in range(600, 7900, 300):
        asked = Demand("a", "F", "p", "p", 0.0, 50.0, load, load, "6x6", 0.0, True, post_height_in=20.0)
        method = choose_method(compared([asked] * count, job), "tube_form_pier")
        assert method is not None
        assert method.cost is not None
        costs[load] = method.cost.likely * 10_000
    falls = [low for low, high in pairwise(costs) if costs[high] < costs[low]]
    assert falls
    for load in costs:
        cheapest = min(cost for other, cost in costs.items() if other >= load)
        assert found.least([float(load)] * count, attached=True) <= cheapest


def test_where_no_footing_can_stand_on_a_base_the_bound_is_higher() -> None:
    """Four piers of 2,000 lb: tubes of 16 in; on a base under more load one of 12 in would do, and cost less."""
    found = FootingPrices(case_of())
    loads = [2000.0] * 4
    assert found.least(loads, attached=True) < found.least(loads, attached=True, most_lb=loads)
    assert found.least(loads, attached=True, most_lb=[20_000.0] * 4) == found.least(loads, attached=True)
    fallen = FootingPrices(case_of(site={**NOWHERE, "grade_fall_y_in_per_ft": 1.0}))
    assert fallen.least(loads, attached=True, most_lb=loads) == fallen.least(loads, attached=True), (
        "on a slope a base may be needed under less"
    )

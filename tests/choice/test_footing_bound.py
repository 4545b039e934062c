"""The lower bound of what footings cost, against the comparison, for sets of footings that no frame ever made."""

from __future__ import annotations

from dataclasses import replace

import pytest
from choice.brute import Brute
from choice.brute_decks import case_of, deck_of
from choice.test_footing_price import cases
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.choice.level.case import Case
from service.choice.level.deck_facts import deck_facts
from service.choice.search.footing_price import FootingPrices, standing_of
from service.choice.search.plans import Attachment
from service.comparison.compare import compare
from service.comparison.recommend import choose_method
from service.foundations.demand import Demand

LOADS_LB = st.one_of(st.floats(150, 9_000), st.sampled_from((150.0, 900.0, 2_400.0, 5_000.0, 12_000.0)))


@st.composite
def demands(draw: st.DrawFn, attached: bool) -> Demand:
    """A footing anywhere, under any load, on a post of any height or straight under a beam."""
    load_lb, height_in = draw(LOADS_LB), draw(st.sampled_from((0.0, 4.0, 11.0, 40.0, 90.0, 150.0)))
    far_ft, plies = draw(st.sampled_from((1.0, 2.5, 4.0, 7.0, 12.0, 40.0))), draw(st.integers(1, 3))
    return Demand(
        footing_id="any",
        mark="F",
        post="any" if height_in else None,
        serves="any",
        x_ft=4.0,
        y_ft=far_ft,
        load_lb=load_lb * draw(st.sampled_from((1.0, 0.8))),
        sizing_load_lb=load_lb,
        post_size=draw(st.sampled_from(("4x4", "6x6"))),
        grade_height_in=draw(st.sampled_from((0.0, 0.0, -6.0, 5.0))),
        attached=attached,
        top_above_grade_in=3.0 if height_in else 5.0,
        seat=None if height_in else f"{plies}ply",
        wall_distance_ft=far_ft,
        fall_in_per_ft=draw(st.sampled_from((0.0, 0.0, 0.5, 1.0))),
        post_height_in=height_in,
        beam_plies=plies,
    )


@settings(max_examples=60, suppress_health_check=list(HealthCheck), deadline=None)
@given(st.data(), cases())
def test_no_mixed_set_costs_less_than_the_bound(data: st.DataObject, drawn: tuple[Case, Attachment]) -> None:
    """Nor does any stand better than it would under hardly any load."""
    case, kind = drawn
    attached = kind == "ledger"
    asked = data.draw(st.lists(demands(attached), min_size=1, max_size=9))
    asked = [replace(one, post_size=asked[0].post_size) for one in asked]
    if data.draw(st.booleans()):
        level = {"fall_in_per_ft": 0.0, "top_above_grade_in": 3.0, "post": "any", "seat": None}
        asked = [replace(one, **level, post_height_in=max(4.0, one.post_height_in)) for one in asked]
    sized_for = replace(case, space=replace(case.space, post_sizes=(asked[0].post_size,)))
    found, context = FootingPrices(sized_for), case.context
    every = compare(asked, case.criteria, case.spec, context.prices, context.facts, deck_facts([case]))
    method = choose_method(every, case.spec.foundation.method)
    if method is None:
        return
    stand = standing_of(method) if case.spec.foundation.method in ("auto", method.method) else 48
    light = [
        replace(one, load_lb=1.0, sizing_load_lb=1.0, post_height_in=4.0 if one.post else 0.0)
        for one in asked
    ]
    for some in (light, light[:1], light[-1:]):
        assert found.standing_under(some) <= stand, (every.results, stand)
    if method.cost is None:
        return
    loads = [one.sizing_load_lb for one in asked]
    for least in (loads, [0.7 * one for one in loads], [min(loads)] * len(loads)):
        assert found.least(least, attached, stand) <= 10_000 * method.cost.likely, (
            method.method,
            stand,
            asked,
        )
    if found.plain and all(one.post and not one.fall_in_per_ft for one in asked):
        least = found.least(loads, attached, stand, loads)
        assert least <= 10_000 * method.cost.likely, (method.method, stand, asked)


@pytest.mark.parametrize("seed", [53, 99])
def test_where_every_method_stands_badly_the_bound_is_of_all_that_serve(seed: int) -> None:
    """Beside a house: the method chosen there is cheaper than the one that would stand well elsewhere."""
    case = case_of(deck_of(seed))
    found, dearer = FootingPrices(case), 0
    for frame in Brute(deck_of(seed)).frames[::25]:
        price, loads = found.of(frame.layout), [one.sizing_load_lb for one in found.demands(frame.layout)]
        if price.cost is None or price.standing <= 1:
            continue
        assert found.least(loads, frame.layout.attached, price.standing) <= price.cost
        dearer += found.least(loads, frame.layout.attached) > price.cost
    assert dearer

"""Ground no table covers asks for an engineer with every method it touches: a wrong "yes" is worst of all.

Sources: 12 in into undisturbed ground, IRC R403.1.4; nothing dug below the house footing beside it, 29 CFR
1926.651(i); sides of holes over 5 ft, 29 CFR 1926.652(a)(1), from memory; no value for fill, mud and peat and an
investigation under 1500 psf, IRC Table R401.4.1; helices in sand bear by q' Nq, whose factor no table here has; a
shaft standing free is held 5 ft down in firm ground, IBC 1810.2.1, from memory. Rock is common practice.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest

from service.comparison.compare import compare
from service.comparison.result import MethodResult
from service.contract.spec import DeckSpec
from service.contract.spec_wishes import ScheduleSpec
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.ground_words import rock_reasons
from service.sizing.criteria import Criteria

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]
Result = Callable[..., MethodResult]
PIER, PILE = "tube_form_pier", "helical_pile"
POURED = (PIER, "pad_and_pier", "belled_pier", "post_on_buried_pad")


@pytest.fixture
def result(criteria: Make, facts: FoundationFacts, demand: Ask, spec: Callable[..., DeckSpec]) -> Result:
    """One method for one post, far from the house where no place is given."""

    def of(
        method: str, place: dict[str, Any] | None = None, start: str | None = None, **ground: Any
    ) -> MethodResult:
        given = {"schedule": ScheduleSpec(start_date=dt.date.fromisoformat(start))} if start else {}
        asked = demand(1500.0, **{"y_ft": 30.0, "post_height_in": 30.0, **(place or {})})
        found = compare([asked], criteria(**ground), spec(**given), None, facts).result(method)
        assert found is not None
        return found

    return of


def codes(found: MethodResult) -> set[str]:
    return {one.code for one in found.reasons}


def near_edge(result: Result, edge_in: float, **more: Any) -> dict[str, Any]:
    """The place of a pier whose near edge is so far from the house."""
    wide_in = result(PIER).sized[0].footing.width_in
    return {"y_ft": (edge_in + wide_in / 2.0) / 12.0, **more}


@pytest.mark.parametrize(("bottom_in", "stands"), [(0.0, False), (43.2, False), (43.25, True), (117.0, True)])
def test_a_footing_goes_12_in_into_ground_never_dug(bottom_in: float, stands: bool, result: Result) -> None:
    """117 in deep at one to one: under an edge at 109.75 in it lies at 117 - (109.75 - 24) = 31.25 in."""
    place = near_edge(result, 109.75, least_bottom_depth_in=bottom_in)
    found = result(PIER, place, foundation_depth_in=117.0)
    assert ("ground_not_undisturbed" not in codes(found)) == stands
    assert (found.status == "prescriptive") == stands


def test_a_footing_may_stand_on_the_floor_of_the_hole(result: Result) -> None:
    """DCA 6: at the level of the house footing, whose depth is less than 5 ft."""
    level = near_edge(result, 10.0, least_bottom_depth_in=48.0)
    short = near_edge(result, 10.0, least_bottom_depth_in=47.0)
    assert result(PIER, level, foundation_depth_in=48.0).status == "prescriptive"
    assert codes(result(PIER, short, foundation_depth_in=48.0)) == {"ground_not_undisturbed"}


def test_the_working_of_the_zone_says_where_it_is_judged(result: Result) -> None:
    found = result(PIER, near_edge(result, 50.0), foundation_depth_in=96.0).sized[0].findings
    (zone,) = [one for one in found if one.check == "footing_in_undisturbed_ground" and not one.passes]
    steps = {one.symbol: one.value for one in zone.working}
    assert (steps["b"], steps["d"], steps["w"]) == (32.0, 20.0, 24.0 + 96.0 - 20.0)
    assert zone.capacity == steps["w"] or zone.demand == steps["w"]


@pytest.mark.parametrize(
    ("house_in", "edge_in", "stands"),
    [(30.0, 10.0, False), (24.0, 10.0, False), (20.0, 23.9, False), (20.0, 24.0, True), (32.0, 10.0, True)],
)
@pytest.mark.parametrize("method", [PIER, PILE])
def test_nothing_is_dug_below_the_house_footing_beside_it(
    method: str, house_in: float, edge_in: float, stands: bool, result: Result
) -> None:
    """Bottoms at 32 in; piles open no hole."""
    place = near_edge(result, edge_in)
    found = result(method, place, foundation_depth_in=house_in)
    assert (found.status == "prescriptive") == (stands or method == PILE)
    if not stands and method == PIER:
        assert codes(found) == {"house_load_line"}


@pytest.mark.parametrize(
    ("ground", "depth"),
    [
        ({"rock_depth_in": 6.0}, 6.0), ({"rock_depth_in": 31.0}, 31.0), ({"rock_depth_in": 32.0}, None),
        ({"soil_class": "crystalline_bedrock", "soil_bearing_psf": 12_000.0}, 0.0),
        ({"soil_class": "sedimentary_rock", "soil_bearing_psf": 4000.0, "rock_depth_in": 200.0}, 32.0),
    ],
)  # fmt: skip
def test_a_hole_into_rock_is_an_engineers(
    ground: dict[str, Any], depth: float | None, result: Result
) -> None:
    for method in POURED:
        found = result(method, **ground)
        assert found.sized, method
        assert ("rock_needs_engineer" in codes(found)) == (depth is not None), method
        assert (found.status == "prescriptive") == (depth is None), method
    if depth is not None:
        (said,) = [one for one in result(PIER, **ground).reasons if one.code == "rock_needs_engineer"]
        assert f"rock at {depth:g} in, the footing's bottom at 32 in" in said.text


def test_rock_at_the_bottom_to_the_last_bit_is_not_in_the_hole(criteria: Make) -> None:
    assert not rock_reasons("x", criteria(rock_depth_in=32.0), 32.0 + 1e-12)


@pytest.mark.parametrize(
    "ground", [{"soil_bearing_psf": 1000.0}, {"soil_class": "organic_or_fill"}], ids=["weak", "fill"]
)
def test_soil_without_a_value_is_an_engineers_with_every_method(
    ground: dict[str, Any], result: Result
) -> None:
    for method in (*POURED, PILE):
        found = result(method, **ground)
        assert found.status == "engineer_required", method
        assert [one.code for one in found.reasons].count("soil_needs_engineer") == 1, method


@pytest.mark.parametrize("soil", ["sand", "sandy_gravel"])
def test_piles_in_sand_are_proven_by_a_test_pile_alone(soil: str, result: Result) -> None:
    """9 c A holds in clay: in sand the torque rating is what is left, 9 x 8,000 / 2 lb or what the shaft takes."""
    clay, sand = (result(PILE, soil_class=word, soil_bearing_psf=2000.0) for word in ("clay", soil))
    assert (clay.status, sand.status) == ("prescriptive", "engineer_required")
    (said,) = sand.reasons
    assert said.code == "soil_needs_engineer"
    assert "test pile" in said.text
    shown = [next(f for f in one.sized[0].findings if f.check == "pile_capacity") for one in (clay, sand)]
    symbols = [{step.symbol for step in one.working} for one in shown]
    assert symbols[0] - symbols[1] == {"c", "Q_bearing"}
    least = min(step.value for step in shown[1].working if step.symbol in ("Q_torque", "Q_shaft"))
    assert shown[1].capacity == least
    assert clay.sized[0].footing.pile == sand.sized[0].footing.pile


FILL = [(30.0, 90.0, True), (60.0, 60.0, False), (59.0, 61.0, True), (120.0, 0.0, False)]


@pytest.mark.parametrize(("edge_in", "fill_in", "deep"), FILL)
def test_shafts_in_deep_fill(edge_in: float, fill_in: float, deep: bool, result: Result) -> None:
    """An 8 ft basement at one to one: 96 - (x - 24) in of fill at x; over 5 ft of it is named."""
    # What lets it stay within the tables: soil that does not flow holds a shaft, IBC 1810.2.1, from memory.
    wide_in = result(PILE).sized[0].footing.width_in
    place = {"y_ft": (edge_in + wide_in / 2.0) / 12.0}
    free, hung = (result(PILE, {**place, "attached": attached}) for attached in (False, True))
    for one in (free, hung):
        said = [c.text for c in one.cautions if c.code == "pile_shaft_unbraced"]
        assert bool(said) == deep
        assert not said or f"{fill_in:g} in of loose fill" in said[0]
    assert hung.status == "prescriptive"
    assert free.status == "prescriptive"


@pytest.mark.parametrize(("house_in", "asked"), [(114.0, False), (150.0, True)])
def test_shafts_in_fill_deeper_than_soft_ground_holds(house_in: float, asked: bool, result: Result) -> None:
    """10 ft in soft ground, IBC 1810.2.1, from memory: beyond it a free-standing deck's shafts are an engineer's."""
    free, hung = (
        result(PILE, {"y_ft": 2.0, "attached": attached}, foundation_depth_in=house_in)
        for attached in (False, True)
    )
    assert (free.status == "engineer_required") == asked
    assert codes(free) == ({"pile_shaft_unbraced"} if asked else set())
    assert hung.status == "prescriptive"


def test_a_pile_that_stands_far_out_is_named(result: Result) -> None:
    for out_in, said in ((12.0, False), (13.0, True)):
        found = result(PILE, {"top_above_grade_in": out_in, "attached": False})
        assert ("pile_shaft_unbraced" in {one.code for one in found.cautions}) == said


def test_piles_beside_a_house_of_unknown_depth_have_their_own_words_and_may_come_longer(
    result: Result,
) -> None:
    """Below an 8 ft basement the top helix is 64 in deeper than below 32 in of frost: two extensions of 5 ft."""
    most = {}
    for y_ft, house_in in ((3.0, None), (30.0, None), (30.0, 96.0)):
        found = result(PILE, {"y_ft": y_ft}, foundation_depth_in=house_in)
        (needed,) = [one for one in found.maker.needs(found.alike, found.site) if "extension" in one.item]
        assert needed.most is not None
        most[y_ft, house_in] = needed.most - needed.quantity
        texts = [one for one in found.cautions if one.code == "backfill_settles"]
        assert bool(texts) == (house_in is None)
        assert all("torque holds in original ground" in one.action for one in texts)
        assert found.status == "prescriptive"
    assert most == {(3.0, None): 3.0, (30.0, None): 1.0, (30.0, 96.0): 1.0}


@pytest.mark.parametrize(
    ("edge_in", "bottom_in", "asked"),
    [(10.0, 96.0, True), (10.0, 60.0, False), (10.0, 60.5, True), (24.0, 96.0, False), (23.5, 96.0, True)],
)
def test_a_deep_hole_beside_a_basement_wall_is_an_engineers(
    edge_in: float, bottom_in: float, asked: bool, result: Result
) -> None:
    """Over 5 ft deep, within the 24 in of working room."""
    found = result(PIER, near_edge(result, edge_in, least_bottom_depth_in=bottom_in))
    assert ("deep_hole_at_house" in codes(found)) == asked
    assert found.status == "engineer_required" or not asked


DATES = [(None, 32.0, True), (None, 6.0, False), ("2027-05-10", 32.0, False), ("2027-01-11", 32.0, True)]


@pytest.mark.parametrize(("start", "frost_in", "said"), DATES)
def test_a_winter_pour_is_a_risk_of_winter(
    start: str | None, frost_in: float, said: bool, result: Result
) -> None:
    for method in POURED:
        found = result(method, start=start, frost_depth_in=frost_in)
        assert ("cold_weather" in {one.code for one in found.risks}) == said, method
    assert "cold_weather" not in {one.code for one in result(PILE, start=start).risks}

"""What stands beside a method's price: the deck's own verdict, luck among equals, and a hole that can't be made."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from service.comparison.flip_words import within_reach
from service.comparison.recommend import choose_method, of_deck
from service.contract.report import DesignReport, Reason, Verdict
from service.contract.report_comparison import FootingComparison
from service.contract.spec import CrewSpec
from tests.comparison.worked import METHODS, PAIR, Ran, run
from tests.context import context, designed, spec_of

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
SMALL = "footings-small-attached.json"
LOADS = (1200.0, 2600.0) * 3


def deck(file: str = SMALL, **site: Any) -> DesignReport:
    given = json.loads((EXAMPLES / file).read_text("utf-8"))
    spec = {**given, "site": {**given.get("site", {}), **site}}
    return designed(spec_of(**spec), context(given["jurisdiction"]))


def equals(found: FootingComparison) -> dict[str, float]:
    return {one.method: one.of_equals for one in found.probability_cheapest if one.of_equals is not None}


# A deck that no footing makes good, and a number its engineer would ask about.
DOUBTFUL: dict[str, tuple[str, dict[str, Any], str]] = {
    "fill-and-peat": (SMALL, {"soil_class": "organic_or_fill", "soil_bearing_psf": 1500}, "1500 psf"),
    "steep": (SMALL, {"grade_fall_x_in_per_ft": 4, "grade_fall_y_in_per_ft": 6}, "7.21 in per ft"),
    "better-soil-than-the-place": (SMALL, {"soil_class": "sandy_gravel"}, "3000 psf"),
    "hot-tub": ("hot-tub.json", {}, "4600 lb"),
    "clay-that-swells": (SMALL, {"expansive_soil": True}, "R403.1.8"),
}


@pytest.mark.parametrize("name", DOUBTFUL)
def test_no_method_is_better_than_the_deck_it_carries(name: str) -> None:
    file, site, number = DOUBTFUL[name]
    report = deck(file, **site)
    found = report.footing_comparison
    assert report.verdict.status == "engineer_required"
    assert all(one.verdict != "prescriptive" for one in found.methods)
    assert found.recommended is not None
    assert found.because[0].startswith("The deck itself needs an engineer: ")
    assert number in found.because[0]
    assert any(one.feasible for one in found.methods)


def test_a_deck_within_the_tables_leaves_each_method_its_own_verdict() -> None:
    report = deck()
    found = {one.method: one.verdict for one in report.footing_comparison.methods}
    assert report.verdict.status == found["tube_form_pier"] == found["helical_pile"] == "prescriptive"
    assert not any(one.startswith("The deck itself") for one in report.footing_comparison.because)


def test_a_method_alone_in_doubt_takes_no_other_with_it() -> None:
    """Piers in fill need an engineer; a deck pinned to them says so, and piles beside them stay as they are.

    The fill is 5 ft deep: under more of it the shafts of a free-standing deck are an engineer's too.
    """
    given = json.loads((EXAMPLES / "footings-beside-basement.json").read_text("utf-8"))
    house = {**given["house"], "foundation_depth_in": 60}
    spec = {**given, "house": house, "foundation": {"method": "tube_form_pier"}}
    report = designed(spec_of(**spec), context(given["jurisdiction"]))
    found = {one.method: one.verdict for one in report.footing_comparison.methods}
    assert report.verdict.status == found["tube_form_pier"] == "engineer_required"
    assert found["helical_pile"] == "prescriptive"


def test_chances_of_equals_add_up_and_leave_out_what_may_not_win() -> None:
    for found in (run(loads=LOADS), run(loads=LOADS, crew=None), run(loads=LOADS, y_ft=3.0)):
        best = found.of(found.wire.recommended or "")
        assert math.fsum(equals(found.wire).values()) == pytest.approx(1.0, abs=1e-12)
        assert best.method in equals(found.wire)
        assert {found.of(one).verdict_key for one in equals(found.wire)} == {best.verdict_key}
        assert "post_on_buried_pad" not in equals(found.wire)
    alone = run(loads=LOADS, only=PAIR)
    whole = {one.method: one.probability for one in alone.wire.probability_cheapest}
    assert equals(alone.wire) == whole


def test_nothing_recommended_has_no_equals() -> None:
    assert equals(run(loads=LOADS, unpriced=True).wire) == {}


def test_an_equal_that_comes_out_cheaper_more_often_is_named() -> None:
    found = deck().footing_comparison
    chance = equals(found)
    assert found.recommended == "tube_form_pier"
    assert chance["helical_pile"] > 0.5 > chance["tube_form_pier"]
    (line,) = [one for one in found.because if one.startswith("Counting bad luck too, ")]
    assert f"helical piles come out cheapest in {100 * chance['helical_pile']:.0f} of 100 jobs" in line
    assert "run over more often than they run short. If a late start hurts, take helical piles." in line


def test_costs_within_five_percent_are_too_close_to_call() -> None:
    def asked(value: str) -> Ran:
        return run(loads=LOADS, only=PAIR, crew=CrewSpec(currency="USD", crew_day_value=value))

    apart, near = asked("2500.00"), asked("1130.00")
    costs = [one.cost for one in (near.of(method) for method in PAIR)]
    likely = sorted(float(one.likely) for one in costs if one)
    assert likely[0] < likely[1] <= likely[0] * 1.05
    (line,) = [one for one in near.wire.because if "too close to call on money" in one]
    assert "If in doubt take poured tube piers, the plainer way." in line
    assert not any("too close" in one for one in apart.wire.because)


def test_a_hole_that_floods_is_not_dug_where_piles_serve_as_well() -> None:
    dry, wet = (deck(water_table_depth_in=depth) for depth in (144, 4))
    assert dry.footing_comparison.recommended == "tube_form_pier"
    assert wet.footing_comparison.recommended == wet.footings[0].method == "helical_pile"
    (line,) = [one for one in wet.footing_comparison.because if "stand behind helical piles" in one]
    assert "oured tube piers" in line
    assert "ground water at 4 in stands 28 in over the bottom of a hole 32 in deep" in line


@pytest.mark.parametrize(
    ("ground", "code"),
    [
        ({"water_table_depth_in": 4.0}, "hole_floods"),
        ({"rock_depth_in": 6.0}, "buried_obstruction"),
        ({"soil_class": "sand", "frost_depth_in": 72.0}, "hole_caves"),
    ],
)
def test_methods_with_a_grave_risk_stand_behind(ground: dict[str, Any], code: str) -> None:
    found = run(loads=LOADS, crew=None, **ground)
    pier, pile = found.of("tube_form_pier"), found.of("helical_pile")
    assert {one.code for one in pier.grave} == {code}
    assert {one for one in pier.risks if one.severity == "high" and one.code == code} == set(pier.grave)
    assert pile.grave == ()
    # A hole into rock is an engineer's besides.
    assert (pier.status == "engineer_required") == (code == "buried_obstruction")
    if pile.feasible and pile.status == pier.status:
        assert pile.verdict_key < pier.verdict_key
        chosen = choose_method(found.worked, "auto")
        assert chosen
        assert chosen.method == found.wire.recommended == "helical_pile"


def test_where_every_hole_floods_one_is_still_recommended() -> None:
    found = run(
        loads=LOADS,
        crew=None,
        only=[one for one in METHODS if one != "helical_pile"],
        water_table_depth_in=4.0,
    )
    assert found.wire.recommended == "tube_form_pier"
    assert any(one.startswith("Mind this: ground water at 4 in") for one in found.wire.because)


def test_a_price_that_would_have_to_double_is_no_reason() -> None:
    found = deck("hot-tub.json").footing_comparison
    assert any(flip.input == "unit_price" and flip.at > 2 * flip.now for flip in found.flips)
    assert not any(
        flip.text in line for flip in found.flips if not within_reach(flip) for line in found.because
    )


def test_a_reason_of_many_members_is_told_once() -> None:
    reasons = tuple(
        Reason(code="slope_needs_engineer", text="It is steep.", member=f"m-{n}") for n in range(5)
    )
    told = of_deck(Verdict(status="engineer_required", reasons=reasons))
    assert told == ("The deck itself needs an engineer: It is steep.",)


@pytest.mark.parametrize(("swells", "severity"), [(True, {"high"}), (None, {"low"}), (False, set())])
def test_what_is_said_of_swelling_clay_reaches_the_risks(swells: bool | None, severity: set[str]) -> None:
    methods = deck(expansive_soil=swells).footing_comparison.methods
    for one in methods:
        if one.feasible:
            assert {risk.severity for risk in one.risks if risk.code == "expansive_soil"} == severity

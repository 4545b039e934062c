"""Risks of the ground: each from its number, for the methods it touches, once, with what to do.

Thresholds are conventions of this service; what is said of water, rock and machines is common practice.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from context import NOWHERE, context, designed, spec_of

from service.comparison.compare import compare
from service.contract.report_comparison import Risk
from service.contract.spec import DeckSpec
from service.contract.words.cautions import RISKS
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.ground_words import ACTIONS
from service.sizing.criteria import Criteria

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]
KNOWN = {word.code for word in RISKS.words}
PIER, PILE = "tube_form_pier", "helical_pile"


@pytest.fixture
def risks(
    criteria: Make, facts: FoundationFacts, demand: Ask, spec: Callable[..., DeckSpec]
) -> Callable[..., dict[str, Risk]]:
    def of(method: str, place: dict[str, Any] | None = None, **ground: Any) -> dict[str, Risk]:
        where = {"y_ft": 30.0, "attached": False, **(place or {})}
        asked = [demand(1500.0, n, **where) for n in (1, 2)]
        found = compare(asked, criteria(**ground), spec(), None, facts).result(method)
        assert found is not None
        assert len({one.code for one in found.risks}) == len(found.risks)
        assert {one.code for one in found.risks} <= KNOWN
        return {one.code: one for one in found.risks}

    return of


# holes are 32 in deep
WATER = [
    (None, None), (45.0, None), (44.0, "low"), (32.0, "low"), (31.0, "moderate"), (20.0, "moderate"),
    (19.0, "high"), (0.0, "high"),
]  # fmt: skip


@pytest.mark.parametrize(("water_in", "severity"), WATER)
def test_water_over_the_base(
    water_in: float | None, severity: str | None, risks: Callable[..., dict[str, Risk]]
) -> None:
    found = risks(PIER, water_table_depth_in=water_in).get("hole_floods")
    assert (found.severity if found else None) == severity
    assert "hole_floods" not in risks(PILE, water_table_depth_in=water_in)
    if found and water_in is not None and water_in < 32:
        assert f"{32 - water_in:g} in over the bottom of a hole 32 in deep" in found.text


ROCK = [(32.0, None), (31.0, "high"), (6.0, "high")]


@pytest.mark.parametrize(("rock_in", "severity"), ROCK)
def test_rock_above_the_bottom(
    rock_in: float, severity: str | None, risks: Callable[..., dict[str, Risk]]
) -> None:
    found = risks(PIER, rock_depth_in=rock_in).get("buried_obstruction")
    assert (found.severity if found else None) == severity
    assert found is None or (
        f"rock at {rock_in:g} in" in found.text and "neither is in the cost" in found.text
    )
    assert risks(PILE, rock_depth_in=rock_in)["refusal_on_rock"].severity == "high"


GATES = [(None, "low"), (47.0, "high"), (48.0, "moderate"), (59.9, "moderate"), (60.0, None)]


@pytest.mark.parametrize(("access_in", "severity"), GATES)
def test_a_gate_as_wide_as_the_machine(
    access_in: float | None, severity: str | None, risks: Callable[..., dict[str, Risk]]
) -> None:
    found = risks(PILE, rig_access_width_in=access_in).get("rig_too_wide")
    assert (found.severity if found else None) == severity
    assert "rig_too_wide" not in risks(PIER, rig_access_width_in=access_in)


FALLS = [(1.0, None), (1.1, "low"), (2.1, "moderate"), (4.1, "high")]


@pytest.mark.parametrize(("fall", "severity"), FALLS)
def test_sloping_ground(fall: float, severity: str | None, risks: Callable[..., dict[str, Risk]]) -> None:
    for method, word in ((PIER, "forms"), (PILE, "machine")):
        found = risks(method, {"fall_in_per_ft": fall}).get("sloping_ground")
        assert (found.severity if found else None) == severity
        assert found is None or (word in found.text and f"{fall:g} in per ft" in found.text)


def test_sand_and_fill_run_into_a_hole(risks: Callable[..., dict[str, Risk]]) -> None:
    assert "hole_caves" not in risks(PIER)
    assert risks(PIER, soil_class="sand")["hole_caves"].severity == "moderate"
    assert "backfill" in risks(PIER, {"y_ft": 4.0})["hole_caves"].text
    assert risks(PIER, {"least_bottom_depth_in": 61.0}, soil_class="sand")["hole_caves"].severity == "high"
    assert "hole_caves" not in risks(PILE, soil_class="sand")


def test_fill_and_load_line_have_their_numbers(risks: Callable[..., dict[str, Risk]]) -> None:
    found = risks(PIER, {"y_ft": 4.0})
    assert (found["backfill_zone"].severity, found["house_load_line"].severity) == ("high", "high")
    assert (
        "2 of 2 footings would stand on backfill or too near under it, which reaches 7.33 ft"
        in found["backfill_zone"].text
    )
    through = risks(PILE, {"y_ft": 4.0})
    assert through["backfill_zone"].severity == "low"
    assert "house_load_line" not in through
    for method, do in ((PIER, "dig until original ground shows"), (PILE, "until the torque holds")):
        unknown = risks(method, {"y_ft": 4.0}, foundation_depth_in=None)["backfill_zone"]
        assert unknown.severity == "moderate"
        assert do in unknown.action
    assert "use piles" not in unknown.action


def test_a_footing_drain_may_run_beside_the_house(risks: Callable[..., dict[str, Risk]]) -> None:
    """Common practice, no source: it lies beside the house footing, in the 24 in of working room, at its level."""
    for method, severity in ((PIER, "low"), (PILE, "moderate")):
        assert risks(method, {"y_ft": 2.0})["footing_drain"].severity == severity
        assert risks(method, {"y_ft": 2.0}, foundation_depth_in=None)["footing_drain"].severity == "moderate"
        assert "footing_drain" not in risks(method, {"y_ft": 3.0})
        assert "footing_drain" not in risks(method, {"y_ft": 2.0}, house_present=False)
    assert risks(PIER, {"y_ft": 2.0}, foundation_depth_in=40.0)["footing_drain"].severity == "moderate"


@pytest.mark.parametrize("soil", ["crystalline_bedrock", "sedimentary_rock"])
def test_ground_of_rock_is_rock_from_the_top(soil: str, risks: Callable[..., dict[str, Risk]]) -> None:
    assert risks(PIER, soil_class=soil, soil_bearing_psf=4000.0)["buried_obstruction"].severity == "high"


def test_clay_nobody_looked_at_may_swell(risks: Callable[..., dict[str, Risk]]) -> None:
    for method in (PIER, PILE):
        assert risks(method)["expansive_soil"].severity == "low"
        assert "cracks" in risks(method)["expansive_soil"].action
        assert risks(method, expansive_soil=True)["expansive_soil"].severity == "high"
        assert "expansive_soil" not in risks(method, expansive_soil=False)
        assert "expansive_soil" not in risks(method, soil_class="sand")


def test_every_risk_has_something_to_do() -> None:
    assert set(ACTIONS) <= KNOWN
    assert all(len(action) > 20 for action in ACTIONS.values())


LEVEL = {"width_ft": 12, "projection_ft": 10, "surface_height_in": 30}


@pytest.mark.parametrize("method", ["auto", PIER, PILE])
def test_expansive_soil_is_an_engineers_with_every_method(method: str) -> None:
    """IRC R403.1.8 sends footings on expansive soil to IBC 1808.6 (from memory)."""
    asked: dict[str, Any] = {"house": {"wall": "none"}, "levels": [LEVEL], "foundation": {"method": method}}
    for swells in (True, False, None):
        report = designed(
            spec_of(site={**NOWHERE, "expansive_soil": swells}, **asked), context(None, "irc-2021")
        )
        said = [reason.code for reason in report.verdict.reasons]
        assert said.count("expansive_soil") == (1 if swells else 0)
        if swells:
            assert report.verdict.status == "engineer_required"
            assert {one.verdict for one in report.footing_comparison.methods} == {"engineer_required"}
        assert report.resolved_spec.site.expansive_soil is swells
        shown = [one.value for one in report.inputs if one.pointer == "/site/expansive_soil"]
        assert shown == (["not known"] if swells is None else [])


def test_the_age_of_fill_changes_no_verdict() -> None:
    """Sources disagree whether fill settles by itself, so no age makes it ground to stand on."""
    house = {"wall": "brick_veneer", "foundation_depth_in": 96, "excavation_slope": "type_b"}
    found = {}
    for age in (None, 0, 1, 50, 300):
        asked = spec_of(
            site=NOWHERE,
            house={**house, "backfill_age_years": age},
            levels=[LEVEL],
            foundation={"method": PIER},
        )
        report = designed(asked, context(None, "irc-2021"))
        assert report.verdict.status == "engineer_required"
        assert "ground_not_undisturbed" in {reason.code for reason in report.verdict.reasons}
        found[age] = next(one.text for one in report.cautions if one.code == "backfill_settles")
    assert "put back 50 years ago," in found[50]
    assert "sources disagree" in found[50]

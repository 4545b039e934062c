"""Free-standing decks beside a house: the footings over its hole, and the five ways to deal with them, priced.

The zone by 29 CFR 1926 Subpart P Appendix B and 2 ft of working room; 29 CFR 1926.651(i)(2) for the house footing;
29 CFR 1926.652(a)(1), from memory, for deep holes; DCA 6, second-hand, for the level of the house footing.
"""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import Any

import pytest
from context import AS_OF, context, designed, facts, spec_of

from service.choice.level.case import Case
from service.choice.level.cases import cases_of
from service.choice.search.decide import search_of
from service.choice.search.plans import plans
from service.contract.report import DesignReport
from service.contract.report_comparison import GroundBesideHouse, GroundOption
from service.framing.region import Region
from service.sizing.resolve import criteria_of, resolve_spec

OPTIONS = [
    "dig_to_original_ground", "deepen_to_house_footing", "pile_through", "move_the_beam", "ledger_instead",
]  # fmt: skip
DIG, DEEPEN, PILE, MOVE, LEDGER = OPTIONS
BASEMENT = {
    "wall": "wood_band", "door_sill_height_in": 37.5, "rim_depth_in": 11.25, "foundation_depth_in": 96,
    "excavation_slope": "type_b",
}  # fmt: skip
CREW = {"currency": "USD", "hourly_rate": "48.00", "crew_day_value": "1450.00", "size": 3}


@cache
def _design(text: str) -> DesignReport:
    asked = json.loads(text)
    return designed(
        spec_of(**asked), context(asked["jurisdiction"], None, asked.get("price_book") is not None)
    )


def design(
    house: dict[str, Any] | None = None, method: str = "auto", deep_ft: float = 12, **given: Any
) -> DesignReport:
    asked = {
        "jurisdiction": "alder-county", "price_book": "brindlemoor-yard", "crew": CREW,
        "site": {"frost_depth_in": 32, "soil_class": "clay"}, "house": {**BASEMENT, **(house or {})},
        "levels": [{"width_ft": 16, "projection_ft": deep_ft, "surface_height_in": 36}],
        "framing": {"attachment": "freestanding"}, "foundation": {"method": method}, **given,
    }  # fmt: skip
    return _design(json.dumps(asked, sort_keys=True))


def beside(report: DesignReport) -> GroundBesideHouse:
    found = report.footing_comparison.ground_beside_house
    assert found is not None
    return found


def options(report: DesignReport) -> dict[str, GroundOption]:
    found = beside(report).options
    assert [one.option for one in found] == OPTIONS
    return {one.option: one for one in found}


def cost(option: GroundOption) -> Decimal:
    assert option.cost is not None
    return Decimal(option.cost.amount)


def answered(report: DesignReport) -> Decimal:
    """What the attachment's option of the frame answered costs: the same reckoning, told elsewhere."""
    kind = report.attachment.kind
    found = next(one.cost for one in report.attachment.options if one.kind == kind)
    assert found is not None
    return Decimal(found.amount)


def test_a_free_standing_deck_beside_an_eight_ft_basement() -> None:
    """By hand: w = 24 + 1 (96 - 32) = 88 in; an 18 in pier 19 in from the wall has its near edge at 10 in."""
    found = beside(design())
    assert (found.foundation_depth_in, found.excavation_slope, found.working_room_in) == (96, "type_b", 24)
    assert {one.depth_in: one.width_ft for one in found.zone}[32] == pytest.approx(7.3333)
    house_row = [one for one in found.footings if one.distance_ft < 5]
    yard_row = [one for one in found.footings if one.distance_ft >= 5]
    assert len(house_row) == len(yard_row) == 2
    for one in house_row:
        assert one.in_fill
        assert one.distance_ft == pytest.approx(10 / 12, abs=1e-4)
        assert (one.bottom_depth_in, one.original_ground_depth_in, one.load_line_depth_in) == (32, 96, 86)
    for one in yard_row:  # its near edge is 117 in out: 24 + (96 - d) = 117 at 3 in
        assert not one.in_fill
        assert one.original_ground_depth_in == pytest.approx(3.0)
    assert found.working[-1].value == 64.0


def test_auto_takes_piles_and_never_stands_on_fill() -> None:
    report = design()
    assert {footing.method for footing in report.footings} == {"helical_pile"}
    assert report.verdict.status == "prescriptive"
    # Shafts in 8 ft of loose fill are named: soft ground holds them within 10 ft (IBC 1810.2.1, from memory).
    assert "pile_shaft_unbraced" in {one.code for one in report.cautions}
    assert cost(options(report)[PILE]) == answered(report)


def test_the_five_options_priced() -> None:
    report = design()
    found = options(report)
    assert [found[name].possible for name in OPTIONS] == [True, True, True, False, True]
    assert {found[name].verdict for name in (DIG, DEEPEN)} == {"engineer_required"}
    assert found[PILE].verdict == "prescriptive"
    assert found[LEDGER].verdict == "prescriptive"
    for name in (DIG, DEEPEN, PILE, LEDGER):
        difference = found[name].cost_difference
        assert difference is not None
        assert Decimal(difference.amount) == cost(found[name]) - answered(report)
    assert found[PILE].cost_difference is not None
    assert found[PILE].cost_difference.amount == "0.00"
    ledger = next(one for one in report.attachment.options if one.kind == "ledger")
    assert (found[LEDGER].cost, found[LEDGER].footings) == (ledger.cost, ledger.footings)
    assert found[MOVE].cost is found[MOVE].days is found[MOVE].footings is None


def test_the_numbers_are_in_the_words() -> None:
    """The joists: (12 ft - 1 in) / 5 = 28.6 in, as a cantilever is a quarter of its span.

    The row: 12 in into original ground, 24 + 96 - (32 - 12) = 100 in, and 9.
    """
    found = options(design())
    assert "cantilever to the house 2'-4 5/8\" at most" in found[MOVE].because
    assert "at 32 in deep a near edge has to be 8'-4\" from the wall" in found[MOVE].because
    assert "9'-1\" from the wall" in found[MOVE].because
    assert "no frame" not in found[MOVE].because  # arithmetic says so: none was looked for
    assert "2 of 4 taken" in found[DIG].because
    assert "96 in" in found[DIG].because
    assert "1926.652(a)(1)" in found[DIG].because
    assert "not priced" in found[DIG].because
    assert "1926.651(i)(2)" in found[DEEPEN].because
    assert "DCA 6" in found[DEEPEN].because
    assert "14 ft" in found[PILE].because


def test_deeper_holes_are_the_same_footings_deeper_with_their_digging() -> None:
    """Two of four holes 96 in deep, none wider than usual, the usual one 42: hours times (2 x 96 + 2 x 32) / 42."""
    shallow = design(method="tube_form_pier")
    found = options(shallow)[DIG]
    method = found.because.partition(",")[0].lower().replace(" ", "_")
    (each,) = [row.hours_likely for row in facts().tasks if row.method == method and row.task == "dig"]
    share = round((2 * 96 + 2 * 32) / 42 / 4, 2)
    assert f"all holes take {4 * each * share:.3g} hours to dig" in found.because
    assert found.verdict == "engineer_required"  # 96 in deep, 10 in from the basement wall
    assert shallow.verdict.status == "engineer_required"
    assert {r.code for r in shallow.verdict.reasons} == {"ground_not_undisturbed", "house_load_line"}


def test_a_pinned_method_on_fill_is_shown_the_same_ways_out() -> None:
    pinned, free = options(design(method="tube_form_pier")), options(design())
    assert [pinned[name].possible for name in OPTIONS] == [free[name].possible for name in OPTIONS]
    assert pinned[PILE].cost_difference is not None
    assert pinned[PILE].cost_difference.amount.startswith("-")


def test_original_ground_is_above_the_house_footing_where_the_deck_stands_farther_out() -> None:
    """Type C, 10 ft deep: outer piers of a ledger deck have their edge at 109.5 in; d = 120 - (109.5 - 24) / 1.5 = 63.

    The footings go 12 in into it, R403.1.4.
    """
    report = design(
        {"excavation_slope": "type_c", "foundation_depth_in": 120},
        deep_ft=10,
        framing={"attachment": "ledger"},
    )
    found = options(report)
    assert [one.original_ground_depth_in for one in beside(report).footings] == [63, 63]
    assert "down to 75 in" in found[DIG].because
    assert "120 in below grade" in found[DEEPEN].because
    assert cost(found[DIG]) < cost(found[DEEPEN])
    assert not found[LEDGER].possible
    assert "hangs on the house already" in found[LEDGER].because
    assert "the deck reaches out" in found[MOVE].because.lower()


def test_a_beam_stands_clear_of_a_shallow_hole_by_itself() -> None:
    """A 3 ft deep crawl space cut upright: 24 in, and half a footing, which a cantilever of a 16 ft deck clears."""
    report = design({"foundation_depth_in": 36, "excavation_slope": "stable_rock"}, "tube_form_pier", 16)
    assert report.verdict.status == "prescriptive"
    for one in report.footings:
        assert one.concrete is not None
        assert 12 * one.y_ft >= 24 + (one.concrete.shaft_diameter_in or 0) / 2
    assert not beside(report).options


def test_the_outer_row_of_a_hung_deck_stands_clear_of_the_hole_by_itself() -> None:
    """98 in deep: 24 + 98 - (32 - 12) = 102 in, and half of 18 in: a row at 9 ft 3 in or farther is clear of it."""
    report = design({"foundation_depth_in": 98}, deep_ft=10, framing={"attachment": "ledger"})
    assert min(one.y_ft for one in report.footings) >= 9.25
    assert not beside(report).options
    assert not any(one.in_fill for one in beside(report).footings)


def test_frost_below_the_house_footing_undermines_it_at_any_depth() -> None:
    """29 CFR 1926.651(i)(2): 32 in of frost beside a house footing at 20 in, 10 in away."""
    report = design({"foundation_depth_in": 20})
    found = options(report)
    assert not found[DIG].possible
    assert not found[DEEPEN].possible
    assert "32 in, the house footing stands at 20 in" in found[DEEPEN].because
    assert not any(one.in_fill for one in beside(report).footings)


@pytest.mark.parametrize("house_in", [20, 24, 30])
def test_a_hole_below_the_house_footing_beside_it_is_an_engineers(house_in: int) -> None:
    """29 CFR 1926.651(i): bottoms at 32 in, 2 in and more below the house footing, 10 in from its wall."""
    report = design({"foundation_depth_in": house_in}, "tube_form_pier")
    assert report.verdict.status == "engineer_required"
    assert "house_load_line" in {one.code for one in report.verdict.reasons}


def test_no_machine_gets_in() -> None:
    report = design(site={"frost_depth_in": 32, "soil_class": "clay", "rig_access_width_in": 30})
    found = options(report)
    assert not found[PILE].possible
    assert "30 in wide" in found[PILE].because
    assert report.verdict.status == "engineer_required"
    assert found[DEEPEN].verdict == "engineer_required"


def test_a_veneer_takes_no_ledger() -> None:
    found = options(design({"wall": "brick_veneer"}))[LEDGER]
    assert (found.possible, found.verdict, found.cost) == (False, "not_permitted", None)
    assert "veneer" in found.because


def test_on_a_slope_no_footing_goes_below_the_house_footing() -> None:
    """2 in per ft down to the yard: depths are below the ground there, the house footing's level is not."""
    report = design(site={"frost_depth_in": 32, "soil_class": "clay", "grade_fall_y_in_per_ft": 2.0})
    found = options(report)
    assert found[DEEPEN].possible
    for one in beside(report).footings:
        if one.in_fill:  # 19 in out the ground lies 3.17 in lower
            assert one.original_ground_depth_in == pytest.approx(96 - 19 / 6, abs=0.001)


@pytest.mark.parametrize(
    "house",
    [{"foundation_depth_in": None}, {"wall": "none", "foundation_depth_in": 96}],
    ids=["unknown", "none"],
)
def test_nothing_is_told_without_a_hole(house: dict[str, Any]) -> None:
    assert design(house).footing_comparison.ground_beside_house is None


def test_nothing_near_is_nothing_told() -> None:
    report = design({"foundation_depth_in": 36}, framing={"attachment": "ledger"})
    assert report.footing_comparison.ground_beside_house is None


def test_near_but_clear_has_no_options() -> None:
    """Hung on the house, edges 99 in out: the hole reaches 118 in at grade, and 98 in where their cover begins."""
    report = design({"foundation_depth_in": 94}, framing={"attachment": "ledger"}, deep_ft=10)
    found = beside(report)
    assert found.footings
    assert not any(one.in_fill for one in found.footings)
    assert found.options == ()


def test_without_prices_the_options_have_no_cost() -> None:
    found = options(design(price_book=None))
    assert all(one.cost is None and one.cost_difference is None for one in found.values())
    assert found[DEEPEN].days is not None


def test_two_levels_are_dealt_with_as_one_deck() -> None:
    """The house rows of both, and the low level's yard row: less than 12 in of original ground at 32 in deep there."""
    levels = [
        {"id": "main", "width_ft": 12, "projection_ft": 12, "surface_height_in": 36},
        {"id": "low", "origin_ft": [12, 0], "width_ft": 10, "projection_ft": 10, "surface_height_in": 30},
    ]
    found = options(design({"wall": "brick_veneer"}, levels=levels))
    assert "6 of 8 taken" in found[DEEPEN].because
    assert found[DEEPEN].footings == 8


@pytest.mark.parametrize("direction", ["away_from_house", "along_house"])
def test_a_search_kept_off_the_house_has_every_post_so_far_out(direction: str) -> None:
    off_in = 28.0
    case = _case(direction)
    regions = [plan.regions[0] for plan in plans(case, "freestanding") if len(plan.regions) == 1]
    for region in regions:
        near, kept = (
            [post for one in _frames(replace(case, clear_of_house_in=clear), region) for post in one]
            for clear in (0.0, off_in)
        )
        assert min(near) < off_in
        assert kept
        assert min(kept) >= off_in - 1e-6


def _case(direction: str) -> Case:
    where = context("alder-county")
    spec = spec_of(
        house=BASEMENT, levels=[{"width_ft": 16, "projection_ft": 16, "surface_height_in": 36}],
        framing={"attachment": "freestanding", "joist_direction": direction},
    )  # fmt: skip
    resolved = resolve_spec(spec, where.rulebook, where.jurisdiction, None, AS_OF)
    judged = criteria_of(resolved, where.rulebook, where.guide, where.jurisdiction, where.timber)
    return cases_of(resolved, where, judged)[0]


def _frames(case: Case, region: Region) -> list[list[float]]:
    """How far from the house wall the posts of every frame stand, in."""
    field = search_of(case, region).field(0)
    return [
        [12 * region.axes.deck_ft(*row.point(at))[1] for row in layout.rows for at in row.posts_in]
        for layout in map(field.layout, range(len(field)))
    ]

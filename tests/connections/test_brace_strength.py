"""Braces, their bolts and the posts they bend, under the nominal sideways load (common practice, no source)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest
from context import NOWHERE, context, designed, spec_of, timber
from Pynite import FEModel3D

from service.connections.brace_strength import BRACE_SIZES, LEGS_IN, braced_rows
from service.connections.bracing import Bracing, BracingAsk, brace_level, corner_beams, corner_posts
from service.contract.report_frame import Beam, Post
from service.sizing.calculated_braces import Knee, brace_force_lb, drift_in, sway_ratio
from service.sizing.calculated_result import Allowable
from service.sizing.criteria import Criteria
from service.units.finding import Finding

CRITERIA = Callable[..., Criteria]
RATIO = 0.05


def beam(number: int, y_ft: float, load_plf: float) -> Beam:
    return Beam(
        id=f"main.beam-{number}", mark=f"B{number}", size="2x10", plies=2, placement="dropped",
        species="southern_pine", grade="no_2", start_ft=(0.0, y_ft), end_ft=(16.0, y_ft), bottom_height_in=60.0,
        supports_ft=(1.0, 15.0), spans_in=(168.0,), overhang_start_in=12.0, overhang_end_in=12.0, splices=(),
        line_load_plf=load_plf,
    )  # fmt: skip


def post(number: int, place: int, y_ft: float, height_in: float, size: str) -> Post:
    return Post(
        id=f"main.post-{number}-{place}", mark=f"P{number}-{place}", level="main", beam=f"main.beam-{number}",
        size=size, species="southern_pine", grade="no_2", x_ft=(1.0, 15.0)[place - 1], y_ft=y_ft,
        height_in=height_in, cut_length_in=height_in - 1, load_lb=2400.0, base=None, cap=None,
    )  # fmt: skip


def asked(
    heights_in: tuple[float, ...] = (60.0, 60.0), load_plf: float = 300.0, post_size: str = "6x6", free: bool = True
) -> BracingAsk:  # fmt: skip
    places = [(n, 4.0 * n, height) for n, height in enumerate(heights_in, start=1)]
    return BracingAsk(
        "main", free, 0.0, "B",
        tuple(post(n, place, y, height, post_size) for n, y, height in places for place in (1, 2)),
        tuple(beam(n, y, load_plf) for n, y, _ in places),
    )  # fmt: skip


@pytest.fixture
def rules(criteria: CRITERIA) -> CRITERIA:
    def with_timber(**changed: Any) -> Criteria:
        return criteria(timber=timber(), **changed)

    return with_timber


def named(result: Bracing, check: str) -> list[Finding]:
    return [one for one in result.findings if one.check == check]


def knee_frame(knee: Knee, e_psi: float, i_in4: float) -> tuple[float, float, float]:
    """Force of the brace, moment of the post beside it and movement of its foot, by finite elements.

    The frame is turned round: deck and brace held, the foot pushed; brace and beam as stiff as a rock.
    """
    model = FEModel3D()
    model.add_material("wood", e_psi, e_psi / 16, 0.3, 0.0)
    model.add_section("post", 1e6, i_in4, i_in4, i_in4)
    model.add_section("brace", 1e6, 1.0, 1.0, 1.0)
    for name, x, y in (("foot", 0, 0), ("knee", 0, knee.below_in), ("top", 0, knee.height_in)):
        model.add_node(name, x, y, 0)
    model.add_node("beam", knee.leg_in, knee.height_in, 0)
    model.add_member("lower", "foot", "knee", "wood", "post")
    model.add_member("upper", "knee", "top", "wood", "post")
    model.add_member("brace", "knee", "beam", "wood", "brace")
    model.def_releases("brace", Rzi=True, Rzj=True)
    model.def_support("top", True, True, True, True, True, False)
    model.def_support("beam", True, True, True, True, True, True)
    for name in ("foot", "knee"):
        model.def_support(name, False, False, True, True, True, False)
    model.add_node_load("foot", "FX", knee.shear_lb)
    model.analyze_linear(check_stability=False)
    brace, lower = model.members["brace"], model.members["lower"]
    moment = max(abs(lower.max_moment("Mz")), abs(lower.min_moment("Mz")))
    return abs(brace.max_axial()), moment, abs(model.nodes["foot"].DX["Combo 1"])


@pytest.mark.parametrize(
    "knee", [Knee(60.0, 24.0, 120.0), Knee(96.0, 30.0, 210.0)], ids=lambda k: f"PyNiteFEA-{k.height_in:g}"
)
def test_knee_statics_against_finite_elements(knee: Knee) -> None:
    force, moment, moved = knee_frame(knee, 1.2e6, 76.26)
    assert brace_force_lb(knee) == pytest.approx(force, rel=1e-4)
    assert knee.shear_lb * knee.below_in == pytest.approx(moment, rel=1e-4)
    assert drift_in(knee, 1.2e6, 76.26) == pytest.approx(moved, rel=1e-3)


def test_the_load_is_a_share_of_the_design_load_and_inner_beams_hand_theirs_on(rules: CRITERIA) -> None:
    ask = asked((60.0, 60.0, 60.0))
    outer = corner_beams(ask.beams, True)
    rows = braced_rows(corner_posts(ask), ask.posts, outer, ask.beams, RATIO)
    assert [row.beam.id for row in rows] == ["main.beam-1", "main.beam-3"]
    assert [row.gravity_lb for row in rows] == [300.0 * 16 * 1.5] * 2
    assert sum(row.shear_lb * row.sharing for row in rows) == pytest.approx(RATIO * 3 * 300 * 16)
    assert rules().rulebook.in_force_settings.nominal_lateral_ratio == RATIO


def test_one_pair_of_checks_for_each_beam_and_direction(rules: CRITERIA) -> None:
    result = brace_level(asked(), rules())
    for check in ("brace_axial", "brace_connection"):
        found = named(result, check)
        assert [one.member for one in found] == [f"main.brace-{n}" for n in (1, 2, 5, 6)]
        assert {one.citation.status for one in found} == {"common_practice"}
        assert all(one.demand == pytest.approx(120 * 60 / 24 * 2**0.5) for one in found)
        assert all(one.passes for one in found)


@pytest.mark.parametrize("post_size", ["4x4", "6x6"])
def test_bolts_ordered_are_the_bolts_counted(rules: CRITERIA, post_size: str) -> None:
    result = brace_level(asked(post_size=post_size), rules())
    diameter = "3-8in" if post_size == "4x4" else "1-2in"
    for brace in result.braces:
        bolts = [code for code in brace.hardware if code.startswith(f"bolt.{diameter}.")]
        washers = [code for code in brace.hardware if code.startswith(f"washer.{diameter}.")]
        assert len(bolts) >= 4
        assert (len(washers), len(brace.hardware)) == (2 * len(bolts), 3 * len(bolts))
    first = named(result, "brace_connection")[0]
    counted = next(step.value for step in first.working if step.symbol == "bolts")
    assert counted == sum(code.startswith("bolt") for code in result.braces[0].hardware) / 2


def test_a_brace_across_the_beam_is_weaker_it_meets_one_joist(rules: CRITERIA) -> None:
    along, across = named(brace_level(asked(), rules()), "brace_connection")[:2]
    assert (across.capacity or 0) < (along.capacity or 0)


def test_legs_grow_and_boards_widen_before_a_check_fails(rules: CRITERIA) -> None:
    loads = (300.0, 600.0, 900.0, 1500.0)
    results = [brace_level(asked((84.0, 84.0), load_plf=load), rules()) for load in loads]
    chosen = [(one.braces[0].size, one.braces[0].length_in) for one in results]
    assert chosen[0] == (BRACE_SIZES[0], pytest.approx(LEGS_IN[0] * 2**0.5))
    assert chosen == sorted(chosen)
    assert len(set(chosen)) > 2
    held = [all(f.passes for f in one.findings) for one in results]
    assert held == sorted(held, reverse=True)
    assert not held[-1]
    assert all(f.would_pass for f in results[-1].findings if not f.passes)


def test_more_load_never_a_smaller_force(rules: CRITERIA) -> None:
    ratios = [
        named(brace_level(asked((60.0,), load, free=False), rules()), "brace_axial")[0].demand
        for load in (100.0, 200.0, 400.0)
    ]
    assert ratios == sorted(ratios)


def test_no_design_values_no_calculated_check_but_bolts(criteria: CRITERIA) -> None:
    result = brace_level(asked(), criteria())
    assert {one.basis for one in result.findings} == {"rule"}
    assert all(len(one.hardware) == 12 for one in result.braces)


def test_an_unknown_species_is_not_passed(rules: CRITERIA) -> None:
    result = brace_level(asked(), rules(species="teak"))
    judged = [one for one in result.findings if one.basis == "calculated"]
    assert judged
    assert not any(one.passes for one in judged)
    assert all(one.would_pass for one in judged)


@pytest.mark.parametrize("free", [True, False])
def test_sway_is_for_freestanding_decks(rules: CRITERIA, free: bool) -> None:
    found = named(brace_level(asked(free=free), rules()), "sway")
    assert len(found) == free
    for one in found:
        assert (one.passes, one.citation.status) == (True, "common_practice")
        drift = next(step for step in one.working if step.symbol == "drift")
        assert (drift.unit, (drift.value or 0) > 0) == ("in", True)


def test_a_tall_deck_names_the_post_that_would_stand(rules: CRITERIA) -> None:
    result = brace_level(asked((140.0, 140.0), post_size="4x4"), rules())
    (sway,) = named(result, "sway")
    assert not sway.passes
    assert (sway.would_pass or "").startswith(("6x6 posts", "8x8 posts"))
    (reason,) = result.reasons
    assert (reason.code, reason.member) == ("tall_freestanding", sway.member)
    size = (sway.would_pass or "").split()[0]
    (better,) = named(brace_level(asked((140.0, 140.0), post_size=size), rules()), "sway")
    assert better.passes


def test_the_heaviest_of_equal_posts_is_judged_and_named(rules: CRITERIA) -> None:
    ask = asked((110.0, 110.0))
    heavy = msgspec.structs.replace(ask.posts[-1], load_lb=6000.0)
    result = brace_level(BracingAsk("main", True, 0.0, "B", (*ask.posts[:-1], heavy), ask.beams), rules())
    assert [one.member for one in named(result, "sway")] == [heavy.id]
    assert [one.member for one in result.reasons] == [heavy.id]


@pytest.mark.parametrize(
    ("size", "height_in", "why"), [("4x4", 120.0, "slenderness"), ("4x4", 300.0, "slenderness"), ("5x9", 60.0, "size")]
)  # fmt: skip
def test_a_post_no_rule_covers_is_refused(size: str, height_in: float, why: str) -> None:
    found = sway_ratio(timber(), "southern_pine", size, Knee(height_in, 24.0, 10.0), 100.0)
    assert not isinstance(found, Allowable)
    assert why in found.why


def test_taller_posts_are_used_more(rules: CRITERIA) -> None:
    ratios = [
        found.value
        for height in (60.0, 72.0, 84.0, 96.0)
        if isinstance(found := sway_ratio(timber(), "hem_fir", "6x6", Knee(height, 24.0, 150.0), 3000.0), Allowable)
    ]  # fmt: skip
    assert len(ratios) == 4
    assert ratios == sorted(ratios)


def test_a_tall_deck_needs_an_engineer_once_and_says_which_posts() -> None:
    spec = spec_of(
        site=NOWHERE, house={"wall": "none"},
        levels=[{"width_ft": 24, "projection_ft": 20, "surface_height_in": 180}],
    )  # fmt: skip
    report = designed(spec, context(None, "irc-2021"))
    assert report.verdict.status == "engineer_required"
    assert [reason.code for reason in report.verdict.reasons] == ["tall_freestanding"]
    (sway,) = [one for one in report.checks if one.check == "sway"]
    assert (sway.passes, (sway.would_pass or "")[:3]) == (False, "8x8")
    (used,) = [one for one in report.inputs if one.pointer == "/settings/nominal_lateral_ratio"]
    assert used.value == f"{RATIO:g}"

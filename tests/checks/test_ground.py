"""Footings on slopes, near steep banks, and where nobody measured the ground."""

from __future__ import annotations

import pytest

from service.checks.ground import judge_measured, judge_slope
from service.checks.judged import Judged
from service.contract.report_frame import Concrete, Footing
from service.contract.spec import GradePointSpec, SiteSpec
from service.framing.ground import Terrain, grade_of


def footing(n: int, x_ft: float, y_ft: float, width_in: float = 24.0) -> Footing:
    pier = Concrete(
        shape="round", shaft_diameter_in=width_in, base_shape=None, base_size_in=None, thickness_in=None,
        depth_below_grade_in=32.0, volume_cuft=2.0,
    )  # fmt: skip
    return Footing(
        id=f"main.footing-1-{n}", mark=f"F1-{n}", post=f"main.post-1-{n}", serves=f"main.post-1-{n}",
        method="tube_form_pier", x_ft=x_ft, y_ft=y_ft, load_lb=2000.0, tributary_sqft=40.0, grade_height_in=0.0,
        top_height_in=3.0, bottom_height_in=-32.0, exposed_in=3.0, in_backfill_zone=False, concrete=pier, pile=None,
    )  # fmt: skip


def plane(fall_x: float, fall_y: float) -> Terrain:
    return grade_of(SiteSpec(grade_fall_x_in_per_ft=fall_x, grade_fall_y_in_per_ft=fall_y))


def bank(height_in: float, run_ft: float, from_ft: float = 20.0) -> Terrain:
    """Level ground that drops by a height between y and y + run, and is level again."""
    rows = ((-10, 0.0), (from_ft, 0.0), (from_ft + run_ft, -height_in), (from_ft + run_ft + 30, -height_in))
    return grade_of(
        SiteSpec(
            grade_points=tuple(
                GradePointSpec(x_ft=x, y_ft=y, grade_in=z) for y, z in rows for x in (-20.0, 20.0)
            )
        )
    )


def codes(judged: Judged) -> tuple[list[str], list[str]]:
    return [one.code for one in judged.reasons], [one.code for one in judged.cautions]


FALLS = (
    # IRC R403.1.7 (from memory): steeper than 1 in 3, which is 4 in per ft
    (0, 4.0, False), (0, 4.01, True), (2.8, 2.8, False), (2.9, 2.9, True), (-6, 0, True), (0, 0, False),
)  # fmt: skip


@pytest.mark.parametrize(("fall_x", "fall_y", "steep"), FALLS, ids=lambda v: f"IRC-R403.1.7-from-memory-{v}")
def test_a_yard_steeper_than_one_in_three_is_an_engineers(fall_x: float, fall_y: float, steep: bool) -> None:
    reasons, _ = codes(judge_slope([footing(1, 4, 10), footing(2, 12, 10)], plane(fall_x, fall_y)))
    assert reasons == (["slope_needs_engineer"] if steep else [])


def test_one_reason_names_the_posts() -> None:
    (why,) = judge_slope([footing(1, 4, 10), footing(2, 12, 10)], plane(0, 5)).reasons
    assert "main.post-1-1, main.post-1-2" in why.text
    assert "5 in per ft" in why.text
    assert why.citation is not None
    assert why.citation.status == "memory"


def test_only_footings_near_a_bank_are_named() -> None:
    """A bank of 60 in in 5 ft from y = 20: 5 ft clear of it with its half width of 1 ft is y = 14."""
    near, far = footing(1, 0, 14.1), footing(2, 0, 13.9)
    (why,) = judge_slope([near, far], bank(60, 5)).reasons
    assert "main.post-1-1" in why.text
    assert "main.post-1-2" not in why.text
    assert not judge_slope([far], bank(60, 5)).reasons


def test_a_bank_far_away_is_not_the_one_told_of() -> None:
    """Two banks in one yard: 60 in in 10 ft from y = 0, and a wall of 60 in at y = 40."""
    rows = ((-20.0, 0.0), (0.0, 0.0), (10.0, -60.0), (40.0, -60.0), (40.1, -120.0), (60.0, -120.0))
    points = tuple(GradePointSpec(x_ft=x, y_ft=y, grade_in=z) for y, z in rows for x in (-20.0, 20.0))
    (why,) = judge_slope([footing(1, 0, 5)], grade_of(SiteSpec(grade_points=points))).reasons
    assert "6 in per ft" in why.text


def test_a_higher_bank_is_kept_clear_of_farther() -> None:
    """240 in high: half of 20 ft, from memory IRC R403.1.7.1."""
    assert judge_slope([footing(1, 0, 9.1)], bank(240, 20)).reasons
    assert not judge_slope([footing(1, 0, 8.9)], bank(240, 20)).reasons
    assert judge_slope([footing(1, 0, 50.9)], bank(240, 20)).reasons
    assert not judge_slope([footing(1, 0, 51.1)], bank(240, 20)).reasons


def test_a_retaining_wall_is_a_bank_and_a_kerb_is_none() -> None:
    assert judge_slope([footing(1, 0, 19)], bank(24, 0.1)).reasons
    assert not judge_slope([footing(1, 0, 19)], bank(11, 0.1)).reasons


def test_a_gentle_bank_is_none() -> None:
    assert not judge_slope([footing(1, 0, 22)], bank(60, 15)).reasons
    assert judge_slope([footing(1, 0, 22)], bank(60, 14.9)).reasons


@pytest.mark.parametrize(("fall", "said"), [(0.5, []), (1.0, []), (1.5, ["footing_on_slope"])])
def test_a_slope_is_said_once(fall: float, said: list[str]) -> None:
    judged = judge_slope([footing(n, 4 * n, 10) for n in range(1, 12)], plane(fall, 0))
    assert codes(judged) == ([], said)
    if said:
        assert "main.post-1-8 and 3 more" in judged.cautions[0].text


def test_footings_outside_the_points_are_named() -> None:
    judged = judge_measured([footing(1, 0, 10), footing(2, 21, 10), footing(3, 20.4, 10)], bank(12, 20))
    assert codes(judged) == ([], ["ground_not_measured"])
    assert judged.cautions[0].text.startswith("main.post-1-2 stand")
    assert judge_measured([footing(1, 500, 10)], plane(0, 1)) == Judged()


def test_points_counted_from_another_height_are_noticed() -> None:
    lifted = grade_of(
        SiteSpec(
            grade_points=tuple(
                GradePointSpec(x_ft=x, y_ft=y, grade_in=48.0)
                for x, y in ((-9.0, -9.0), (30.0, -9.0), (0.0, 30.0))
            )
        )
    )
    judged = judge_measured([footing(1, 4, 10)], lifted)
    assert codes(judged) == ([], ["datum_differs"])
    assert "48 in" in judged.cautions[0].text

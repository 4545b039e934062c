"""Braces: DCA 6 (corner posts over 24 in); limits for free-standing decks are conventions of this service."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from service.connections.bracing import BRACED_OVER_IN, Bracing, BracingAsk, brace_level
from service.contract.report_frame import Beam, Post
from service.sizing.criteria import Criteria

CRITERIA = Callable[..., Criteria]


def beam(number: int, y_ft: float, x_ft: tuple[float, float] = (0.0, 16.0)) -> Beam:
    return Beam(
        id=f"main.beam-{number}", mark=f"B{number}", size="2x10", plies=2, placement="dropped",
        species="southern_pine", grade="no_2", start_ft=(x_ft[0], y_ft), end_ft=(x_ft[1], y_ft),
        bottom_height_in=16.5, supports_ft=(1.0, 8.0, 15.0), spans_in=(84.0, 84.0), overhang_start_in=12.0,
        overhang_end_in=12.0, splices=(), line_load_plf=300.0,
    )  # fmt: skip


def post(number: int, place: int, x_ft: float, y_ft: float, height_in: float) -> Post:
    return Post(
        id=f"main.post-{number}-{place}", mark=f"P{number}-{place}", level="main", beam=f"main.beam-{number}",
        size="6x6", species="southern_pine", grade="no_2", x_ft=x_ft, y_ft=y_ft, height_in=height_in,
        cut_length_in=height_in - 1, load_lb=2000.0, base=None, cap=None,
    )  # fmt: skip


def row(number: int, y_ft: float, height_in: float) -> tuple[Post, ...]:
    return tuple(post(number, n, x, y_ft, height_in) for n, x in enumerate((1.0, 8.0, 15.0), start=1))


def braced(criteria: Criteria, heights: dict[float, float], **changed: Any) -> Bracing:
    """Brace beams at these y (ft) on posts of these heights (in)."""
    beams = tuple(beam(n, y) for n, y in enumerate(heights, start=1))
    posts = tuple(one for n, (y, h) in enumerate(heights.items(), start=1) for one in row(n, y, h))
    values: dict[str, Any] = {"freestanding": False, "decking_angle_deg": 0.0, "seismic_design_category": "B"}
    return brace_level(BracingAsk("main", posts=posts, beams=beams, **{**values, **changed}), criteria)


def test_the_guide_still_says_24_in(criteria: CRITERIA) -> None:
    assert (
        criteria().guide.limit("guide_brace_along_beam").text
        == f"each corner post taller than {BRACED_OVER_IN:g} in"
    )


@pytest.mark.parametrize(("height", "count"), [(20.0, 0), (24.0, 0), (24.0625, 2), (60.0, 2)])
def test_attached_corner_posts_over_24_in(criteria: CRITERIA, height: float, count: int) -> None:
    result = braced(criteria(), {11.0: height})
    assert len(result.braces) == count
    assert all(one.direction == "along_beam" for one in result.braces)
    assert [one.member for one in result.findings] == [one.post for one in result.braces]
    assert [one.code for one in result.cautions] == (["bracing_needed"] if count else [])
    assert result.reasons == ()


def test_no_brace_on_a_centre_post_or_an_inner_beam(criteria: CRITERIA) -> None:
    result = braced(criteria(), {6.0: 60.0, 11.0: 60.0})
    assert [one.post for one in result.braces] == ["main.post-2-1", "main.post-2-3"]


def test_freestanding_is_braced_both_ways_at_four_corners(criteria: CRITERIA) -> None:
    result = braced(criteria(), {2.0: 60.0, 7.0: 60.0, 11.0: 60.0}, freestanding=True)
    assert [(one.post, one.direction) for one in result.braces] == [
        (f"main.post-{b}-{p}", way) for b in (1, 3) for p in (1, 3) for way in ("along_beam", "across_beam")
    ]
    assert {one.citation.status for one in result.findings} == {"one_source", "memory"}
    assert [one.id for one in result.braces] == [f"main.brace-{n}" for n in range(1, 9)]


@pytest.mark.parametrize(
    ("angle", "freestanding", "count"), [(45.0, False, 0), (45.0, True, 4), (30.0, False, 2), (0.0, False, 2)]
)
def test_boards_at_45_degrees_replace_braces_on_an_attached_deck_only(
    criteria: CRITERIA, angle: float, freestanding: bool, count: int
) -> None:
    result = braced(criteria(), {11.0: 60.0}, decking_angle_deg=angle, freestanding=freestanding)
    assert len(result.braces) == count
    assert result.findings


@pytest.mark.parametrize(
    ("height", "freestanding", "codes"),
    [(96.0, True, []), (96.0625, True, ["tall_freestanding"]), (120.0, False, [])],
)
def test_tall_freestanding(criteria: CRITERIA, height: float, freestanding: bool, codes: list[str]) -> None:
    result = braced(criteria(), {11.0: height}, freestanding=freestanding)
    assert [one.code for one in result.reasons] == codes


@pytest.mark.parametrize("category", ["A", "B", "C", "D0", "D1", "D2", "E", None])
@pytest.mark.parametrize("freestanding", [True, False])
def test_freestanding_in_seismic_d0_and_up(
    criteria: CRITERIA, category: str | None, freestanding: bool
) -> None:
    result = braced(criteria(), {11.0: 20.0}, freestanding=freestanding, seismic_design_category=category)
    engineered = freestanding and category in ("D0", "D1", "D2", "E")
    assert [one.code for one in result.reasons] == (["wind_or_seismic_beyond_range"] if engineered else [])


@pytest.mark.parametrize(("height", "length"), [(60.0, 33.9411), (48.0, 33.9411), (30.0, 21.2132)])
def test_braces_are_at_45_degrees_and_fit_the_post(criteria: CRITERIA, height: float, length: float) -> None:
    # 24 in legs: common practice, no source.
    assert {round(one.length_in, 4) for one in braced(criteria(), {11.0: height}).braces} == {length}


def test_two_beams_end_to_end_have_four_corners(criteria: CRITERIA) -> None:
    beams = (beam(1, 11.0, (0.0, 8.0)), beam(2, 11.0, (8.0, 16.0)))
    posts = (*row(1, 11.0, 60.0)[:2], post(2, 1, 9.0, 11.0, 60.0), post(2, 2, 15.0, 11.0, 60.0))
    ask = BracingAsk("main", False, 0.0, None, posts, beams)
    assert len(brace_level(ask, criteria()).braces) == 4


def test_saddles_need_no_brace(criteria: CRITERIA) -> None:
    result = brace_level(BracingAsk("main", True, 0.0, None, (), (beam(1, 11.0),)), criteria())
    assert (result.braces, result.findings, result.reasons) == ((), (), ())

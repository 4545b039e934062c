"""Braces read back from the sheet: as long and as steep as the report has them, on the posts that have them."""

from __future__ import annotations

import math

import pytest
from drawings.details import NEAR_IN, has, inches_of, sheet_of
from drawings.sheet_checks import EXAMPLES, PAPERS, SVG, faults, report_of

from service.contract.report_frame import Brace
from service.drawings.sheets import sheet_svg
from service.timber.sections import Section, section

NAME = "bracing_detail"
# AWC DCA 6, brace rule: corner posts over 24 in
BRACED_OVER_IN = 24.0


def braces_of(example: str) -> list[Brace]:
    report = report_of(example)
    return [
        *(brace for level in report.levels for brace in level.braces),
        *(brace for stair in report.stairs for brace in stair.braces),
    ]


BRACED = tuple(example for example in EXAMPLES if braces_of(example))
BARE = tuple(example for example in EXAMPLES if example not in BRACED)


def drawn(example: str, paper: str) -> list[Brace]:
    sheet = sheet_of(example, NAME, paper)
    return [brace for brace in braces_of(example) if has(sheet, f"{brace.id}.view")]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", EXAMPLES)
def test_nothing_is_wrong_with_the_sheet(example: str, paper: str) -> None:
    assert faults(sheet_svg(report_of(example), NAME, paper)) == []


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", BRACED)
def test_a_brace_is_as_long_as_steep_and_as_wide_as_its_board(example: str, paper: str) -> None:
    sheet = sheet_of(example, NAME, paper)
    assert drawn(example, paper)
    for brace in drawn(example, paper):
        board = next(sheet.group(brace.id).iter(f"{SVG}polygon"))
        a, b, c, _ = inches_of(sheet, board, f"{brace.id}.view")
        assert math.dist(a, b) == pytest.approx(brace.length_in, abs=2 * NEAR_IN)
        assert math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) == pytest.approx(45, abs=0.5)
        dressed = section(brace.size, 1)
        assert isinstance(dressed, Section)
        assert math.dist(b, c) == pytest.approx(dressed.depth_in, abs=2 * NEAR_IN)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", BRACED)
def test_a_brace_ends_where_the_report_says(example: str, paper: str) -> None:
    sheet = sheet_of(example, NAME, paper)
    for brace in drawn(example, paper):
        middle = next(sheet.group(brace.id).iter(f"{SVG}line"))
        low, high = inches_of(sheet, middle, f"{brace.id}.view")
        reach = 12 * math.dist(brace.start_ft, brace.end_ft)
        assert low == pytest.approx((0.0, brace.low_height_in), abs=NEAR_IN)
        assert high == pytest.approx((reach, brace.high_height_in), abs=NEAR_IN)


@pytest.mark.parametrize("example", BRACED)
def test_every_braced_post_is_told_with_its_bolts(example: str) -> None:
    report, texts = report_of(example), sheet_of(example, NAME, "tabloid").said()
    marks = {post.id: post.mark for post in report.posts}
    for brace in braces_of(example):
        assert marks[brace.post] in " ".join(texts)
        bolts = [code for code in brace.hardware if code.startswith("bolt")]
        # as many at the post as above, the longer ones at the post
        for end in (bolts[: len(bolts) // 2], bolts[len(bolts) // 2 :]):
            long = end[0].split(".")[2].removesuffix("in")
            assert f"({len(end)}) 1/2 x {long} in bolts" in texts


@pytest.mark.parametrize("example", BARE)
def test_where_there_are_none_the_posts_are_too_low_and_the_sheet_says_how_high(example: str) -> None:
    said = " ".join(sheet_of(example, NAME, "letter").said())
    posts = report_of(example).posts
    assert all(post.height_in <= BRACED_OVER_IN for post in posts)
    assert "No brac" in said
    for post in posts:
        assert post.mark in said

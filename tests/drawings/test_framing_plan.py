"""The framing plan read back: every member once, where the report says it is."""

from __future__ import annotations

import math
from collections.abc import Iterator
from xml.etree.ElementTree import Element

import msgspec
import pytest
from shapely.geometry import Polygon

from service.contract.plan import Point
from service.contract.report import DesignReport
from service.contract.report_frame import JoistLine
from service.drawings.kit.paper import PAPERS
from service.drawings.kit.sheet import framed
from service.drawings.plans.framing_plan import framing_plan
from service.drawings.sheets import sheet_svg
from service.units.text import feet_inches

from .sheet_checks import EXAMPLES, SVG, Sheet, corners_pt, faults, middle_of, report_of, size_of
from .sheet_checks import PAPERS as SIZES

NEAR_FT = (
    0.01 / 3.6 + 2e-4
)  # hundredths of a point at the smallest scale of the examples, and rounding of the report


def plan(report: DesignReport, paper: str = "letter", level: str | None = None) -> Sheet:
    return Sheet(sheet_svg(report, "framing_plan", paper, level))


def corners_ft(sheet: Sheet, one: Element) -> list[Point]:
    return [sheet.feet(place, "framing") for place in corners_pt(one)]


def middle_ft(sheet: Sheet, one: Element) -> Point:
    return sheet.feet(middle_of(one), "framing")


def shapes(sheet: Sheet, id: str, tag: str = "polygon") -> list[Element]:
    return [one for one in sheet.group(id) if one.tag == f"{SVG}{tag}"]


def members(report: DesignReport) -> Iterator[str]:
    for level in report.levels:
        for kind in (
            level.joists,
            level.ledgers,
            level.rims,
            level.beams,
            level.blocking,
            level.braces,
            level.guards,
        ):
            yield from (one.id for one in kind)
        yield from (post.id for guard in level.guards for post in guard.posts)
    yield from (post.id for post in report.posts)
    for stair in report.stairs:
        yield stair.id
        yield from (one.id for one in (*stair.landings, *stair.beams, *stair.braces))
        yield from (one.id for landing in stair.landings for one in (*landing.joists, *landing.rims))


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("example", EXAMPLES)
def test_the_sheet_is_sound(example: str, paper: str) -> None:
    assert faults(sheet_svg(report_of(example), "framing_plan", paper)) == []


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_member_is_drawn_once(example: str) -> None:
    report = report_of(example)
    drawn = plan(report).ids()
    assert {one: drawn.count(one) for one in members(report)} == dict.fromkeys(members(report), 1)


def ends_of(joist: JoistLine) -> tuple[Point, Point]:
    if joist.x_ft is not None:
        assert joist.y_start_ft is not None
        assert joist.y_end_ft is not None
        return (joist.x_ft, joist.y_start_ft), (joist.x_ft, joist.y_end_ft)
    assert joist.y_ft is not None
    assert joist.x_start_ft is not None
    assert joist.x_end_ft is not None
    return (joist.x_start_ft, joist.y_ft), (joist.x_end_ft, joist.y_ft)


def along(one: Point, other: Point) -> Point:
    return (one[0] + other[0]) / 2, (one[1] + other[1]) / 2


@pytest.mark.parametrize("example", EXAMPLES)
def test_joists_lie_where_the_report_says(example: str) -> None:
    report = report_of(example)
    sheet = plan(report)
    for level in report.levels:
        for joists in level.joists:
            drawn = shapes(sheet, joists.id)
            assert len(drawn) == joists.count == len(joists.lines)
            for joist, one in zip(joists.lines, drawn, strict=True):
                start, end = ends_of(joist)
                assert math.dist(middle_ft(sheet, one), along(start, end)) < NEAR_FT
                area = Polygon(corners_ft(sheet, one)).area
                assert area == pytest.approx(math.dist(start, end) * 1.5 * joists.plies / 12, rel=0.03)


@pytest.mark.parametrize("example", EXAMPLES)
def test_beams_rims_and_blocks_lie_where_the_report_says(example: str) -> None:
    report = report_of(example)
    sheet = plan(report)
    for level in report.levels:
        for one in (*level.rims, *level.beams):
            (body,) = shapes(sheet, one.id)
            assert math.dist(middle_ft(sheet, body), along(one.start_ft, one.end_ft)) < NEAR_FT
        for block in level.blocking:
            bodies = shapes(sheet, block.id)
            assert len(bodies) == block.count
            for body, (a, b) in zip(bodies, block.places_ft, strict=True):
                assert math.dist(middle_ft(sheet, body), along(a, b)) < NEAR_FT


@pytest.mark.parametrize("example", EXAMPLES)
def test_posts_stand_where_the_report_says_and_are_as_thick(example: str) -> None:
    report = report_of(example)
    sheet = plan(report)
    per_ft = float(sheet.group("framing").attrib["data-pt-per-ft"])
    for post in report.posts:
        (body,) = shapes(sheet, post.id)
        assert math.dist(middle_ft(sheet, body), (post.x_ft, post.y_ft)) < NEAR_FT
        thick = {"4x4": 3.5, "4x6": 3.5, "6x6": 5.5, "8x8": 7.5}[post.size]
        assert size_of(body)[0] == pytest.approx(thick / 12 * per_ft, abs=0.02)


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_schedule_counts_what_there_is(example: str) -> None:
    report = report_of(example)
    said = plan(report, "tabloid").said()
    for level in report.levels:
        for beam in level.beams:
            assert any(beam.mark in one and beam.size in one for one in said)
        for joists in level.joists:
            longest = feet_inches(max(line.length_in for line in joists.lines))
            assert f"{joists.count} at {joists.spacing_in:g} in, to {longest}" in said


def test_lengths_of_edges_and_places_of_posts_are_written() -> None:
    report = report_of("ledger-composite")
    said = plan(report).said()
    (beam,) = report.levels[0].beams
    for length_in in (192.0, 144.0, *(12 * at for at in (beam.supports_ft[0], 16 - beam.supports_ft[-1]))):
        assert feet_inches(length_in) in said
    assert any('Scale 1/4" = 1\'-0"' in one for one in said)


def test_one_level_of_two_is_drawn_alone() -> None:
    report = report_of("two-levels")
    first, second = report.levels
    drawn = plan(report, level=second.id).ids()
    assert second.beams[0].id in drawn
    assert first.beams[0].id not in drawn
    assert {post.id for post in report.posts if post.level == first.id}.isdisjoint(drawn)


def test_marks_of_two_levels_tell_them_apart() -> None:
    report = report_of("two-levels")
    said = " ".join(plan(report).said())
    assert all(f"{level.id} B1" in said for level in report.levels)


@pytest.mark.parametrize("example", EXAMPLES)
def test_only_a_prescriptive_sheet_has_no_verdict_across_it(example: str) -> None:
    report = report_of(example)
    across = [one.said for one in plan(report).written() if one.across]
    words = {
        "prescriptive": [],
        "engineer_required": ["ENGINEER REQUIRED"],
        "not_permitted": ["NOT PERMITTED"],
    }
    assert across == words[report.verdict.status]


def test_a_deck_without_a_frame_is_an_outline_and_the_reasons() -> None:
    report = report_of("ledger-composite")
    level = msgspec.structs.replace(
        report.levels[0], joists=(), ledgers=(), rims=(), beams=(), blocking=(), braces=(), guards=()
    )
    reasons = report_of("hot-tub").verdict.reasons
    verdict = msgspec.structs.replace(report.verdict, status="not_permitted", reasons=reasons)
    bare = msgspec.structs.replace(report, levels=(level,), posts=(), footings=(), stairs=(), verdict=verdict)
    svg = framed(bare, framing_plan(bare, PAPERS["letter"]), PAPERS["letter"], "Sheet 1 of 6")
    sheet = Sheet(svg)
    assert faults(svg) == []
    assert [feet for feet in sheet.said() if feet == "16'-0\""]
    assert any("No frame was found" in one for one in sheet.said())
    assert shapes(sheet, "main.outline")

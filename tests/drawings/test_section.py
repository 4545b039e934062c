"""The section read back: heights and places of what it cuts, against the report."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import msgspec
import pytest
from drawings.section_reading import (
    DEPTH_IN,
    PLY_IN,
    cut_beams,
    drawn,
    members,
    near_ft,
    outlines,
    plane_ft,
    reach,
    told_beside,
)
from drawings.sheet_checks import EXAMPLES, PAPERS, SVG, corners_pt, faults, report_of
from shapely.geometry import LineString, Polygon

from service.contract.report import DesignReport
from service.contract.report_frame import Brace, Concrete, Footing, Pile
from service.drawings.section.section_cut import height_at
from service.drawings.sheets import sheet_svg
from service.units.text import feet_inches


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", EXAMPLES)
def test_the_sheet_has_no_fault(example: str, paper: str) -> None:
    assert faults(sheet_svg(report_of(example), "section", paper)) == []


@pytest.mark.parametrize("example", EXAMPLES)
def test_all_that_is_drawn_is_in_the_report_and_once(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    frame = [
        one.id
        for level in report.levels
        for kind in (level.joists, level.ledgers, level.rims, level.beams, level.braces, level.guards)
        for one in kind
    ]
    others = [one.id for kind in (report.posts, report.footings, report.stairs) for one in kind]
    told = [one.attrib["data-member"] for one in sheet.root.iter() if "data-member" in one.attrib]
    assert set(told) <= {*frame, *others}
    assert len(told) == len(set(told))
    assert all(sheet.group(f"section.{id}") is members(sheet)[id] for id in told)


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_beam_that_is_cut_is_shown_with_its_plies_where_it_lies(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    found, count = members(sheet), 0
    for spec, level, beam, y in cut_beams(report, sheet):
        plies = [reach(one) for one in outlines(sheet, found[beam.id])]
        assert len(plies) == beam.plies
        slant = math.dist(beam.start_ft, beam.end_ft) / abs(beam.start_ft[0] - beam.end_ft[0])
        ends = (min(one[0] for one in plies), max(one[1] for one in plies))
        half = beam.plies * PLY_IN * slant / 24
        assert ends == pytest.approx((y - half, y + half), abs=near_ft(sheet))
        heights = (min(one[2] for one in plies), max(one[3] for one in plies))
        low = beam.bottom_height_in
        assert heights == pytest.approx((low, low + DEPTH_IN[beam.size]), abs=12 * near_ft(sheet))
        top = spec.surface_height_in - spec.decking.thickness_in
        under = level.clearance.joist_bottom_height_in if beam.placement == "dropped" else top
        assert heights[1] == pytest.approx(under, abs=12 * near_ft(sheet))
        count += 1
    assert count


@pytest.mark.parametrize("example", EXAMPLES)
def test_joists_and_floor_have_the_heights_of_the_spec(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    found = members(sheet)
    near = 12 * near_ft(sheet)
    shown = 0
    for spec, level in zip(report.resolved_spec.levels, report.levels, strict=True):
        top = spec.surface_height_in - spec.decking.thickness_in
        for joists in level.joists:
            if joists.id in found:
                shown += 1
                for _, _, low, high in map(reach, outlines(sheet, found[joists.id])):
                    assert (low, high) == pytest.approx((top - DEPTH_IN[joists.size], top), abs=near)
        if f"section.{level.id}.decking" in sheet.ids():
            (boards,) = outlines(sheet, sheet.group(f"section.{level.id}.decking"))
            assert reach(boards)[2:] == pytest.approx((top, spec.surface_height_in), abs=near)
            across = LineString([(plane_ft(sheet) + 5e-4, -400), (plane_ft(sheet) + 5e-4, 400)])
            floor = Polygon(level.outline_ft).intersection(across)
            assert reach(boards)[:2] == pytest.approx((floor.bounds[1], floor.bounds[3]), abs=near_ft(sheet))
    assert shown


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_joist_shown_is_one_of_the_report_from_end_to_end(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    for level in report.levels:
        for joists in level.joists:
            if joists.id in members(sheet) and joists.direction == "away_from_house":
                (side,) = outlines(sheet, members(sheet)[joists.id])
                near = [
                    line
                    for line in joists.lines
                    if abs((line.x_ft or 0.0) - plane_ft(sheet)) <= joists.spacing_in / 12
                ]
                ends = [(line.y_start_ft, line.y_end_ft) for line in near]
                assert any(reach(side)[:2] == pytest.approx(pair, abs=near_ft(sheet)) for pair in ends)


@pytest.mark.parametrize("example", EXAMPLES)
def test_posts_stand_between_their_pier_and_their_beam(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    for post in report.posts:
        if post.id in members(sheet):
            (side,) = outlines(sheet, members(sheet)[post.id])
            left, right, low, top = reach(side)
            told = (post.bottom_height_in, post.top_height_in)
            assert (low, top) == pytest.approx(told, abs=12 * near_ft(sheet))
            half = {"4x4": 3.5, "4x6": 3.5, "6x6": 5.5}[post.size] / 24
            assert (left, right) == pytest.approx((post.y_ft - half, post.y_ft + half), abs=near_ft(sheet))


@pytest.mark.parametrize("example", EXAMPLES)
def test_footings_go_as_deep_as_the_report_says(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    shown = [one for one in report.footings if one.id in members(sheet)]
    assert {one.post for one in shown if one.post} == {
        one.id for one in report.posts if one.id in members(sheet)
    }
    for footing in shown:
        sides = [reach(one) for one in outlines(sheet, members(sheet)[footing.id])]
        heights = (min(one[2] for one in sides), max(one[3] for one in sides))
        told = (footing.bottom_height_in, footing.top_height_in)
        assert heights == pytest.approx(told, abs=12 * near_ft(sheet))
        middles = {round((one[0] + one[1]) / 2 - footing.y_ft, 2) for one in sides}
        assert middles <= {0.0, -0.0}
        wide = max(one[1] - one[0] for one in sides)
        if footing.concrete is not None:
            assert wide == pytest.approx(footing.width_in / 12, abs=2 * near_ft(sheet))
        assert feet_inches(footing.grade_height_in - footing.bottom_height_in) in sheet.said()
    assert shown


def with_footing(made: Concrete | Pile, low_in: float) -> tuple[DesignReport, Footing]:
    """An example whose footing in the section is made otherwise."""
    report = report_of("footings-small-attached")
    shown = [one.id for one in report.footings if one.id in members(drawn(report))]
    changed = [
        msgspec.structs.replace(
            one,
            concrete=made if isinstance(made, Concrete) else None,
            pile=made if isinstance(made, Pile) else None,
            bottom_height_in=low_in,
        )
        for one in report.footings
    ]
    (one,) = (one for one in changed if one.id in shown)
    return msgspec.structs.replace(report, footings=tuple(changed)), one


def test_a_belled_pier_widens_from_shaft_to_base() -> None:
    made = Concrete(
        shape="round", shaft_diameter_in=12.0, base_shape="bell", base_size_in=24.0, thickness_in=6.0,
        depth_below_grade_in=40.0, volume_cuft=4.0, bell_height_in=8.0,
    )  # fmt: skip
    report, footing = with_footing(made, -40.0)
    sheet = drawn(report)
    base, cone, shaft = map(reach, outlines(sheet, members(sheet)[footing.id]))
    near = 12 * near_ft(sheet)
    assert base[2:] == pytest.approx((-40.0, -34.0), abs=near)
    assert cone[2:] == pytest.approx((-34.0, -26.0), abs=near)
    assert shaft[2:] == pytest.approx((-26.0, footing.top_height_in), abs=near)
    assert (base[1] - base[0]) * 12 == pytest.approx(24.0, abs=2 * near)
    assert (shaft[1] - shaft[0]) * 12 == pytest.approx(12.0, abs=2 * near)


def test_a_pile_has_every_helix_at_its_width_and_its_maker_is_named_for_their_places() -> None:
    pile = Pile(shaft="round_2-7-8in", helices=(8.0, 10.0), length_ft=9, kt_per_ft=9, torque_ft_lb=500)
    report, footing = with_footing(pile, -105.0)
    sheet = drawn(report)
    lines = [
        [sheet.feet(end, "section") for end in corners_pt(one)]
        for one in members(sheet)[footing.id].iter(f"{SVG}line")
    ]
    wide = sorted(12 * abs(a[0] - b[0]) for a, b in lines)
    assert wide == pytest.approx([8.0, 10.0], abs=24 * near_ft(sheet))
    assert min(12 * a[1] for a, _ in lines) == pytest.approx(-105.0, abs=12 * near_ft(sheet))
    assert "helices are drawn at three diameters" in " ".join(sheet.said())


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_ledger_lies_on_its_wall_with_its_rows(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    shown = [one for level in report.levels for one in level.ledgers if one.id in members(sheet)]
    assert bool(shown) == (report.attachment.kind == "ledger")
    for ledger in shown:
        (cut,) = outlines(sheet, members(sheet)[ledger.id])
        left, right, low, top = reach(cut)
        near = near_ft(sheet)
        assert (low, top) == pytest.approx((ledger.bottom_height_in, ledger.top_height_in), abs=12 * near)
        assert (left, right) == pytest.approx(
            (ledger.start_ft[1], ledger.start_ft[1] + PLY_IN / 12), abs=near
        )
        level_lines = [
            12 * sheet.feet(corners_pt(one)[0], "section")[1]
            for one in members(sheet)[ledger.id].iter(f"{SVG}line")
            if one.get("y1") == one.get("y2")
        ]
        assert sorted(level_lines) == pytest.approx(sorted(ledger.row_heights_in), abs=12 * near)


def test_the_band_behind_a_ledger_is_where_its_door_sill_says() -> None:
    """Band top = door sill less floor build-up, its bottom a rim depth lower: 37.5 - 1.5 = 36, 36 - 11.25."""
    report = report_of("ledger-composite")
    sheet = drawn(report)
    cut = [reach(one) for one in outlines(sheet, sheet.group("house-1"))]
    near = 12 * near_ft(sheet)
    assert any(one[2:] == pytest.approx((24.75, 36.0), abs=near) for one in cut)
    foundation = min(one[2] for one in cut)
    assert foundation == pytest.approx(-96.0, abs=near)


@pytest.mark.parametrize("example", EXAMPLES)
def test_guards_stand_so_high_over_the_floor(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    for spec, level in zip(report.resolved_spec.levels, report.levels, strict=True):
        for guard in level.guards:
            if guard.id in members(sheet):
                top = max(reach(one)[3] for one in outlines(sheet, members(sheet)[guard.id]))
                told = spec.surface_height_in + guard.height_in
                assert top == pytest.approx(told, abs=12 * near_ft(sheet))
                assert f"guard {feet_inches(guard.height_in)}" in sheet.said()


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_ground_passes_the_footings_and_frost_lies_under_it(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    places = {}
    for name in ("grade", "frost-line"):
        (found,) = (corners_pt(one) for one in sheet.group(name).iter(f"{SVG}polyline"))
        places[name] = [(y, 12 * height) for y, height in (sheet.feet(one, "section") for one in found)]
    near = 12 * near_ft(sheet)
    for (y, grade), (also, frost) in zip(places["grade"], places["frost-line"], strict=True):
        assert y == pytest.approx(also, abs=near)
        assert grade - frost == pytest.approx(report.ground.frost_depth_in, abs=2 * near)
    for footing in report.footings:
        if footing.id in members(sheet):
            drawn_in = height_at(places["grade"], footing.y_ft)
            assert drawn_in == pytest.approx(footing.grade_height_in, abs=near)


def test_ground_that_falls_is_drawn_as_it_falls() -> None:
    report = report_of("footings-small-attached")
    site = msgspec.structs.replace(
        report.resolved_spec.site, grade_fall_x_in_per_ft=0.5, grade_fall_y_in_per_ft=2.0
    )
    spec = msgspec.structs.replace(report.resolved_spec, site=site)
    falling = msgspec.structs.replace(report, resolved_spec=spec)
    sheet = drawn(falling)
    (line,) = (corners_pt(one) for one in sheet.group("grade").iter(f"{SVG}polyline"))
    for y, height in (sheet.feet(one, "section") for one in line):
        told = -0.5 * plane_ft(sheet) - 2.0 * y
        assert 12 * height == pytest.approx(told, abs=24 * near_ft(sheet))


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_hole_beside_the_house_is_hatched_only_where_it_is_known(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    known = report.ground.backfill_top_width_in is not None
    assert ("backfill-1" in sheet.ids()) == (known and "house-1" in sheet.ids())


def test_the_hole_has_the_widths_of_the_report() -> None:
    report = report_of("freestanding-veneer")
    sheet = drawn(report)
    (hole,) = outlines(sheet, sheet.group("backfill-1"))
    at_grade = max(y for y, height in hole if abs(height) < 0.1)
    on_floor = max(y for y, height in hole if abs(height + 96.0) < 0.1)
    told = (report.ground.backfill_top_width_in or 0.0, report.ground.backfill_floor_width_in or 0.0)
    assert (12 * at_grade, 12 * on_floor) == pytest.approx(told, abs=0.1)


def with_brace(**given: Any) -> tuple[DesignReport, Brace]:
    report = report_of("footings-small-attached")
    sheet = drawn(report)
    (post,) = (one for one in report.posts if one.id in members(sheet))
    nothing: dict[str, Any] = {"size": "2x4", "species": "southern_pine", "grade": "no_2", "length_in": 34.0}
    brace = Brace(
        id="main.brace-9", post=post.id, beam=post.beam, direction="across_beam",
        hardware=("bolt.1-2in.6in.hot_dip_galvanized",) * 2, start_ft=(post.x_ft, post.y_ft),
        end_ft=(post.x_ft, post.y_ft - 2.0), low_height_in=4.0, high_height_in=28.0, **(nothing | given),
    )  # fmt: skip
    level = msgspec.structs.replace(report.levels[0], braces=(brace,))
    return msgspec.structs.replace(report, levels=(level,)), brace


def test_a_brace_in_the_plane_runs_from_post_to_joists() -> None:
    report, brace = with_brace()
    sheet = drawn(report)
    (shape,) = outlines(sheet, members(sheet)[brace.id])
    low, high = shape[0], shape[1]
    across = shape[3], shape[2]
    start = ((low[0] + across[0][0]) / 2, (low[1] + across[0][1]) / 2)
    end = ((high[0] + across[1][0]) / 2, (high[1] + across[1][1]) / 2)
    near = near_ft(sheet)
    assert start == pytest.approx((brace.start_ft[1], 4.0), abs=12 * near)
    assert end == pytest.approx((brace.end_ft[1], 28.0), abs=12 * near)
    assert "2 bolt, 1/2 in" in told_beside(sheet)


def test_joists_along_the_house_are_cut_and_it_is_said() -> None:
    """The example's frame with its joists turned: each one is a piece that is cut."""
    report = report_of("low-ground")
    level = report.levels[0]
    (group,) = level.joists
    lines = tuple(
        msgspec.structs.replace(
            group.lines[0], x_ft=None, y_start_ft=None, y_end_ft=None, y_ft=y, x_start_ft=0.2, x_end_ft=11.8
        )
        for y in (1.0, 2.0, 3.0)
    )
    turned = msgspec.structs.replace(group, direction="along_house", lines=lines, count=3)
    changed = msgspec.structs.replace(level, joists=(turned,))
    sheet = drawn(msgspec.structs.replace(report, levels=(changed,)))
    pieces = [reach(one) for one in outlines(sheet, members(sheet)[group.id])]
    middles = [(one[0] + one[1]) / 2 for one in pieces]
    assert middles == pytest.approx([1.0, 2.0, 3.0], abs=near_ft(sheet))
    assert "joists that run along the house, which are cut" in " ".join(told_beside(sheet).split())


def test_a_stair_beyond_goes_down_step_by_step_to_its_foot() -> None:
    report = report_of("ledger-composite")
    sheet = drawn(report)
    (stair,) = report.stairs
    (flight,) = stair.flights
    steps, *_ = members(sheet)[stair.id].iter(f"{SVG}polyline")
    places = [sheet.feet(one, "section") for one in corners_pt(steps)]
    near = near_ft(sheet)
    assert places[0] == pytest.approx((flight.corners_ft[0][1], flight.head_height_in / 12), abs=near)
    assert places[-1] == pytest.approx((flight.corners_ft[3][1], flight.foot_height_in / 12), abs=2 * near)
    falls = [a[1] - b[1] for a, b in pairwise(places) if a[1] - b[1] > near * 3]
    assert falls == pytest.approx([flight.riser_in / 12] * flight.risers, abs=2 * near)

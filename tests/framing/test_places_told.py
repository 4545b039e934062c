"""What a report tells of heights and places, against little calculations of its own."""

from __future__ import annotations

from functools import cache
from math import cos, dist, radians, sin
from typing import Any

import pytest
from context import context, designed, spec_of

from service.connections.ledger import LedgerAsk, judge_ledger
from service.connections.wall import WallBehind
from service.contract.report import DesignReport
from service.contract.report_frame import Flight, Point, Stair
from service.sizing.criteria import Criteria
from service.sizing.resolve import criteria_of, resolve_spec

HOUSE = {"wall": "wood_band", "door_sill_height_in": 37.5, "floor_build_up_in": 1.5, "rim_depth_in": 11.25}
STAND_OFF_IN = 1.0  # a post base holds the wood 1 in off the concrete (IRC R507.4, from memory)


@cache
def deck(method: str = "auto", fall: float = 0.0) -> DesignReport:
    spec = spec_of(
        house=HOUSE,
        site={"frost_depth_in": 32, "grade_fall_y_in_per_ft": fall},
        levels=[{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}],
        foundation={"method": method},
    )
    return designed(spec, context("alder-county"))


@pytest.mark.parametrize("fall", [0.0, 1.5])
def test_posts_reach_from_their_base_to_their_beam(fall: float) -> None:
    report = deck("tube_form_pier", fall)
    beams = {one.id: one for one in report.levels[0].beams}
    footings = {one.post: one for one in report.footings}
    assert report.posts
    for post in report.posts:
        assert post.top_height_in == beams[post.beam].bottom_height_in
        assert post.bottom_height_in == pytest.approx(footings[post.id].top_height_in + STAND_OFF_IN)
        assert post.top_height_in - post.bottom_height_in == pytest.approx(post.cut_length_in)


def test_posts_on_buried_pads_stand_on_them() -> None:
    report = deck("post_on_buried_pad")
    footings = {one.post: one for one in report.footings}
    assert report.posts
    for post in report.posts:
        assert post.bottom_height_in == pytest.approx(footings[post.id].top_height_in)
        assert post.bottom_height_in < 0


def criteria() -> Criteria:
    where = context()
    spec = spec_of(levels=[{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}])
    resolved = resolve_spec(spec, where.rulebook, None, None, where.as_of)
    return criteria_of(resolved, where.rulebook, where.guide, None, where.timber)


def ledger(wall: WallBehind) -> Any:
    ask = LedgerAsk("main.ledger-1", "L1", 0, (0.0, 0.0), (16.0, 0.0), "2x10", "2x10", 36.0, 1.0, 120.0, 12.0)
    return judge_ledger(wall, criteria(), ask).ledger


def test_a_ledger_and_the_band_behind_it() -> None:
    # sill 37.5, build-up 1.5, rim 11.25; surface 36 less 1 in decking, a 2x10 is 9.25 in deep
    found = ledger(WallBehind("wood_band", door_sill_height_in=37.5, rim_depth_in=11.25))
    assert (found.top_height_in, found.bottom_height_in) == (35.0, 25.75)
    assert (found.band_top_height_in, found.band_bottom_height_in) == (36.0, 24.75)
    assert found.bottom_height_in < found.row_heights_in[0] < found.row_heights_in[1] < found.top_height_in


@pytest.mark.parametrize(
    "wall",
    [WallBehind("wood_band"), WallBehind("poured_concrete", door_sill_height_in=37.5, rim_depth_in=11.25)],
    ids=["not measured", "no band"],
)
def test_no_band_where_none_is_known(wall: WallBehind) -> None:
    found = ledger(wall)
    assert (found.top_height_in, found.band_top_height_in, found.band_bottom_height_in) == (35.0, None, None)


def stair_of(surface_in: float, outline: list[list[float]], edge: int, offset_ft: float = 1.0) -> Stair:
    spec = spec_of(
        house={"wall": "none"},
        levels=[{"outline_ft": outline, "surface_height_in": surface_in}],
        stairs=[{"edge": edge, "offset_ft": offset_ft, "width_in": 48}],
    )
    (found,) = designed(spec, context("alder-county")).stairs
    return found


PLAIN = [[0.0, 0.0], [16.0, 0.0], [16.0, 12.0], [0.0, 12.0]]
CUT = [[0.0, 0.0], [16.0, 0.0], [16.0, 8.0], [10.0, 14.0], [0.0, 14.0]]  # edge 2 runs at 45 degrees


def lefthand(way: Point) -> Point:
    """Left of someone walking this way: x to the right seen from the yard, facing the house, y towards him."""
    return way[1], -way[0]


def check_flight(flight: Flight, width_ft: float) -> Point:
    """The way down, where a flight has treads; its corners are a rectangle, its left at its left."""
    left, right, foot_right, foot_left = flight.corners_ft
    assert dist(left, right) == pytest.approx(width_ft, abs=1e-3)
    down = foot_left[0] - left[0], foot_left[1] - left[1]
    assert dist((0, 0), down) * 12 == pytest.approx(flight.run_in, abs=1e-2)
    assert (foot_right[0] - right[0], foot_right[1] - right[1]) == pytest.approx(down, abs=1e-3)
    to_left = left[0] - right[0], left[1] - right[1]
    turn = lefthand(down)
    assert to_left[0] * turn[0] + to_left[1] * turn[1] == pytest.approx(
        width_ft * flight.run_in / 12, rel=1e-3
    )
    fall = flight.head_height_in - flight.foot_height_in
    assert fall == pytest.approx(flight.risers * flight.riser_in, abs=1e-2)
    return down


@pytest.mark.parametrize(("outline", "edge"), [(PLAIN, 1), (PLAIN, 2), (PLAIN, 3), (CUT, 2), (CUT[::-1], 1)])
def test_a_flight_by_its_corners_and_heights(outline: list[list[float]], edge: int) -> None:
    found = stair_of(36, outline, edge)
    (flight,) = found.flights
    check_flight(flight, 4.0)
    assert (flight.head_height_in, flight.foot_height_in) == (36, pytest.approx(found.foot_height_in))
    (landing,) = found.landings
    # the landing begins where the flight ends, and is as deep as it says the same way
    assert [*landing.corners_ft[:2]] == [
        pytest.approx(flight.corners_ft[3], abs=1e-3), pytest.approx(flight.corners_ft[2], abs=1e-3),
    ]  # fmt: skip
    assert dist(landing.corners_ft[0], landing.corners_ft[3]) * 12 == pytest.approx(
        landing.depth_in, abs=1e-2
    )
    assert dist(*landing.corners_ft[:2]) * 12 == pytest.approx(landing.width_in, abs=1e-2)
    assert (landing.x_ft, landing.y_ft) in landing.corners_ft


def test_the_head_lies_on_the_edge_it_leaves() -> None:
    found = stair_of(36, CUT, 2)
    left, right = found.flights[0].corners_ft[:2]
    # edge 2 begins at (16, 8); 1 ft along it begins the stair, on the left of someone going down
    at = [(16 - along * sin(radians(45)), 8 + along * cos(radians(45))) for along in (1.0, 5.0)]
    assert [left, right] == [pytest.approx(one, abs=1e-3) for one in at]


def test_flights_with_a_landing_between_follow_each_other_down() -> None:
    found = stair_of(168, PLAIN, 2)
    assert len(found.flights) > 1
    height = 168.0
    for flight, landing in zip(found.flights, found.landings, strict=True):
        down = check_flight(flight, 4.0)
        assert down == pytest.approx((0, flight.run_in / 12), abs=1e-3)
        assert flight.head_height_in == pytest.approx(height, abs=1e-3)
        height = flight.foot_height_in
        assert landing.height_in == pytest.approx(height, abs=1e-3)
    ends = [flight.corners_ft[2][1] for flight in found.flights]
    starts = [flight.corners_ft[0][1] for flight in found.flights]
    assert starts[0] == 12
    assert starts[1] == pytest.approx(ends[0] + found.landings[0].depth_in / 12, abs=1e-3)


@pytest.mark.parametrize("turned", [False, True], ids=["counter-clockwise", "clockwise"])
def test_a_level_by_its_corners_and_its_sides_at_the_house(turned: bool) -> None:
    corners = [[0.0, 0.0], [7.0, 0.0], [16.0, 0.0], [16.0, 12.0], [0.0, 12.0]]
    given = corners[::-1] if turned else corners
    spec = spec_of(
        house=HOUSE, levels=[{"outline_ft": given, "origin_ft": [2, 0], "surface_height_in": 36}],
    )  # fmt: skip
    (level,) = designed(spec, context("alder-county")).levels
    assert level.outline_ft == tuple((x + 2, y) for x, y in given)
    # two edges on one straight line are one side
    assert level.house_lines_ft == (((2.0, 0.0), (18.0, 0.0)),)


def test_a_level_without_a_frame_still_tells_its_outline() -> None:
    spec = spec_of(levels=[{"width_ft": 16, "projection_ft": 12, "surface_height_in": 4}], house=HOUSE)
    report = designed(spec, context("alder-county"))
    (level,) = report.levels
    assert not level.joists
    assert level.outline_ft == ((0, 0), (16, 0), (16, 12), (0, 12))
    assert level.house_lines_ft == (((0, 0), (16, 0)),)
    assert report.ground.frost_depth_in == 32

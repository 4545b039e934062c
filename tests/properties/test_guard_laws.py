"""Laws of guards over many outlines: nobody falls off, posts stand apart and are held, and a mirror changes nothing."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations, pairwise
from math import acos, cos, degrees, dist, hypot, radians, sin

import pytest
from guard_decks import (
    Points,
    a_stair,
    ball_gets_out,
    barrier,
    guarded,
    house_of,
    outline_of,
    squares,
    squares_of,
)
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon

from service.connections.guards import GuardResult
from service.framing.ground import Grade

# With those below, some 1,700 outlines, each with posts of both mounts.
MANY = 100
MOUNTS = ("side", "surface")
# Two posts stand 3.998 in apart, corner to corner.
NEARLY_OPEN = ((0.0, 0.0), (8.0, 0.0), (8.0, 5.033745377612818), (7.95, 6.0), (1.0, 6.0), (0.0, 5.0))
# The third corner is 0.0013 ft from the line between its neighbours, 0.0006 from that between the middles beside it.
NEARLY_STRAIGHT = tuple(
    (20 + r * cos(radians(t)), 20 + r * sin(radians(t)))
    for t, r in ((0, 2.5), (1, 3.0), (2, 5.0), (3, 16.0), (17, 9.2), (25, 5.0))
)
AREA = 1e-5  # sq ft


@st.composite
def notched(draw: st.DrawFn) -> Points:
    """A rectangle with a piece cut out of its yard side, or out of one yard corner."""
    w, d = draw(st.floats(6, 40)), draw(st.floats(6, 24))
    a = draw(st.one_of(st.just(0.0), st.floats(2, w - 4)))
    b = draw(st.floats(a + 2, w - 2))
    h = draw(st.floats(2, d - 2))
    left = ((0.0, d),) if a == 0 else ((a, h), (a, d), (0.0, d))
    return ((0.0, 0.0), (w, 0.0), (w, d), (b, d), (b, h), *(((0.0, h),) if a == 0 else left))


@st.composite
def clipped(draw: st.DrawFn) -> Points:
    """A rectangle whose yard corners are cut off, each at its own angle."""
    w, d = draw(st.floats(8, 40)), draw(st.floats(6, 24))
    cuts = [draw(st.floats(0.05, 3.5)) for _ in range(4)]
    return ((0.0, 0.0), (w, 0.0), (w, d - cuts[0]), (w - cuts[1], d), (cuts[2], d), (0.0, d - cuts[3]))


@st.composite
def stars(draw: st.DrawFn) -> Points:
    """Corners at rising angles round a middle, near it and far."""
    count = draw(st.integers(3, 12))
    turns = sorted(draw(st.lists(st.integers(0, 359), min_size=count, max_size=count, unique=True)))
    radii = [draw(st.floats(2.5, 16)) for _ in turns]
    points = tuple(
        (20 + r * cos(radians(t)), 20 + r * sin(radians(t))) for r, t in zip(radii, turns, strict=True)
    )
    assume(Polygon(points).is_valid and Polygon(points).area > 4 and sharpest_deg(points) >= 5)
    return points


def sharpest_deg(points: Points) -> float:
    corners = [(points[i - 1], points[i], points[(i + 1) % len(points)]) for i in range(len(points))]
    return min(_corner_deg(*corner) for corner in corners)


def _corner_deg(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    u, v = (a[0] - b[0], a[1] - b[1]), (c[0] - b[0], c[1] - b[1])
    cosine = (u[0] * v[0] + u[1] * v[1]) / (hypot(*u) * hypot(*v))
    return degrees(acos(max(-1.0, min(1.0, cosine))))


outlines = st.one_of(notched(), clipped(), stars())
tidy = st.one_of(notched(), clipped())


def apart(found: GuardResult) -> bool:
    return all(a.intersection(b).area < AREA for a, b in combinations(squares(found), 2))


def told(found: GuardResult) -> bool:
    """Whether the answer says that posts leave something open."""
    return any(reason.code == "guard_corner_open" for reason in found.reasons)


@pytest.mark.parametrize("mount", MOUNTS)
@settings(max_examples=MANY)
@given(points=outlines)
def test_a_ball_gets_out_nowhere_or_the_answer_says_where(points: Points, mount: str) -> None:
    found, outline = guarded(points, 60, post_mount=mount), outline_of(points)
    if ball_gets_out(outline, barrier(found, list(house_of(outline)))):
        assert told(found)


@pytest.mark.parametrize("mount", MOUNTS)
@settings(max_examples=MANY)
@given(points=tidy)
@example(points=NEARLY_OPEN)
def test_on_a_deck_without_sharp_corners_nothing_is_left_open(points: Points, mount: str) -> None:
    found, outline = guarded(points, 60, post_mount=mount), outline_of(points)
    assert not told(found)
    assert not ball_gets_out(outline, barrier(found, list(house_of(outline))))
    assert {f.check for f in found.findings if not f.passes} == set()


@pytest.mark.parametrize("mount", MOUNTS)
@settings(max_examples=MANY)
@given(points=outlines, most=st.floats(2, 8))
def test_posts_stand_apart_on_their_side_of_the_edge_and_no_farther_than_asked(
    points: Points, mount: str, most: float
) -> None:
    found, floor = guarded(points, 60, post_mount=mount, post_spacing_ft=most), Polygon(points)
    assert apart(found)
    for guard in found.guards:
        for square in squares_of(guard):
            off = square.intersection(floor) if mount == "side" else square.difference(floor)
            assert off.area < AREA
        ats = [(post.x_ft, post.y_ft) for post in guard.posts]
        assert all(dist(a, b) <= most + 1e-6 for a, b in pairwise(ats)) or told(found)


def _slope(fall_x: float, fall_y: float) -> Grade:
    return lambda x, y: -fall_x * x - fall_y * y


@settings(max_examples=MANY)
@given(points=outlines, surface=st.floats(10, 60), fall_x=st.floats(-1, 1), fall_y=st.floats(-1, 1))
def test_every_open_edge_over_30_in_anywhere_is_guarded_whole_and_no_other(
    points: Points, surface: float, fall_x: float, fall_y: float
) -> None:
    """On a plane the fall is worst at a corner of what lies within 36 in, or on the arc round an end of the edge."""
    grade = _slope(fall_x, fall_y)
    found = guarded(points, surface, grade=grade)
    ends = {g.edge: (g.start_ft, g.end_ft) for g in found.guards}
    for side in outline_of(points).sides:
        edge = side.edge
        round_ends = [(3 * sin(radians(turn)), 3 * cos(radians(turn))) for turn in range(46)]
        near = [edge.point(-along, out) for along, out in [(0, 0), *round_ends]]
        far = [edge.point(edge.length_ft + along, out) for along, out in [(0, 0), *round_ends]]
        drop = surface - min(grade(*at) for at in (*near, *far))
        # An arc is drawn about its circle, up to 1 % of its radius outside it.
        assume(not -0.1 < drop - 30 < 0.001)
        if drop > 30 and not side.on_house:
            start, end = ends[edge.number]
            assert dist(start, edge.start_ft) + dist(end, edge.end_ft) < 1e-6
        else:
            assert edge.number not in ends


@settings(max_examples=MANY)
@given(points=tidy, share=st.floats(0, 1), width=st.floats(24, 72))
def test_a_stair_opens_the_guard_by_its_own_width_alone(points: Points, share: float, width: float) -> None:
    outline = outline_of(points)
    edge = max((s.edge for s in outline.sides if not s.on_house), key=lambda one: one.length_ft)
    assume(edge.length_ft * 12 > width)
    offset = share * (edge.length_ft - width / 12)
    found = guarded(points, 60, stairs=[a_stair(edge.number, offset, width)])
    door = LineString([edge.point(offset), edge.point(offset + width / 12)])
    fence, walls = barrier(found), list(house_of(outline))
    assert not ball_gets_out(outline, barrier(found, [door, *walls]))
    assert ball_gets_out(outline, barrier(found, walls))
    assert fence.intersection(door).length * 12 < 0.01
    assert apart(found)


@pytest.mark.parametrize("mount", MOUNTS)
@settings(max_examples=MANY)
@given(points=outlines, direction=st.sampled_from(["away_from_house", "along_house"]))
def test_every_post_is_carried_by_members_that_exist_or_the_answer_asks_for_an_engineer(
    points: Points, mount: str, direction: str
) -> None:
    found = guarded(points, 60, post_mount=mount, direction=direction)
    blocks = {blocking.id: 0 for blocking in found.blocking}
    asked = {r.member for r in found.reasons if r.code == "guard_connector_unproven"}
    for guard in found.guards:
        for post in guard.posts:
            assert post.carried_by
            for held in post.carried_by:
                assert held.startswith(("main.joists-1", "main.rim-")) or held in blocks
                blocks[held] = blocks.get(held, 0) + 1
            into = [held for held in post.carried_by if "joists" in held or "blocking" in held]
            assert (len(post.carried_by) >= 2 and into) or guard.id in asked
    assert {held: count for held, count in blocks.items() if "blocking" in held} == {
        blocking.id: blocking.count for blocking in found.blocking
    }


def _mirrored(points: Points) -> Points:
    return tuple((40.0 - x, y) for x, y in points)


def _moved(points: Points) -> Points:
    return tuple((x + 7.3, y) for x, y in points)


def _turned_round(points: Points) -> Points:
    return tuple(reversed(points))


def _started_elsewhere(points: Points) -> Points:
    return points[2:] + points[:2]


def _with_more_corners(points: Points) -> Points:
    middles = [
        ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in zip(points, points[1:] + points[:1], strict=True)
    ]
    return tuple(corner for pair in zip(points, middles, strict=True) for corner in pair)


def _sums(found: GuardResult) -> object:
    return (
        sorted(len(guard.posts) for guard in found.guards),
        sorted(finding.check for finding in found.findings if not finding.passes),
    )


@pytest.mark.parametrize("change", [_mirrored, _moved])
@pytest.mark.parametrize("mount", MOUNTS)
@settings(max_examples=MANY)
@given(points=outlines)
def test_a_mirrored_or_moved_deck_has_as_many_posts(
    points: Points, mount: str, change: Callable[[Points], Points]
) -> None:
    assert _sums(guarded(points, 60, post_mount=mount)) == _sums(
        guarded(change(points), 60, post_mount=mount)
    )


@pytest.mark.parametrize("change", [_turned_round, _started_elsewhere, _with_more_corners])
@settings(max_examples=MANY)
@given(points=outlines)
@example(points=NEARLY_STRAIGHT)
def test_however_an_outline_is_written_the_guards_are_the_same(
    points: Points, change: Callable[[Points], Points]
) -> None:
    one, other = guarded(points, 60), guarded(change(points), 60)
    assert [(g.id, g.start_ft, g.end_ft, g.posts) for g in one.guards] == [
        (g.id, g.start_ft, g.end_ft, g.posts) for g in other.guards
    ]
    assert one.blocking == other.blocking

"""Guards round reflex, clipped and short corners, on slopes, and held by frames of any direction."""

from __future__ import annotations

from itertools import combinations
from math import cos, hypot, pi, radians, sin, sqrt, tan
from typing import Any

import msgspec
import pytest
from guard_decks import (
    CLIPPED,
    L_SHAPE,
    RECTANGLE,
    Points,
    a_stair,
    ball_gets_out,
    barrier,
    carriers_of,
    criteria,
    guarded,
    house_of,
    joists_of,
    outline_of,
    rims_of,
    squares,
)
from shapely import LineString

from service.checks.judged import Judged
from service.checks.verdict import verdict
from service.connections.guard_carriers import Carriers
from service.connections.guards import GuardResult, guard_wanted, lay_out_guards
from service.contract.report_frame import Beam, Guard
from service.contract.spec import GuardSpec
from service.framing.guard_falls import GuardedLevel


def by_edge(found: GuardResult) -> dict[int, list[Guard]]:
    runs: dict[int, list[Guard]] = {}
    for guard in found.guards:
        runs.setdefault(guard.edge, []).append(guard)
    return runs


def inches(guard: Guard) -> list[tuple[float, float]]:
    return [(round(post.x_ft * 12, 3), round(post.y_ft * 12, 3)) for post in guard.posts]


def opening_in(found: GuardResult, guard: Guard) -> float:
    (check,) = (f for f in found.findings if f.check == "guard_opening" and f.member == guard.id)
    (value,) = (step.value for step in check.working if step.symbol == "g")
    assert value is not None
    return value


def apart(found: GuardResult) -> bool:
    return all(a.intersection(b).area * 144 < 1e-3 for a, b in combinations(squares(found), 2))


def shape(found: GuardResult) -> list[Any]:
    posts = [(g.id, g.start_ft, g.end_ft, g.posts) for g in found.guards]
    return [posts, found.blocking]


def test_at_a_reflex_corner_one_post_stands_in_the_corner_and_the_other_beside_it() -> None:
    """Corner at (144, 144) in. The run along the house ends 1-1/4 in off it; the other begins past that post."""
    runs = by_edge(guarded(L_SHAPE))
    assert sorted(runs) == [1, 2, 3, 4, 5]
    assert inches(runs[2][0])[-1] == (144 + 3, 144 + 1.75)
    assert inches(runs[3][0])[0] == (144 + 1.75, 144 + 3.5 + 1.75)


@pytest.mark.parametrize("mount", ["side", "surface"])
@pytest.mark.parametrize("points", [RECTANGLE, L_SHAPE, CLIPPED], ids=["rectangle", "L", "clipped"])
def test_no_posts_clash_and_no_ball_gets_out(points: Points, mount: str) -> None:
    found, outline = guarded(points, post_mount=mount), outline_of(points)
    assert apart(found)
    fence = barrier(found, list(house_of(outline)))
    assert not ball_gets_out(outline, fence)
    assert all(finding.passes for finding in found.findings)


def test_the_ball_gets_out_where_a_post_is_missing() -> None:
    found, outline = guarded(L_SHAPE), outline_of(L_SHAPE)
    fence = barrier(GuardResult(found.guards[1:], (), (), (), ()), list(house_of(outline)))
    assert ball_gets_out(outline, fence)


def test_posts_at_a_clipped_corner_stand_nearer_each_other_than_the_ball() -> None:
    """Near faces 1-1/4 in from a corner of 135 degrees, by the law of cosines."""
    found = guarded(CLIPPED)
    clip = by_edge(found)[2][0]
    across = 1.25 * sqrt(2 - 2 * cos(radians(135)))
    assert opening_in(found, clip) == pytest.approx(across)
    assert across < 4


def test_posts_on_an_edge_askew_to_the_joists_are_for_an_engineer() -> None:
    found = guarded(CLIPPED)
    clip = by_edge(found)[2][0]
    (reason,) = found.reasons
    assert (reason.code, reason.member) == ("guard_connector_unproven", clip.id)
    assert "edge 2 meets the joists at 45 degrees" in reason.text
    for post in clip.posts:
        assert post.carried_by[0] == "main.rim-2"
        assert "main.joists-1" in post.carried_by
    assert guarded(CLIPPED, post_mount="surface").reasons[0].code == "guard_connector_unproven"
    assert guarded(CLIPPED, 29).reasons == ()


def test_a_corner_that_is_nearly_square_needs_none() -> None:
    """2 degrees out of square, 5 in in 12 ft: inside what is still called square; 4 degrees is not."""
    for turned, proven in ((2, True), (4, False)):
        fall = 16 * tan(radians(turned))
        found = guarded(((0.0, 0.0), (16.0, 0.0), (16.0, 12.0 + fall), (0.0, 12.0)))
        assert (found.reasons == ()) is proven


def test_the_other_sense_gives_the_same_guards() -> None:
    for points in (L_SHAPE, CLIPPED):
        assert shape(guarded(points)) == shape(guarded(tuple(reversed(points))))


def test_a_corner_on_a_straight_edge_gives_the_same_guards() -> None:
    more = (*L_SHAPE[:3], (18.0, 12.0), *L_SHAPE[3:])
    assert shape(guarded(more)) == shape(guarded(L_SHAPE))


def test_a_stair_is_found_whichever_way_its_edge_was_written() -> None:
    """Edge 4 runs from (12, 20) to (0, 20); backward it is edge 0, from (0, 20) to (12, 20)."""
    forward = guarded(L_SHAPE, stairs=[a_stair(4, 2.0)])
    backward = guarded(tuple(reversed(L_SHAPE)), stairs=[a_stair(0, 12 - 2 - 4.0)])
    assert shape(forward) == shape(backward)
    ends = [(guard.start_ft, guard.end_ft) for guard in by_edge(forward)[4]]
    assert ends == [((12.0, 20.0), (10.0, 20.0)), ((6.0, 20.0), (0.0, 20.0))]
    assert guarded(L_SHAPE, stairs=[a_stair(4, 2.0, level="upper")]).guards == guarded(L_SHAPE).guards


def test_an_edge_high_at_one_end_only_is_guarded_whole_and_the_answer_says_so() -> None:
    """Ground falls 1 in a ft along x: 36 in under the yard edge at x = 16, 20 in at x = 0."""
    found = guarded(RECTANGLE, 20, grade=lambda x, _y: -x)
    runs = by_edge(found)
    assert sorted(runs) == [1, 2]
    assert (runs[2][0].start_ft, runs[2][0].end_ft) == ((16.0, 12.0), (0.0, 12.0))
    checks = {f.member: f for f in found.findings if f.check == "guard_required"}
    words = [step.source for step in checks[runs[2][0].id].working if step.symbol == "guard"]
    assert len(words) == 1
    assert "the whole edge" in words[0]
    assert checks["main.joists-1"].passes


def test_only_the_edges_above_a_hole_are_guarded() -> None:
    """A pit 20 in deep lies off the corner (16, 12) alone, within 36 in of both its edges."""

    def pit(x: float, y: float) -> float:
        return -20.0 if x > 15 and y > 11 and hypot(x - 16, y - 12) > 0.5 else 0.0

    assert sorted(by_edge(guarded(RECTANGLE, 24, grade=pit))) == [1, 2]


@pytest.mark.parametrize("clip_in", [0.5, 1, 2, 3, 3.5, 4, 6, 7, 8, 9, 12])
@pytest.mark.parametrize("mount", ["side", "surface"])
def test_short_edges_are_closed(clip_in: float, mount: str) -> None:
    """A corner cut off at 45 degrees by a short edge."""
    leg = clip_in / 12 / sqrt(2)
    points = ((0.0, 0.0), (16.0, 0.0), (16.0, 12.0 - leg), (16.0 - leg, 12.0), (0.0, 12.0))
    found, outline = guarded(points, post_mount=mount), outline_of(points)
    assert apart(found)
    assert not ball_gets_out(outline, barrier(found, list(house_of(outline))))
    assert all(finding.passes for finding in found.findings)


@pytest.mark.parametrize("left_in", [0.25, 1, 2, 3, 3.4, 3.5, 5, 6.9, 7.1, 12])
def test_what_a_stair_leaves_beside_a_corner_is_closed(left_in: float) -> None:
    stair = a_stair(2, left_in / 12, 48)
    found, outline = guarded(RECTANGLE, stairs=[stair]), outline_of(RECTANGLE)
    start = 16 - left_in / 12
    door = LineString([(start, 12.0), (start - 4, 12.0)])
    assert not ball_gets_out(outline, barrier(found, [door, *house_of(outline)]))
    assert apart(found)
    assert not any(door.crosses(post) or post.contains(door.centroid) for post in squares(found))
    assert all(finding.passes for finding in found.findings)


def test_a_curve_of_many_short_edges_is_closed() -> None:
    """A quarter circle of 5 ft in 40 edges of 2.4 in each."""
    arc = [(11 + 5 * cos(i * pi / 80), 7 + 5 * sin(i * pi / 80)) for i in range(41)]
    points = ((0.0, 0.0), (16.0, 0.0), *arc, (0.0, 12.0))
    found, outline = guarded(points), outline_of(points)
    assert apart(found)
    assert not ball_gets_out(outline, barrier(found, list(house_of(outline))))
    assert {reason.code for reason in found.reasons} == {"guard_connector_unproven"}


@pytest.mark.parametrize(
    ("mount", "tip"),
    [
        ("side", ((11.4, 12.0), (10.9, 11.7), (10.5, 12.0))),
        ("surface", ((8.3, 12.0), (8.1, 12.8), (7.4, 12.0))),
    ],
    ids=["a dent 3-1/2 in deep", "a nib 10 in long"],
)
def test_where_posts_find_no_room_the_answer_says_so(mount: str, tip: Points) -> None:
    points = ((0.0, 0.0), (16.0, 0.0), (16.0, 12.0), *tip, (0.0, 12.0))
    found, outline = guarded(points, post_mount=mount), outline_of(points)
    failing = {f.member for f in found.findings if f.check == "guard_opening" and not f.passes}
    assert ball_gets_out(outline, barrier(found, list(house_of(outline))))
    assert failing
    assert failing == {reason.member for reason in found.reasons if reason.code == "guard_corner_open"}
    said = verdict(Judged(found.findings, found.reasons, found.cautions), 1.15)
    assert said.status == "engineer_required"


def test_posts_beside_a_wall_that_splays_keep_clear_of_it() -> None:
    """The side leaves the wall at 120 degrees: 60 are left outside, and 3-1/2 / tan 60 is 2.02 in."""
    out = 12 * tan(radians(30))
    points = ((0.0, 0.0), (16.0, 0.0), (16.0 + out, 12.0), (0.0, 12.0))
    first = guarded(points).guards[0].posts[0]
    along = hypot(first.x_ft - 16, first.y_ft) * 12
    assert along == pytest.approx(hypot(3.5 / tan(radians(60)) + 1.75, 1.75))


def test_joists_along_the_house_are_held_the_other_way_round() -> None:
    found = guarded(RECTANGLE, direction="along_house")
    runs = by_edge(found)
    assert all(post.carried_by[0] == "main.joists-1" for post in runs[2][0].posts)
    assert all(post.carried_by[0] == "main.rim-1" for post in runs[1][0].posts)
    assert found.reasons == ()


def two_way() -> Carriers:
    """An L: joists of the wide part run away from the house, those of the wing along it."""
    part, wing = (*L_SHAPE[:3], (0.0, 12.0)), ((0.0, 12.0), (12.0, 12.0), (12.0, 20.0), (0.0, 20.0))
    there = outline_of(wing, at_house=False)
    groups = joists_of(outline_of(part)), joists_of(there, "along_house", "2x8", 2)
    rims = (*rims_of(outline_of(part)), *rims_of(there, "along_house", "2x8"))
    return Carriers(groups, rims)


def test_two_directions_in_one_level_each_hold_their_own_posts() -> None:
    """Left of the wing the joists run into the edge at x = 0; below y = 12 they lie along it."""
    level = GuardedLevel("main", outline_of(L_SHAPE), 36, 1.0, lambda _x, _y: 0.0)
    found = lay_out_guards(level, [], GuardSpec(), two_way(), criteria(), None)
    left = by_edge(found)[5][0]
    sizes = {blocking.id: blocking.size for blocking in found.blocking}
    for post in left.posts:
        first = post.carried_by[0]
        if post.y_ft < 11.7:
            assert first == "main.joists-1"
            assert sizes[post.carried_by[1]] == "2x10"
        elif post.y_ft > 12.3:
            assert first.startswith("main.rim")
            assert all(sizes.get(held, "2x8") == "2x8" for held in post.carried_by)
    carriers = {f.member: f.demand for f in found.findings if f.check == "guard_rim_size"}
    assert (carriers[left.id], carriers[by_edge(found)[1][0].id]) == (8, 10)


def test_bolts_past_a_flush_beam_find_the_end_joist() -> None:
    """Three plies end at 4-1/2 in: the joist begins there, and a post as near the corner as the ball allows."""
    outline = outline_of(RECTANGLE)
    plain = carriers_of(outline)
    (group,) = plain.groups
    lines = tuple(msgspec.structs.replace(line, y_end_ft=12 - 4.5 / 12) for line in group.lines)
    beam = Beam(
        id="main.beam-1", mark="B1", size="2x10", plies=3, placement="flush", species="southern_pine", grade="no_2",
        start_ft=(0.0, 12 - 2.25 / 12), end_ft=(16.0, 12 - 2.25 / 12), bottom_height_in=20.0, supports_ft=(),
        spans_in=(), overhang_start_in=0.0, overhang_end_in=0.0, splices=(), line_load_plf=0.0,
    )  # fmt: skip
    carriers = Carriers((msgspec.structs.replace(group, lines=lines),), (beam,))
    level = GuardedLevel("main", outline, 36, 1.0, lambda _x, _y: 0.0)
    found = lay_out_guards(level, [], GuardSpec(), carriers, criteria(), None)
    right, yard = found.guards[:2]
    assert (144 - inches(right)[-1][1]) == pytest.approx(3.9 + 1.75)
    assert right.posts[-1].carried_by[0] == "main.joists-1"
    assert yard.posts[0].carried_by[0] == "main.beam-1"
    assert found.reasons == ()
    assert all(finding.passes for finding in found.findings)


@pytest.mark.parametrize("cut", [-1, -2], ids=["the end joist", "the joist next to it"])
def test_a_post_where_a_joist_is_cut_short_is_for_an_engineer(cut: int) -> None:
    """The joist at, or next to, x = 16 stops at 5 ft: the post at 6 ft does not reach it."""
    outline = outline_of(RECTANGLE)
    (group,) = carriers_of(outline).groups
    lines = list(group.lines)
    lines[cut] = msgspec.structs.replace(lines[cut], y_end_ft=5.0)
    level = GuardedLevel("main", outline, 36, 1.0, lambda _x, _y: 0.0)
    carriers = Carriers((msgspec.structs.replace(group, lines=tuple(lines)),), rims_of(outline))
    found = lay_out_guards(level, [], GuardSpec(), carriers, criteria(), None)
    right = found.guards[0]
    held = [len(post.carried_by) for post in right.posts]
    assert held[:2] == [2, 1]
    assert next(reason.member for reason in found.reasons if "no two joists" in reason.text) == right.id


def test_a_block_needs_two_joists_that_reach_it() -> None:
    """Beside the stair the post stands at 121-3/4 in, between joists at 112 and 128; the latter stops at 10 ft."""
    outline = outline_of(RECTANGLE)
    (group,) = carriers_of(outline).groups
    short = tuple(
        msgspec.structs.replace(line, y_end_ft=10.0) if line.x_ft == 128 / 12 else line
        for line in group.lines
    )
    level = GuardedLevel("main", outline, 36, 1.0, lambda _x, _y: 0.0)
    for lines, proven in ((group.lines, True), (short, False)):
        carriers = Carriers((msgspec.structs.replace(group, lines=lines),), rims_of(outline))
        found = lay_out_guards(level, [a_stair(2, 6)], GuardSpec(), carriers, criteria(), None)
        assert (found.reasons == ()) is proven


def test_a_post_without_two_joists_beside_it_is_for_an_engineer() -> None:
    outline = outline_of(RECTANGLE)
    (group,) = carriers_of(outline).groups
    thin = msgspec.structs.replace(group, lines=group.lines[:5])
    level = GuardedLevel("main", outline, 36, 1.0, lambda _x, _y: 0.0)
    found = lay_out_guards(level, [], GuardSpec(), Carriers((thin,), rims_of(outline)), criteria(), None)
    assert {reason.code for reason in found.reasons} == {"guard_connector_unproven"}
    assert any("no two joists" in reason.text for reason in found.reasons)


def test_blocks_are_as_long_as_the_bay_they_stand_in() -> None:
    """Joists every 16 in from the left of 16 ft 4 in: the last bay is 1-3/4 in clear, the first 13-3/4."""
    points = ((0.0, 0.0), (196.0 / 12, 0.0), (196.0 / 12, 12.0), (0.0, 12.0))
    found = guarded(points)
    runs, lengths = by_edge(found), {b.id: b.length_in for b in found.blocking}
    right, left = runs[1][0].posts[1], runs[3][0].posts[1]
    assert [lengths[post.carried_by[1]] for post in (right, left)] == [1.75, 13.75]


def test_whether_a_level_gets_guards_depends_on_the_ground_beside_it() -> None:
    level = GuardedLevel("main", outline_of(RECTANGLE), 20, 1.0, lambda _x, y: -0.7 * y)
    assert guard_wanted(level, GuardSpec(), criteria())
    assert not guard_wanted(level, GuardSpec(extent="none"), criteria())
    low = GuardedLevel("main", outline_of(RECTANGLE), 20, 1.0, lambda _x, y: -0.6 * y)
    assert not guard_wanted(low, GuardSpec(), criteria())
    assert guard_wanted(low, GuardSpec(extent="all_edges"), criteria())

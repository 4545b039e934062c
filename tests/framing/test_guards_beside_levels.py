"""Guards of a level beside others: where one falls on a lower floor, and what stays open under a higher one."""

from __future__ import annotations

import pytest
from guard_decks import (
    RECTANGLE,
    a_stair,
    ball_gets_out,
    barrier,
    flat,
    guarded,
    house_of,
    outline_of,
    squares,
)
from shapely import LineString, Polygon, box

from service.checks.judged import Judged
from service.checks.verdict import verdict
from service.choice.level.guarded import guarded_level
from service.connections.guards import GuardResult
from service.contract.spec import DeckSpec, LevelSpec
from service.framing.guard_falls import Floor, Limits, open_edges, under_levels
from service.framing.sides import level_outline

YARD = box(0.0, 12.0, 16.0, 20.0)  # a level along the whole yard side
LOW = ((0.0, 12.0), (16.0, 12.0), (16.0, 20.0), (0.0, 20.0))
HALF = box(4.0, 12.0, 12.0, 20.0)  # along the middle half of it


def runs(found: GuardResult) -> list[tuple[int, float, float]]:
    """Edge and, along x or y, where each run begins and ends."""
    return [
        (g.edge, *((g.start_ft[0], g.end_ft[0]) if g.edge in (0, 2) else (g.start_ft[1], g.end_ft[1])))
        for g in found.guards
    ]


def codes(found: GuardResult) -> list[str]:
    return [reason.code for reason in found.reasons]


def test_the_levels_of_a_spec_are_seen_beside_each_other() -> None:
    """A frame of 1 in boards on joists of at least 5-1/2 in leaves 17-1/2 of a step of 24 in open."""
    low = LevelSpec(id="low", outline_ft=LOW, surface_height_in=36)
    high = LevelSpec(id="high", width_ft=16, projection_ft=12, surface_height_in=60)
    spec = DeckSpec(levels=(high, low))
    seen = guarded_level(spec, low, level_outline(spec, low), flat)
    (under,) = under_levels(seen, Limits(30, 36, 4))
    assert (under.edge.number, under.step_in, under.opening_in, under.drop_in) == (0, 24, 17.5, 36)
    above = guarded_level(spec, high, level_outline(spec, high), flat)
    assert [(one.edge.number, one.over, one.drop_in) for one in open_edges(above, Limits(30, 36, 4))] == [
        (1, "ground", 60),
        (2, "floor", 24),
        (3, "ground", 60),
    ]


def test_a_step_down_to_a_level_that_reaches_36_in_out_needs_no_guard() -> None:
    found = guarded(RECTANGLE, 40, others=(Floor(YARD, 26.0),))
    assert runs(found) == [(1, 0.0, 12.0), (3, 12.0, 0.0)]
    (step,) = (f for f in found.findings if f.check == "guard_required" and f.member == "main.rim-2")
    assert step.passes
    assert next(s.value for s in step.working if s.symbol == "h") == 14.0


def test_a_level_over_30_in_lower_is_a_fall() -> None:
    assert (2, 16.0, 0.0) in runs(guarded(RECTANGLE, 60, others=(Floor(YARD, 29.99),)))
    assert (2, 16.0, 0.0) not in runs(guarded(RECTANGLE, 60, others=(Floor(YARD, 30.0),)))


@pytest.mark.parametrize(("deep_in", "needed"), [(35.9, True), (36.0, False)])
def test_a_level_less_than_36_in_deep_does_not_count(deep_in: float, needed: bool) -> None:
    other = Floor(box(0.0, 12.0, 16.0, 12.0 + deep_in / 12), 30.0)
    assert ((2, 16.0, 0.0) in runs(guarded(RECTANGLE, 40, others=(other,)))) is needed


@pytest.mark.parametrize(("apart_in", "needed"), [(0.9, False), (1.1, True)])
def test_a_gap_between_levels_counts_as_ground(apart_in: float, needed: bool) -> None:
    other = Floor(box(0.0, 12.0 + apart_in / 12, 16.0, 20.0), 30.0)
    assert ((2, 16.0, 0.0) in runs(guarded(RECTANGLE, 40, others=(other,)))) is needed


def test_an_edge_is_split_by_what_lies_below() -> None:
    """Lower floor from x = 4 to 12: guards on both sides of it, flush with where it begins and ends."""
    found = guarded(RECTANGLE, 40, others=(Floor(HALF, 30.0),))
    assert [run for run in runs(found) if run[0] == 2] == [(2, 16.0, 12.0), (2, 4.0, 0.0)]
    beside = [guard for guard in found.guards if guard.edge == 2]
    assert beside[0].posts[-1].x_ft * 12 == pytest.approx(144 + 1.75)
    assert beside[1].posts[0].x_ft * 12 == pytest.approx(48 - 1.75)


def test_what_is_over_the_ground_is_judged_as_one_on_both_sides_of_a_lower_level() -> None:
    """The ground falls along x: 36 in under the surface at x = 16, 20 in at x = 0."""
    found = guarded(RECTANGLE, 20, grade=lambda x, _y: -x, others=(Floor(HALF, 12.0),))
    assert [run for run in runs(found) if run[0] == 2] == [(2, 16.0, 12.0), (2, 4.0, 0.0)]


@pytest.mark.parametrize("upper_in", [44, 70])
@pytest.mark.parametrize(
    "floor", [HALF, YARD, box(8.0, 12.0, 24.0, 20.0)], ids=["half", "whole", "past a corner"]
)
def test_both_levels_together_leave_no_way_out(floor: Polygon, upper_in: float) -> None:
    """The lower level is guarded too: a ball on either floor stays there, and no posts stand in each other."""
    upper = guarded(RECTANGLE, upper_in, others=(Floor(floor, 36.0),))
    low = tuple((float(x), float(y)) for x, y in floor.exterior.coords[:-1])
    lower = guarded(low, 36, at_house=False, others=(Floor(Polygon(RECTANGLE), upper_in),))
    whole = Polygon(RECTANGLE).union(floor)
    around, inside = whole.buffer(3.0), whole.buffer(-8 / 12)
    fence = barrier(upper, [barrier(lower), *house_of(outline_of(RECTANGLE))])
    free = around.difference(fence.buffer(2 / 12 - 1e-6))
    assert not any(one.intersects(inside) and one.intersects(around.boundary) for one in free.geoms)
    posts = [*squares(upper), *squares(lower)]
    assert all(a.intersection(b).area < 1e-6 for i, a in enumerate(posts) for b in posts[:i])
    assert ((2, 16.0, 0.0) in runs(upper)) is (floor is YARD and upper_in == 70)


def test_every_open_edge_wanted_leaves_a_low_step_open() -> None:
    found = guarded(RECTANGLE, 20, others=(Floor(HALF, 13.0),), extent="all_edges")
    assert [run for run in runs(found) if run[0] == 2] == [(2, 16.0, 12.0), (2, 4.0, 0.0)]


def test_nobody_falls_off_along_a_higher_level() -> None:
    """The level in the yard, 36 in high; one riser up stands the level at the house."""
    found = guarded(LOW, 36, at_house=False, others=(Floor(Polygon(RECTANGLE), 43.75),))
    assert sorted({guard.edge for guard in found.guards}) == [1, 2, 3]
    assert found.reasons == ()
    (under,) = (f for f in found.findings if f.check == "guard_opening" and f.member == "main.rim-1")
    assert under.passes
    assert [s.value for s in under.working if s.symbol in "so"] == [7.75, 1.75]


def _under(step_in: float, surface_in: float = 36, frame_in: float = 6.0) -> GuardResult:
    higher = Floor(Polygon(RECTANGLE), surface_in + step_in, frame_in)
    return guarded(LOW, surface_in, at_house=False, others=(higher,))


def test_an_opening_under_a_higher_level_is_told_and_needs_an_engineer() -> None:
    """Two risers up, the shallowest frame leaves 9 in open, and the ground lies 36 in below this floor."""
    found = _under(15.0)
    assert codes(found) == ["opening_under_level"]
    assert '9"' in found.reasons[0].text
    judged = Judged(found.findings, found.reasons, found.cautions)
    said = verdict(judged, 1.15)
    assert (said.status, [reason.code for reason in said.reasons]) == (
        "engineer_required",
        ["opening_under_level"],
    )


def test_an_opening_under_a_higher_level_is_none_where_the_frame_fills_it_or_the_floor_is_low() -> None:
    assert codes(_under(9.9)) == []
    assert codes(_under(10.0)) == ["opening_under_level"]  # 4 in: the ball passes
    assert codes(_under(13.0, frame_in=9.25)) == []
    assert codes(_under(15.0, surface_in=30)) == []


def test_a_higher_level_a_hand_away_does_not_hold_anyone() -> None:
    for apart_in, edges in ((3.9, [1, 2, 3]), (4.1, [0, 1, 2, 3])):
        higher = Floor(box(0.0, 0.0, 16.0, 12.0 - apart_in / 12), 43.75)
        found = guarded(LOW, 36, at_house=False, others=(higher,))
        assert sorted({guard.edge for guard in found.guards}) == edges


def test_a_stair_between_levels_opens_the_upper_guard_alone() -> None:
    upper = guarded(RECTANGLE, 66, others=(Floor(YARD, 35.0),), stairs=[a_stair(2, 6)])
    assert [run for run in runs(upper) if run[0] == 2] == [(2, 16.0, 10.0), (2, 6.0, 0.0)]
    higher = Floor(Polygon(RECTANGLE), 66.0, 31.0)
    lower = guarded(LOW, 35, at_house=False, others=(higher,), stairs=[a_stair(2, 6, level="upper")])
    assert sorted({(guard.edge, len(guard.posts)) for guard in lower.guards}) == [(1, 3), (2, 4), (3, 3)]


def test_a_ball_does_get_out_where_the_step_is_a_fall_and_no_guard_is_given() -> None:
    outline = outline_of(RECTANGLE)
    found = guarded(RECTANGLE, 60, others=(Floor(YARD, 20.0),))
    walls = list(house_of(outline))
    assert not ball_gets_out(outline, barrier(found, walls))
    fewer = GuardResult(tuple(g for g in found.guards if g.edge != 2), (), (), (), ())
    assert ball_gets_out(outline, barrier(fewer, walls))
    assert ball_gets_out(outline, barrier(fewer, [*walls, LineString([(0, 12), (8, 12)])]))

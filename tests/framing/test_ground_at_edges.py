"""How far an edge stands over the ground within reach: planes, pits between samples, corners, stretches."""

from __future__ import annotations

import math

import pytest

from service.contract.spec import GradePointSpec, SiteSpec
from service.framing.ground import Terrain, grade_of
from service.framing.guard_edges import Edge, edges_of, greatest_drop_in

HOUSE, RIGHT, YARD, LEFT = edges_of(((0, 0), (16, 0), (16, 12), (0, 12)))
REACH_IN = 36.0
FLAT = ((-10, -10, 0), (30, -10, 0), (-10, 30, 0), (30, 30, 0))


def measured(*points: tuple[float, float, float]) -> Terrain:
    return grade_of(
        SiteSpec(
            grade_points=tuple(GradePointSpec(x_ft=x, y_ft=y, grade_in=z) for x, y, z in (*FLAT, *points))
        )
    )


def pit(x_ft: float, y_ft: float, depth_in: float) -> Terrain:
    """Flat ground with a hole a foot wide whose deepest place is one measured point."""
    ring = [(x_ft + 0.5 * dx, y_ft + 0.5 * dy, 0.0) for dx, dy in ((1, 0), (0, 1), (-1, 0), (0, -1))]
    return measured((x_ft, y_ft, -depth_in), *ring)


def drop(edge: Edge, ground: Terrain, from_ft: float = 0.0, to_ft: float | None = None) -> float:
    return greatest_drop_in(edge, 28.0, ground, REACH_IN, from_ft, to_ft)


def test_falling_away_from_the_edge() -> None:
    """12 in at the edge and 3 ft more of 1 in per ft."""
    assert drop(YARD, grade_of(SiteSpec(grade_fall_y_in_per_ft=1))) == pytest.approx(28 + 15)


def test_rising_away_from_the_edge() -> None:
    assert drop(YARD, grade_of(SiteSpec(grade_fall_y_in_per_ft=-1))) == pytest.approx(28 - 12)


@pytest.mark.parametrize("at", [(5.5, 13.4), (5.5, 14.99), (0.3, 12.2), (15.7, 14.2)])
def test_a_hole_between_the_feet_is_found(at: tuple[float, float]) -> None:
    assert drop(YARD, pit(*at, 10)) == pytest.approx(38)
    assert drop(HOUSE, pit(*at, 10)) == pytest.approx(28)


def test_a_hole_beyond_reach_or_under_the_deck_does_not_count() -> None:
    assert drop(YARD, pit(5.5, 15.6, 10)) == pytest.approx(28)
    assert drop(YARD, pit(5.5, 10.5, 10)) == pytest.approx(28)


def test_a_point_measured_just_inside_the_edge_counts_at_it() -> None:
    assert drop(YARD, measured((8, 11.6, -10))) == pytest.approx(38)
    # 0.6 ft inside it no longer does by itself; what is left is the ground the triangles lay at y = 12
    assert drop(YARD, measured((8, 11.4, -10))) == pytest.approx(28 + 10 * 18 / 18.6)


def test_the_ground_at_a_corner_is_shared() -> None:
    """Straight ahead of the yard edge is the yard edge's; 45 degrees off the corner is both's."""
    ahead, off = pit(16.6, 14.2, 10), pit(17.5, 13.5, 10)
    assert drop(YARD, ahead) == pytest.approx(38)
    assert drop(RIGHT, ahead) == pytest.approx(28)
    assert drop(YARD, off) == drop(RIGHT, off) == pytest.approx(38)


def test_a_fall_across_a_corner() -> None:
    """2 in per ft both ways: 3 ft off the corner at 45 degrees it has fallen 3 ft times 2.83."""
    ground = grade_of(SiteSpec(grade_fall_x_in_per_ft=2, grade_fall_y_in_per_ft=2))
    assert drop(YARD, ground) == pytest.approx(28 + 2 * 16 + 2 * 12 + 3 * 2 * math.sqrt(2))


def test_a_stretch_sees_its_own_ground() -> None:
    ground = grade_of(SiteSpec(grade_fall_x_in_per_ft=1))
    # the yard edge runs from x = 16 to x = 0; round its end a stretch looks 3 ft times 0.71 farther, 1 % over
    assert drop(YARD, ground, 10, 16) == pytest.approx(28 + 6 + 3 / math.sqrt(2), abs=0.01)
    assert drop(YARD, pit(5.5, 13.4, 10), 0, 7) == pytest.approx(28)
    assert drop(YARD, pit(5.5, 13.4, 10), 7, 12) == pytest.approx(38)

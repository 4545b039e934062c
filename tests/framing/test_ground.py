"""Measured ground: by hand, against an independent interpolation, and the same however the points are written."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import LinearNDInterpolator

from service.contract.spec import GradePointSpec, SiteSpec
from service.framing.ground import (
    Terrain,
    downhill_in_per_ft,
    grade_of,
    heights_over,
    lowest_ground_gap_in,
)
from service.framing.mesh import Measured, mesh_of

ROOF = ((0, 0, 0), (16, 0, 0), (0, 20, 0), (16, 20, 0), (5.3, 10, 12))


def measured(*points: Measured) -> Terrain:
    return grade_of(
        SiteSpec(grade_points=tuple(GradePointSpec(x_ft=x, y_ft=y, grade_in=z) for x, y, z in points))
    )


def scattered(seed: int, count: int, step: float = 0.0) -> list[Measured]:
    """Points in a yard of 40 by 40 ft, on a grid where a step is given."""
    rng = np.random.default_rng(seed)
    found = rng.uniform(0, 40, (count, 2))
    if step:
        found = np.unique(np.round(found / step) * step, axis=0)
    return [
        (x, y, z) for (x, y), z in zip(found.tolist(), rng.uniform(-60, 0, len(found)).tolist(), strict=True)
    ]


def places(seed: int, count: int = 300) -> list[tuple[float, float]]:
    return [(x, y) for x, y in np.random.default_rng(seed).uniform(-10, 50, (count, 2)).tolist()]


def test_a_triangle_by_hand() -> None:
    ground = measured((0, 0, 0), (12, 0, -6), (0, 12, -12))
    assert ground(4, 4) == pytest.approx(-6)  # the mean of its corners
    assert ground(6, 0) == pytest.approx(-3)
    assert ground(0, 12) == pytest.approx(-12)
    assert ground(2, 6) == pytest.approx(-2 / 12 * 6 - 6 / 12 * 12)


def test_outside_the_nearest_edge_counts() -> None:
    ground = measured((0, 0, 0), (12, 0, -6), (0, 12, -12))
    assert ground(6, -30) == pytest.approx(-3)  # square to the edge along y = 0
    assert ground(-5, -5) == pytest.approx(0)  # past the corner
    assert ground(8, 8) == pytest.approx(-9)  # the middle of the long edge
    assert ground(200, 0) == pytest.approx(-6)


@pytest.mark.parametrize("seed", range(8))
def test_between_the_points_as_scipy_interpolates(seed: int) -> None:
    points = scattered(seed, 3 + 8 * seed)
    ground = measured(*points)
    theirs = LinearNDInterpolator([p[:2] for p in points], [p[2] for p in points])
    inside = [(place, height) for place in places(seed) if not math.isnan(height := float(theirs(*place)))]
    assert inside
    assert all(ground(*place) == pytest.approx(height, abs=1e-8) for place, height in inside)


@pytest.mark.parametrize("seed", range(8))
def test_outside_the_height_is_that_of_the_nearest_place_of_the_rim(seed: int) -> None:
    mesh = mesh_of(scattered(seed, 40))
    ground = measured(*mesh.points)
    rim = [
        (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2]))
        for a, b in mesh.rim
        for t in (i / 500 for i in range(501))
    ]
    outside = [(x, y) for x, y in places(seed) if not 0 <= x <= 40 or not 0 <= y <= 40]
    for x, y in outside:
        nearest = min(rim, key=lambda at: math.dist(at[:2], (x, y)))
        # a step along an edge is 40 ft / 500 and the ground falls by at most 60 in over some feet
        assert ground(x, y) == pytest.approx(nearest[2], abs=4)


GRIDS = [scattered(seed, 60, 8.0) for seed in range(6)]


@pytest.mark.parametrize("points", [*GRIDS, scattered(9, 60)], ids=len)
def test_neither_order_nor_a_mirrored_or_moved_frame_changes_the_ground(points: list[Measured]) -> None:
    ground = measured(*points)
    turned = measured(*[points[i] for i in np.random.default_rng(3).permutation(len(points))])
    mirrored = measured(*[(16 - x, y, z) for x, y, z in points])
    moved = measured(*[(x + 7.13, y - 3.77, z) for x, y, z in points])
    for x, y in places(5):
        assert turned(x, y) == ground(x, y)
        assert mirrored(16 - x, y) == pytest.approx(ground(x, y), abs=1e-8)
        assert moved(x + 7.13, y - 3.77) == pytest.approx(ground(x, y), abs=1e-8)


def test_four_points_of_a_square_are_joined_for_the_lower_ground() -> None:
    valley = ((0, 0, 0), (8, 0, -12), (8, 8, 0), (0, 8, -12))
    for turn in range(4):
        assert measured(*valley[turn:], *valley[:turn])(4, 4) == pytest.approx(-12)
    assert measured(*[(8 - x, y, z) for x, y, z in valley])(4, 4) == pytest.approx(-12)


def test_many_points_on_one_circle_make_the_lowest_ground() -> None:
    """Over points in convex position that is the lower hull of their heights: no chord lies under it."""
    heights = np.random.default_rng(4).uniform(-40, 0, 24).tolist()
    turns = [2 * math.pi * i / 24 for i in range(24)]
    ring = [(20 + 15 * math.cos(t), 20 + 15 * math.sin(t), z) for t, z in zip(turns, heights, strict=True)]
    ground = measured(*ring)
    for a in ring:
        for b in ring:
            for t in (0.25, 0.5, 0.75):
                at = (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))
                assert ground(*at) <= a[2] + t * (b[2] - a[2]) + 1e-6


def test_points_measured_on_a_plane_are_that_plane() -> None:
    plane = grade_of(SiteSpec(grade_fall_x_in_per_ft=1.5, grade_fall_y_in_per_ft=-2))
    around = ((-60, -60, 0), (120, -60, 0), (20, 180, 0))
    points = [(x, y, plane(x, y)) for x, y, _ in (*scattered(1, 30), *around)]
    ground = measured(*points)
    assert all(ground(*at) == pytest.approx(plane(*at), abs=1e-8) for at in places(2))


def test_points_given_twice_and_nearly_in_line_do_no_harm() -> None:
    twice = ((0, 0, 0), (12, 0, -6), (0, 12, -12), (12, 0, -6), (6, 1e-9, -3))
    assert measured(*twice)(4, 4) == pytest.approx(-6)


def test_points_in_line_but_for_rounding_make_no_cliff() -> None:
    """Tenths of a foot along a slanting line, heights up and down by 3 in: no triangle is laid between them."""
    line = [(i * 0.1, i * 0.3, -3.0 * (i % 2)) for i in range(30)]
    mesh = mesh_of([*line, (20, 0, 0)])
    assert len(mesh.facets) == 29
    assert max(facet.fall_in_per_ft for facet in mesh.facets) < 20


def test_points_in_one_line_are_refused() -> None:
    with pytest.raises(ValueError, match="one line"):
        mesh_of([(0, 0, 0), (4, 4, 1), (8, 8, 2)])


def test_a_beam_over_a_plane() -> None:
    """16 ft out on ground rising 1 in per ft its bottom at 18 in clears 2; falling, its start is the lowest place."""
    assert lowest_ground_gap_in((0, 10), (16, 10), 18, grade_of(SiteSpec(grade_fall_x_in_per_ft=-1))) == 2
    assert lowest_ground_gap_in((0, 10), (16, 10), 18, grade_of(SiteSpec(grade_fall_x_in_per_ft=1))) == 18


def test_a_beam_meets_a_ridge_between_the_feet() -> None:
    """The ridge of 12 in stands 5.3 ft along: a beam with its bottom at 10 in is 2 in in the ground there."""
    assert lowest_ground_gap_in((0, 10), (16, 10), 10, measured(*ROOF)) == pytest.approx(-2)
    # beside the ridge: half way from y = 10 to the edge at y = 0 along the line from (5.3, 10) to (5.3, 0) it is 6
    assert lowest_ground_gap_in((0, 5), (16, 5), 10, measured(*ROOF)) == pytest.approx(4)


def test_a_plain_function_is_looked_at_every_foot() -> None:
    assert max(heights_over(lambda x, y: x, [(0, 0), (3.5, 0)])) == 3.5
    assert len(heights_over(lambda x, y: x, [(0, 0), (3.5, 0)])) == 5


@given(st.integers(0, 10_000), st.integers(3, 30))
def test_no_place_over_a_shape_or_a_line_is_lower_or_higher_than_said(seed: int, count: int) -> None:
    ground, corners = measured(*scattered(seed, count)), places(seed + 1, 3)
    for shape in (corners, corners[:2]):
        heights = heights_over(ground, shape)
        shares = np.random.default_rng(seed + 2).dirichlet([1] * len(shape), 60)
        for x, y in (shares @ np.array(shape)).tolist():
            assert min(heights) - 1e-6 <= ground(x, y) <= max(heights) + 1e-6


def test_the_steepest_way_down_within_a_foot() -> None:
    both = grade_of(SiteSpec(grade_fall_x_in_per_ft=3, grade_fall_y_in_per_ft=4))
    # a fall of 5 in per ft, looked for on a polygon about the circle: at most 2 % more
    assert 5 <= downhill_in_per_ft(both, 8, 8) <= 5.1
    # on the crest of the roof: 12 in down to (5.3, 0) 10 ft away, to (0, 10) 5.3 ft away, the steeper way
    assert downhill_in_per_ft(measured(*ROOF), 5.3, 10) == pytest.approx(12 / 5.3, rel=0.02)
    assert downhill_in_per_ft(measured((0, 0, -9), (16, 0, -9), (0, 20, -9)), 4, 4) == 0

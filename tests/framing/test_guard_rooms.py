"""Where a guard post may stand, decided by distance and convexity, against polygons cut with each other."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from service.framing.guard_edges import edges_of
from service.framing.guard_places import SLIVER_SQFT, Room, square

FLOORS = {
    "rectangle": [(0, 0), (4, 0), (4, 3), (0, 3)],
    "clockwise": [(0, 0), (0, 3), (4, 3), (4, 0)],
    "ell": [(0, 0), (4, 0), (4, 1), (1, 1), (1, 3), (0, 3)],
    "narrow_notch": [(0, 0), (2, 0), (2, 2), (2.2, 2), (2.2, 0), (4, 0), (4, 3), (0, 3)],
    "blunted": [(0, 0), (4, 0), (4, 2), (3, 3), (0, 3)],
}
places = st.lists(st.tuples(st.integers(0, 7), st.floats(0.0, 1.0)), min_size=1, max_size=12)


@pytest.mark.parametrize("floor", FLOORS)
@pytest.mark.parametrize("mount", ["side", "surface"])
@pytest.mark.parametrize("shut", [[], [box(1.0, -0.5, 2.0, 0.5)]], ids=["open", "stair"])
@settings(max_examples=25, deadline=None)
@given(asked=places)
def test_posts_stand_where_their_polygons_are_clear(
    floor: str, mount: str, shut: list[Polygon], asked: list[tuple[int, float]]
) -> None:
    corners = tuple((float(x), float(y)) for x, y in FLOORS[floor])
    edges, plan = edges_of(corners), Polygon(corners)
    room, taken = Room(mount, plan, shut), list[Polygon]()
    for number, share in asked:
        edge = edges[number % len(edges)]
        post = square(edge, share * edge.length_ft, mount)
        solid = [*shut, *taken, *([plan] if mount == "side" else [])]
        free = all(post.intersection(one).area <= SLIVER_SQFT for one in solid)
        free = free and (mount == "side" or post.difference(plan).area <= SLIVER_SQFT)
        assert room.stands(edge, share * edge.length_ft) == free
        if free:
            taken.append(post)
            room.take(edge, share * edge.length_ft)

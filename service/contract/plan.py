"""Where the levels, edges and objects of a spec lie in plan, in feet."""

from __future__ import annotations

import math

from service.contract.choices import Wall
from service.contract.spec_level import HeavyObjectSpec, LevelSpec
from service.contract.spec_site import HouseSpec

Point = tuple[float, float]
Polygon = tuple[Point, ...]
Segment = tuple[Point, Point]

# an eighth of an inch: closer than this, points, lines and walls are the same (our convention)
SAME_FT = 0.0104


def outline(level: LevelSpec) -> Polygon:
    """Return the corners of a level in its own axes, in the caller's order; empty if none are given.

    >>> outline(LevelSpec(width_ft=16, projection_ft=12, surface_height_in=36))
    ((0.0, 0.0), (16, 0.0), (16, 12), (0.0, 12))
    """
    if level.outline_ft is not None:
        return level.outline_ft
    if level.width_ft is None or level.projection_ft is None:
        return ()
    width, projection = level.width_ft, level.projection_ft
    return ((0.0, 0.0), (width, 0.0), (width, projection), (0.0, projection))


def outline_in_frame(level: LevelSpec) -> Polygon:
    """Return the corners of a level in the deck frame.

    >>> outline_in_frame(LevelSpec(origin_ft=(2, 0), width_ft=4, projection_ft=3, surface_height_in=9))[0]
    (2.0, 0.0)
    """
    x, y = level.origin_ft
    return tuple((px + x, py + y) for px, py in outline(level))


def edges(corners: Polygon) -> tuple[Segment, ...]:
    """Return the edges of an outline; edge i runs from corner i to the next.

    >>> edges(((0, 0), (4, 0), (4, 3)))[2]
    ((4, 3), (0, 0))
    """
    return tuple(zip(corners, corners[1:] + corners[:1], strict=True))


def length_ft(edge: Segment) -> float:
    """Return the length of an edge.

    >>> length_ft(((0, 0), (3, 4)))
    5.0
    """
    return math.dist(*edge)


def signed_area_sqft(corners: Polygon) -> float:
    """Return the area inside an outline, negative where its corners run clockwise with y up.

    >>> signed_area_sqft(((0, 0), (0, 3), (4, 3), (4, 0)))
    -12.0
    """
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in edges(corners)) / 2


def area_sqft(corners: Polygon) -> float:
    """Return the area inside an outline, either sense.

    >>> area_sqft(((0, 0), (0, 3), (4, 3), (4, 0)))
    12.0
    """
    return abs(signed_area_sqft(corners))


def on_wall(edge: Segment) -> bool:
    """Tell whether an edge of the deck frame lies on the house wall line.

    >>> on_wall(((0, 0), (16, 0)))
    True
    """
    return all(abs(y) <= SAME_FT for _, y in edge)


def before_wall(corners: Polygon, number: int) -> bool:
    """Tell whether an edge lies on the house wall line with its floor in front of it, where y is above 0.

    An edge on that line with the floor behind it has the yard before it, or a wall that faces the other way.

    >>> beside = ((20, -15), (32, -15), (32, 0), (20, 0))  # past a corner of the house, along its side
    >>> before_wall(beside, 2), before_wall(((0, 0), (16, 0), (16, 12), (0, 12)), 0)
    (False, True)
    """
    start, end = edges(corners)[number]
    return on_wall((start, end)) and (end[0] > start[0]) == (signed_area_sqft(corners) > 0)


def house_edges(level: LevelSpec, wall: Wall) -> tuple[int, ...]:
    """Return the numbers of the edges on the house's own wall: the caller's, or else all those before it.

    >>> level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=36)
    >>> house_edges(level, "wood_band"), house_edges(level, "none")
    ((0,), ())
    """
    if wall == "none":
        return ()
    if level.house_edges is not None:
        return level.house_edges
    corners = outline_in_frame(level)
    return tuple(number for number in range(len(corners)) if before_wall(corners, number))


def edges_at_walls(level: LevelSpec, house: HouseSpec) -> frozenset[int]:
    """Return the numbers of a level's edges at any wall of the house.

    An edge in ``edge_walls`` stands at the wall named there, and at none where that wall is "none".

    >>> from service.contract.spec_site import EdgeWallSpec
    >>> level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=36)
    >>> walls = (EdgeWallSpec(edge=0, wall="none"), EdgeWallSpec(edge=3, wall="wood_band"))
    >>> sorted(edges_at_walls(level, HouseSpec(wall="wood_band", edge_walls=walls)))
    [3]
    """
    named = {other.edge: other.wall for other in house.edge_walls if other.level == level.id}
    own = dict.fromkeys(house_edges(level, house.wall), house.wall)
    return frozenset(number for number, wall in (own | named).items() if wall != "none")


def footprint(thing: HeavyObjectSpec) -> Polygon:
    """Return the corners of an object in its level's axes; it extends away from the level's origin.

    >>> footprint(HeavyObjectSpec(
    ...     kind="other", x_ft=8, y_ft=2, width_ft=7, length_ft=5, filled_weight_lb=100))[2]
    (15.0, 7.0)
    """
    x0, y0 = thing.x_ft, thing.y_ft
    x1 = x0 + math.copysign(thing.width_ft, x0)
    y1 = y0 + math.copysign(thing.length_ft, y0)
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))

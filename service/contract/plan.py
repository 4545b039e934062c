"""Where the levels, edges and objects of a spec lie in plan, in feet."""

from __future__ import annotations

import math

from service.contract.choices import Wall
from service.contract.spec_level import HeavyObjectSpec, LevelSpec

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


def area_sqft(corners: Polygon) -> float:
    """Return the area inside an outline, either sense.

    >>> area_sqft(((0, 0), (0, 3), (4, 3), (4, 0)))
    12.0
    """
    return abs(sum(ax * by - bx * ay for (ax, ay), (bx, by) in edges(corners))) / 2


def on_wall(edge: Segment) -> bool:
    """Tell whether an edge of the deck frame lies on the house wall line.

    >>> on_wall(((0, 0), (16, 0)))
    True
    """
    return all(abs(y) <= SAME_FT for _, y in edge)


def house_edges(level: LevelSpec, wall: Wall) -> tuple[int, ...]:
    """Return the numbers of the edges on the house: the caller's, or else all those on the wall line.

    >>> level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=36)
    >>> house_edges(level, "wood_band"), house_edges(level, "none")
    ((0,), ())
    """
    if level.house_edges is not None:
        return level.house_edges
    if wall == "none":
        return ()
    return tuple(number for number, edge in enumerate(edges(outline_in_frame(level))) if on_wall(edge))


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

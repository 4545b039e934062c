"""Polygon questions a spec is checked with: crossing, overlapping, covering, too narrow. Distances are feet.

Polygons have at most 60 corners, so that each question is answered in a bounded number of steps.
"""

from __future__ import annotations

import math
from itertools import combinations

import shapely
from shapely import ops

from service.contract.plan import SAME_FT, Point, Polygon, edges, length_ft, signed_area_sqft

# our conventions. Two outer members of 1.5 in (ledger or rim) and 3 in between them for hangers and nailing
LEAST_WIDTH_FT = 0.5
# a shorter edge, or a gap no wider, is a slip of the pen or a seam drawn to reach a hole
LEAST_GAP_FT = 1 / 12
# floor this near behind a wall would stand in it: two faces of board on studs are thicker
_IN_WALL_FT = 0.25
# past its ends the wall may turn back, by no more than to a corner of 27 degrees
_WALL_END_FT = 0.5
# corners down to 5 degrees are drawn out again: 1 / sin(2.5 degrees), rounded up
_SHARPEST_MITRE = 25.0


def repeated_corner(corners: Polygon) -> int | None:
    """Return the number of a corner that stands where an earlier one does.

    >>> repeated_corner(((0, 0), (4, 0), (4, 3), (0, 0)))
    3
    """
    pairs = combinations(range(len(corners)), 2)
    return next((late for early, late in pairs if math.dist(corners[early], corners[late]) <= SAME_FT), None)


def meeting(corners: Polygon, within_ft: float = SAME_FT) -> tuple[int, int] | None:
    """Return two edges that are not neighbours and come so near; one that folds back meets the one beyond.

    >>> meeting(((0, 0), (4, 4), (4, 0), (0, 4)))
    (0, 2)
    """
    sides = shapely.linestrings(edges(corners))
    near = shapely.STRtree(sides).query(sides, predicate="dwithin", distance=within_ft)
    apart = range(2, len(corners) - 1)
    pairs = sorted((int(one), int(other)) for one, other in near.T)
    return next((pair for pair in pairs if pair[1] - pair[0] in apart), None)


def corner_deg(before: Point, corner: Point, after: Point) -> float:
    """Return the angle between the two edges at a corner, 0 to 180 degrees.

    >>> corner_deg((4, 0), (0, 0), (0, 3))
    90.0
    """
    ax, ay = before[0] - corner[0], before[1] - corner[1]
    bx, by = after[0] - corner[0], after[1] - corner[1]
    return math.degrees(math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by))


def sharpest_corner(corners: Polygon) -> tuple[int, float]:
    """Return the number and angle in degrees of the sharpest corner.

    >>> sharpest_corner(((0, 0), (4, 0), (4, 3), (0, 3)))
    (0, 90.0)
    """
    count = len(corners)
    angles = [(corner_deg(corners[i - 1], corners[i], corners[(i + 1) % count]), i) for i in range(count)]
    angle, number = min(angles)
    return number, angle


def narrow_corner(corners: Polygon) -> int | None:
    """Return the corner nearest a place where the floor is narrower than the least width.

    The floor is shrunk by half that width and grown again: it has to stay in one piece and to come back, but for
    an inch at jogs. A corner is not narrow, however its tip runs out; a tongue or a neck is.

    >>> narrow_corner(((0, 0), (8, 0), (8, 3.8), (12, 3.8), (12, 4), (8, 4), (8, 8), (0, 8)))
    3
    >>> narrow_corner(((0, 0), (8, 0), (8, 8), (7, 8), (0, 7)))
    """
    floor = shapely.Polygon(corners)
    half = (LEAST_WIDTH_FT - SAME_FT) / 2
    kept = floor.buffer(-half)
    grown = kept.buffer(half + LEAST_GAP_FT, join_style="mitre", mitre_limit=_SHARPEST_MITRE)
    lost = floor.difference(grown)
    parts = shapely.get_parts(kept)
    if len(parts) > 1:
        return _nearest(corners, shapely.shortest_line(parts[0], parts[1]).centroid)
    return None if lost.is_empty else _nearest(corners, lost)


def _nearest(corners: Polygon, place: shapely.Geometry) -> int:
    gaps = shapely.distance(shapely.points(corners), place)
    return min(range(len(corners)), key=lambda number: (round(float(gaps[number]), 6), number))


def gap_ft(one: Polygon, other: Polygon) -> float:
    """Return the least distance between two floors, 0 where they meet.

    >>> gap_ft(((0, 0), (4, 0), (4, 3), (0, 3)), ((5, 0), (9, 0), (9, 3), (5, 3)))
    1.0
    """
    return shapely.Polygon(one).distance(shapely.Polygon(other))


def covers(corners: Polygon, rectangle: Polygon) -> bool:
    """Tell whether all of a rectangle is inside an outline or on its edges.

    >>> covers(((0, 0), (4, 0), (4, 3), (0, 3)), ((0, 0), (2, 0), (2, 2), (0, 2)))
    True
    """
    return shapely.Polygon(corners).buffer(SAME_FT).covers(shapely.Polygon(rectangle))


def overlap(one: Polygon, other: Polygon) -> bool:
    """Tell whether two outlines share any floor; sharing an edge is not overlapping.

    >>> square = ((0, 0), (4, 0), (4, 4), (0, 4))
    >>> overlap(square, square), overlap(square, tuple((x + 4, y) for x, y in square))
    (True, False)
    """
    first, second = shapely.Polygon(one), shapely.Polygon(other)
    return first.buffer(-SAME_FT).intersects(second) or second.buffer(-SAME_FT).intersects(first)


def lies_behind(floor: Polygon, corners: Polygon, number: int) -> bool:
    """Tell whether a floor lies right behind an edge of an outline, where a wall at that edge would be.

    >>> square = ((0, 0), (4, 0), (4, 4), (0, 4))
    >>> [lies_behind(tuple((x + 4, y) for x, y in square), square, number) for number in (0, 1)]
    [False, True]
    """
    edge = edges(corners)[number]
    end = min(_WALL_END_FT, length_ft(edge) / 4)
    outwards = -_IN_WALL_FT if signed_area_sqft(corners) > 0 else _IN_WALL_FT
    line = shapely.offset_curve(ops.substring(shapely.LineString(edge), end, -end), outwards)
    return line.intersection(shapely.Polygon(floor)).length > LEAST_GAP_FT

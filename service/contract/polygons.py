"""Polygon questions a spec is checked with: crossing, touching, inside, overlapping.

Polygons have at most 60 corners, so pairs of edges are simply compared. Distances are feet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations, pairwise

from service.contract.plan import SAME_FT, Point, Polygon, Segment, edges


def repeated_corner(corners: Polygon) -> int | None:
    """Return the number of a corner that stands where an earlier one does.

    >>> repeated_corner(((0, 0), (4, 0), (4, 3), (0, 0)))
    3
    """
    pairs = combinations(range(len(corners)), 2)
    return next((late for early, late in pairs if math.dist(corners[early], corners[late]) <= SAME_FT), None)


def crossing(corners: Polygon) -> tuple[int, int] | None:
    """Return two edges that are not neighbours and meet; an edge that folds back meets the one beyond.

    >>> crossing(((0, 0), (4, 4), (4, 0), (0, 4)))
    (0, 2)
    """
    sides = edges(corners)
    apart = (
        pair for pair in combinations(range(len(sides)), 2) if pair[1] - pair[0] not in (1, len(sides) - 1)
    )
    return next(
        (pair for pair in apart if _distance_between(sides[pair[0]], sides[pair[1]]) <= SAME_FT), None
    )


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


def _distance_to(point: Point, edge: Segment) -> float:
    return math.dist(point, _station(edge, _along(point, edge)))


def _along(point: Point, edge: Segment) -> float:
    """How far along an edge, 0 to 1, the place nearest a point is."""
    (ax, ay), (bx, by) = edge
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    along = 0.0 if square == 0 else ((point[0] - ax) * dx + (point[1] - ay) * dy) / square
    return min(1.0, max(0.0, along))


def _station(edge: Segment, along: float) -> Point:
    (ax, ay), (bx, by) = edge
    return ax + along * (bx - ax), ay + along * (by - ay)


def _distance_between(one: Segment, other: Segment) -> float:
    if _crosses(one, other):
        return 0.0
    ends = [_distance_to(point, other) for point in one] + [_distance_to(point, one) for point in other]
    return min(ends)


def _side(edge: Segment, point: Point) -> float:
    """Feet a point stands to the left of the line through an edge."""
    (ax, ay), (bx, by) = edge
    length = math.dist(*edge)
    if length == 0:
        return 0.0
    return ((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / length


def _crosses(one: Segment, other: Segment) -> bool:
    return _parts(one, other) and _parts(other, one)


def _parts(line: Segment, edge: Segment) -> bool:
    start, end = _side(line, edge[0]), _side(line, edge[1])
    return min(start, end) < 0 < max(start, end)


def gap_ft(one: Polygon, other: Polygon) -> float:
    """Return the least distance between the edges of two outlines.

    >>> gap_ft(((0, 0), (4, 0), (4, 3), (0, 3)), ((5, 0), (9, 0), (9, 3), (5, 3)))
    1.0
    """
    return min(_distance_between(a, b) for a in edges(one) for b in edges(other))


def inside(point: Point, corners: Polygon) -> bool:
    """Tell whether a point is inside an outline, by more than the distance that counts as the same.

    >>> inside((1, 1), ((0, 0), (4, 0), (4, 3), (0, 3)))
    True
    """
    return _within(point, corners) and all(_distance_to(point, edge) > SAME_FT for edge in edges(corners))


def _within(point: Point, corners: Polygon) -> bool:
    x, y = point
    odd = False
    for (ax, ay), (bx, by) in edges(corners):
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            odd = not odd
    return odd


def covers(corners: Polygon, rectangle: Polygon) -> bool:
    """Tell whether all of a rectangle is inside an outline or on its edges.

    >>> covers(((0, 0), (4, 0), (4, 3), (0, 3)), ((0, 0), (2, 0), (2, 2), (0, 2)))
    True
    """
    points = (point for edge in edges(rectangle) for point in _stations(edge, corners))
    return all(_covered(point, corners) for point in points)


def _covered(point: Point, corners: Polygon) -> bool:
    return _within(point, corners) or any(_distance_to(point, edge) <= SAME_FT for edge in edges(corners))


def overlap(one: Polygon, other: Polygon) -> bool:
    """Tell whether two outlines share any floor; sharing an edge is not overlapping.

    >>> square = ((0, 0), (4, 0), (4, 4), (0, 4))
    >>> overlap(square, square), overlap(square, tuple((x + 4, y) for x, y in square))
    (True, False)
    """
    if not _boxes_meet(one, other):
        return False
    return _reaches_into(one, other) or _reaches_into(other, one) or inside(_inner_point(one), other)


def _boxes_meet(one: Polygon, other: Polygon) -> bool:
    return all(
        min(p[axis] for p in one) < max(p[axis] for p in other)
        and min(p[axis] for p in other) < max(p[axis] for p in one)
        for axis in (0, 1)
    )


def _reaches_into(one: Polygon, other: Polygon) -> bool:
    return any(inside(point, other) for edge in edges(one) for point in _stations(edge, other))


def _stations(edge: Segment, other: Polygon) -> Iterator[Point]:
    """Both ends of an edge, and the middle of each piece the other outline cuts it into."""
    cuts = sorted({0.0, 1.0, *(cut for side in edges(other) for cut in _cuts(edge, side))})
    places = [0.0, 1.0] + [(low + high) / 2 for low, high in pairwise(cuts)]
    yield from (_station(edge, place) for place in places)


def _cuts(edge: Segment, side: Segment) -> Iterator[float]:
    """Where along an edge, 0 to 1, a side of another outline crosses it or has an end on it."""
    for point in side:
        if _distance_to(point, edge) <= SAME_FT:
            yield _along(point, edge)
    if _crosses(edge, side):
        start, end = _side(side, edge[0]), _side(side, edge[1])
        yield start / (start - end)


def _inner_point(corners: Polygon) -> Point:
    """A point inside an outline: the middle of the widest stretch at half the height of some corner pair."""
    heights = sorted({y for _, y in corners})
    low, high = max(pairwise(heights), key=lambda pair: pair[1] - pair[0])
    y = (low + high) / 2
    hits = sorted(
        ax + (y - ay) * (bx - ax) / (by - ay) for (ax, ay), (bx, by) in edges(corners) if (ay > y) != (by > y)
    )
    left, right = max(zip(hits[::2], hits[1::2], strict=True), key=lambda pair: pair[1] - pair[0])
    return (left + right) / 2, y

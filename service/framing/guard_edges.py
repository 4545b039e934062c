"""Straight edges of an outline: how far along, which way is out, and how low the ground lies beside them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.contract.report_frame import Point
from service.framing.ground import Grade, Terrain, heights_over

ROUND_PARTS = 3  # sides of the polygon about an eighth of a circle
AT_EDGE_FT = 0.5


@dataclass(frozen=True)
class Edge:
    """One edge from ``start_ft``: its unit vectors along and outward, and its length."""

    number: int
    start_ft: Point
    end_ft: Point
    length_ft: float
    along: Point
    outward: Point

    def point(self, along_ft: float, out_ft: float = 0.0) -> Point:
        """Return the point so far along the edge and so far outside it, ft."""
        return (
            self.start_ft[0] + self.along[0] * along_ft + self.outward[0] * out_ft,
            self.start_ft[1] + self.along[1] * along_ft + self.outward[1] * out_ft,
        )

    def place(self, point: Point) -> Point:
        """Return how far along the edge and how far outside it a point lies, ft."""
        x, y = point[0] - self.start_ft[0], point[1] - self.start_ft[1]
        return (
            x * self.along[0] + y * self.along[1],
            x * self.outward[0] + y * self.outward[1],
        )


def edges_of(outline_ft: tuple[Point, ...]) -> tuple[Edge, ...]:
    """Return the edges in the caller's order, outward whichever sense the corners run.

    >>> edges_of(((0, 0), (16, 0), (16, 12), (0, 12)))[2].outward
    (0.0, 1.0)
    """
    corners = tuple(zip(outline_ft, outline_ft[1:] + outline_ft[:1], strict=True))
    twice_area = sum(a[0] * b[1] - b[0] * a[1] for a, b in corners)
    side = 1.0 if twice_area > 0 else -1.0
    return tuple(edge_between(number, a, b, side) for number, (a, b) in enumerate(corners))


def edge_between(number: int, start: Point, end: Point, side: float) -> Edge:
    """Return one edge; ``side`` is 1 where the outline runs counter-clockwise, -1 where it does not."""
    length = math.dist(start, end)
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    outward = (side * along[1] + 0.0, -side * along[0] + 0.0)
    return Edge(number, start, end, length, along, outward)


def beside(edge: Edge, from_ft: float, to_ft: float, reach_ft: float) -> tuple[Point, ...]:
    """Return the corners of what lies within reach outside a stretch of an edge, and round its ends.

    The ground round a corner is shared between its two edges, 45 degrees each (convention of this service); the
    shape is drawn about the circle.

    >>> at = edges_of(((0, 0), (16, 0), (16, 12), (0, 12)))[0]
    >>> [round(part, 3) for corner in beside(at, 0, 16, 3)[1:4] for part in corner]
    [16.0, 0.0, 18.121, -2.121, 17.842, -2.401]
    """
    turn = math.pi / 4 / ROUND_PARTS
    radius = reach_ft / math.cos(turn / 2)
    turns = [math.pi / 4 + turn * (i + 0.5) for i in range(ROUND_PARTS)]
    arc = [(radius * math.cos(at), radius * math.sin(at)) for at in turns]
    arc.insert(0, (reach_ft / math.sqrt(2), reach_ft / math.sqrt(2)))
    far = [edge.point(to_ft + along, out) for along, out in arc]
    near = [edge.point(from_ft - along, out) for along, out in reversed(arc)]
    return (edge.point(from_ft), edge.point(to_ft), *far, *near)


def greatest_drop_in(
    edge: Edge,
    surface_height_in: float,
    grade: Grade,
    reach_in: float,
    from_ft: float = 0.0,
    to_ft: float | None = None,
) -> float:
    """Return how far a surface lies over the lowest ground within reach of its edge, or of a stretch of it, in.

    Exact on a plane and on measured ground, but that round the ends it reaches up to 1 % farther. A point
    measured within half a foot inside the edge counts as measured at it (convention of this service).

    >>> edge = edges_of(((0, 0), (16, 0), (16, 12), (0, 12)))[2]
    >>> greatest_drop_in(edge, 28, lambda x, y: -1.0 * (y - 12), 36)
    31.0
    """
    until = edge.length_ft if to_ft is None else to_ft
    heights = heights_over(grade, beside(edge, from_ft, until, reach_in / 12))
    if isinstance(grade, Terrain):
        heights += [height for x, y, height in grade.points if _at(edge, (x, y), from_ft, until)]
    return surface_height_in - min(heights)


def _at(edge: Edge, point: Point, from_ft: float, to_ft: float) -> bool:
    along, out = edge.place(point)
    return from_ft - AT_EDGE_FT <= along <= to_ft + AT_EDGE_FT and -AT_EDGE_FT <= out <= 0

"""Straight edges of an outline: how far along, which way is out, and how low the ground lies beside them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.contract.report_frame import Point
from service.framing.ground import Grade

SAMPLE_FT = 1.0
OUTWARD_SAMPLES = 4


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


def stations(length_ft: float) -> tuple[float, ...]:
    """Return places along a length, ends included, at most a foot apart.

    >>> stations(1.5)
    (0.0, 0.75, 1.5)
    """
    parts = max(1, math.ceil(length_ft / SAMPLE_FT))
    return tuple(length_ft * i / parts for i in range(parts + 1))


def greatest_drop_in(edge: Edge, surface_height_in: float, grade: Grade, reach_in: float) -> float:
    """Return how far a surface lies over the lowest ground within reach of its edge, in.

    Exact on a plane; on broken ground it is sampled every foot along and every quarter of the reach out.

    >>> edge = edges_of(((0, 0), (16, 0), (16, 12), (0, 12)))[2]
    >>> greatest_drop_in(edge, 28, lambda x, y: -1.0 * (y - 12), 36)
    31.0
    """
    outs = [reach_in / 12 * i / OUTWARD_SAMPLES for i in range(OUTWARD_SAMPLES + 1)]
    ground = min(grade(*edge.point(at, out)) for at in stations(edge.length_ft) for out in outs)
    return surface_height_in - ground

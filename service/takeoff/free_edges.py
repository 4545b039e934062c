"""The edges of a level that are seen: neither at a wall nor against a level at least as high."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely import Polygon

from service.contract.plan import SAME_FT
from service.contract.report_frame import Point
from service.contract.spec import DeckSpec, LevelSpec
from service.framing.guard_edges import Edge
from service.framing.guards import stretches
from service.framing.sides import Outline, level_outline
from service.takeoff.lines import along
from service.takeoff.parts import INCHES_PER_FT, distance_in
from service.takeoff.rows import Row, lay_along, run_of

# A board is mitred into a corner as long as it grows by no more than this a corner: 1.73 times its width inside a
# spike, once its width along a wall (convention of this service). Past that it ends there; the field fills up.
MOST_INTO_SPIKE, MOST_ALONG_WALL = math.tan(math.radians(60)), 1.0


@dataclass(frozen=True)
class FreeEdge:
    """A straight free edge, the floor on its left. A slope is how far an end moves in for each inch of offset.

    Offsets count into the floor: at an outside corner a board further in is shorter, so its slopes are positive.
    """

    start_ft: Point
    end_ft: Point
    start_slope: float
    end_slope: float

    @property
    def length_in(self) -> float:
        """Length of the edge, in."""
        return distance_in(self.start_ft, self.end_ft)

    def strip(self, near_in: float, far_in: float) -> Polygon:
        """Return the floor between two offsets in the deck frame, in: mitred at both ends.

        It is empty where nothing is left of the edge so far in. Outside the floor offsets are negative.

        >>> edge = FreeEdge((0.0, 0.0), (4.0, 0.0), 1.0, 0.0)
        >>> [tuple(map(float, at)) for at in edge.strip(0.0, 6.0).exterior.coords[:-1]]
        [(0.0, 0.0), (48.0, 0.0), (48.0, 6.0), (6.0, 6.0)]
        """
        closing = self.start_slope + self.end_slope
        if closing * near_in >= self.length_in:
            return Polygon()
        if closing * far_in > self.length_in:
            far_in = self.length_in / closing
        return Polygon([*self._ends(near_in), *reversed(self._ends(far_in))])

    def _ends(self, offset_in: float) -> list[Point]:
        (x, y), (dx, dy) = self.start_ft, along((self.start_ft, self.end_ft))
        ends = offset_in * self.start_slope, self.length_in - offset_in * self.end_slope
        return [
            (INCHES_PER_FT * x + at * dx - offset_in * dy, INCHES_PER_FT * y + at * dy + offset_in * dx)
            for at in ends
        ]

    def run(self, near_in: float, far_in: float) -> Row | None:
        """Return the board that covers the strip between two offsets, if there is one."""
        strip = lay_along((self.start_ft, self.end_ft)).frame(self.strip(near_in, far_in))
        return None if strip.is_empty else run_of(strip)


def free_edges(spec: DeckSpec, level: LevelSpec) -> tuple[FreeEdge, ...]:
    """Return the free edges of a level, counter-clockwise.

    Where a level at least as high adjoins, an edge is not free: the lower boards run up to that level's face, and
    boards of one height run on.

    >>> level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=34)
    >>> [edge.length_in for edge in free_edges(DeckSpec(levels=(level,)), level)]
    [144.0, 192.0, 144.0]
    """
    outline = level_outline(spec, level)
    others = [
        level_outline(spec, one)
        for one in spec.levels
        if one.id != level.id and one.surface_height_in >= level.surface_height_in
    ]
    free = [[] if side.on_house else _free(side.edge, others) for side in outline.sides]
    return tuple(
        _free_edge(outline, free, number, stretch) for number, found in enumerate(free) for stretch in found
    )


Stretch = tuple[float, float]


def _free(edge: Edge, others: Sequence[Outline]) -> list[Stretch]:
    """What of an edge no other outline lies against, ft along it."""
    covered = (_against(edge, side.edge) for other in others for side in other.sides)
    return stretches(edge.length_ft, [found for found in covered if found is not None])


def _against(edge: Edge, other: Edge) -> Stretch | None:
    """Where an edge lies along another one, ft."""
    ends = []
    for x, y in (other.start_ft, other.end_ft):
        dx, dy = x - edge.start_ft[0], y - edge.start_ft[1]
        if abs(dx * edge.outward[0] + dy * edge.outward[1]) > SAME_FT:
            return None
        ends.append(dx * edge.along[0] + dy * edge.along[1])
    start, end = max(min(ends), 0.0), min(max(ends), edge.length_ft)
    return (start, end) if end - start > SAME_FT else None


def _free_edge(
    outline: Outline, free: Sequence[Sequence[Stretch]], number: int, stretch: Stretch
) -> FreeEdge:
    sides, (start, end) = outline.sides, stretch
    edge = sides[number].edge
    after = (number + 1) % len(sides)
    before_edge, after_edge = sides[number - 1].edge, sides[after].edge
    meets_before = any(at >= before_edge.length_ft - SAME_FT for _, at in free[number - 1])
    meets_after = any(at <= SAME_FT for at, _ in free[after])
    at_start, at_end = start <= SAME_FT, end >= edge.length_ft - SAME_FT
    return FreeEdge(
        edge.point(start),
        edge.point(end),
        _slope(before_edge, edge, meets_before) if at_start else 0.0,
        _slope(edge, after_edge, meets_after) if at_end else 0.0,
    )


def _slope(before: Edge, after: Edge, both_free: bool) -> float:
    """How far a board's end moves in a corner for each inch into the floor: mitred, or cut along the wall there."""
    (ax, ay), (bx, by) = before.along, after.along
    turn = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
    if both_free:
        return max(math.tan(turn / 2), -MOST_INTO_SPIKE)
    # Past a wall that turns away the floor goes on: the board ends square.
    return max(math.tan(turn - math.pi / 2), -MOST_ALONG_WALL) if turn > 0 else 0.0

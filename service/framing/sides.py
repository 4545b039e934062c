"""The outline of a level as it is framed: its straight sides in one order, and which of them stand at the house."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import msgspec
from shapely import LineString, Polygon

from service.contract.plan import edges, house_edges, outline_in_frame, signed_area_sqft
from service.contract.report_frame import Point
from service.contract.spec import DeckSpec, EdgeWallSpec, LevelSpec
from service.framing.guard_edges import Edge, edge_between

ON_LINE_FT = 1e-6  # what arithmetic leaves
STRAIGHT_FT = 0.001  # a corner this near the line between its neighbours is none (convention of this service)


@dataclass(frozen=True)
class Part:
    """One edge of the caller's within a side: its number, where it begins along the side, and its sense."""

    number: int
    from_ft: float
    length_ft: float
    backwards: bool


@dataclass(frozen=True)
class Side:
    """One straight side. ``edge.number`` is the caller's: the least where corners on a straight line were left out.

    ``wall`` names the wall of the house it stands at: "" for the house's own, else the number of another one; it
    is null where the side is open.
    """

    edge: Edge
    wall: str | None
    parts: tuple[Part, ...]

    @property
    def on_house(self) -> bool:
        """Whether the side stands at a wall."""
        return self.wall is not None


@dataclass(frozen=True)
class Outline:
    """The sides of a level in the deck frame, counter-clockwise with y up, from its lowest, then leftmost corner.

    Neither the caller's sense, nor where the list begins, nor a corner on a straight line changes it.
    """

    sides: tuple[Side, ...]

    @property
    def corners_ft(self) -> tuple[Point, ...]:
        """The corners, ft."""
        return tuple(side.edge.start_ft for side in self.sides)

    @cached_property
    def polygon(self) -> Polygon:
        """The floor as a polygon, ft."""
        return Polygon(self.corners_ft)

    @property
    def house_sides(self) -> tuple[Side, ...]:
        """The sides at the house."""
        return tuple(side for side in self.sides if side.on_house)

    @property
    def house_lines_ft(self) -> tuple[tuple[Point, Point], ...]:
        """The two ends of each side at the house, the floor on their left, ft."""
        return tuple((side.edge.start_ft, side.edge.end_ft) for side in self.house_sides)

    def to_open_edge_ft(self, corners_ft: Sequence[Point]) -> float:
        """Return the least distance from a plan to an open side; a thousand feet where there is none."""
        plan = Polygon(corners_ft)
        lines = (LineString((s.edge.start_ft, s.edge.end_ft)) for s in self.sides if not s.on_house)
        return min((float(line.distance(plan)) for line in lines), default=1000.0)

    def place(self, number: int, offset_ft: float, width_ft: float) -> tuple[Side, float]:
        """Return the side an edge of the caller's belongs to, and how far along it a stretch of that edge begins."""
        for side in self.sides:
            for part in side.parts:
                if part.number == number:
                    ahead = part.length_ft - offset_ft - width_ft if part.backwards else offset_ft
                    return side, part.from_ft + ahead
        raise ValueError(f"the outline has no edge {number}")


def corners_in_frame(level: LevelSpec) -> tuple[Point, ...]:
    """Return the corners of a level in the deck frame in the caller's order, ft.

    >>> from service.contract.spec import LevelSpec
    >>> corners_in_frame(LevelSpec(width_ft=16, projection_ft=12, surface_height_in=34, origin_ft=(2, 0)))[2]
    (18.0, 12.0)
    """
    return tuple((float(x), float(y)) for x, y in outline_in_frame(level))


def level_outline(spec: DeckSpec, level: LevelSpec) -> Outline:
    """Return the outline of a level of a sound spec.

    >>> from service.contract.spec import LevelSpec
    >>> level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=34)
    >>> found = level_outline(DeckSpec(levels=(level,)), level)
    >>> [(side.edge.number, side.on_house) for side in found.sides]
    [(0, True), (1, False), (2, False), (3, False)]
    """
    corners = corners_in_frame(level)
    walls = _walls(spec, level)
    backwards = signed_area_sqft(corners) < 0
    order = [(number, *edge) for number, edge in enumerate(edges(corners))]
    if backwards:
        order = [(number, end, start) for number, start, end in reversed(order)]
    runs = list(_merged(order, walls))
    first = min(range(len(runs)), key=lambda i: (runs[i][0][1][1], runs[i][0][1][0]))
    sides = tuple(_side(run, walls, backwards) for run in (*runs[first:], *runs[:first]))
    return Outline(sides)


Numbered = tuple[int, Point, Point]


def _walls(spec: DeckSpec, level: LevelSpec) -> Mapping[int, str]:
    """Which edges stand at which wall; two other walls described alike are one wall."""
    found = {}
    if spec.house.wall != "none":
        found = dict.fromkeys(house_edges(level, spec.house.wall), "")
    for other in spec.house.edge_walls:
        if other.level == level.id:
            found.pop(other.edge, None)
            if other.wall != "none":
                found[other.edge] = _alike(spec.house.edge_walls, other)
    return found


def _alike(others: Sequence[EdgeWallSpec], one: EdgeWallSpec) -> str:
    plain = [msgspec.structs.replace(other, level=one.level, edge=0) for other in others]
    return str(plain.index(msgspec.structs.replace(one, edge=0)))


def _merged(order: Sequence[Numbered], walls: Mapping[int, str]) -> Iterator[list[Numbered]]:
    """Runs of edges on one straight line at one wall, in order round the outline."""
    count = len(order)
    corners = _corners(order, walls)
    for place, start in enumerate(corners):
        until = corners[(place + 1) % len(corners)]
        length = (until - start) % count or count
        yield [order[(start + k) % count] for k in range(length)]


def _corners(order: Sequence[Numbered], walls: Mapping[int, str]) -> list[int]:
    """The edges that begin at a corner.

    Points on a line are left out first: beside a corner that is nearly none they would bring its neighbours nearer,
    and with them the line between these.
    """
    left = list(range(len(order)))
    for nearest_ft in (ON_LINE_FT, STRAIGHT_FT):
        left = [left[k] for k in range(len(left)) if _turns(order, left, k, walls, nearest_ft)]
    return left


def _turns(
    order: Sequence[Numbered], left: Sequence[int], place: int, walls: Mapping[int, str], nearest_ft: float
) -> bool:
    at = left[place]
    if walls.get(order[at - 1][0]) != walls.get(order[at][0]):
        return True
    following = left[(place + 1) % len(left)]
    (ax, ay), (bx, by), (cx, cy) = (order[one][1] for one in (left[place - 1], at, following))
    off = abs((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / math.dist((ax, ay), (cx, cy))
    return off > nearest_ft


def _side(run: Sequence[Numbered], walls: Mapping[int, str], backwards: bool) -> Side:
    number = min(one[0] for one in run)
    start = run[0][1]
    parts = tuple(
        Part(one, math.dist(start, begin), math.dist(begin, end), backwards) for one, begin, end in run
    )
    return Side(edge_between(number, start, run[-1][2], 1.0), walls.get(number), parts)

"""Where the walls of the house stand beside a deck, and how far from them a place lies."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from shapely import LineString, union_all
from shapely import Point as Place
from shapely.geometry.base import BaseGeometry

from service.contract.plan import SAME_FT, Point, Segment
from service.contract.spec import DeckSpec
from service.framing.guard_edges import Edge
from service.framing.sides import Outline, Side, level_outline

Walls = tuple[Segment, ...]
FAR_FT = 2000.0  # beyond every coordinate a spec may hold
STRAIGHT = 1e-3  # sine of the angle between two sides that are one straight line
PAST_FT = 0.5  # floor this near past a wall's end shows that the wall ends there
HOUSE_LINE: Segment = ((-FAR_FT, 0.0), (FAR_FT, 0.0))


def walls_of(spec: DeckSpec) -> Walls:
    """Return the walls of the house in the deck frame, ft: the sides of all levels that stand at one.

    A wall is taken to go on straight past its last side, as nothing says where the house ends. Its corner is shown
    where floor of a level lies past it, or where the outline itself goes straight on with an open side (convention
    of this service). A house that no level touches is the whole wall line y = 0.

    >>> from service.contract.spec import LevelSpec
    >>> level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=34)
    >>> walls_of(DeckSpec(levels=(level,)))[0]
    ((0.0, 0.0), (16.0, 0.0))
    """
    outlines = [level_outline(spec, level) for level in spec.levels]
    floors = union_all([one.polygon.buffer(-SAME_FT) for one in outlines])
    found = [wall for one in outlines for wall in _walls(one, floors)]
    if spec.house.wall != "none" and not any(side.wall == "" for one in outlines for side in one.sides):
        found.append(HOUSE_LINE)
    return tuple(found)


def _walls(outline: Outline, floors: BaseGeometry) -> Iterator[Segment]:
    count = len(outline.sides)
    for number, side in enumerate(outline.sides):
        if not side.on_house:
            continue
        edge, back = side.edge, (-side.edge.along[0], -side.edge.along[1])
        yield edge.start_ft, edge.end_ft
        yield from _rest(edge.start_ft, back, outline.sides[number - 1].edge, floors)
        yield from _rest(edge.end_ft, edge.along, outline.sides[(number + 1) % count].edge, floors)


def _rest(end: Point, along: Point, next_side: Edge, floors: BaseGeometry) -> Iterator[Segment]:
    """How a wall goes on past its end, until floor is met; nothing where the house's corner is shown."""
    if abs(along[0] * next_side.along[1] - along[1] * next_side.along[0]) < STRAIGHT:
        return
    met = LineString([_ahead(end, along, PAST_FT), _ahead(end, along, FAR_FT)]).intersection(floors)
    goes_ft = FAR_FT if met.is_empty else Place(end).distance(met)
    if goes_ft > PAST_FT + SAME_FT:
        yield end, _ahead(end, along, goes_ft)


def _ahead(point: Point, along: Point, by_ft: float) -> Point:
    return (point[0] + along[0] * by_ft, point[1] + along[1] * by_ft)


# Asked for the same few places by every frame of a search; the answer follows from the arguments alone.
@lru_cache(maxsize=4096)
def wall_distance_ft(walls: Walls, x_ft: float, y_ft: float) -> float:
    """Return how far a place lies from the nearest wall, ft; infinite where there is none.

    >>> wall_distance_ft((((0.0, 0.0), (16.0, 0.0)),), 19.0, 4.0)
    5.0
    """
    return min((_distance_ft(wall, (x_ft, y_ft)) for wall in walls), default=math.inf)


def _distance_ft(wall: Segment, place: Point) -> float:
    (ax, ay), (bx, by) = wall
    dx, dy = bx - ax, by - ay
    part = ((place[0] - ax) * dx + (place[1] - ay) * dy) / (dx * dx + dy * dy)
    part = min(1.0, max(0.0, part))
    return math.dist(place, (ax + part * dx, ay + part * dy))


@dataclass(frozen=True)
class Front:
    """One straight wall of the house from end to end, the yard on its left with y up.

    ``round_start`` and ``round_end``: there the house's corner is, and the yard goes on round it; at the other ends
    another wall comes forward.
    """

    start_ft: Point
    end_ft: Point
    round_start: bool = True
    round_end: bool = True

    @property
    def along(self) -> Point:
        """The unit vector from its start to its end."""
        length = math.dist(self.start_ft, self.end_ft)
        return (self.end_ft[0] - self.start_ft[0]) / length, (self.end_ft[1] - self.start_ft[1]) / length

    @property
    def outward(self) -> Point:
        """The unit vector out into the yard."""
        return -self.along[1], self.along[0]


def fronts_of(spec: DeckSpec) -> tuple[Front, ...]:
    """Return the walls of ``walls_of`` as the yard sees them: each once, none going on into the house.

    >>> from service.contract.spec import LevelSpec
    >>> level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=34)
    >>> [(one.start_ft, one.end_ft, one.outward) for one in fronts_of(DeckSpec(levels=(level,)))]
    [((-2000.0, 0.0), (2016.0, 0.0), (-0.0, 1.0))]
    """
    outlines = [level_outline(spec, level) for level in spec.levels]
    floors = union_all([one.polygon.buffer(-SAME_FT) for one in outlines])
    fronts = [front for one in outlines for front in _fronts(one, floors)]
    if spec.house.wall != "none" and not any(side.wall == "" for one in outlines for side in one.sides):
        fronts.append(Front(*HOUSE_LINE))
    joined: list[Front] = []
    for front in fronts:
        apart = [one for one in joined if not _same_line(one, front)]
        joined = [*apart, _joined([front, *(one for one in joined if one not in apart)])]
    return tuple(joined)


def _fronts(outline: Outline, floors: BaseGeometry) -> Iterator[Front]:
    count = len(outline.sides)
    for number, side in enumerate(outline.sides):
        if side.on_house:
            edge, back = side.edge, (-side.edge.along[0], -side.edge.along[1])
            start = _until(edge, edge.start_ft, back, outline.sides[number - 1], floors)
            end = _until(edge, edge.end_ft, edge.along, outline.sides[(number + 1) % count], floors)
            yield Front(start[0], end[0], start[1], end[1])


def _until(edge: Edge, end: Point, along: Point, beside: Side, floors: BaseGeometry) -> tuple[Point, bool]:
    """How far a wall goes past one end of a side, and whether the yard goes on round it there."""
    forward = -sum(a * b for a, b in zip(_away(beside.edge, end), edge.outward, strict=True))
    if beside.on_house and forward > STRAIGHT:
        return end, False
    goes_on = next(_rest(end, along, beside.edge, floors), None)
    return (goes_on[1] if goes_on else end), True


def _away(edge: Edge, end: Point) -> Point:
    """The way along an edge from the one of its ends that lies at a point."""
    if math.dist(edge.start_ft, end) < math.dist(edge.end_ft, end):
        return edge.along
    return -edge.along[0], -edge.along[1]


def _same_line(one: Front, other: Front) -> bool:
    """Whether two walls are one: on one line, facing the same way, and touching."""
    (x, y), (u, v) = one.along, one.outward
    if x * other.along[0] + y * other.along[1] < 1 - STRAIGHT**2:
        return False
    places = [(p[0] - one.start_ft[0], p[1] - one.start_ft[1]) for p in (other.start_ft, other.end_ft)]
    if any(abs(dx * u + dy * v) > SAME_FT for dx, dy in places):
        return False
    low, high = (dx * x + dy * y for dx, dy in places)
    return low <= math.dist(one.start_ft, one.end_ft) + PAST_FT and high >= -PAST_FT


def _joined(fronts: Sequence[Front]) -> Front:
    """Walls on one line as one, from the first start to the last end."""
    x, y = fronts[0].along
    first = min(fronts, key=lambda one: one.start_ft[0] * x + one.start_ft[1] * y)
    last = max(fronts, key=lambda one: one.end_ft[0] * x + one.end_ft[1] * y)
    return Front(first.start_ft, last.end_ft, first.round_start, last.round_end)

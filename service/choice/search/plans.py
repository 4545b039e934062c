"""The ways a level may be divided: which way joists run where, and which walls carry ledgers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from shapely import LineString, Polygon
from shapely.ops import split

from service.choice.level.case import Case
from service.choice.level.house_side import ledger_sides
from service.contract.report_frame import Point
from service.framing.axes import Direction
from service.framing.region import Border, Meets, Region, region_of
from service.framing.sides import Outline, Side

Attachment = Literal["ledger", "freestanding"]
NEAR_FT = 1e-6
FAR_FT = 1000.0
SHORTEST_WALL_FT = 4.0  # beside a shorter wall joists of one direction do (convention of this service)
DIRECTIONS: tuple[Direction, ...] = ("away_from_house", "along_house")


@dataclass(frozen=True)
class Plan:
    """One way to divide a level."""

    regions: tuple[Region, ...]

    @property
    def attached(self) -> bool:
        """Whether any joist of it hangs on the house."""
        return any(region.attached for region in self.regions)


def _meets(case: Case, side: Side, ledgers: frozenset[int]) -> Meets:
    if side.edge.number in ledgers:
        return "ledger"
    if side.on_house:
        return "wall"
    return "level" if side.edge.number in case.beside_levels else "open"


def _whole(case: Case, direction: Direction, ledgers: frozenset[int]) -> Plan:
    sides = case.outline.sides
    borders = [Border(s.edge.number, s.edge.start_ft, s.edge.end_ft, _meets(case, s, ledgers)) for s in sides]
    return Plan((region_of(borders, direction),))


def plans(case: Case, kind: Attachment) -> Iterator[Plan]:
    """Yield the ways to divide a level for one way of support at the house, the plainest first.

    Joists of one direction first, away from the house before along it; then, beside a corner of the house, joists
    of two directions with a girder where they meet.
    """
    ledgers = frozenset[int]()
    if kind == "ledger":
        ledgers = ledger_sides(case.spec, case.level, case.outline, case.criteria)
    wished = case.spec.framing.joist_direction
    for direction in DIRECTIONS:
        if wished in ("auto", direction):
            yield _whole(case, direction, ledgers)
    if wished == "auto":
        yield from _divided(case, ledgers)


def _divided(case: Case, ledgers: frozenset[int]) -> Iterator[Plan]:
    """A level round a corner of the house, cut on the line of either wall; joists one way here, the other there."""
    for cut in _cuts(case.outline):
        parts = [part for part in split(case.outline.polygon, cut).geoms if isinstance(part, Polygon)]
        if len(parts) == 2:
            for ways in (DIRECTIONS, DIRECTIONS[::-1]):
                regions = [_part(case, part, way, ledgers) for part, way in zip(parts, ways, strict=True)]
                yield Plan(tuple(sorted(regions, key=lambda one: not one.axes.away)))


def _cuts(outline: Outline) -> Iterator[LineString]:
    """Lines that carry a wall on into the deck, from a corner of the house."""
    sides = outline.sides
    for before, after in zip(sides, (*sides[1:], sides[0]), strict=True):
        if _wraps(before, after):
            corner = before.edge.end_ft
            yield _ray(corner, before.edge.along)
            yield _ray(corner, (-after.edge.along[0], -after.edge.along[1]))


def _wraps(before: Side, after: Side) -> bool:
    """Whether the deck goes round a square corner of the house, along walls long enough to hang joists on."""
    (ax, ay), (bx, by) = before.edge.along, after.edge.along
    walls = before.on_house and after.on_house
    long_enough = min(before.edge.length_ft, after.edge.length_ft) >= SHORTEST_WALL_FT
    return walls and long_enough and ax * by - ay * bx < -1 + NEAR_FT and min(abs(ax), abs(ay)) < NEAR_FT


def _ray(corner: Point, along: Point) -> LineString:
    return LineString([corner, (corner[0] + FAR_FT * along[0], corner[1] + FAR_FT * along[1])])


def _part(case: Case, part: Polygon, direction: Direction, ledgers: frozenset[int]) -> Region:
    points = [(float(x), float(y)) for x, y in part.exterior.coords[:-1]]
    if not part.exterior.is_ccw:
        points.reverse()
    borders = []
    for start, end in zip(points, (*points[1:], points[0]), strict=True):
        side = _side_along(case.outline, start, end)
        meets: Meets = "change" if side is None else _meets(case, side, ledgers)
        borders.append(Border(None if side is None else side.edge.number, start, end, meets))
    return region_of(borders, direction)


def _side_along(outline: Outline, start: Point, end: Point) -> Side | None:
    """The side a border lies on; null for a line inside the level."""
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    for side in outline.sides:
        edge = side.edge
        (ax, ay), (ux, uy) = edge.start_ft, edge.along
        along = (middle[0] - ax) * ux + (middle[1] - ay) * uy
        off = abs((middle[0] - ax) * uy - (middle[1] - ay) * ux)
        if off < 1e-4 and -NEAR_FT <= along <= edge.length_ft + NEAR_FT:
            return side
    return None

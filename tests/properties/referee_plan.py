"""The floor in plan, in inches, and what joist lines do on it: for the referee, from spec and answer alone."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from shapely import LineString, MultiPoint, MultiPolygon, Polygon, unary_union
from shapely.geometry.base import BaseGeometry

from service.contract.plan import edges, house_edges, outline_in_frame
from service.contract.report_frame import JoistLine, Joists, Level, Point
from service.contract.spec import DeckSpec, LevelSpec

JOIST_IN = 1.5
RIM_IN = 1.5
WALL_GAP_IN = 1.0
ROUNDING_IN = 0.02  # the answer gives feet to four decimals
THINNEST_SLAB_IN = 0.02
AT_THE_EDGE_IN = 2.6  # an end joist stands this near a side at most: half of it, a rim and the gap at a wall
Edge = tuple[Point, Point]


@dataclass(frozen=True)
class Side:
    """One edge of the outline, inches; ``wall`` is what stands there, null in the open."""

    number: int
    start: Point
    end: Point
    wall: str | None

    @cached_property
    def line(self) -> LineString:
        """The side as a line."""
        return LineString((self.start, self.end))


@dataclass(frozen=True)
class Floor:
    """The outline of one level as the spec gives it."""

    polygon: Polygon
    sides: tuple[Side, ...]

    @cached_property
    def walls(self) -> BaseGeometry:
        """All sides at a wall of the house."""
        return unary_union([side.line for side in self.sides if side.wall is not None])


def floor_of(spec: DeckSpec, level: LevelSpec) -> Floor:
    """Return the floor of a level, inches in the deck frame."""
    corners = tuple((12 * float(x), 12 * float(y)) for x, y in outline_in_frame(level))
    walls: dict[int, str] = {}
    if spec.house.wall != "none":
        walls = dict.fromkeys(house_edges(level, spec.house.wall), spec.house.wall)
    for other in spec.house.edge_walls:
        if other.level == level.id:
            walls.pop(other.edge, None)
            walls |= {other.edge: other.wall} if other.wall != "none" else {}
    sides = tuple(Side(n, a, b, walls.get(n)) for n, (a, b) in enumerate(edges(corners)))
    return Floor(Polygon(corners), sides)


@dataclass(frozen=True)
class Piece:
    """One joist line: ``across`` is its centre line, ``low`` to ``high`` its length along, inches."""

    group: str
    across: float
    low: float
    high: float
    spacing: float
    line: JoistLine

    def point(self, along: float, turned: bool) -> Point:
        """Return a place of the line in the deck frame, inches."""
        return (along, self.across) if turned else (self.across, along)


def along_house(group: Joists) -> bool:
    """Tell whether across is y and along is x."""
    return group.direction == "along_house"


def pieces_of(group: Joists) -> tuple[Piece, ...]:
    """Return the lines of a group that are given as their direction asks; the rest are left out."""
    if along_house(group):
        given = [(line.y_ft, line.x_start_ft, line.x_end_ft, line) for line in group.lines]
    else:
        given = [(line.x_ft, line.y_start_ft, line.y_end_ft, line) for line in group.lines]
    return tuple(
        Piece(group.id, 12 * across, 12 * low, 12 * high, group.spacing_in, line)
        for across, low, high, line in given
        if across is not None and low is not None and high is not None
    )


def _rings(area: BaseGeometry) -> Iterator[Sequence[tuple[float, ...]]]:
    for part in area.geoms if isinstance(area, MultiPolygon) else (area,):
        if isinstance(part, Polygon) and not part.is_empty:
            yield from (list(ring.coords) for ring in (part.exterior, *part.interiors))


def edges_across(area: BaseGeometry, turned: bool) -> list[Edge]:
    """Return the edges of an area as (across, along) pairs."""
    found = []
    for ring in _rings(area):
        points = [(y, x) if turned else (x, y) for x, y, *_ in ring]
        found += list(pairwise(points))
    return found


def crossings(found: Sequence[Edge], along: float) -> list[float]:
    """Return where a row across at ``along`` crosses the edges, rising."""
    return sorted(
        ax + (along - ay) * (bx - ax) / (by - ay)
        for (ax, ay), (bx, by) in found
        if (ay > along) != (by > along)
    )


@dataclass(frozen=True)
class Strip:
    """One stretch of floor between two rows, with the joist lines that run the whole way through, rising.

    ``left`` and ``right`` are where the floor ends, at the low row and at the high one.
    """

    low: float
    high: float
    left: tuple[float, float]
    right: tuple[float, float]
    inside: tuple[Piece, ...]


def strips(area: BaseGeometry, pieces: Sequence[Piece], turned: bool) -> Iterator[Strip]:
    """Cut an area into stretches within which no joist begins, ends or crosses an edge."""
    found = edges_across(area, turned)
    for low, high in _slabs(found, pieces):
        nudge = (high - low) * 1e-6
        lower, upper = crossings(found, low + nudge), crossings(found, high - nudge)
        running = [p for p in pieces if p.low <= low + ROUNDING_IN and p.high >= high - ROUNDING_IN]
        running.sort(key=lambda p: p.across)
        pairs = zip(_pairs(lower), _pairs(upper), strict=False)
        for (a0, b0), (a1, b1) in pairs:
            near, far = min(a0, a1) - AT_THE_EDGE_IN, max(b0, b1) + AT_THE_EDGE_IN
            inside = tuple(p for p in running if near <= p.across <= far)
            yield Strip(low, high, (a0, a1), (b0, b1), inside)


def _pairs(values: Sequence[float]) -> list[tuple[float, float]]:
    return list(zip(values[::2], values[1::2], strict=False))


def _slabs(found: Sequence[Edge], pieces: Sequence[Piece]) -> Iterator[tuple[float, float]]:
    """Rows between corners, joist ends, and places where a joist line crosses a slanted edge."""
    cuts = {y for edge in found for _, y in edge}
    lowest, highest = min(cuts, default=0.0), max(cuts, default=0.0)
    for piece in pieces:
        cuts |= {piece.low, piece.high}
    for across in {piece.across for piece in pieces}:
        cuts |= set(crossings([((ay, ax), (by, bx)) for (ax, ay), (bx, by) in found], across))
    rows = sorted(cut for cut in cuts if lowest - 1e-9 <= cut <= highest + 1e-9)
    yield from ((a, b) for a, b in pairwise(rows) if b - a > THINNEST_SLAB_IN)


def by_direction(level: Level) -> dict[bool, tuple[Piece, ...]]:
    """Return the lines of a level away from the house (false) and along it (true), as far as there are any."""
    found: dict[bool, tuple[Piece, ...]] = {}
    for group in level.joists:
        turned = along_house(group)
        found[turned] = (*found.get(turned, ()), *pieces_of(group))
    return found


def held(area: BaseGeometry, pieces: Sequence[Piece], turned: bool) -> BaseGeometry:
    """Return the part of an area that lies between neighbouring lines no further apart than their spacing.

    A neighbour is a joist's centre line, or a side of the area, which a rim follows: from the side to the first
    joist it may be half a joist more, as the side of the area is the rim's face. Between lines of two spacings
    the wider counts.
    """
    widest = max((piece.spacing for piece in pieces), default=0.0)
    shapes = [shape for strip in strips(area, pieces, turned) for shape in _held_in(strip, widest)]
    if turned:
        shapes = [Polygon([(y, x) for x, y in shape.exterior.coords]) for shape in shapes]
    return unary_union(shapes)


@dataclass(frozen=True)
class _Stop:
    """Where a bay may end: a joist, or a side of the floor at the low row and at the high one."""

    low: float
    high: float
    spacing: float
    side: bool


def _stops(strip: Strip, widest: float) -> list[_Stop]:
    stops = [_Stop(p.across, p.across, p.spacing, side=False) for p in strip.inside]
    if not stops or stops[0].low > min(strip.left) + 0.01:
        stops.insert(0, _Stop(*strip.left, 0.0 if stops else widest, side=True))
    if stops[-1].side or stops[-1].low < max(strip.right) - 0.01:
        stops.append(_Stop(*strip.right, 0.0, side=True))
    return stops


def _held_in(strip: Strip, widest: float) -> Iterator[Polygon]:
    for one, other in pairwise(_stops(strip, widest)):
        allowed = max(one.spacing, other.spacing) + ROUNDING_IN + (one.side + other.side) * JOIST_IN / 2
        if 0 < max(other.low - one.low, other.high - one.high) <= allowed:
            corners = (
                (one.low, strip.low), (other.low, strip.low), (other.high, strip.high), (one.high, strip.high),
            )  # fmt: skip
            shape = MultiPoint(corners).convex_hull
            if isinstance(shape, Polygon):
                yield shape


def beam_width_in(size: str, plies: int) -> float:
    """Return the width of a beam: dressed 2x 1.5 in a ply, 3x 2.5, 4x 3.5 (American Softwood Lumber Standard)."""
    return {2: 1.5, 3: 2.5, 4: 3.5}[int(size.split("x")[0])] * plies


def inches(point: Point) -> Point:
    """Return a point given in feet, inches."""
    return (12 * point[0], 12 * point[1])


def segment(start_ft: Point, end_ft: Point) -> LineString:
    """Return a line given in feet, inches."""
    return LineString((inches(start_ft), inches(end_ft)))


def open_sides(floor: Floor, level: Level) -> BaseGeometry:
    """Return the sides at a wall that no ledger follows: a deck keeps its gap there."""
    ledgers = [segment(one.start_ft, one.end_ft).buffer(0.5, cap_style="flat") for one in level.ledgers]
    return floor.walls.difference(unary_union(ledgers)) if ledgers else floor.walls


def slant(side: Side, turned: bool) -> float:
    """Return how far off square to the joists a side runs, as the tangent; infinite where it is parallel to them."""
    dx, dy = side.end[0] - side.start[0], side.end[1] - side.start[1]
    across, along = (dy, dx) if turned else (dx, dy)
    return abs(along) / abs(across) if abs(across) > 1e-9 else math.inf

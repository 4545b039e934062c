"""The ground as a report tells it: frost, and where the house's hole was dug and filled again."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from shapely import LineString, MultiPoint, Polygon, box, get_coordinates

from service.contract.plan import SAME_FT
from service.contract.report_ground import Footing, Ground, Point
from service.contract.spec import DeckSpec
from service.foundations.backfill import Excavation, excavation, zone_width_in
from service.foundations.facts import FoundationFacts
from service.framing.ground import Terrain, grade_of
from service.framing.sides import corners_in_frame
from service.framing.walls import Front, fronts_of
from service.sizing.criteria import Criteria
from service.sizing.criteria import Ground as Site

PAST_FT = 2.0  # a zone is told so far past the deck, and its own width more (convention of this service)
STEP_FT = 2.0  # on falling ground its edge is looked for at places so far apart (convention of this service)
ROUND_PARTS = 24  # sides of the polygon round the house's corner, half a circle
HALVINGS = 20  # to a thousandth of an inch


@dataclass(frozen=True)
class _Hole:
    """The hole of a house, in its ground."""

    dug: Excavation
    site: Site
    grade: Terrain

    def width_ft(self, at: Point) -> float:
        """How far from the house the ground was disturbed at the frost line, by the height of the ground at a place."""
        return zone_width_in(self.dug, self.site, self.grade(*at)) / 12

    def edge(self, at: Point, way: Point) -> Point:
        """Where the zone ends, from a place at the wall square out from it."""
        far_ft = self.width_ft(at)
        if not self.grade.level:
            far_ft = self._far_ft(at, way)
        return _ahead(at, way, far_ft)

    def _far_ft(self, at: Point, way: Point) -> float:
        low, high = 0.0, 1.0
        while high < self.width_ft(_ahead(at, way, high)) and high < self.dug.depth_in:
            high *= 2
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            if middle < self.width_ft(_ahead(at, way, middle)):
                low = middle
            else:
                high = middle
        return low


def ground_told(
    spec: DeckSpec, criteria: Criteria, facts: FoundationFacts, footings: Iterable[Footing] = ()
) -> Ground:
    """Return the ground of a report: the zones are those ``in_backfill_zone`` is judged by, in ft and in.

    Source: ``Excavation.width_in`` at the frost line; how far zones are told is a convention of this service.

    Args:
        spec: outlines, house and ground, all given.
        criteria: the ground of the site.
        facts: slopes and working room.
        footings: those of the deck.

    >>> from service.contract.spec import LevelSpec
    >>> spec = DeckSpec(levels=(LevelSpec(width_ft=16, projection_ft=12, surface_height_in=34),))
    >>> told = ground_told(spec, criteria, facts)  # the depth of the house's foundation is not known
    >>> told.frost_depth_in == criteria.ground.frost_depth_in, told.house_footing_depth_in, told.backfill_zones_ft
    (True, None, ())
    """
    site, dug = criteria.ground, excavation(criteria, facts)
    if dug is None:
        return Ground(frost_depth_in=site.frost_depth_in)
    corners = [corner for level in spec.levels for corner in corners_in_frame(level)]
    places = [*corners, *((one.x_ft, one.y_ft) for one in footings)]
    return Ground(
        frost_depth_in=site.frost_depth_in,
        house_footing_depth_in=dug.depth_in,
        backfill_zones_ft=tuple(_zones(_Hole(dug, site, grade_of(spec.site)), fronts_of(spec), places)),
        backfill_top_width_in=dug.width_in(0.0) or None,
        backfill_floor_width_in=dug.floor_edge_in if dug.depth_in > 0 else None,
    )


def _zones(hole: _Hole, fronts: Sequence[Front], places: Sequence[Point]) -> Iterator[tuple[Point, ...]]:
    low_x, low_y, high_x, high_y = MultiPoint(places).bounds
    widest = max(hole.width_ft((x, y)) for x in (low_x, high_x) for y in (low_y, high_y))
    past = PAST_FT + max(widest, *(hole.width_ft(place) for place in places))
    window = box(low_x - past, low_y - past, high_x + past, high_y + past)
    for front in fronts:
        met = LineString((front.start_ft, front.end_ft)).intersection(window)
        if met.length > 0:
            zone = _zone(hole, front, get_coordinates(met).tolist())
            if Polygon(zone).area > SAME_FT:
                yield zone


def _ahead(at: Point, way: Point, by_ft: float) -> Point:
    return at[0] + way[0] * by_ft, at[1] + way[1] * by_ft


def _zone(hole: _Hole, front: Front, met: Sequence[Sequence[float]]) -> tuple[Point, ...]:
    """The corners of the zone of a stretch of wall: along the wall, round its end, back along the edge of the hole."""
    along, out = front.along, front.outward
    (ax, ay), (bx, by) = met[0], met[-1]
    if (bx - ax) * along[0] + (by - ay) * along[1] < 0:
        ax, ay, bx, by = bx, by, ax, ay
    start, end, length = (ax, ay), (bx, by), math.dist((ax, ay), (bx, by))
    parts = 1 if hole.grade.level else math.ceil(length / STEP_FT)
    wall = [_ahead(start, along, length * n / parts) for n in range(parts + 1)]
    round_end = front.round_end and math.dist(end, front.end_ft) < SAME_FT
    round_start = front.round_start and math.dist(start, front.start_ft) < SAME_FT
    return (
        start,
        end,
        *(_round(hole, end, out, along)[::-1] if round_end else ()),
        *(hole.edge(at, out) for at in reversed(wall)),
        *(_round(hole, start, out, (-along[0], -along[1])) if round_start else ()),
    )


def _round(hole: _Hole, corner: Point, out: Point, past: Point) -> list[Point]:
    """The edge of the zone round a corner of the house, from square out of its wall to the line behind it."""
    turns = [math.pi * (n + 1) / ROUND_PARTS for n in range(ROUND_PARTS)]
    ways = [
        (
            out[0] * math.cos(turn) + past[0] * math.sin(turn),
            out[1] * math.cos(turn) + past[1] * math.sin(turn),
        )
        for turn in turns
    ]
    return [hole.edge(corner, way) for way in ways]

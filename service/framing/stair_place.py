"""Where a stair may stand: the level it leaves, the floors and walls about it, and the line it runs out along."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from shapely import Point as PlanPoint
from shapely import Polygon

from service.contract.report_frame import Point
from service.contract.spec import DeckSpec, LevelSpec
from service.contract.spec_level import DeckingSpec, StairSpec
from service.framing.ground import Grade, grade_of
from service.framing.guard_edges import Edge
from service.framing.sides import Outline, level_outline
from service.framing.walls import Walls, walls_of


@dataclass(frozen=True)
class Floor:
    """The floor of a level: its outline in the deck frame, ft, and its surface above the datum, in."""

    outline: Outline
    surface_height_in: float

    @property
    def polygon(self) -> Polygon:
        """The floor in plan, ft."""
        return self.outline.polygon

    def covers(self, at: Point) -> bool:
        """Return whether a place lies on the floor or its edge."""
        return bool(self.polygon.covers(PlanPoint(at)))


@dataclass(frozen=True)
class StairPlace:
    """The level a stair leaves: outline, surface, ground, boards, floors of the other levels by id, house walls."""

    outline: Outline
    surface_height_in: float
    grade: Grade
    decking: DeckingSpec
    floors: Mapping[str, Floor]
    walls: Walls = ()
    origin_ft: Point = (0.0, 0.0)

    def ground(self, down_to: str) -> Grade:
        """Return the height of what lies under a stair: the floor it goes down to, the ground beside that floor."""
        floor = self.floors.get(down_to)
        if floor is None:
            return self.grade
        return lambda x, y: floor.surface_height_in if floor.covers((x, y)) else self.grade(x, y)

    def foot_height_in(self, down_to: str, at: Point) -> float:
        """Return the height of what a stair whose foot is at a place goes down to, in."""
        floor = self.floors.get(down_to)
        return self.grade(*at) if floor is None else floor.surface_height_in


def places_of(spec: DeckSpec) -> dict[str, StairPlace]:
    """Return, by id, every level of a sound spec as the place a stair leaves.

    >>> level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=34)
    >>> places_of(DeckSpec(levels=(level,)))["main"].surface_height_in
    34
    """
    grade = grade_of(spec.site)
    floors = {level.id: Floor(level_outline(spec, level), level.surface_height_in) for level in spec.levels}
    walls = walls_of(spec)
    return {level.id: _place(level, grade, floors, walls) for level in spec.levels}


def _place(level: LevelSpec, grade: Grade, floors: Mapping[str, Floor], walls: Walls) -> StairPlace:
    own = floors[level.id]
    others = {id_: floor for id_, floor in floors.items() if id_ != level.id}
    x, y = level.origin_ft
    origin = (float(x), float(y))
    return StairPlace(own.outline, own.surface_height_in, grade, level.decking, others, walls, origin)


@dataclass(frozen=True)
class StairLine:
    """The stretch of a side a stair leaves by, and the way out from there."""

    edge: Edge
    from_ft: float
    width_ft: float

    @property
    def to_ft(self) -> float:
        """How far along the side the stair's far side is, ft."""
        return self.from_ft + self.width_ft

    def at(self, across_ft: float, out_in: float) -> Point:
        """Return the place so far from the stair's near side and so far out from the edge."""
        return self.edge.point(self.from_ft + across_ft, out_in / 12)

    def middle(self, out_in: float) -> Point:
        """Return the middle of the stair's width, so far out."""
        return self.at(self.width_ft / 2, out_in)

    def strip(self, start_in: float, end_in: float) -> tuple[Point, ...]:
        """Return the corners of the stair's width between two distances from the edge, in order round it."""
        near = self.at(0.0, start_in), self.at(self.width_ft, start_in)
        return *near, self.at(self.width_ft, end_in), self.at(0.0, end_in)

    @property
    def along_x(self) -> bool | None:
        """Whether the stair runs out along x; null where it runs at an angle to both axes."""
        x, y = (abs(part) for part in self.edge.outward)
        if min(x, y) > math.sin(math.radians(SQUARE_WITHIN_DEG)):
            return None
        return x > y


SQUARE_WITHIN_DEG = 0.1  # convention of this service: an edge this near an axis runs along it


def stair_line(spec: StairSpec, place: StairPlace) -> StairLine:
    """Return the line a stair of the caller's runs out along."""
    width_ft = spec.width_in / 12
    side, along = place.outline.place(spec.edge, spec.offset_ft, width_ft)
    return StairLine(side.edge, along, width_ft)

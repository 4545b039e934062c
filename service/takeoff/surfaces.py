"""The board surface of a level: its fields, the borders round it and the boards between two fields.

Boards turn with the joists, since they must cross them: where the joists of a level run two ways, so do the boards,
with one board along the line between.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from service.contract.report_frame import Joists, Level
from service.contract.spec import DeckSpec, LevelSpec
from service.framing.frame import Frame
from service.framing.sides import level_outline
from service.sizing.lumber import width_in
from service.takeoff.floors import common_lines, shared, without
from service.takeoff.free_edges import FreeEdge, free_edges
from service.takeoff.lines import Segment, ends_ft
from service.takeoff.parts import BOARD_GAP_IN, INCHES_PER_FT
from service.takeoff.rows import Row, lay_along, lay_of, over_joists, rows, run_of

FASCIA_SIZE = "1x12"
STRAIGHT_IN = 0.01  # a corner this near the line between its neighbours is none (convention of this service)


class Field(NamedTuple):
    """The rows over joists of one direction, and the member they lie on."""

    member: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Surface:
    """The boards of one level: its outline in the deck frame, in, its free edges, joists and board."""

    level: Level
    wish: LevelSpec
    outline: Polygon
    free_edges: tuple[FreeEdge, ...]

    @property
    def pitch_in(self) -> float:
        """A board and the gap beside it, in."""
        return self.wish.decking.board_width_in + BOARD_GAP_IN

    @property
    def member(self) -> str:
        """The member that borders and fascia are counted with."""
        return self.level.joists[0].id

    @cached_property
    def borders(self) -> tuple[Row, ...]:
        """The boards along the free edges, ring by ring, mitred where two meet."""
        runs = (edge.run(*ring) for ring in self._rings for edge in self.free_edges)
        return tuple(run for run in runs if run)

    @cached_property
    def outside(self) -> tuple[tuple[FreeEdge, Row], ...]:
        """The fascia outside the free edges: the edge and its run."""
        runs = ((edge, edge.run(-width_in(FASCIA_SIZE), 0.0)) for edge in self.free_edges)
        return tuple((edge, run) for edge, run in runs if run)

    @property
    def _rings(self) -> list[tuple[float, float]]:
        return [(n * self.pitch_in, (n + 1) * self.pitch_in) for n in range(self.wish.decking.border_boards)]

    @cached_property
    def _inside(self) -> BaseGeometry:
        """What the borders leave."""
        strips = [edge.strip(*ring) for ring in self._rings for edge in self.free_edges]
        return without(self.outline, strips)

    @cached_property
    def _directions(self) -> dict[str, tuple[Joists, ...]]:
        """The joists by direction, that of the first group first."""
        found: dict[str, tuple[Joists, ...]] = {}
        for group in self.level.joists:
            found[group.direction] = (*found.get(group.direction, ()), group)
        return found

    @cached_property
    def _regions(self) -> tuple[BaseGeometry, ...]:
        """The floor over the joists of each direction; the second takes what the first leaves."""
        if len(self._directions) == 1:
            return (self.outline,)
        first, *_ = self._directions.values()
        carried = shapely.union_all([_region(group) for group in first])
        return shared(self.outline, carried), without(self.outline, [carried])

    @cached_property
    def _between(self) -> tuple[tuple[Segment, Polygon], ...]:
        """The boards between two fields: the line each lies on, and what it covers."""
        if len(self._regions) == 1:
            return ()
        found = []
        for line in _straight(common_lines(*self._regions)):
            strip = LineString(line).buffer(self.pitch_in / 2, cap_style="flat")
            found += [(line, part) for part in shared(strip, self._inside).geoms]
        return tuple(found)

    @cached_property
    def between(self) -> tuple[Row, ...]:
        """The boards between two fields."""
        return tuple(run_of(lay_along(line).frame(part)) for line, part in self._between)

    @cached_property
    def fields(self) -> tuple[Field, ...]:
        """The rows of each direction of joists, inside the borders and beside the boards between."""
        inside = without(self._inside, [part for _, part in self._between])
        return tuple(
            self._field(groups, shared(region, inside))
            for groups, region in zip(self._directions.values(), self._regions, strict=True)
        )

    def _field(self, groups: tuple[Joists, ...], floor: BaseGeometry) -> Field:
        lay = lay_of(groups[0].direction, self.wish.decking.angle_deg)
        ends = [end for group in groups for line in group.lines for end in ends_ft(line)]
        joists = lay.turn(INCHES_PER_FT * np.array(ends)).reshape(-1, 2, 2)
        return Field(groups[0].id, over_joists(rows(lay.frame(floor), self.pitch_in), joists))


def _region(group: Joists) -> Polygon:
    if not group.region_ft:
        raise ValueError(f"{group.id}: where joists run two ways each group needs its region")
    return Polygon([(INCHES_PER_FT * x, INCHES_PER_FT * y) for x, y in group.region_ft])


def _straight(lines: BaseGeometry) -> list[Segment]:
    """The straight pieces of lines."""
    parts = (line.simplify(STRAIGHT_IN).coords for line in shapely.get_parts(lines))
    return [((ax, ay), (bx, by)) for part in parts for (ax, ay), (bx, by) in pairwise(part)]


def surfaces(frame: Frame, spec: DeckSpec) -> list[Surface]:
    """Return the board surface of every level that has joists."""
    wishes = {wish.id: wish for wish in spec.levels}
    return [_surface(level, wishes[level.id], spec) for level in frame.levels if level.joists]


def _surface(level: Level, wish: LevelSpec, spec: DeckSpec) -> Surface:
    corners = level_outline(spec, wish).corners_ft
    outline = Polygon([(INCHES_PER_FT * x, INCHES_PER_FT * y) for x, y in corners])
    return Surface(level, wish, outline, free_edges(spec, wish))

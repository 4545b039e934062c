"""The height of the ground anywhere in the deck frame: a plane, or measured points."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from shapely import LineString, MultiLineString, Polygon, get_coordinates, segmentize

from service.contract.plan import Point
from service.contract.spec import SiteSpec
from service.framing.mesh import Measured, Mesh, height_in, mesh_of, net_of

Grade = Callable[[float, float], float]
SAMPLE_FT = 1.0
AROUND = 16  # corners of the polygon drawn about a circle
_OUT = 1 / math.cos(math.pi / AROUND)
_TURNS = [2 * math.pi * (i + 0.5) / AROUND for i in range(AROUND)]
ROUND_A_FOOT = [(_OUT * math.cos(turn), _OUT * math.sin(turn)) for turn in _TURNS]


@dataclass(frozen=True, eq=False)
class Terrain:
    """The ground as a function of x and y in feet. ``mesh`` holds what was measured, null on a plane.

    ``level`` says that it falls nowhere. What it was asked for a second time it has kept: it never changes.
    """

    height: Grade
    mesh: Mesh | None = None
    level: bool = False
    _falls: dict[Point, float] = field(default_factory=dict, init=False, repr=False)

    def __call__(self, x_ft: float, y_ft: float) -> float:
        """Return the height above the datum, in."""
        return self.height(x_ft, y_ft)

    @property
    def points(self) -> tuple[Measured, ...]:
        """The measured points."""
        return self.mesh.points if self.mesh else ()

    def fall_in_per_ft(self, x_ft: float, y_ft: float) -> float:
        """Return how far it falls within a foot of a place, the steepest way, in per ft."""
        if self.level:
            return 0.0
        place = (x_ft, y_ft)
        if place not in self._falls:
            self._falls[place] = _fall_in_per_ft(self, x_ft, y_ft)
        return self._falls[place]

    @cached_property
    def net(self) -> MultiLineString:
        """The lines its slope changes at."""
        return net_of(self.mesh) if self.mesh else MultiLineString()


def grade_of(site: SiteSpec) -> Terrain:
    """Return the ground height in inches above the datum as a function of x and y in feet.

    Between measured points by Delaunay triangles; outside them the height of the nearest place of their edge.

    >>> grade_of(SiteSpec(grade_fall_y_in_per_ft=1.0))(0.0, 6.0)
    -6.0
    """
    if site.grade_points:
        mesh = mesh_of((point.x_ft, point.y_ft, point.grade_in) for point in site.grade_points)
        return Terrain(height_in(mesh), mesh)
    fall_x, fall_y = site.grade_fall_x_in_per_ft, site.grade_fall_y_in_per_ft
    return Terrain(lambda x_ft, y_ft: 0.0 - (fall_x * x_ft + fall_y * y_ft), level=not (fall_x or fall_y))


def heights_over(grade: Grade, corners_ft: Sequence[Point]) -> list[float]:
    """Return ground heights along a line (two corners) or over a convex shape, its lowest and highest among them, in.

    They are exact on a ``Terrain``; any other function is looked at every foot along the line or round the shape.

    >>> heights_over(grade_of(SiteSpec(grade_fall_y_in_per_ft=1.0)), [(0, 0), (0, 6)])
    [0.0, -6.0]
    """
    if isinstance(grade, Terrain) and grade.mesh is None:
        return [grade(*corner) for corner in corners_ft]
    shape = LineString(corners_ft) if len(corners_ft) == 2 else Polygon(corners_ft)
    if isinstance(grade, Terrain):
        places = [*corners_ft, *get_coordinates(grade.net.intersection(shape))]
    else:
        places = [*get_coordinates(segmentize(shape, SAMPLE_FT))]
    return [grade(float(x), float(y)) for x, y in places]


def lowest_ground_gap_in(start_ft: Point, end_ft: Point, bottom_height_in: float, grade: Grade) -> float:
    """Return the least height of a beam's bottom over the ground along its length, in; below 0 it is in the ground.

    >>> ground = grade_of(SiteSpec(grade_fall_x_in_per_ft=-1.0))
    >>> lowest_ground_gap_in((0, 10), (16, 10), 18.0, ground)
    2.0
    """
    return bottom_height_in - max(heights_over(grade, (start_ft, end_ft)))


def downhill_in_per_ft(grade: Grade, x_ft: float, y_ft: float) -> float:
    """Return how far the ground falls within a foot of a place, the steepest way, in per ft.

    >>> downhill_in_per_ft(grade_of(SiteSpec(grade_fall_x_in_per_ft=3.0)), 4, 10)
    3.0
    """
    if isinstance(grade, Terrain):
        return grade.fall_in_per_ft(x_ft, y_ft)
    return _fall_in_per_ft(grade, x_ft, y_ft)


def _fall_in_per_ft(grade: Grade, x_ft: float, y_ft: float) -> float:
    around = [(x_ft + out_x, y_ft + out_y) for out_x, out_y in ROUND_A_FOOT]
    return max(0.0, grade(x_ft, y_ft) - min(heights_over(grade, around)))

"""The height of the ground anywhere in the deck frame: a plane, or measured points."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from shapely import LineString, MultiLineString, Polygon, get_coordinates, segmentize

from service.contract.plan import Point
from service.contract.spec import SiteSpec
from service.framing.mesh import Measured, Mesh, height_in, mesh_of, net_of

Grade = Callable[[float, float], float]
SAMPLE_FT = 1.0
AROUND = 16  # corners of the polygon drawn about a circle


@dataclass(frozen=True, eq=False)
class Terrain:
    """The ground as a function of x and y in feet. ``mesh`` holds what was measured, null on a plane."""

    height: Grade
    mesh: Mesh | None = None

    def __call__(self, x_ft: float, y_ft: float) -> float:
        """Return the height above the datum, in."""
        return self.height(x_ft, y_ft)

    @property
    def points(self) -> tuple[Measured, ...]:
        """The measured points."""
        return self.mesh.points if self.mesh else ()

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
    return Terrain(lambda x_ft, y_ft: 0.0 - (fall_x * x_ft + fall_y * y_ft))


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
    out = 1 / math.cos(math.pi / AROUND)
    turns = [2 * math.pi * (i + 0.5) / AROUND for i in range(AROUND)]
    around = [(x_ft + out * math.cos(turn), y_ft + out * math.sin(turn)) for turn in turns]
    return max(0.0, grade(x_ft, y_ft) - min(heights_over(grade, around)))

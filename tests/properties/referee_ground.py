"""The ground as the spec describes it, worked out again: a plane, or triangles between measured points."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from shapely import MultiPoint, Polygon, delaunay_triangles
from shapely import Point as Place
from shapely.ops import nearest_points

from service.contract.spec import SiteSpec

Ground = Callable[[float, float], float]


def ground_of(site: SiteSpec) -> Ground:
    """Return the height of the ground above the datum, in, at a place in ft.

    >>> ground_of(SiteSpec(grade_fall_y_in_per_ft=1.0))(0.0, 6.0)
    -6.0
    """
    if site.grade_points is None:
        fall_x, fall_y = site.grade_fall_x_in_per_ft, site.grade_fall_y_in_per_ft
        return lambda x_ft, y_ft: -(fall_x * x_ft + fall_y * y_ft) + 0.0
    heights = {(point.x_ft, point.y_ft): point.grade_in for point in site.grade_points}
    found = delaunay_triangles(MultiPoint(list(heights)))
    triangles = [part for part in found.geoms if isinstance(part, Polygon)]
    hull = MultiPoint(list(heights)).convex_hull

    def ground(x_ft: float, y_ft: float) -> float:
        place = Place(x_ft, y_ft)
        if not hull.covers(place):
            place = nearest_points(hull, place)[0]
        triangle = min(triangles, key=lambda one: one.distance(place))
        return _on_plane(triangle, heights, place)

    return ground


def _on_plane(triangle: Polygon, heights: dict[tuple[float, float], float], place: Place) -> float:
    corners = [(x, y) for x, y, *_ in triangle.exterior.coords[:3]]
    rows = np.array([[x, y, 1.0] for x, y in corners])
    plane = np.linalg.solve(rows, np.array([heights[corner] for corner in corners]))
    return float(plane @ (place.x, place.y, 1.0))

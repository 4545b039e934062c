"""Cutting floors apart: polygons less polygons, kept sound.

Corners are kept to a millionth of an inch: nearer ones, left over from arithmetic, trip whatever cuts polygons next.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely import LineString, MultiLineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

GRID_IN = 1e-6
THIN_IN = 0.001  # what is thinner than this is left over from arithmetic, not wood


def polygons(geometry: BaseGeometry) -> list[Polygon]:
    """Return the polygons of a geometry, without what arithmetic left over.

    >>> len(polygons(shapely.box(0, 0, 5, 5))), len(polygons(shapely.box(0, 0, 5, 0.0001)))
    (1, 0)
    """
    return [part for part in shapely.get_parts(geometry) if isinstance(part, Polygon) and _is_wood(part)]


def _is_wood(part: Polygon) -> bool:
    left, low, right, high = part.bounds
    return min(right - left, high - low) >= THIN_IN and part.area >= THIN_IN


def shared(floor: BaseGeometry, other: BaseGeometry) -> MultiPolygon:
    """Return what two floors share.

    >>> shared(shapely.box(0, 0, 5, 5), shapely.box(4, 0, 9, 5)).area
    5.0
    """
    return MultiPolygon(polygons(shapely.intersection(floor, other, grid_size=GRID_IN)))


def without(floor: BaseGeometry, taken: Sequence[BaseGeometry]) -> MultiPolygon:
    """Return what is left of a floor.

    >>> without(shapely.box(0, 0, 5, 5), [shapely.box(4, 0, 9, 5), shapely.box(0, 0, 1, 9)]).area
    15.0
    """
    gone = shapely.union_all(list(taken), grid_size=GRID_IN)
    return MultiPolygon(polygons(shapely.difference(floor, gone, grid_size=GRID_IN)))


def common_lines(floor: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """Return the lines along which two floors lie against each other.

    >>> common_lines(shapely.box(0, 0, 4, 5), shapely.box(4, 0, 9, 5)).length
    5.0
    """
    met = shapely.intersection(floor.boundary, other.boundary, grid_size=GRID_IN)
    lines = [part for part in shapely.get_parts(met) if isinstance(part, LineString) and not part.is_empty]
    return shapely.line_merge(MultiLineString(lines))


def turned(floor: BaseGeometry, turn: Callable[[np.ndarray], np.ndarray]) -> MultiPolygon:
    """Return a floor in another frame."""
    return MultiPolygon(polygons(shapely.set_precision(shapely.transform(floor, turn), GRID_IN)))

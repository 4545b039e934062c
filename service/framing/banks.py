"""Where the ground is steep: banks between measured points, or a whole plane."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapely import Point as Place
from shapely import Polygon, get_parts, union_all
from shapely.geometry.base import BaseGeometry

from service.framing.ground import Terrain
from service.framing.mesh import Facet

STEEPER_IN_PER_FT = 1e-6  # rounding
ONE_BANK_FT = 3.0  # convention of this service: with less between them two banks are one


@dataclass(frozen=True)
class Bank:
    """Steep ground: how high from its foot to its top, and its steepest fall. ``shape`` is null on a plane."""

    shape: BaseGeometry | None
    height_ft: float
    fall_in_per_ft: float

    def distance_ft(self, x_ft: float, y_ft: float) -> float:
        """Return how far away it lies in plan, 0 on it."""
        return 0.0 if self.shape is None else float(self.shape.distance(Place(x_ft, y_ft)))


def banks(ground: Terrain, over_in_per_ft: float) -> tuple[Bank, ...]:
    """Return the ground steeper than asked about.

    >>> from service.contract.spec import SiteSpec
    >>> from service.framing.ground import grade_of
    >>> [bank.fall_in_per_ft for bank in banks(grade_of(SiteSpec(grade_fall_x_in_per_ft=5)), 4)]
    [5.0]
    """
    if ground.mesh is None:
        fall = math.hypot(ground(1, 0) - ground(0, 0), ground(0, 1) - ground(0, 0))
        return (Bank(None, math.inf, fall),) if fall > over_in_per_ft + STEEPER_IN_PER_FT else ()
    steep = [one for one in ground.mesh.facets if one.fall_in_per_ft > over_in_per_ft + STEEPER_IN_PER_FT]
    return tuple(_gathered(steep))


def _gathered(steep: Sequence[Facet]) -> Iterator[Bank]:
    shapes = [Polygon([corner[:2] for corner in facet.corners]) for facet in steep]
    for part in get_parts(union_all([shape.buffer(ONE_BANK_FT / 2) for shape in shapes])):
        its = [number for number, shape in enumerate(shapes) if part.intersects(shape)]
        heights = [height for number in its for _, _, height in steep[number].corners]
        yield Bank(
            union_all([shapes[number] for number in its]),
            (max(heights) - min(heights)) / 12,
            max(steep[number].fall_in_per_ft for number in its),
        )

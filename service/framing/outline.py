"""What part of a level's outline this version can frame: one rectangle against the house line."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.report_frame import Point
from service.contract.spec import LevelSpec

SAME_FT = 1e-6


@dataclass(frozen=True)
class Rectangle:
    """A rectangular level. ``corners_ft`` keep the caller's order, so that edge numbers mean what he meant.

    ``house_edge`` is the edge on the house line, ``yard_edge`` the one opposite.
    """

    x_ft: float
    y_ft: float
    width_ft: float
    projection_ft: float
    corners_ft: tuple[Point, ...]
    house_edge: int

    @property
    def yard_edge(self) -> int:
        """The edge farthest from the house."""
        return (self.house_edge + 2) % 4


def corners(level: LevelSpec) -> tuple[Point, ...]:
    """Return the outline's corners in the deck frame, ft, in the caller's order.

    >>> corners(LevelSpec(width_ft=16, projection_ft=12, surface_height_in=34))[2]
    (16.0, 12.0)
    """
    x0, y0 = level.origin_ft
    if level.outline_ft is not None:
        return tuple((float(x0 + x), float(y0 + y)) for x, y in level.outline_ft)
    w, p = level.width_ft or 0.0, level.projection_ft or 0.0
    return tuple((float(x0 + x), float(y0 + y)) for x, y in ((0, 0), (w, 0), (w, p), (0, p)))


def without_straight_corners(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return the corners less those on a straight edge.

    >>> without_straight_corners(((0, 0), (8, 0), (16, 0), (16, 12), (0, 12)))
    ((0, 0), (16, 0), (16, 12), (0, 12))
    """
    count = len(points)
    return tuple(
        points[i]
        for i in range(count)
        if abs(_turn(points[i - 1], points[i], points[(i + 1) % count])) > SAME_FT
    )


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _square(points: tuple[Point, ...]) -> bool:
    xs, ys = {p[0] for p in points}, {p[1] for p in points}
    sides = [(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True)]
    along = all(abs(a[0] - b[0]) < SAME_FT or abs(a[1] - b[1]) < SAME_FT for a, b in sides)
    return len(points) == 4 and len(xs) == 2 and len(ys) == 2 and along


def rectangle(level: LevelSpec) -> Rectangle | None:
    """Return the level as a rectangle, or None where its outline is another shape.

    >>> rectangle(LevelSpec(width_ft=16, projection_ft=12, surface_height_in=34)).yard_edge
    2
    """
    points = corners(level)
    if len(points) != 4 or not _square(points):
        return None
    xs, ys = sorted({p[0] for p in points}), sorted({p[1] for p in points})
    near = [i for i in range(4) if points[i][1] == ys[0] and points[(i + 1) % 4][1] == ys[0]]
    return Rectangle(xs[0], ys[0], xs[-1] - xs[0], ys[-1] - ys[0], points, near[0])

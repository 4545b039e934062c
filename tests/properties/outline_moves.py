"""The same deck written down another way, or moved, or mirrored: what a design must not depend on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from service.contract.plan import outline
from service.contract.spec import DeckSpec, EdgeWallSpec, LevelSpec

Point = tuple[float, float]
Edges = Callable[[int], tuple[int, ...]]
_replace: Callable[..., Any] = msgspec.structs.replace


def _written(spec: DeckSpec, corners: tuple[Point, ...], edges: Edges) -> DeckSpec:
    """The spec with its only level's outline as ``corners``, ``edges`` naming what became of an edge."""
    (level,) = spec.levels
    named = level.house_edges
    if named is not None:
        named = tuple(new for old in named for new in edges(old))
    changed: LevelSpec = _replace(
        level, outline_ft=corners, width_ft=None, projection_ft=None, house_edges=named
    )
    walls: tuple[EdgeWallSpec, ...] = tuple(
        _replace(wall, edge=new) for wall in spec.house.edge_walls for new in edges(wall.edge)
    )
    made: DeckSpec = _replace(spec, levels=(changed,), house=_replace(spec.house, edge_walls=walls))
    return made


def corners_of(spec: DeckSpec) -> tuple[Point, ...]:
    """Return the outline of the only level in its own axes."""
    return tuple((float(x), float(y)) for x, y in outline(spec.levels[0]))


def as_polygon(spec: DeckSpec) -> DeckSpec:
    """Return a width and a projection written as an outline."""
    return _written(spec, corners_of(spec), lambda edge: (edge,))


def other_sense(spec: DeckSpec) -> DeckSpec:
    """Return the outline listed the other way round."""
    corners = corners_of(spec)
    return _written(spec, corners[::-1], lambda edge: ((len(corners) - 2 - edge) % len(corners),))


def other_start(spec: DeckSpec, first: int) -> DeckSpec:
    """Return the outline listed from another corner."""
    corners = corners_of(spec)
    return _written(spec, corners[first:] + corners[:first], lambda edge: ((edge - first) % len(corners),))


def more_corners(spec: DeckSpec, edge: int, share: float) -> DeckSpec:
    """Return the outline with one more corner on a straight edge, ``share`` of the way along it."""
    corners = corners_of(spec)
    (ax, ay), (bx, by) = corners[edge], corners[(edge + 1) % len(corners)]
    new = (ax + share * (bx - ax), ay + share * (by - ay))

    def edges(old: int) -> tuple[int, ...]:
        return (old, old + 1) if old == edge else (old if old < edge else old + 1,)

    return _written(spec, (*corners[: edge + 1], new, *corners[edge + 1 :]), edges)


def mirrored(spec: DeckSpec) -> DeckSpec:
    """Return the deck, the house and the ground mirrored at x = 0; edges keep their numbers."""
    ground = spec.site.grade_points
    site = _replace(
        spec.site,
        grade_fall_x_in_per_ft=-spec.site.grade_fall_x_in_per_ft + 0.0,
        grade_points=ground and tuple(_replace(point, x_ft=-point.x_ft + 0.0) for point in ground),
    )
    x, y = spec.levels[0].origin_ft
    level = _replace(spec.levels[0], origin_ft=(-x + 0.0, y))
    turned: DeckSpec = _replace(spec, site=site, levels=(level,))
    return _written(turned, tuple((-x + 0.0, y) for x, y in corners_of(spec)), lambda edge: (edge,))


def moved(spec: DeckSpec, x_ft: float, y_ft: float) -> DeckSpec:
    """Return the deck moved in the frame, the measured ground with it."""
    level = spec.levels[0]
    x, y = level.origin_ft
    ground = spec.site.grade_points
    points = ground and tuple(_replace(p, x_ft=p.x_ft + x_ft, y_ft=p.y_ft + y_ft) for p in ground)
    made: DeckSpec = _replace(
        spec,
        levels=(_replace(level, origin_ft=(x + x_ft, y + y_ft)),),
        site=_replace(spec.site, grade_points=points),
    )
    return made

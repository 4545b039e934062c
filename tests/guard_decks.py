"""Levels of any outline for the tests of guards: a plain frame under them, and a ball that tries to get out."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from functools import cache
from itertools import pairwise
from math import ceil, cos, hypot, pi
from typing import Any

import context
from shapely import LineString, Polygon, get_parts, unary_union
from shapely.geometry.base import BaseGeometry

from service.connections.guard_carriers import Carriers
from service.connections.guards import GuardResult, lay_out_guards
from service.contract.report_frame import Guard, JoistLine, Joists, Rim, Stair
from service.contract.spec import DeckSpec, GuardSpec, HouseSpec, LevelSpec
from service.framing.ground import Grade
from service.framing.guard_falls import Floor, GuardedLevel
from service.framing.sides import Outline, Side, level_outline
from service.sizing.criteria import Criteria

Points = tuple[tuple[float, float], ...]
RECTANGLE = ((0.0, 0.0), (16.0, 0.0), (16.0, 12.0), (0.0, 12.0))
# The yard side is reached by a wing on the left: the corner at (12, 12) turns inward.
L_SHAPE = ((0.0, 0.0), (24.0, 0.0), (24.0, 12.0), (12.0, 12.0), (12.0, 20.0), (0.0, 20.0))
CLIPPED = ((0.0, 0.0), (16.0, 0.0), (16.0, 8.0), (12.0, 12.0), (0.0, 12.0))
POST_IN = 3.5
BALL_IN = 4.0
ARC_PARTS = 64  # chords of a quarter circle


@cache
def criteria(edition: str = "2021") -> Criteria:
    """What the guards are judged by."""
    return context.criteria(edition)


def outline_of(points: Points, at_house: bool = True) -> Outline:
    """The outline of a level; its edges on y = 0 stand at the house unless it stands alone."""
    level = LevelSpec(outline_ft=points, surface_height_in=36)
    house = HouseSpec(wall="wood_band" if at_house else "none")
    return level_outline(DeckSpec(levels=(level,), house=house), level)


def flat(_x: float, _y: float) -> float:
    """Level ground at the datum."""
    return 0.0


def _line(direction: str, at: float, start: float, end: float) -> JoistLine:
    away = direction == "away_from_house"
    return JoistLine(
        x_ft=at if away else None,
        y_ft=None if away else at,
        x_start_ft=None if away else start,
        x_end_ft=None if away else end,
        y_start_ft=start if away else None,
        y_end_ft=end if away else None,
        length_in=12 * (end - start),
        supports=(),
        spans_in=(),
        cantilever_house_in=0.0,
        cantilever_yard_in=0.0,
        laps=(),
    )


def _along(side: Side, direction: str) -> bool:
    return abs(side.edge.along[0 if direction == "away_from_house" else 1]) < 1e-9


def _places(outline: Outline, direction: str, spacing_in: float) -> list[float]:
    """Where joists lie across: one at each side along them, and the others as measured from the low side."""
    axis = 0 if direction == "away_from_house" else 1
    low, high = (outline.polygon.bounds[i + axis] for i in (0, 2))
    ends = [s.edge.point(0, -0.75 / 12)[axis] for s in outline.sides if _along(s, direction)]
    fixed = sorted({low + 0.75 / 12, high - 0.75 / 12, *ends})
    count = ceil((high - low) * 12 / spacing_in)
    usual = [low + spacing_in / 12 * i for i in range(1, count)]
    return sorted([*fixed, *(at for at in usual if all(abs(at - one) > 2 / 12 for one in fixed))])


def joists_of(
    outline: Outline, direction: str = "away_from_house", size: str = "2x10", number: int = 1
) -> Joists:
    """Joists cut by an outline behind rims of 1.5 in."""
    x0, y0, x1, y1 = outline.polygon.bounds
    floor = outline.polygon.buffer(-0.7 / 12, join_style="mitre")
    lines = []
    for at in _places(outline, direction, 16):
        away = direction == "away_from_house"
        across = LineString([(at, y0 - 1), (at, y1 + 1)] if away else [(x0 - 1, at), (x1 + 1, at)])
        for piece in get_parts(across.intersection(floor)):
            low, high = sorted(c[1 if away else 0] for c in piece.coords) if piece.length else (0, 0)
            if high - low > 3 / 12:
                lines.append(_line(direction, at, low + 0.8 / 12, high - 0.8 / 12))
    return Joists(
        id=f"main.joists-{number}", mark=f"J{number}", size=size, plies=1, species="southern_pine", grade="no_2",
        spacing_in=16, direction="away_from_house" if direction == "away_from_house" else "along_house",
        count=len(lines), lines=tuple(lines),
    )  # fmt: skip


def rims_of(outline: Outline, direction: str = "away_from_house", size: str = "2x10") -> tuple[Rim, ...]:
    """A rim along every side that joists run into."""
    ends = [side.edge for side in outline.sides if not _along(side, direction)]
    return tuple(
        Rim(
            id=f"main.rim-{n}", mark=f"R{n}", edge=edge.number, size=size, species="southern_pine", grade="no_2",
            start_ft=edge.point(0, -0.75 / 12), end_ft=edge.point(edge.length_ft, -0.75 / 12),
            length_in=12 * edge.length_ft,
        )
        for n, edge in enumerate(ends, start=1)
    )  # fmt: skip


def carriers_of(outline: Outline, direction: str = "away_from_house", size: str = "2x10") -> Carriers:
    """The frame of an outline as its guards see it."""
    return Carriers((joists_of(outline, direction, size),), rims_of(outline, direction, size), 3)


def guarded(
    points: Points,
    surface_in: float = 36,
    *,
    grade: Grade = flat,
    at_house: bool = True,
    others: tuple[Floor, ...] = (),
    stairs: Sequence[Stair] = (),
    direction: str = "away_from_house",
    size: str = "2x10",
    offered: Collection[str] | None = None,
    **spec: Any,
) -> GuardResult:
    """The guards of a level of any outline on a plain frame."""
    outline = outline_of(points, at_house)
    level = GuardedLevel("main", outline, surface_in, 1.0, grade, others)
    carriers = carriers_of(outline, direction, size)
    return lay_out_guards(level, stairs, GuardSpec(**spec), carriers, criteria(), offered)


def a_stair(edge: int, offset_ft: float, width_in: float = 48, level: str = "main") -> Stair:
    """A stair as far as guards look at it."""
    return Stair(
        id="deck.stair-1", mark="S1", level=level, edge=edge, offset_ft=offset_ft, width_in=width_in, rise_in=36,
        foot_ft=(0.0, 0.0), foot_height_in=0.0, flights=(), landings=(), handrail=None, guard=None,
    )  # fmt: skip


def squares(found: GuardResult) -> list[Polygon]:
    """Every post in plan, turned with its run."""
    return [square for guard in found.guards for square in squares_of(guard)]


def squares_of(guard: Guard) -> list[Polygon]:
    """The posts of one run in plan."""
    (ax, ay), (bx, by) = guard.start_ft, guard.end_ft
    length, half = hypot(bx - ax, by - ay), POST_IN / 24
    ux, uy = (bx - ax) / length, (by - ay) / length
    corners = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return [
        Polygon([(p.x_ft + half * (i * ux - j * uy), p.y_ft + half * (i * uy + j * ux)) for i, j in corners])
        for p in guard.posts
    ]


def barrier(found: GuardResult, more: Sequence[BaseGeometry] = ()) -> BaseGeometry:
    """What a ball cannot pass: posts, the infill between the posts of a run, and what else is named."""
    infill = [
        LineString([(a.x_ft, a.y_ft), (b.x_ft, b.y_ft)])
        for guard in found.guards
        for a, b in pairwise(guard.posts)
    ]
    return unary_union([*squares(found), *infill, *more])


def ball_gets_out(outline: Outline, fence: BaseGeometry, ball_in: float = BALL_IN) -> bool:
    """Whether a ball's centre finds a way from the floor to the yard, never nearer the fence than its radius."""
    around = outline.polygon.buffer(3.0)
    # A buffer's arc is drawn within its circle: widened by what the chords lose, or 3.998 in would pass for 4 in.
    radius_ft = (ball_in / 24 - 1e-6) / cos(pi / (4 * ARC_PARTS))
    free = around.difference(fence.buffer(radius_ft, quad_segs=ARC_PARTS))
    return any(_inside_and_out(piece, outline.polygon, around) for piece in get_parts(free))


def _inside_and_out(piece: BaseGeometry, floor: Polygon, around: BaseGeometry) -> bool:
    deep = floor.buffer(-8 / 12)
    return bool(piece.intersects(deep) and piece.intersects(around.boundary))


def house_of(outline: Outline) -> Iterator[LineString]:
    """The walls the outline stands at."""
    for side in outline.house_sides:
        yield LineString([side.edge.start_ft, side.edge.end_ft])

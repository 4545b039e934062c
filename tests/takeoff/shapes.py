"""Levels of any outline for the tests: joists across the whole outline, cut by it, with rims along its edges.

What a frame would settle (supports, beams, posts) is left out unless asked for: an order reads only what is there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import shapely
from hypothesis import strategies as st
from shapely import LineString, Polygon

from service.contract.report_frame import Clearance, JoistLine, Joists, Level, Point, Rim, Support
from service.contract.spec import DeckingSpec, DeckSpec, HouseSpec, LevelSpec
from service.framing.frame import Frame

LUMBER: dict[str, Any] = {"species": "southern_pine", "grade": "no_2"}
L_SHAPE = ((0.0, 0.0), (16.0, 0.0), (16.0, 6.0), (8.0, 6.0), (8.0, 12.0), (0.0, 12.0))
CLIPPED = ((0.0, 0.0), (16.0, 0.0), (16.0, 8.0), (12.0, 12.0), (0.0, 12.0))
RIM_IN, HALF_IN = 1.5, 0.75


def spec_for(
    *outlines: Sequence[Point],
    heights_in: Sequence[float] = (36.0, 22.0, 15.0, 8.0),
    house: HouseSpec | None = None,
    house_edges: Sequence[int] | None = None,
    site: Any = None,
    **decking: Any,
) -> DeckSpec:
    """A spec with a level for each outline, the first at the top."""
    levels = tuple(
        LevelSpec(
            id=f"level-{n}",
            outline_ft=tuple(outline),
            surface_height_in=height,
            house_edges=tuple(house_edges) if house_edges is not None and n == 1 else None,
            decking=DeckingSpec(**decking),
        )
        for n, (outline, height) in enumerate(zip(outlines, heights_in, strict=False), start=1)
    )
    given = {"site": site} if site else {}
    return DeckSpec(levels=levels, house=house or HouseSpec(wall="wood_band"), **given)


def joist_pieces(outline: Sequence[Point], at_ft: float, along_house: bool) -> Iterator[tuple[float, float]]:
    """Where a joist line lies between rims square to it, ft along it; one along an edge counts as inside it."""
    inside = Polygon(outline).buffer(-0.01, join_style="mitre", mitre_limit=50)
    x0, y0, x1, y1 = Polygon(outline).bounds
    ray = ((x0 - 1, at_ft), (x1 + 1, at_ft)) if along_house else ((at_ft, y0 - 1), (at_ft, y1 + 1))
    for part in shapely.get_parts(LineString(ray).intersection(inside)):
        ends = sorted(point[0 if along_house else 1] for point in part.coords) or [0.0, 0.0]
        if ends[1] - ends[0] > 1.0:
            yield ends[0] - 0.01 + RIM_IN / 12, ends[1] + 0.01 - RIM_IN / 12


def joists_for(
    outline: Sequence[Point],
    level: str = "level-1",
    number: int = 1,
    spacing_in: float = 16.0,
    along_house: bool = False,
    size: str = "2x8",
    supports: tuple[Support, ...] = (),
) -> Joists:
    """Joists over an outline; their ends are square, whatever they meet."""
    low, high = (Polygon(outline).bounds[i] for i in ((1, 3) if along_house else (0, 2)))
    count = math.ceil(round((high - low) * 12 / spacing_in, 6))
    inner = [low + n * spacing_in / 12 for n in range(1, count)]
    places = [low + HALF_IN / 12, *inner, high - HALF_IN / 12]
    lines = [
        _line(at, *ends, along_house, supports)
        for at in places
        for ends in joist_pieces(outline, at, along_house)
    ]
    return Joists(
        id=f"{level}.joists-{number}", mark=f"J{number}", size=size, plies=1, spacing_in=spacing_in,
        direction="along_house" if along_house else "away_from_house", count=len(lines), lines=tuple(lines),
        region_ft=tuple(outline), **LUMBER,
    )  # fmt: skip


def _line(
    at: float, start: float, end: float, along_house: bool, supports: tuple[Support, ...], **changed: Any
) -> JoistLine:
    across = {"x_ft": None, "y_start_ft": None, "y_end_ft": None}
    away = {"y_ft": None, "x_start_ft": None, "x_end_ft": None}
    lies = (
        {**across, "y_ft": at, "x_start_ft": start, "x_end_ft": end}
        if along_house
        else {**away, "x_ft": at, "y_start_ft": start, "y_end_ft": end}
    )
    return JoistLine(
        **lies, length_in=12 * (end - start), supports=supports, spans_in=(), cantilever_house_in=0.0,
        cantilever_yard_in=0.0, laps=(), **changed,
    )  # fmt: skip


def rim_for(
    start_ft: Point, end_ft: Point, level: str = "level-1", number: int = 1, cuts: Point = (0.0, 0.0)
) -> Rim:
    """A rim between two points of its centre line, longer by what its cuts lean."""
    longer = HALF_IN * sum(math.tan(math.radians(abs(deg))) for deg in cuts)
    return Rim(
        id=f"{level}.rim-{number}", mark=f"R{number}", edge=None, size="2x8", start_ft=start_ft, end_ft=end_ft,
        length_in=12 * math.dist(start_ft, end_ft) + longer, start_cut_deg=cuts[0], end_cut_deg=cuts[1], **LUMBER,
    )  # fmt: skip


def level_for(
    outline: Sequence[Point], level: str = "level-1", surface_in: float = 36.0, **parts: Any
) -> Level:
    """A level; its joists run away from the house unless others are given."""
    bottom = surface_in - 1.0 - 7.25
    clearance = Clearance(
        surface_height_in=surface_in, joist_bottom_height_in=bottom, lowest_beam_bottom_height_in=None,
        lowest_beam_above_grade_in=None, missing_in=None,
    )  # fmt: skip
    parts.setdefault("joists", (joists_for(outline, level),))
    return Level(id=level, area_sqft=Polygon(outline).area, clearance=clearance, **parts)


def frame_for(spec: DeckSpec, *levels: Level) -> Frame:
    """A frame of the levels given, or of a plain one for each level of a spec; nothing stands under it."""
    made = levels or tuple(
        level_for(wish.outline_ft or (), wish.id, wish.surface_height_in) for wish in spec.levels
    )
    return Frame(levels=made, posts=(), footings=(), stairs=())


@st.composite
def outlines(draw: st.DrawFn) -> tuple[Point, ...]:
    """A simple polygon round a middle, 4 to 12 corners, within 30 ft, its corners in either order."""
    count = draw(st.integers(4, 12))
    turns = [2 * math.pi / count * (n + draw(st.floats(0.1, 0.9))) for n in range(count)]
    corners = [(r * math.cos(a), r * math.sin(a)) for a in turns for r in [draw(st.floats(3.0, 15.0))]]
    return tuple(corners[:: draw(st.sampled_from([1, -1]))])

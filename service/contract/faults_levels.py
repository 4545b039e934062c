"""Faults of the levels of a spec: their ids, outlines, house edges, and how they lie to each other."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from service.contract.ids import RESERVED_LEVELS
from service.contract.plan import (
    Point,
    Polygon,
    area_sqft,
    edges,
    house_edges,
    on_wall,
    outline,
    outline_in_frame,
)
from service.contract.polygons import crossing, gap_ft, overlap, repeated_corner, sharpest_corner
from service.contract.problem import Allowed, Fault, pointer
from service.contract.spec import DeckSpec, LevelSpec

LARGEST_LEVEL_SQFT = 5000.0
# our conventions: less floor than the smallest width by the smallest projection, or a sharper corner,
# is a slip of the pen; levels further apart than a foot are not one deck
SMALLEST_LEVEL_SQFT = 4.0
SHARPEST_CORNER_DEG = 5.0
APART_FT = 1.0
_FURTHEST_FT = 300.0


def level_faults(spec: DeckSpec, plans: tuple[Polygon, ...]) -> Iterator[Fault]:
    """Yield the faults of a spec's levels, given their sound outlines."""
    yield from _id_faults(spec)
    for number, level in enumerate(spec.levels):
        at = pointer("levels", number)
        yield from _size_faults(level, at)
        yield from _outline_faults(level, at)
        yield from _house_edge_faults(spec, level, at)
    yield from _overlap_faults(spec, plans)
    yield from _float_faults(spec, plans)


def _id_faults(spec: DeckSpec) -> Iterator[Fault]:
    ids = [level.id for level in spec.levels]
    for number, name in enumerate(ids):
        at = pointer("levels", number, "id")
        if name in ids[:number]:
            yield Fault(at, "duplicate_id", "an earlier level has this id")
        if name in RESERVED_LEVELS:
            detail = "this word has a meaning of its own: " + ", ".join(RESERVED_LEVELS) + " are kept"
            yield Fault(at, "reserved_id", detail)


def _size_faults(level: LevelSpec, at: str) -> Iterator[Fault]:
    given = [name for name in ("width_ft", "projection_ft") if getattr(level, name) is not None]
    missing = [name for name in ("width_ft", "projection_ft") if name not in given]
    if level.outline_ft is None:
        for name in missing:
            detail = "a level needs width_ft and projection_ft, or else outline_ft"
            yield Fault(f"{at}/{name}", "missing", detail)
    elif given:
        detail = f"give either outline_ft or width_ft and projection_ft; {' and '.join(given)} also given"
        yield Fault(f"{at}/outline_ft", "both_given", detail)


def _outline_faults(level: LevelSpec, at: str) -> Iterator[Fault]:
    corners = outline(level)
    if not corners or not _near(corners):
        return
    area = area_sqft(corners)
    if area > LARGEST_LEVEL_SQFT:
        # no one field holds the area, so the fault stands at the level itself
        detail = f"{area:g} sq ft of floor, a level has at most {LARGEST_LEVEL_SQFT:g} sq ft"
        yield Fault(at, "out_of_range", detail, Allowed(max=LARGEST_LEVEL_SQFT))
    if level.outline_ft is not None:
        yield from _shape_faults(corners, f"{at}/outline_ft")


def _near(points: tuple[Point, ...]) -> bool:
    """Whether points are within the range taken; the range itself is judged elsewhere."""
    return all(abs(x) <= _FURTHEST_FT and abs(y) <= _FURTHEST_FT for x, y in points)


def _shape_faults(corners: Polygon, place: str) -> Iterator[Fault]:
    if (number := repeated_corner(corners)) is not None:
        detail = "this corner stands where an earlier one does; the last corner joins the first by itself"
        yield Fault(f"{place}/{number}", "outline_repeats_point", detail)
    elif (pair := crossing(corners)) is not None:
        yield Fault(place, "outline_crosses_itself", f"edges {pair[0]} and {pair[1]} meet or cross")
    else:
        yield from _sliver_faults(corners, place)


def _sliver_faults(corners: Polygon, place: str) -> Iterator[Fault]:
    number, angle = sharpest_corner(corners)
    if angle < SHARPEST_CORNER_DEG:
        allowed = Allowed(min=SHARPEST_CORNER_DEG)
        detail = f"the corner is {angle:.3g} degrees sharp, at least 5 are needed"
        yield Fault(f"{place}/{number}", "outline_sliver", detail, allowed)
    elif area_sqft(corners) < SMALLEST_LEVEL_SQFT - 1e-6:
        detail = f"{area_sqft(corners):.3g} sq ft, a level has at least 4 sq ft"
        yield Fault(place, "outline_sliver", detail, Allowed(min=SMALLEST_LEVEL_SQFT))


def _house_edge_faults(spec: DeckSpec, level: LevelSpec, at: str) -> Iterator[Fault]:
    sides = edges(outline_in_frame(level))
    other_walls = {wall.edge for wall in spec.house.edge_walls if wall.level == level.id}
    for place, number in enumerate(level.house_edges or ()):
        if not sides:
            return
        if number >= len(sides):
            yield edge_fault(f"{at}/house_edges/{place}", len(sides))
        elif number not in other_walls and not on_wall(sides[number]):
            detail = "this edge is not on the wall line y = 0; name other walls in house.edge_walls"
            yield Fault(f"{at}/house_edges/{place}", "house_edge_not_on_wall", detail)


def edge_fault(at: str, count: int) -> Fault:
    """Return the fault of an edge number an outline does not have."""
    allowed = Allowed(min=0.0, max=float(count - 1))
    return Fault(at, "edge_out_of_range", f"the outline has edges 0 to {count - 1}", allowed)


def sound_outline(level: LevelSpec) -> Polygon:
    """Return a level's outline in the deck frame, empty where it is missing or faulty."""
    corners = outline(level)
    if not corners or not _near((*corners, level.origin_ft)) or any(_shape_faults(corners, "")):
        return ()
    return outline_in_frame(level)


def _overlap_faults(spec: DeckSpec, plans: tuple[Polygon, ...]) -> Iterator[Fault]:
    for (first, one), (second, other) in combinations(enumerate(plans), 2):
        if one and other and overlap(one, other):
            detail = f"this level covers floor of level {spec.levels[first].id!r} in plan"
            yield Fault(pointer("levels", second), "levels_overlap", detail)


def _float_faults(spec: DeckSpec, plans: tuple[Polygon, ...]) -> Iterator[Fault]:
    if len(plans) < 2 or not all(plans):
        return
    joined = {stair.level for stair in spec.stairs} | {stair.down_to for stair in spec.stairs}
    for number, level in enumerate(spec.levels):
        others = plans[:number] + plans[number + 1 :]
        if (
            level.id in joined
            or house_edges(level, spec.house.wall)
            or any(gap_ft(plans[number], o) <= APART_FT for o in others)
        ):
            continue
        detail = "no house wall, other level or stair joins this level: send it as a deck of its own"
        yield Fault(pointer("levels", number), "level_floats", detail)

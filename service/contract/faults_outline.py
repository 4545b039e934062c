"""Faults of one level's own shape: its size or outline, crossing, repeated corners, slivers."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.plan import Point, Polygon, area_sqft, edges, length_ft, outline, outline_in_frame
from service.contract.polygons import (
    LEAST_GAP_FT,
    LEAST_WIDTH_FT,
    meeting,
    narrow_corner,
    repeated_corner,
    sharpest_corner,
)
from service.contract.problem import Allowed, Fault
from service.contract.spec import LevelSpec

LARGEST_LEVEL_SQFT = 5000.0
# our conventions: less floor than the smallest width by the smallest projection, or a sharper corner,
# is a slip of the pen
SMALLEST_LEVEL_SQFT = 4.0
SHARPEST_CORNER_DEG = 5.0
_FURTHEST_FT = 300.0
_INCH = 12


def outline_faults(level: LevelSpec, at: str) -> Iterator[Fault]:
    """Yield the faults of a level's size and shape; ``at`` is the level's pointer.

    >>> level = LevelSpec(width_ft=16, surface_height_in=36)
    >>> [(fault.code, fault.pointer) for fault in outline_faults(level, "/levels/0")]
    [('missing', '/levels/0/projection_ft')]
    """
    yield from _size_faults(level, at)
    corners = outline(level)
    if not corners or not near(corners):
        return
    area = area_sqft(corners)
    if area > LARGEST_LEVEL_SQFT:
        # no one field holds the area, so the fault stands at the level itself
        detail = f"{area:g} sq ft of floor, a level has at most {LARGEST_LEVEL_SQFT:g} sq ft"
        yield Fault(at, "out_of_range", detail, Allowed(max=LARGEST_LEVEL_SQFT))
    if level.outline_ft is not None and (fault := _shape_fault(corners, f"{at}/outline_ft")):
        yield fault


def sound_outline(level: LevelSpec) -> Polygon:
    """Return a level's outline in the deck frame, empty where it is missing or faulty.

    >>> sound_outline(LevelSpec(outline_ft=((0, 0), (4, 4), (4, 0), (0, 4)), surface_height_in=36))
    ()
    """
    corners = outline(level)
    if not corners or not near((*corners, level.origin_ft)) or _shape_fault(corners, ""):
        return ()
    return outline_in_frame(level)


def near(points: tuple[Point, ...]) -> bool:
    """Whether points are within the range taken; the range itself is judged field by field."""
    return all(abs(x) <= _FURTHEST_FT and abs(y) <= _FURTHEST_FT for x, y in points)


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


def _shape_fault(corners: Polygon, place: str) -> Fault | None:
    """The first fault of a shape: each question makes sense only where the ones before found nothing."""
    if (number := repeated_corner(corners)) is not None:
        detail = "this corner stands where an earlier one does; the last corner joins the first by itself"
        return Fault(f"{place}/{number}", "outline_repeats_point", detail)
    if (pair := meeting(corners)) is not None:
        detail = f"edges {pair[0]} and {pair[1]} meet or cross"
        return Fault(place, "outline_crosses_itself", detail)
    return _corner_fault(corners, place) or _small_fault(corners, place) or _narrow_fault(corners, place)


def _corner_fault(corners: Polygon, place: str) -> Fault | None:
    number, angle = sharpest_corner(corners)
    if angle >= SHARPEST_CORNER_DEG:
        return None
    detail = f"the corner is {angle:.3g} degrees sharp, at least {SHARPEST_CORNER_DEG:g} are needed"
    return Fault(f"{place}/{number}", "outline_sliver", detail, Allowed(min=SHARPEST_CORNER_DEG))


def _small_fault(corners: Polygon, place: str) -> Fault | None:
    area = area_sqft(corners)
    if area < SMALLEST_LEVEL_SQFT - 1e-6:
        detail = f"{area:.3g} sq ft, a level has at least {SMALLEST_LEVEL_SQFT:g} sq ft"
        return Fault(place, "outline_sliver", detail, Allowed(min=SMALLEST_LEVEL_SQFT))
    lengths = [length_ft(edge) for edge in edges(corners)]
    if min(lengths) < LEAST_GAP_FT - 1e-6:
        number = lengths.index(min(lengths))
        detail = f"edge {number} is {lengths[number] * _INCH:.3g} in long, at least 1 in is needed"
        return Fault(f"{place}/{number}", "outline_sliver", detail, Allowed(min=round(LEAST_GAP_FT, 4)))
    return None


def _narrow_fault(corners: Polygon, place: str) -> Fault | None:
    if (pair := meeting(corners, LEAST_GAP_FT - 1e-6)) is not None:
        detail = (
            f"edges {pair[0]} and {pair[1]} come nearer to each other than 1 in (an outline has no holes)"
        )
        return Fault(place, "outline_sliver", detail, Allowed(min=round(LEAST_GAP_FT, 4)))
    if (number := narrow_corner(corners)) is not None:
        detail = (
            f"near this corner the floor is narrower than {LEAST_WIDTH_FT * _INCH:g} in: the members at its "
            "two sides would leave no room for hangers between them"
        )
        return Fault(f"{place}/{number}", "outline_sliver", detail, Allowed(min=LEAST_WIDTH_FT))
    return None

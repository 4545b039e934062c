"""The house beside a section, as the caller told it: wall, floor, band, plate, foundation; and the hole it stood in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element

import shapely

from service.contract.plan import edges, edges_at_walls
from service.contract.report import DesignReport
from service.contract.spec_site import EdgeWallSpec, HouseSpec
from service.drawings.kit.ink import (
    CUT,
    DIMENSION,
    HATCH,
    LIGHT,
    NONE,
    OBJECT,
    PALE,
    PAPER,
    At,
    group,
    hatched,
    line,
    polygon,
    polyline,
)
from service.drawings.kit.paper import View
from service.drawings.section.section_cut import CutLevel, crossing
from service.drawings.section.section_ink import at, box

INTO_FT = 1.5
_BAND_IN, _FAR_IN = 1.5, 12 * INTO_FT
# so much of a foundation is shown whose depth is not known
_NOT_KNOWN_IN = 12.0


class Wall(NamedTuple):
    """A wall the plane meets: its face, which way the floor lies from it, what it is, and its heights, in.

    Heights are above the datum, null where the caller did not give what they follow from.
    """

    y_ft: float
    out: int
    kind: str
    foundation: str
    sill_in: float | None
    band_in: tuple[float, float] | None


def walls_of(report: DesignReport, one: CutLevel, x_ft: float) -> list[Wall]:
    """Return the walls of the house that a level stands at on the plane."""
    at_walls = edges_at_walls(one.spec, report.resolved_spec.house)
    found = []
    for number, side in enumerate(edges(one.level.outline_ft)):
        met = crossing(side, x_ft) if number in at_walls else None
        if met is not None:
            out = 1 if any(abs(a - met.y_ft) < 0.05 for a, _ in one.floor_ft) else -1
            found.append(_wall(report.resolved_spec.house, one.level.id, number, met.y_ft, out))
    return found


def _wall(house: HouseSpec, level: str, edge: int, y_ft: float, out: int) -> Wall:
    own = next((wall for wall in house.edge_walls if (wall.level, wall.edge) == (level, edge)), None)
    told: HouseSpec | EdgeWallSpec = house if own is None else own
    sill, deep = told.door_sill_height_in, told.rim_depth_in
    top = None if sill is None else sill - house.floor_build_up_in
    band = None if top is None or deep is None else (top - deep, top)
    return Wall(y_ft, out, told.wall, told.foundation_wall, sill, band)


def house(
    report: DesignReport, wall: Wall, ground_in: float, top_in: float, view: View, number: int
) -> Element:
    """Return a wall with what is known behind it, to a break line on the far side, and below where its foot is not."""
    depth = report.ground.house_footing_depth_in
    low = ground_in - _NOT_KNOWN_IN if depth is None else -depth
    known = wall.band_in is not None and wall.sill_in is not None
    behind = _floor(report.resolved_spec.house, wall, top_in, view) if known else _no_floor(wall, view)
    head = wall.band_in[0] - report.resolved_spec.house.sill_plate_in if known and wall.band_in else ground_in
    parts = [
        polygon(box(view, _across(wall, 0, _FAR_IN), (low, top_in)), NONE, PAPER),
        *_foundation(_across(wall, 0, _FAR_IN), (low, head), depth is not None, view),
        *behind,
        line(at(view, wall.y_ft, low), at(view, wall.y_ft, top_in), CUT),
        _break(wall.y_ft - wall.out * INTO_FT, (low, top_in), view),
    ]
    return group(parts, id=f"house-{number}")


def _across(wall: Wall, near_in: float, far_in: float) -> tuple[float, float]:
    """From where to where something lies that begins and ends so far behind a wall's face, ft."""
    ends = (wall.y_ft - wall.out * near_in / 12, wall.y_ft - wall.out * far_in / 12)
    return min(ends), max(ends)


def _floor(spec: HouseSpec, wall: Wall, top_in: float, view: View) -> list[Element]:
    """Sheathing, band, sill plate and floor, by the heights that were told."""
    (bottom, top), sill = wall.band_in or (0.0, 0.0), wall.sill_in or 0.0
    sheathing, plate = spec.sheathing_thickness_in, bottom - spec.sill_plate_in
    return [
        polygon(box(view, _across(wall, 0, sheathing), (plate, top_in)), LIGHT, PALE),
        polygon(box(view, _across(wall, sheathing, sheathing + _BAND_IN), (bottom, top)), CUT, PAPER),
        polygon(box(view, _across(wall, sheathing, _FAR_IN), (plate, bottom)), LIGHT, PAPER),
        polygon(box(view, _across(wall, sheathing, _FAR_IN), (top, sill)), LIGHT, PALE),
    ]


def _no_floor(wall: Wall, view: View) -> list[Element]:
    """The door sill alone, where that is all that was told."""
    if wall.sill_in is None:
        return []
    left, right = _across(wall, 0, _FAR_IN)
    return [line(at(view, left, wall.sill_in), at(view, right, wall.sill_in), LIGHT)]


def _foundation(
    ys_ft: tuple[float, float], heights_in: tuple[float, float], known: bool, view: View
) -> list[Element]:
    corners = box(view, ys_ft, heights_in)
    body = polygon(corners, OBJECT if known else NONE, PALE)
    if known:
        return [body]
    (left, y), (right, _) = corners[0], corners[1]
    middle = (left + right) / 2
    broken = [
        (left, y),
        (middle - 5, y),
        (middle - 2, y - 4),
        (middle + 2, y + 4),
        (middle + 5, y),
        (right, y),
    ]
    return [body, line(corners[3], corners[2], OBJECT), polyline(broken, DIMENSION)]


def _break(y_ft: float, heights_in: tuple[float, float], view: View) -> Element:
    """A break line: what lies past it is not shown."""
    (x, low), (_, top) = at(view, y_ft, heights_in[0]), at(view, y_ft, heights_in[1])
    middle = (low + top) / 2
    return polyline(
        [(x, low), (x, middle + 8), (x - 4, middle + 3), (x + 4, middle - 3), (x, middle - 8), (x, top)],
        DIMENSION,
    )


def dug(report: DesignReport, wall: Wall, ground_ft: Sequence[At], right_ft: float) -> list[At]:
    """Return the corners of the ground that was dug out and put back beside a wall, ft and in; none where not known."""
    told = report.ground
    top, floor, depth = told.backfill_top_width_in, told.backfill_floor_width_in, told.house_footing_depth_in
    if top is None or floor is None or depth is None or depth <= 0:
        return []
    # up past the datum with the same slope, then cut off at the ground
    rise = 240.0
    wider = top + (top - floor) / depth * rise
    hole = [(0.0, rise), (wider, rise), (floor, -depth), (0.0, -depth)]
    shape = shapely.Polygon([(wall.y_ft + wall.out * y / 12, height) for y, height in hole])
    left = min(ground_ft[0][0], wall.y_ft)
    under = shapely.Polygon([*ground_ft, (ground_ft[-1][0], -1e4), (left, -1e4)])
    shown = shape.intersection(under).intersection(shapely.box(-1e4, -1e4, right_ft, 1e4))
    return (
        []
        if shown.is_empty or not isinstance(shown, shapely.Polygon)
        else [(x, y) for x, y in shown.exterior.coords[:-1]]
    )


def backfill(corners: Sequence[At], view: View, number: int) -> Element:
    """Return that ground, hatched."""
    places = [at(view, *corner) for corner in corners]
    edge = HATCH._replace(dashes="6 3", weight_pt=0.6)
    return group([*hatched(places, 8.0), polygon(places, edge)], id=f"backfill-{number}")

"""What both plans share: where the deck lies on the paper, the house, the edges and their lengths."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple
from xml.etree.ElementTree import Element

import shapely

from service.contract.plan import (
    Point,
    Polygon,
    Segment,
    edges,
    edges_at_walls,
    length_ft,
    outline_in_frame,
    signed_area_sqft,
)
from service.contract.report import DesignReport
from service.contract.report_frame import Footing, Level, Post, Stair
from service.contract.spec_level import LevelSpec
from service.drawings.kit.dimensions import APART_PT, FIRST_PT, Baseline, Drawn, string
from service.drawings.kit.ink import CUT, LIGHT, Stroke, group, hatched, line, polygon
from service.drawings.kit.labels import Label, Placing
from service.drawings.kit.paper import Paper, View, scale_for
from service.units.text import feet_inches

_WALL_PT = 9.0
_JUST_OUT_FT = 0.3


class Room(NamedTuple):
    """What is kept free beside what is drawn, for dimension strings and the house, pt."""

    left: float
    top: float
    right: float
    bottom: float


Reach = tuple[float, float, float, float]
_ROOM = Room(62.0, 46.0, 44.0, 84.0)


class Shown(NamedTuple):
    """The part of a report a plan shows: the levels asked for, with what stands under and beside them."""

    specs: tuple[LevelSpec, ...]
    levels: tuple[Level, ...]
    posts: tuple[Post, ...]
    footings: tuple[Footing, ...]
    stairs: tuple[Stair, ...]


def shown(report: DesignReport, level: str | None) -> Shown:
    """Return the whole deck, or one level of it with its posts, footings and stairs."""
    stairs = tuple(stair for stair in report.stairs if level in (None, stair.level))
    posts = tuple(post for post in report.posts if level in (None, post.level))
    served = {post.id for post in posts} | {stair.id for stair in stairs}
    footings = tuple(
        footing
        for footing in report.footings
        if level in (None, _level_of(footing)) or footing.post in served or footing.serves in served
    )
    return Shown(
        tuple(one for one in report.resolved_spec.levels if level in (None, one.id)),
        tuple(one for one in report.levels if level in (None, one.id)),
        posts,
        footings,
        stairs,
    )


def _level_of(footing: Footing) -> str:
    return footing.id.partition(".")[0]


def reach_of(part: Shown) -> Reach:
    """Return the least x and y and the greatest x and y of all that a plan shows, ft."""
    corners = [corner for spec in part.specs for corner in outline_in_frame(spec)]
    corners += [corner for stair in part.stairs for corner in stair.footprint_ft]
    for footing in part.footings:
        half = footing.width_in / 24
        corners += [
            (footing.x_ft - half, footing.y_ft - half),
            (footing.x_ft + half, footing.y_ft + half),
        ]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def plan_view(part: Shown, paper: Paper) -> View:
    """Return the view of a plan: the house at the top, the yard below, as large as a scale of the rule allows."""
    return view_of(reach_of(part), paper, _ROOM)


def view_of(reach: Reach, paper: Paper, room: Room) -> View:
    """Return the view in which so much ground lies on a paper, as large as a scale of the rule allows."""
    left, top, right, bottom = reach
    area = paper.area
    wide = area.right - area.left - room.left - room.right
    high = area.bottom - area.top - room.top - room.bottom
    scale = scale_for(right - left, bottom - top, wide, high)
    spare = max(0.0, wide - (right - left) * scale.pt_per_ft) / 2
    return View(
        scale,
        (
            area.left + room.left + spare - left * scale.pt_per_ft,
            area.top + room.top - top * scale.pt_per_ft,
        ),
    )


def house(report: DesignReport, part: Shown, view: View, placing: Placing) -> Element:
    """Return the walls of the house that the levels touch, hatched on the far side."""
    parts: list[Element] = []
    for spec in part.specs:
        sides = edges(outline_in_frame(spec))
        for number in sorted(edges_at_walls(spec, report.resolved_spec.house)):
            parts += _wall(outline_in_frame(spec), sides[number], view, placing)
    return group(parts, id="house")


def inner_of(level: Level) -> Point:
    """Return a point among the corners of a level, ft."""
    return _middle(level.outline_ft)


def _middle(corners: Sequence[Point]) -> Point:
    return (
        sum(x for x, _ in corners) / len(corners),
        sum(y for _, y in corners) / len(corners),
    )


def _wall(corners: Polygon, side: Segment, view: View, placing: Placing) -> list[Element]:
    base = outward(corners, side, view)
    long = length_ft(side) * view.scale.pt_per_ft
    body = [base.at(0, 0), base.at(long, 0), base.at(long, _WALL_PT), base.at(0, _WALL_PT)]
    places = (base.at(long / 2, _WALL_PT + 8), base.at(long / 4, _WALL_PT + 8))
    placing.place(Label("HOUSE", places, 8, True, base.turn_deg))
    return [
        *hatched(body, 4.0),
        polygon(body, LIGHT),
        line(base.at(0, 0), base.at(long, 0), CUT),
    ]


def outlines(part: Shown, view: View, stroke: Stroke) -> list[Element]:
    """Return the outline of each level, from the spec."""
    return [
        group(
            [polygon([view.at(*corner) for corner in outline_in_frame(spec)], stroke)],
            id=f"{spec.id}.outline",
        )
        for spec in part.specs
    ]


class Around(NamedTuple):
    """What is drawn around the levels: lines, and how far to the left and down on paper they reach."""

    parts: list[Element]
    left_pt: float
    bottom_pt: float


def edge_dimensions(report: DesignReport, part: Shown, view: View, placing: Placing) -> Around:
    """Return the length of every edge that is not at the house, with the places of stairs along it."""
    left, _, _, bottom = reach_of(part)
    parts: list[Element] = []
    reached = [view.at(left, bottom)]
    for spec in part.specs:
        corners = outline_in_frame(spec)
        at_house = edges_at_walls(spec, report.resolved_spec.house)
        for number, side in enumerate(edges(corners)):
            stairs = [one for one in part.stairs if one.level == spec.id and one.edge == number]
            open_edge = number not in at_house and not _beside(corners, side, spec.id, part)
            if open_edge or stairs:
                base = outward(corners, side, view)
                lines, reach_pt = _edge(base, length_ft(side), stairs, open_edge, view, placing)
                parts += lines
                reached += [base.at(0, reach_pt), base.at(length_ft(side) * view.scale.pt_per_ft, reach_pt)]
    return Around(parts, min(x for x, _ in reached), max(y for _, y in reached))


def outward(corners: Polygon, side: Segment, view: View) -> Baseline:
    """Return the baseline along an edge of an outline; out is away from its floor."""
    (ax, ay), (bx, by) = view.at(*side[0]), view.at(*side[1])
    long = math.dist((ax, ay), (bx, by))
    along = ((bx - ax) / long, (by - ay) / long)
    left_of_it = signed_area_sqft(corners) < 0
    return Baseline((ax, ay), along, (-along[1], along[0]) if left_of_it else (along[1], -along[0]))


def _beside(corners: Polygon, side: Segment, level: str, part: Shown) -> bool:
    """Whether another level lies on the far side of an edge."""
    (ax, ay), (bx, by) = side
    sense = 1 if signed_area_sqft(corners) > 0 else -1
    off = sense * _JUST_OUT_FT / length_ft(side)
    beyond = shapely.Point((ax + bx) / 2 + off * (by - ay), (ay + by) / 2 - off * (bx - ax))
    others = (outline_in_frame(spec) for spec in part.specs if spec.id != level)
    return any(shapely.Polygon(other).contains(beyond) for other in others)


def _edge(
    base: Baseline, long_ft: float, stairs: Sequence[Stair], whole: bool, view: View, placing: Placing
) -> Drawn:
    """The places of stairs along an edge, and its whole length where ``whole``."""
    per_ft = view.scale.pt_per_ft
    out = FIRST_PT + max((_stands_out(stair, base, view) for stair in stairs), default=0.0)
    parts: list[Element] = []
    if stairs:
        ends = {end for one in stairs for end in (one.offset_ft, one.offset_ft + one.width_in / 12)}
        drawn = measured(base, sorted({0.0, long_ft} | ends), per_ft, out, placing)
        parts, out = drawn.parts, drawn.reach_pt + APART_PT - 3
    if not whole:
        return Drawn(parts, out)
    length = measured(base, (0.0, long_ft), per_ft, out, placing)
    return Drawn([*parts, *length.parts], length.reach_pt)


def _stands_out(stair: Stair, base: Baseline, view: View) -> float:
    return max(0.0, *(base.out_of(view.at(*corner)) for corner in stair.footprint_ft))


def measured(
    base: Baseline, stops_ft: Iterable[float], pt_per_ft: float, out_pt: float, placing: Placing
) -> Drawn:
    """Return a dimension string from stops in ft along a baseline."""
    stops = list(stops_ft)
    texts = [feet_inches(12 * (b - a)) for a, b in pairwise(stops)]
    return string(base, [stop * pt_per_ft for stop in stops], texts, out_pt, placing)

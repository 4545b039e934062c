"""Members as they are seen from above, true to scale. Each one is a group that carries its id."""

from __future__ import annotations

import math
from collections.abc import Sequence
from xml.etree.ElementTree import Element

from service.contract.plan import Point
from service.contract.report_frame import (
    Beam,
    Blocking,
    Brace,
    Footing,
    Guard,
    JoistLine,
    Joists,
    Ledger,
    Post,
    Rim,
    Stair,
)
from service.drawings.kit.dimensions import between
from service.drawings.kit.ink import (
    CUT,
    DIMENSION,
    HIDDEN,
    LIGHT,
    OBJECT,
    PAPER,
    At,
    Stroke,
    circle,
    group,
    line,
    polygon,
    polyline,
)  # fmt: skip
from service.drawings.kit.paper import View
from service.timber.refusal import NoRule
from service.timber.sections import section

LUMBER_IN = 1.5
GUARD_POST_IN = 3.5
JOIST = Stroke(0.35)
BLOCK = Stroke(0.3)
RAIL = Stroke(0.4, "6 1.5 1 1.5")
BRACE = Stroke(1.1, "3 1.5")


def joist_ends(joist: JoistLine) -> tuple[Point, Point]:
    """Return the ends of a joist's centre line, ft."""
    if joist.x_ft is not None:
        return (joist.x_ft, joist.y_start_ft or 0.0), (joist.x_ft, joist.y_end_ft or 0.0)
    return (joist.x_start_ft or 0.0, joist.y_ft or 0.0), (joist.x_end_ft or 0.0, joist.y_ft or 0.0)


def width_of(size: str, plies: int) -> float:
    """Return how wide so many plies of a size are, in; of a section not of sawn lumber as wide as dressed boards.

    >>> width_of("2x10", 3), width_of("6x6", 1)
    (4.5, 5.5)
    """
    found = section(size, plies)
    return LUMBER_IN * plies if isinstance(found, NoRule) else found.width_in


def depth_of(size: str) -> float:
    """Return how deep a board of a size is, in; nothing of a section not of sawn lumber.

    >>> depth_of("2x10")
    9.25
    """
    found = section(size, 1)
    return 0.0 if isinstance(found, NoRule) else found.depth_in


def board(
    start: Point, end: Point, width_in: float, view: View, stroke: Stroke, fill: str = PAPER
) -> Element:
    """Return a straight piece by its centre line and width."""
    if math.dist(start, end) == 0:
        return polygon([view.at(*start)], stroke)
    base = between(view.at(*start), view.at(*end), view.at(*start))
    half, long = view.pt(width_in) / 2, math.dist(start, end) * view.scale.pt_per_ft
    return polygon(
        [base.at(0, half), base.at(long, half), base.at(long, -half), base.at(0, -half)], stroke, fill
    )


def joists(one: Joists, view: View) -> Element:
    """Return a group of joists."""
    width = width_of(one.size, one.plies)
    return group([board(*joist_ends(joist), width, view, JOIST) for joist in one.lines], id=one.id)


def blocking(one: Blocking, view: View) -> Element:
    """Return like pieces of blocking."""
    return group([board(a, b, LUMBER_IN, view, BLOCK) for a, b in one.places_ft], id=one.id)


def ledger(one: Ledger, inner: Point, view: View) -> Element:
    """Return a ledger on its wall, with its lateral devices as arrows into the house."""
    base = between(view.at(*one.start_ft), view.at(*one.end_ft), view.at(*inner))
    long, thick = math.dist(one.start_ft, one.end_ft) * view.scale.pt_per_ft, view.pt(LUMBER_IN)
    body = polygon(
        [base.at(0, 0), base.at(long, 0), base.at(long, -thick), base.at(0, -thick)], OBJECT, PAPER
    )
    ties = [_tie(view.at(device.x_ft, device.y_ft), base.out) for device in one.lateral_devices]
    return group([body, *ties], id=one.id)


def _tie(at: At, out: At) -> Element:
    along = (-out[1], out[0])
    tip = (at[0] + 5 * out[0], at[1] + 5 * out[1])
    feet = [
        (at[0] - 5 * out[0] + side * 3 * along[0], at[1] - 5 * out[1] + side * 3 * along[1])
        for side in (1, -1)
    ]
    return polygon([tip, *feet], LIGHT, "#000000")


def rim(one: Rim, view: View) -> Element:
    """Return a rim joist."""
    return group([board(one.start_ft, one.end_ft, LUMBER_IN, view, OBJECT)], id=one.id)


def beam(one: Beam, view: View) -> Element:
    """Return a beam: dashed where joists hide it, whole where it is flush."""
    stroke = HIDDEN if one.placement == "dropped" else OBJECT
    fill = "none" if one.placement == "dropped" else PAPER
    body = board(one.start_ft, one.end_ft, width_of(one.size, one.plies), view, stroke, fill)
    return group([body], id=one.id)


def brace(one: Brace, view: View) -> Element:
    """Return a diagonal from its post to where it meets what it braces."""
    return group([line(view.at(*one.start_ft), view.at(*one.end_ft), BRACE)], id=one.id)


def saddle(one: Footing, view: View) -> Element:
    """Return a footing a beam sits on with no post between: its top, under the beam."""
    at = view.at(one.x_ft, one.y_ft)
    return group([circle(at, view.pt(one.width_in) / 2, HIDDEN)], id=one.id)


def post(one: Post, view: View) -> Element:
    """Return a post, cut."""
    (x, y), half = view.at(one.x_ft, one.y_ft), view.pt(width_of(one.size, 1)) / 2
    return group(
        [
            polygon(
                [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)],
                CUT,
                PAPER,
            )
        ],
        id=one.id,
    )


def guard(one: Guard, view: View) -> Element:
    """Return a run of guard with its posts."""
    half = view.pt(GUARD_POST_IN) / 2
    posts = []
    for stand in one.posts:
        x, y = view.at(stand.x_ft, stand.y_ft)
        corners = [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]
        posts.append(group([polygon(corners, LIGHT, "#000000")], id=stand.id))
    return group([line(view.at(*one.start_ft), view.at(*one.end_ft), RAIL), *posts], id=one.id)


def stair(one: Stair, view: View) -> Element:
    """Return a stair: treads, landings and an arrow down."""
    parts: list[Element] = []
    for flight in one.flights:
        parts += _flight([view.at(*corner) for corner in flight.corners_ft], flight.treads)
    for landing in one.landings:
        corners = [view.at(*corner) for corner in landing.corners_ft]
        parts.append(group([polygon(corners, LIGHT)] if corners else [], id=landing.id))
        parts += [joists(own, view) for own in landing.joists]
        parts += [rim(own, view) for own in landing.rims]
    parts += [beam(own, view) for own in one.beams]
    parts += [brace(own, view) for own in one.braces]
    return group(parts, id=one.id)


def _flight(corners: Sequence[At], treads: int) -> list[Element]:
    if len(corners) != 4:
        return []
    head, foot = corners[:2], (corners[3], corners[2])
    found = [polygon(corners, LIGHT, PAPER)]
    for tread in range(1, treads):
        share = tread / treads
        ends = [
            (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
            for a, b in zip(head, foot, strict=True)
        ]
        found.append(line(ends[0], ends[1], DIMENSION))
    return [*found, *_down(head, foot)]


def _down(head: Sequence[At], foot: Sequence[At]) -> list[Element]:
    start, end = (((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in (head, foot))
    long = math.dist(start, end) or 1.0
    along = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
    back = (end[0] - 6 * along[0], end[1] - 6 * along[1])
    wings = [(back[0] - s * 2.5 * along[1], back[1] + s * 2.5 * along[0]) for s in (1, -1)]
    return [
        circle(start, 1.5, DIMENSION, "#000000"),
        line(start, end, DIMENSION),
        polyline([wings[0], end, wings[1]], LIGHT),
    ]

"""Footings as they are seen from above, true to scale: whole what stands out of the ground, dashed what lies in it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from xml.etree.ElementTree import Element

from service.contract.plan import Point
from service.contract.report_frame import Concrete, Footing, Pile, Stair
from service.drawings.kit.ink import (
    CENTRE,
    HIDDEN,
    LIGHT,
    NONE,
    OBJECT,
    PALE,
    PAPER,
    At,
    Stroke,
    circle,
    group,
    line,
    polygon,
)
from service.drawings.kit.paper import View
from service.units.text import first_inches

_PAST_PT = 7.0


def symbol(footing: Footing, stair: Stair | None, view: View) -> Element:
    """Return a footing with its centre lines; ``stair`` is the one whose pad it is, which says how the pad lies."""
    at = view.at(footing.x_ft, footing.y_ft)
    if footing.pile is not None:
        parts = _pile(footing.pile, at, view)
    elif footing.concrete is not None:
        parts = _concrete(footing.concrete, at, _way_down(stair), view)
    else:
        parts = []
    reach = view.pt(widest_in(footing)) / 2 + _PAST_PT
    return group([*parts, *_centre_lines(at, reach)], id=footing.id, mark=footing.mark, method=footing.method)


def widest_in(footing: Footing) -> float:
    """Return how wide a footing is in plan, in."""
    made = footing.concrete
    sides = (
        () if made is None else (made.width_in or 0.0, made.length_in or 0.0, made.shaft_diameter_in or 0.0)
    )
    return max(footing.width_in, *sides, 0.0) if sides else footing.width_in


def _centre_lines(at: At, reach: float) -> list[Element]:
    x, y = at
    return [line((x - reach, y), (x + reach, y), CENTRE), line((x, y - reach), (x, y + reach), CENTRE)]


def _pile(pile: Pile, at: At, view: View) -> list[Element]:
    helix = view.pt(max(pile.helices)) / 2
    shaft = view.pt(first_inches(pile.shaft) or 0.0) / 2
    aside = helix / math.sqrt(2)
    x, y = at
    across = [line((x - aside, y - side * aside), (x + aside, y + side * aside), LIGHT) for side in (1, -1)]
    return [
        circle(at, helix, NONE, PAPER),
        *across,
        circle(at, helix, HIDDEN),
        circle(at, shaft, OBJECT, PAPER),
    ]


def _concrete(made: Concrete, at: At, way: At, view: View) -> list[Element]:
    if made.width_in is not None and made.length_in is not None:
        return [polygon(_turned(at, view.pt(made.width_in), view.pt(made.length_in), way), OBJECT)]
    parts = []
    if made.base_size_in is not None:
        block = made.shaft_diameter_in is None and made.volume_cuft == 0
        parts.append(_base(made, at, view.pt(made.base_size_in), OBJECT if block else HIDDEN))
    if made.shaft_diameter_in is not None:
        parts.append(circle(at, view.pt(made.shaft_diameter_in) / 2, OBJECT, PALE))
    return parts


def _base(made: Concrete, at: At, wide: float, stroke: Stroke) -> Element:
    if made.base_shape == "square":
        return polygon(_turned(at, wide, wide, (0.0, 1.0)), stroke, PAPER)
    return circle(at, wide / 2, stroke, PAPER)


def _turned(at: At, wide: float, long: float, way: At) -> list[At]:
    """The corners of a rectangle about its middle, ``long`` the way it is turned."""
    (x, y), (ux, uy) = at, way
    return [
        (x + long / 2 * a * ux - wide / 2 * b * uy, y + long / 2 * a * uy + wide / 2 * b * ux)
        for a, b in ((-1, -1), (-1, 1), (1, 1), (1, -1))
    ]


def _way_down(stair: Stair | None) -> At:
    """Which way one goes down onto the landing at a stair's foot, as one foot long."""
    corners: Sequence[Point] = stair.landings[-1].corners_ft if stair and stair.landings else ()
    if len(corners) != 4:
        return (0.0, 1.0)
    head, foot = corners[0], corners[3]
    long = math.dist(head, foot)
    return ((foot[0] - head[0]) / long, (foot[1] - head[1]) / long)

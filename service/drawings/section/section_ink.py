"""Members as a section shows them, true to scale: cut ones heavy, those seen beyond light, what lies in the ground."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise
from xml.etree.ElementTree import Element

from service.contract.report_frame import (
    Beam,
    Brace,
    Concrete,
    Flight,
    Footing,
    Guard,
    GuardPost,
    Pile,
    Post,
    Stair,
)
from service.drawings.kit.ink import (
    CUT,
    DIMENSION,
    GREY,
    HIDDEN,
    LIGHT,
    OBJECT,
    PALE,
    PAPER,
    At,
    Stroke,
    group,
    line,
    polygon,
    polyline,
)
from service.drawings.kit.paper import View
from service.drawings.kit.symbols import GUARD_POST_IN, LUMBER_IN, width_of
from service.drawings.section.section_cut import CutBeam, CutLevel, Met
from service.timber.refusal import NoRule
from service.timber.sections import section
from service.units.text import first_inches

BEYOND = Stroke(0.4, colour=GREY)
# from helix to helix in diameters; common practice of helical piles, from memory
_HELIX_APART = 3.0
# narrower on paper than this a cut piece has no cross, and a thin outline
_CROSSED_PT, _THIN_PT = 4.0, 2.4
_RAIL_IN, _HANDRAIL_FT = 1.5, 2.75 / 12
_BRACE_IN = 5.5


def at(view: View, y_ft: float, height_in: float) -> At:
    """Return the place on paper of a place along the plane and a height."""
    return view.at(y_ft, height_in / 12)


def box(view: View, ys_ft: tuple[float, float], heights_in: tuple[float, float]) -> list[At]:
    """Return the corners of an upright rectangle on paper, from its lower left one round."""
    (left, right), (low, high) = ys_ft, heights_in
    return [at(view, y, h) for y, h in ((left, low), (right, low), (right, high), (left, high))]


def member(parts: Iterable[Element], id: str) -> Element:
    """Return a member's group: what it is in the report stands in `data-member`."""
    return group(parts, id=f"section.{id}", member=id)


def depth_of(size: str, otherwise_in: float) -> float:
    """Return how deep a size is; of a section that is no sawn lumber what the heights beside it leave.

    >>> depth_of("2x10", 0.0), depth_of("a-maker-s-section", 9.5)
    (9.25, 9.5)
    """
    found = section(size) if "x" in size else NoRule("no lumber")
    return otherwise_in if isinstance(found, NoRule) else found.depth_in


def joist_heights(one: CutLevel, size: str | None = None) -> tuple[float, float]:
    """Return bottom and top of a level's joists, in above the datum."""
    top = one.spec.surface_height_in - one.spec.decking.thickness_in
    bottom = one.level.clearance.joist_bottom_height_in
    told = top if bottom is None else bottom
    return (top - depth_of(size, top - told) if size else told), top


def beam_heights(one: CutLevel, beam: Beam) -> tuple[float, float]:
    """Return bottom and top of a beam, in above the datum."""
    bottom, (low, top) = beam.bottom_height_in, joist_heights(one)
    under = low if beam.placement == "dropped" else top
    return bottom, bottom + depth_of(beam.size, under - bottom)


def level(one: CutLevel, view: View) -> list[Element]:
    """Return the floor and the frame of a level."""
    found = [_guard_beyond(guard, one, view) for guard in one.beyond]
    found += [_beam_along(beam, one, view) for beam in one.along]
    if one.joist is not None:
        joists, line_ = one.joist
        ends = sorted((line_.y_start_ft or 0.0, line_.y_end_ft or 0.0))
        side = polygon(box(view, (ends[0], ends[1]), joist_heights(one, joists.size)), OBJECT, PAPER)
        found.append(member([side], joists.id))
    for joists, ys in one.crossing:
        half, heights = width_of(joists.size, joists.plies) / 24, joist_heights(one, joists.size)
        found.append(member([_cut_wood(view, (y - half, y + half), heights) for y in ys], joists.id))
    for rim, met in one.rims:
        found.append(member([_cut_across(met, LUMBER_IN, joist_heights(one, rim.size), view)], rim.id))
    for ledger, y in one.ledgers:
        heights = (ledger.bottom_height_in, ledger.top_height_in)
        ys = (y, y + _out(one, y) * LUMBER_IN / 12)
        bolts = [
            _bolt(view, y, _out(one, y), row, ledger.sheathing_thickness_in) for row in ledger.row_heights_in
        ]
        found.append(member([_cut_wood(view, (min(ys), max(ys)), heights), *bolts], ledger.id))
    found += [_cut_beam(beam, one, view) for beam in one.beams]
    found += [_guard(guard, y, stand, one, view) for guard, y, stand in one.guards]
    return [*found, *_decking(one, view)]


def _out(one: CutLevel, y_ft: float) -> int:
    """Which way the floor lies from a wall: 1 to the right."""
    return 1 if any(abs(a - y_ft) < 0.05 for a, _ in one.floor_ft) else -1


def _cut_wood(view: View, ys_ft: tuple[float, float], heights_in: tuple[float, float]) -> Element:
    """A piece that is cut square: its outline heavy, with the cross of sawn wood where it is not lost in the lines."""
    corners = box(view, ys_ft, heights_in)
    wide = corners[1][0] - corners[0][0]
    if wide < _CROSSED_PT:
        return group([polygon(corners, LIGHT if wide < _THIN_PT else OBJECT, PAPER)])
    cross = [line(corners[0], corners[2], DIMENSION), line(corners[1], corners[3], DIMENSION)]
    return group([polygon(corners, CUT, PAPER), *cross])


def _cut_across(met: Met, width_in: float, heights_in: tuple[float, float], view: View) -> Element:
    half = width_in * met.slant / 24
    return _cut_wood(view, (met.y_ft - half, met.y_ft + half), heights_in)


def _bolt(view: View, y_ft: float, out: int, height_in: float, behind_in: float) -> Element:
    """A fastener of the ledger by its row: from before the ledger through the sheathing into the band."""
    ends = (y_ft + out * (LUMBER_IN + 0.5) / 12, y_ft - out * (behind_in + LUMBER_IN) / 12)
    return line(at(view, ends[0], height_in), at(view, ends[1], height_in), Stroke(0.8))


def _cut_beam(one: CutBeam, of: CutLevel, view: View) -> Element:
    """A beam with its plies."""
    beam, met = one
    wide = width_of(beam.size, beam.plies) * met.slant / 12
    edges = list(accumulate([wide / beam.plies] * beam.plies, initial=met.y_ft - wide / 2))
    heights = beam_heights(of, beam)
    plies = [_cut_wood(view, (a, b), heights) for a, b in pairwise(edges)]
    return member(plies, beam.id)


def _beam_along(beam: Beam, of: CutLevel, view: View) -> Element:
    ends = sorted((beam.start_ft[1], beam.end_ft[1]))
    return member([polygon(box(view, (ends[0], ends[1]), beam_heights(of, beam)), LIGHT, PAPER)], beam.id)


def _decking(one: CutLevel, view: View) -> list[Element]:
    heights = (one.spec.surface_height_in - one.spec.decking.thickness_in, one.spec.surface_height_in)
    boards = [polygon(box(view, floor, heights), OBJECT, PALE) for floor in one.floor_ft]
    return [group(boards, id=f"section.{one.level.id}.decking")]


def _guard(one: Guard, y_ft: float, stand: GuardPost | None, of: CutLevel, view: View) -> Element:
    """A guard that is cut: the post nearest to the cut, and the top rail."""
    surface = of.spec.surface_height_in
    top = surface + one.height_in
    parts: list[Element] = []
    if stand is not None:
        y_ft, half = stand.y_ft, GUARD_POST_IN / 24
        foot = joist_heights(of)[0] if stand.mount == "side" else surface
        parts.append(polygon(box(view, (y_ft - half, y_ft + half), (foot, top - _RAIL_IN)), OBJECT, PAPER))
    rail = box(view, (y_ft - _HANDRAIL_FT, y_ft + _HANDRAIL_FT), (top - _RAIL_IN, top))
    return member([*parts, polygon(rail, CUT, PAPER)], one.id)


def _guard_beyond(one: Guard, of: CutLevel, view: View) -> Element:
    surface, half = of.spec.surface_height_in, GUARD_POST_IN / 24
    top = surface + one.height_in
    ends = sorted((one.start_ft[1], one.end_ft[1]))
    posts = [
        polygon(box(view, (post.y_ft - half, post.y_ft + half), (surface, top)), BEYOND) for post in one.posts
    ]
    rail = polygon(box(view, (ends[0], ends[1]), (top - _RAIL_IN, top)), BEYOND, PAPER)
    return member([*posts, rail], one.id)


def post(one: Post, view: View) -> Element:
    """Return a post, seen beyond."""
    half = width_of(one.size, 1) / 24
    heights = (one.bottom_height_in, one.top_height_in)
    return member([polygon(box(view, (one.y_ft - half, one.y_ft + half), heights), OBJECT, PAPER)], one.id)


def brace(one: Brace, view: View) -> Element:
    """Return a diagonal across the beam by its centre line and the depth of its board."""
    a, b = at(view, one.start_ft[1], one.low_height_in), at(view, one.end_ft[1], one.high_height_in)
    long = math.dist(a, b) or 1.0
    half = view.pt(depth_of(one.size, _BRACE_IN)) / 2
    aside = (-(b[1] - a[1]) / long * half, (b[0] - a[0]) / long * half)
    corners = [
        (a[0] + aside[0], a[1] + aside[1]),
        (b[0] + aside[0], b[1] + aside[1]),
        (b[0] - aside[0], b[1] - aside[1]),
        (a[0] - aside[0], a[1] - aside[1]),
    ]
    return member([polygon(corners, LIGHT, PAPER)], one.id)


def footing(one: Footing, view: View) -> Element:
    """Return a footing from its bottom to its top."""
    if one.pile is not None:
        return member(_pile(one, one.pile, view), one.id)
    return member(_concrete(one, one.concrete, view) if one.concrete is not None else [], one.id)


def _concrete(one: Footing, made: Concrete, view: View) -> list[Element]:
    """The base if there is one, its cone if it is a bell, and the shaft, from the bottom up."""
    found: list[Element] = []
    height = one.bottom_height_in
    neck = made.shaft_diameter_in
    if made.base_size_in is not None and made.thickness_in is not None:
        found.append(_course(one, (made.base_size_in, made.base_size_in), height, made.thickness_in, view))
        height += made.thickness_in
        if made.bell_height_in is not None and neck is not None:
            found.append(_course(one, (made.base_size_in, neck), height, made.bell_height_in, view))
            height += made.bell_height_in
    if neck is not None:
        found.append(_course(one, (neck, neck), height, one.top_height_in - height, view))
    return found


def _course(
    one: Footing, widths_in: tuple[float, float], low_in: float, high_in: float, view: View
) -> Element:
    """A piece of a footing by its widths below and above."""
    below, above = (width / 24 for width in widths_in)
    top = low_in + high_in
    corners = ((-below, low_in), (below, low_in), (above, top), (-above, top))
    return polygon([at(view, one.y_ft + aside, height) for aside, height in corners], OBJECT, PALE)


def _pile(one: Footing, pile: Pile, view: View) -> list[Element]:
    """The shaft, and its helices edge on from the toe up."""
    half = (first_inches(pile.shaft) or 0.0) / 24
    shaft = polygon(
        box(view, (one.y_ft - half, one.y_ft + half), (one.bottom_height_in, one.top_height_in)), OBJECT, PALE
    )
    found = [shaft]
    height = one.bottom_height_in
    for helix in pile.helices:
        wing, pitch = helix / 24, 1.5
        ends = (at(view, one.y_ft - wing, height), at(view, one.y_ft + wing, height + 2 * pitch))
        found.append(line(*ends, CUT))
        height += _HELIX_APART * helix
    return found


def stair(one: Stair, limit_ft: float, view: View) -> Element:
    """Return the line of a stair's steps and landings, seen beyond, as far as a place along the plane."""
    lines = [_steps(flight) for flight in one.flights]
    for landing in one.landings:
        ys = [y for _, y in landing.corners_ft]
        lines.append([(min(ys), landing.height_in), (min(max(ys), limit_ft), landing.height_in)])
    kept = [[at(view, *place) for place in places if place[0] <= limit_ft] for places in lines]
    return member([polyline(places, BEYOND) for places in kept if len(places) > 1], one.id)


def _steps(one: Flight) -> list[At]:
    """The line of the steps of a flight: down each riser, along each tread, the last riser to the ground."""
    head, foot = one.corners_ft[0][1], one.corners_ft[3][1]
    tread = (foot - head) / one.treads if one.treads else 0.0
    found: list[At] = [(head, one.head_height_in)]
    for number in range(one.risers):
        y, height = head + number * tread, one.head_height_in - (number + 1) * one.riser_in
        found.append((y, height))
        if number < one.treads:
            found.append((y + tread, height))
    return found


def ground(line_ft: Sequence[At], view: View) -> list[Element]:
    """Return the line of the ground, heavy, with short strokes under it."""
    places = [at(view, *place) for place in line_ft]
    found = [polyline(places, CUT)]
    for (ax, ay), (bx, by) in pairwise(places):
        for number in range(1, int((bx - ax) / 14) + 1):
            x = ax + 14 * number - 6
            y = ay + (x - ax) / (bx - ax) * (by - ay)
            found.append(line((x, y), (x - 4, y + 4), DIMENSION))
    return found


def frost(line_ft: Sequence[At], depth_in: float, view: View) -> Element:
    """Return the frost line: so far under the ground all along."""
    return polyline([at(view, y, height - depth_in) for y, height in line_ft], HIDDEN)

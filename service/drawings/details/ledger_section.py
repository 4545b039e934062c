"""A cut through house wall, ledger and deck: what is behind what, and where water is kept out."""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree.ElementTree import Element

from service.drawings.details.ledger_walls import Hung
from service.drawings.details.section_parts import parts_told, rect, torn
from service.drawings.kit.dimensions import Baseline
from service.drawings.kit.ink import (
    CUT,
    HIDDEN,
    LIGHT,
    OBJECT,
    PAPER,
    At,
    Stroke,
    group,
    hatched,
    line,
    polygon,
    polyline,
)  # fmt: skip
from service.drawings.kit.labels import Label, Placing, around
from service.drawings.kit.lettering import Box
from service.drawings.kit.symbols import LUMBER_IN
from service.drawings.kit.views import Placed, Reach, kept
from service.drawings.kit.words import piece_words
from service.units.text import feet_inches

BESIDE_PT = Box(150.0, 14.0, 150.0, 12.0)
HOUSE_IN, YARD_IN, BELOW_IN, ABOVE_IN = 13.0, 15.0, 6.0, 6.0
_BANDS = ("wood_band", "engineered_rim")
_WALL_IN, _PLATE_IN = 8.0, 5.5  # drawn for their place only; the notes say so
_FLASHING = Stroke(1.6)
_LENGTH = re.compile(r"(?:(\d+)-)?(?:(\d+)-(\d+)|(\d+))in")


def length_of(fastener: str) -> float | None:
    """Return how long a fastener is by its item code, in; null for one that has no length.

    >>> length_of("lag_screw.1-2in.4in.stainless_steel"), length_of("bolt.1-2in.5-1-2in.stainless_steel")
    (4.0, 5.5)
    >>> length_of("anchor.designed") is None
    True
    """
    parts = fastener.split(".")
    found = _LENGTH.fullmatch(parts[2]) if len(parts) > 2 else None
    if found is None:
        return None
    whole, over, under, plain = found.groups()
    return float(int(plain or whole or 0) + (Fraction(int(over), int(under)) if over else 0))


def reach_of(one: Hung) -> Reach:
    """Return what the section shows."""
    ledger = one.ledger
    low = ledger.band_bottom_height_in
    bottom = (
        ledger.bottom_height_in if low is None else min(low - one.wall.sill_plate_in, ledger.bottom_height_in)
    )
    tops = [one.surface_in, one.wall.sill_height_in or one.surface_in]
    return Reach(-HOUSE_IN, bottom - BELOW_IN, YARD_IN, max(tops) + ABOVE_IN, BESIDE_PT)


def drawing(one: Hung, at: Placed) -> Element:
    """Return the section."""
    on_band = one.ledger.lands_on in _BANDS and one.ledger.band_top_height_in is not None
    parts = [
        group(_framed_wall(one, at) if on_band else _solid_wall(one, at), part="wall"),
        group(_deck(one, at), part="deck"),
        group(
            [element for row in one.ledger.row_heights_in for element in _fastener(one, at, row)],
            part="fasteners",
        ),
        group(_flashing(one, at), part="flashing"),
        group(_tie(one, at), part="lateral"),
    ]
    return group(parts, id=f"{one.ledger.id}.section", **at.view.data)


def _framed_wall(one: Hung, at: Placed) -> list[Element]:
    """A wood floor on its foundation: band, plate, boards and the wall over them."""
    ledger, wall, reach = one.ledger, one.wall, reach_of(one)
    top, low = ledger.band_top_height_in or 0.0, ledger.band_bottom_height_in or 0.0
    back = -wall.sheathing_in
    plate = low - wall.sill_plate_in
    found = [
        rect(at, -HOUSE_IN, top, back - LUMBER_IN, low, LIGHT, PAPER),
        *_cut_wood(at, back - LUMBER_IN, top, back, low),
        rect(at, -HOUSE_IN, top + wall.build_up_in, back, top, OBJECT, PAPER),
        *_cut_wood(at, back - 3.5, top + wall.build_up_in + LUMBER_IN, back, top + wall.build_up_in),
        torn(at, -HOUSE_IN, top + wall.build_up_in + 1.5, low - 1.5),
        *_masonry(at, back - _WALL_IN, plate, back, reach.bottom_in),
    ]
    if wall.sill_plate_in > 0:
        found += _cut_wood(at, back - _PLATE_IN, low, back, plate)
    if wall.sheathing_in > 0:
        found.append(rect(at, back, reach.top_in, 0.0, plate, OBJECT, "#d9d9d9"))
    return [*found, line(at.at(back - 3.5, top + wall.build_up_in), at.at(back - 3.5, reach.top_in), LIGHT)]


def _solid_wall(one: Hung, at: Placed) -> list[Element]:
    """A wall of masonry, or one the report knows no band of."""
    reach = reach_of(one)
    return _masonry(at, -_WALL_IN, reach.top_in, 0.0, reach.bottom_in)


def _masonry(at: Placed, a_in: float, top_in: float, b_in: float, low_in: float) -> list[Element]:
    corners = [at.at(a_in, top_in), at.at(b_in, top_in), at.at(b_in, low_in), at.at(a_in, low_in)]
    return [polygon(corners, OBJECT, PAPER), *hatched(corners, 4.0)]


def _cut_wood(at: Placed, a_in: float, top_in: float, b_in: float, low_in: float) -> list[Element]:
    """A board across the section: its outline heavy, its two diagonals thin."""
    return [
        rect(at, a_in, top_in, b_in, low_in, CUT, PAPER),
        line(at.at(a_in, top_in), at.at(b_in, low_in), LIGHT),
        line(at.at(a_in, low_in), at.at(b_in, top_in), LIGHT),
    ]


def _deck(one: Hung, at: Placed) -> list[Element]:
    ledger = one.ledger
    top, joist_low = ledger.top_height_in, ledger.top_height_in - one.joist_depth_in
    hanger = [(LUMBER_IN, top - one.joist_depth_in / 3), (LUMBER_IN, joist_low), (LUMBER_IN + 2.5, joist_low)]
    return [
        rect(at, LUMBER_IN, top, YARD_IN, joist_low, OBJECT, PAPER),
        *_cut_wood(at, 0.0, top, LUMBER_IN, ledger.bottom_height_in),
        rect(at, 0.25, one.surface_in, YARD_IN, top, OBJECT, PAPER),
        polyline([at.at(*corner) for corner in hanger], _FLASHING),
        torn(at, YARD_IN, one.surface_in + 1.5, joist_low - 1.5),
    ]


def _fastener(one: Hung, at: Placed, height_in: float) -> list[Element]:
    """A fastener from its washer on the ledger to its tip, or to the nut of a bolt."""
    long = length_of(one.ledger.fastener)
    if long is None:
        return []
    face, inside = LUMBER_IN, -one.wall.sheathing_in - LUMBER_IN
    tip = (
        face - long if one.ledger.fastener.startswith("lag_screw") else min(face + 0.75 - long, inside - 0.5)
    )
    washers = [rect(at, face, height_in + 0.7, face + 0.15, height_in - 0.7, LIGHT, "#000000")]
    head = rect(at, face + 0.15, height_in + 0.4, face + 0.5, height_in - 0.4, LIGHT, "#000000")
    if not one.ledger.fastener.startswith("lag_screw"):
        washers.append(rect(at, inside, height_in + 0.7, inside - 0.15, height_in - 0.7, LIGHT, "#000000"))
        washers.append(
            rect(at, inside - 0.15, height_in + 0.4, inside - 0.5, height_in - 0.4, LIGHT, "#000000")
        )
    return [
        group(
            [rect(at, tip, height_in + 0.25, face, height_in - 0.25, LIGHT, PAPER), *washers, head],
            part="fastener",
        )
    ]


def _flashing(one: Hung, at: Placed) -> list[Element]:
    """Over the ledger and up behind the cladding; a tape behind the ledger, both on without a break."""
    top, low = one.ledger.top_height_in, one.ledger.bottom_height_in
    over = [(0.0, one.surface_in + 3.0), (0.0, top), (LUMBER_IN + 0.15, top), (LUMBER_IN + 0.15, top - 0.8)]
    behind = [(0.0, top), (0.0, low - 1.0)]
    return [
        polyline([at.at(*corner) for corner in over], _FLASHING),
        polyline([at.at(*corner) for corner in behind], Stroke(1.6, "2 1")),
        rect(at, 0.1, reach_of(one).top_in, 0.7, one.surface_in + 0.75, LIGHT, PAPER),
    ]


def _tie(one: Hung, at: Placed) -> list[Element]:
    if not one.ledger.lateral_devices:
        return []
    height = one.ledger.top_height_in - one.joist_depth_in * 0.72
    ends = (-HOUSE_IN + 2, 9.0)
    plates = [line(at.at(end, height - 0.7), at.at(end, height + 0.7), OBJECT) for end in ends]
    return [line(at.at(ends[0], height), at.at(ends[1], height), HIDDEN), *plates]


def dimensions(one: Hung, at: Placed, placing: Placing) -> Element:
    """Return how deep the parts of the deck are on the right, those of the house on the left."""
    ledger = one.ledger
    right = [ledger.top_height_in - one.joist_depth_in, ledger.top_height_in, one.surface_in]
    parts = _upright(at, YARD_IN, 1.0, right, placing)
    if ledger.band_top_height_in is not None and ledger.band_bottom_height_in is not None:
        plate = ledger.band_bottom_height_in - one.wall.sill_plate_in
        house = [plate, ledger.band_bottom_height_in, ledger.band_top_height_in]
        if one.wall.sill_height_in is not None:
            house.append(one.wall.sill_height_in)
        parts += _upright(at, -HOUSE_IN, -1.0, house, placing)
    return group(parts, id=f"{ledger.id}.depths")


def _upright(
    at: Placed, along_in: float, out: float, heights_in: list[float], placing: Placing
) -> list[Element]:
    base = Baseline(at.at(along_in, min(heights_in)), (0.0, -1.0), (out, 0.0))
    return parts_told(base, heights_in, at, placing)


def write_labels(one: Hung, at: Placed, placing: Placing) -> None:
    """Write what each part is, on the side it lies on."""
    reach = reach_of(one)
    kept(at, reach.left_in, reach.top_in, reach.right_in, reach.bottom_in, placing)
    for text, (along, height), side in _told(one):
        of = at.at(along, height)
        edge = at.at(reach.right_in if side > 0 else reach.left_in, height)
        placing.place(Label(text, tuple(_beside(text, edge, side)), of=of))


def _beside(text: str, edge: At, side: int) -> list[At]:
    """Places beside the section, at the height of what is meant, then up and down from it."""
    half = Label(text, ()).box((0.0, 0.0)).right
    found = []
    for step in range(40):
        shift = (step + 1) // 2 * 6.0 * (1 if step % 2 else -1)
        for out in (34.0, 46.0):
            found.append((edge[0] + side * (out + half), edge[1] + shift))
    return [*found, *around(edge, 20.0, 200.0)]


def _told(one: Hung) -> list[tuple[str, tuple[float, float], int]]:
    ledger, wall = one.ledger, one.wall
    top = ledger.top_height_in
    found = [(piece_words(ledger.fastener), (LUMBER_IN + 0.5, row), 1) for row in ledger.row_heights_in[-1:]]
    found += [
        ("cladding, cut away here", (0.4, one.surface_in + 4.0), 1),
        ("flashing, up behind the cladding", (0.0, one.surface_in + 2.0), 1),
        (f"{one.decking} boards", (6.0, one.surface_in - one.decking_in / 2), 1),
        ("flashing over the ledger", (LUMBER_IN, top), 1),
        (f"ledger {ledger.size}", (LUMBER_IN / 2, ledger.bottom_height_in + 1.0), 1),
        (f"joist {one.joist_size} in a hanger", (8.0, top - one.joist_depth_in / 2), 1),
        ("tape behind the ledger", (0.0, ledger.bottom_height_in - 0.6), 1),
    ]
    if ledger.lateral_devices:
        held = f"lateral tie, {ledger.lateral_devices[0].capacity_lb:,.0f} lb"
        found.append((held, (-HOUSE_IN + 2, top - one.joist_depth_in * 0.72), -1))
    if (
        ledger.band_top_height_in is None
        or ledger.band_bottom_height_in is None
        or ledger.lands_on not in _BANDS
    ):
        return [*found, (f"wall: {ledger.lands_on.replace('_', ' ')}", (-4.0, top), -1)]
    back = -wall.sheathing_in
    low = ledger.band_bottom_height_in
    found += [
        (
            f"band of the house: {wall.kind.replace('_', ' ')}",
            (back - 0.7, (low + ledger.band_top_height_in) / 2),
            -1,
        ),
        (
            f"foundation: {wall.foundation.replace('_', ' ')}",
            (back - 4.0, low - wall.sill_plate_in - 3.0),
            -1,
        ),
    ]
    if wall.sheathing_in > 0:
        found.append((f"sheathing {feet_inches(wall.sheathing_in)}", (back / 2, one.surface_in + 5.0), -1))
    if wall.sill_plate_in > 0:
        found.append(("sill plate", (back - 2.0, low - wall.sill_plate_in / 2), -1))
    return found

"""A length of a ledger from the yard: its fasteners in two staggered rows, and how far they are from every edge."""

from __future__ import annotations

import math
from xml.etree.ElementTree import Element

from service.drawings.details.ledger_walls import Hung
from service.drawings.details.section_parts import parts_told, rect, torn
from service.drawings.kit.dimensions import Baseline
from service.drawings.kit.ink import CENTRE, DIMENSION, HIDDEN, LIGHT, OBJECT, PAPER, At, circle, group, line
from service.drawings.kit.labels import Label, Placing, around
from service.drawings.kit.lettering import Box
from service.drawings.kit.views import Placed, Reach, kept
from service.units.text import feet_inches

BESIDE_PT = Box(66.0, 22.0, 66.0, 56.0)
_PAST_IN = 4.0
_HEAD_IN = 0.6


def reach_of(one: Hung) -> Reach:
    """Return what the elevation of a ledger shows."""
    ledger = one.ledger
    heights = [ledger.bottom_height_in, ledger.top_height_in]
    heights += [at for at in (ledger.band_top_height_in, ledger.band_bottom_height_in) if at is not None]
    return Reach(-_PAST_IN, min(heights), one.shown_in() + _PAST_IN, max(heights), BESIDE_PT)


def drawing(one: Hung, at: Placed) -> Element:
    """Return the ledger, the band behind it dashed, and its fasteners."""
    ledger, shown = one.ledger, one.shown_in()
    top, low = ledger.top_height_in, ledger.bottom_height_in
    board = [rect(at, 0.0, top, shown, low, OBJECT, PAPER)]
    if shown < one.length_in:
        board.append(torn(at, shown, top + 1.5, low - 1.5))
    seen = [place for place in one.fasteners() if place[0] <= shown]
    return group(
        [
            group(board, id=ledger.id),
            group(_band(one, at), id=f"{ledger.id}.band"),
            group([_fastener(at, *place) for place in seen], id=f"{ledger.id}.fasteners"),
            group(_ties(one, at), id=f"{ledger.id}.lateral"),
        ],
        id=f"{ledger.id}.elevation",
        **at.view.data,
    )


def _band(one: Hung, at: Placed) -> list[Element]:
    ledger, end = one.ledger, one.shown_in() + _PAST_IN
    heights = [
        height for height in (ledger.band_top_height_in, ledger.band_bottom_height_in) if height is not None
    ]
    return [line(at.at(-_PAST_IN, height), at.at(end, height), HIDDEN) for height in heights]


def _fastener(at: Placed, along_in: float, height_in: float) -> Element:
    middle, radius = at.at(along_in, height_in), max(1.6, at.view.pt(_HEAD_IN))
    cross = radius + 2.5
    return group(
        [
            circle(middle, radius, LIGHT, PAPER),
            line((middle[0] - cross, middle[1]), (middle[0] + cross, middle[1]), DIMENSION),
            line((middle[0], middle[1] - cross), (middle[0], middle[1] + cross), DIMENSION),
        ],
        part="fastener",
    )


def _ties_in(one: Hung) -> list[tuple[float, float]]:
    """Lateral ties in the stretch shown: how far along, and what each holds, lb."""
    ledger = one.ledger
    places = [
        (12 * math.dist(ledger.start_ft, (tie.x_ft, tie.y_ft)), tie.capacity_lb)
        for tie in ledger.lateral_devices
    ]
    return [place for place in places if place[0] <= one.shown_in()]


def _ties(one: Hung, at: Placed) -> list[Element]:
    top, low = one.ledger.top_height_in, one.ledger.bottom_height_in
    return [line(at.at(x, top + 1.5), at.at(x, low - 1.5), CENTRE) for x, _ in _ties_in(one)]


def dimensions(one: Hung, at: Placed, placing: Placing) -> Element:
    """Return distances along below, to the ledger's edges on the right, to the band's on the left."""
    ledger, shown = one.ledger, one.shown_in()
    reach = reach_of(one)
    parts: list[Element] = []
    along = Baseline(at.at(0.0, reach.bottom_in), (1.0, 0.0), (0.0, 1.0))
    stops = [0.0, *(place for place, _ in one.fasteners() if place <= shown)]
    if len(stops) > len(ledger.fasteners_at_in) > 0:
        stops.append(one.length_in)
    parts += parts_told(along, stops, at, placing)
    right = Baseline(at.at(shown + _PAST_IN, ledger.bottom_height_in), (0.0, -1.0), (1.0, 0.0))
    heights = [ledger.bottom_height_in, *ledger.row_heights_in, ledger.top_height_in]
    parts += parts_told(right, heights, at, placing)
    if ledger.band_top_height_in is not None and ledger.band_bottom_height_in is not None:
        low = ledger.band_bottom_height_in
        left = Baseline(at.at(-_PAST_IN, low), (0.0, -1.0), (-1.0, 0.0))
        parts += parts_told(left, [low, *ledger.row_heights_in, ledger.band_top_height_in], at, placing)
    return group(parts, id=f"{ledger.id}.distances")


def write_labels(one: Hung, at: Placed, placing: Placing) -> None:
    """Write what is seen, each with a leader to it."""
    ledger, shown = one.ledger, one.shown_in()
    kept(at, 0.0, ledger.top_height_in, shown, ledger.bottom_height_in, placing)
    for text, of in _told(one, at):
        places = [(x, of[1] - 14 - 9 * row) for row in range(3) for x in (of[0], of[0] + 40, of[0] - 40)]
        placing.place(Label(text, (*places, *around(of, 14.0, 160.0)), of=of))


def _told(one: Hung, at: Placed) -> list[tuple[str, At]]:
    ledger = one.ledger
    found = [(f"{ledger.mark}  ledger {ledger.size}", at.at(one.shown_in() * 0.55, ledger.top_height_in))]
    if ledger.band_bottom_height_in is not None:
        found.append(
            ("band of the house, behind", at.at(one.shown_in() * 0.25, ledger.band_bottom_height_in))
        )
    for x, held in _ties_in(one):
        found.append(
            (
                f"lateral tie {held:,.0f} lb, {feet_inches(x)} from the end",
                at.at(x, ledger.top_height_in + 1.5),
            )
        )
    return found

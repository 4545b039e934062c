"""What elevations and sections share: ground, piers, torn edges, cut wood."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from xml.etree.ElementTree import Element

from service.contract.report_ground import Footing
from service.drawings.kit.dimensions import FIRST_PT, Baseline, string
from service.drawings.kit.ink import (
    CUT,
    HATCH,
    HIDDEN,
    LIGHT,
    OBJECT,
    PAPER,
    Stroke,
    line,
    polyline,
    rectangle,
)
from service.drawings.kit.labels import Placing
from service.drawings.kit.views import Placed
from service.units.text import feet_inches

_TICKS_PT, _TICK_PT = 7.0, 5.0
SHOWN_OF_PIER_IN = 9.0


def rect(
    at: Placed, a_in: float, a_height_in: float, b_in: float, b_height_in: float, stroke: Stroke, fill: str
) -> Element:
    """Return an upright rectangle by two of its corners."""
    (x0, y0), (x1, y1) = at.at(a_in, a_height_in), at.at(b_in, b_height_in)
    return rectangle(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1), stroke, fill)


def ground(at: Placed, start_in: float, end_in: float, height_in: float) -> list[Element]:
    """Return a line of the ground with short strokes under it."""
    (x0, y), (x1, _) = at.at(start_in, height_in), at.at(end_in, height_in)
    found = [line((x0, y), (x1, y), CUT)]
    x = x0 + _TICK_PT
    while x <= x1:
        found.append(line((x, y), (x - _TICK_PT, y + _TICK_PT), HATCH))
        x += _TICKS_PT
    return found


def torn(at: Placed, along_in: float, top_in: float, bottom_in: float) -> Element:
    """Return an upright line with a break in it: what goes on is not shown."""
    (x, top), (_, bottom) = at.at(along_in, top_in), at.at(along_in, bottom_in)
    middle = (top + bottom) / 2
    jag = min(4.0, abs(bottom - top) / 4)
    return polyline(
        [
            (x, top),
            (x, middle - jag),
            (x - jag, middle - jag / 2),
            (x + jag, middle + jag / 2),
            (x, middle + jag),
            (x, bottom),
        ],
        LIGHT,
    )


def torn_across(at: Placed, height_in: float, start_in: float, end_in: float) -> Element:
    """Return a level line with a break in it: what goes on below is not shown."""
    (left, y), (right, _) = at.at(start_in, height_in), at.at(end_in, height_in)
    middle = (left + right) / 2
    jag = min(4.0, abs(right - left) / 4)
    return polyline(
        [
            (left, y),
            (middle - jag, y),
            (middle - jag / 2, y - jag),
            (middle + jag / 2, y + jag),
            (middle + jag, y),
            (right, y),
        ],
        LIGHT,
    )


def parts_told(
    base: Baseline, stops_in: Iterable[float], at: Placed, placing: Placing, out_pt: float = FIRST_PT
) -> list[Element]:
    """Return a string of the lengths between stops, in from the first of them; nothing where there is but one stop."""
    stops = sorted(dict.fromkeys(stops_in))
    texts = [feet_inches(b - a) for a, b in pairwise(stops)]
    places = [at.view.pt(stop - stops[0]) for stop in stops]
    return string(base, places, texts, out_pt, placing).parts if texts else []


def pier(at: Placed, middle_in: float, foot: Footing) -> list[Element]:
    """Return the upper part of a footing: what stands out of the ground, what is in it dashed and broken off."""
    shaft = foot.concrete.shaft_diameter_in if foot.concrete else None
    half = (shaft or min(foot.width_in, 12.0)) / 2 if foot.concrete else 1.5
    low = max(foot.bottom_height_in, foot.grade_height_in - SHOWN_OF_PIER_IN)
    return [
        *ground(at, middle_in - half - 8, middle_in + half + 8, foot.grade_height_in),
        rect(at, middle_in - half, foot.top_height_in, middle_in + half, foot.grade_height_in, OBJECT, PAPER),
        rect(at, middle_in - half, foot.grade_height_in, middle_in + half, low, HIDDEN, "none"),
    ]

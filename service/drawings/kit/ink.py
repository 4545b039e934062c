"""Lines, shapes and letters as SVG elements.

Everything is written through an XML writer and with presentation attributes only: a caller's text can be nothing but
text. Line weights and dashes follow the conventions of architectural drafting: heavy where the section cuts, medium
for what is seen, thin for dimensions, short dashes for what is hidden, long and short ones for centre lines.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.drawings.kit.lettering import CAP_HEIGHT, FONT_FAMILY, LEAST_SIZE_PT, width_pt

At = tuple[float, float]
BLACK, GREY, PALE, PAPER = "#000000", "#595959", "#d9d9d9", "#ffffff"


class Stroke(NamedTuple):
    """A kind of line: its weight in pt, its dashes, its grey."""

    weight_pt: float
    dashes: str = ""
    colour: str = BLACK


CUT = Stroke(1.4)
OBJECT = Stroke(0.9)
LIGHT = Stroke(0.5)
HIDDEN = Stroke(0.6, "4 2")
CENTRE = Stroke(0.4, "10 2 2 2")
DIMENSION = Stroke(0.35)
HATCH = Stroke(0.25, colour=GREY)
NONE = Stroke(0.0)


def said(value: float) -> str:
    """Return a number as it is written, hundredths of a point.

    >>> said(12.0), said(0.126), said(-0.001)
    ('12', '0.13', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _stroked(stroke: Stroke, fill: str) -> dict[str, str]:
    if stroke.weight_pt == 0:
        return {"fill": fill, "stroke": "none"}
    found = {"fill": fill, "stroke": stroke.colour, "stroke-width": said(stroke.weight_pt)}
    return found | ({"stroke-dasharray": stroke.dashes} if stroke.dashes else {})


def line(a: At, b: At, stroke: Stroke = OBJECT) -> Element:
    """Return a straight line."""
    ends = {"x1": said(a[0]), "y1": said(a[1]), "x2": said(b[0]), "y2": said(b[1])}
    return Element("line", ends | _stroked(stroke, "none"))


def polygon(points: Iterable[At], stroke: Stroke = OBJECT, fill: str = "none") -> Element:
    """Return a closed shape."""
    corners = " ".join(f"{said(x)},{said(y)}" for x, y in points)
    return Element("polygon", {"points": corners} | _stroked(stroke, fill))


def polyline(points: Iterable[At], stroke: Stroke = OBJECT) -> Element:
    """Return an open shape."""
    corners = " ".join(f"{said(x)},{said(y)}" for x, y in points)
    return Element("polyline", {"points": corners} | _stroked(stroke, "none"))


def rectangle(
    left: float, top: float, right: float, bottom: float, stroke: Stroke = OBJECT, fill: str = "none"
) -> Element:
    """Return an upright rectangle."""
    sides = {"x": said(left), "y": said(top), "width": said(right - left), "height": said(bottom - top)}
    return Element("rect", sides | _stroked(stroke, fill))


def circle(centre: At, radius_pt: float, stroke: Stroke = OBJECT, fill: str = "none") -> Element:
    """Return a circle."""
    place = {"cx": said(centre[0]), "cy": said(centre[1]), "r": said(radius_pt)}
    return Element("circle", place | _stroked(stroke, fill))


def letters(
    text: str,
    at: At,
    size_pt: float = 8.0,
    *,
    anchor: str = "start",
    bold: bool = False,
    turn_deg: float = 0.0,
    colour: str = BLACK,
) -> Element:
    """Return a text that stands on a line; ``turn_deg`` turns it about its place, clockwise on paper.

    Raises:
        ValueError: a size too small to read on paper
    """
    if size_pt < LEAST_SIZE_PT:
        raise ValueError(f"text of {size_pt} pt cannot be read on paper; at least {LEAST_SIZE_PT}")
    found = Element(
        "text",
        {
            "x": said(at[0]),
            "y": said(at[1]),
            "font-family": FONT_FAMILY,
            "font-size": said(size_pt),
            "textLength": said(width_pt(text, size_pt, bold)),
            "lengthAdjust": "spacingAndGlyphs",
            "fill": colour,
        },
    )
    if anchor != "start":
        found.set("text-anchor", anchor)
    if bold:
        found.set("font-weight", "bold")
    if turn_deg:
        found.set("transform", f"rotate({said(turn_deg)} {said(at[0])} {said(at[1])})")
    found.text = text
    return found


def centred(
    text: str, middle: At, size_pt: float = 8.0, *, bold: bool = False, turn_deg: float = 0.0
) -> Element:
    """Return a text whose middle lies at a point."""
    drop = CAP_HEIGHT * size_pt / 2
    turn = math.radians(turn_deg)
    at = (middle[0] - drop * math.sin(turn), middle[1] + drop * math.cos(turn))
    return letters(text, at, size_pt, anchor="middle", bold=bold, turn_deg=turn_deg)


def group(parts: Iterable[Element], *, id: str | None = None, **data: str) -> Element:
    """Return parts held together; ``data`` become `data-` attributes."""
    found = Element("g", {"id": id} if id else {})
    for name, value in data.items():
        found.set(f"data-{name.replace('_', '-')}", value)
    found.extend(list(parts))
    return found


def hatched(corners: Sequence[At], apart_pt: float = 5.0) -> list[Element]:
    """Return slanting lines across a shape without holes.

    >>> len(hatched([(0, 0), (20, 0), (20, 10), (0, 10)]))
    5
    """
    along = [x + y for x, y in corners]
    first, last = math.ceil(min(along) / apart_pt), math.floor(max(along) / apart_pt)
    found: list[Element] = []
    for step in range(first, last + 1):
        met = sorted(_met(corners, step * apart_pt))
        found += [line(a, b, HATCH) for a, b in zip(met[::2], met[1::2], strict=False) if a != b]
    return found


def _met(corners: Sequence[At], along: float) -> list[At]:
    """Where the line x + y = along crosses the edges of a shape."""
    found: list[At] = []
    for (ax, ay), (bx, by) in zip(corners, [*corners[1:], corners[0]], strict=True):
        before, after = ax + ay - along, bx + by - along
        if (before < 0) != (after < 0):
            share = before / (before - after)
            found.append((ax + share * (bx - ax), ay + share * (by - ay)))
    return found

"""What holds for every sheet: it is read back from its SVG, by libraries of others, and judged.

``faults(svg)`` lists what is wrong with any sheet; ``sheet(svg)`` finds groups by id and turns paper into feet.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from fontTools.ttLib import TTFont
from shapely import STRtree
from shapely.affinity import rotate
from shapely.geometry import Polygon, box

from service.app import bundled_snapshot, make_desk
from service.contract.report import DesignReport
from service.pipeline import design
from service.web.resolve import context_of, read_spec

ROOT = Path(__file__).parents[2]
EXAMPLES = tuple(
    sorted(
        path.stem
        for path in (ROOT / "openapi" / "examples").glob("*.json")
        if path.name != "answers.json" and not path.name.endswith(".answer.json")
    )
)
PAPERS = ("letter", "tabloid")
LEAST_PT = 7.0
# legible on any margin a printer leaves: a quarter of an inch
MARGIN_PT = 18.0
# rounding to hundredths of a point, and strokes that only touch
TOUCH_SQPT = 0.3
SVG = "{http://www.w3.org/2000/svg}"
_FONTS = ROOT / "service" / "typesetting" / "fonts"


@cache
def report_of(example: str) -> DesignReport:
    """The report of an example deck, without what its wishes cost: a drawing shows none of that."""
    desk = make_desk(bundled_snapshot())
    spec = read_spec((ROOT / "openapi" / "examples" / f"{example}.json").read_bytes(), desk)
    return design(spec, context_of(spec, desk), with_wishes=False)


@dataclass(frozen=True)
class Written:
    """A text of a sheet: what it says, its size, and the room its letters take."""

    said: str
    size_pt: float
    room: Polygon
    across: bool


@cache
def _font(bold: bool) -> tuple[dict[int, str], dict[str, tuple[int, int]], int]:
    font = TTFont(_FONTS / f"DejaVuSansCondensed{'-Bold' if bold else ''}.ttf")
    return font.getBestCmap(), dict(font["hmtx"].metrics), font["head"].unitsPerEm


def measured_pt(text: str, size_pt: float, bold: bool) -> float:
    """How wide the font itself sets a text, read by fontTools."""
    names, widths, per_em = _font(bold)
    return sum(widths[names.get(ord(one), ".notdef")][0] for one in text) * size_pt / per_em


def _tag(one: Element) -> str:
    return one.tag.removeprefix(SVG)


def _written(one: Element, across: bool) -> Written:
    said, size = one.text or "", float(one.get("font-size", "0"))
    wide = measured_pt(said, size, one.get("font-weight") == "bold")
    x, y = float(one.get("x", "0")), float(one.get("y", "0"))
    left = x - {"middle": wide / 2, "end": wide}.get(one.get("text-anchor", "start"), 0.0)
    room = box(left, y - 0.76 * size, left + wide, y + 0.24 * size)
    turn = re.fullmatch(r"rotate\(([-\d.]+) ([-\d.]+) ([-\d.]+)\)", one.get("transform", ""))
    if turn:
        # on paper y grows downwards, so that what turns clockwise there turns so here too
        room = rotate(room, float(turn[1]), origin=(float(turn[2]), float(turn[3])))
    return Written(said, size, room, across)


class Sheet:
    """A sheet read back from its SVG."""

    def __init__(self, svg: str) -> None:
        self.root = ElementTree.fromstring(svg)  # noqa: S314 our own text, just written
        _, _, wide, high = (float(one) for one in self.root.get("viewBox", "").split())
        self.paper = box(0, 0, wide, high)

    def all(self, tag: str) -> Iterator[Element]:
        """Every element of a kind."""
        return self.root.iter(f"{SVG}{tag}")

    def ids(self) -> list[str]:
        """Every id, as often as it is given."""
        return [one.get("id", "") for one in self.root.iter() if one.get("id")]

    def group(self, id: str) -> Element:
        """The one element with an id."""
        (found,) = (one for one in self.root.iter() if one.get("id") == id)
        return found

    def written(self) -> list[Written]:
        """Every text, those of the verdict across the sheet marked."""
        across = {
            text
            for one in self.root.iter()
            if one.get("id") == "verdict-across"
            for text in one.iter(f"{SVG}text")
        }
        return [_written(one, one in across) for one in self.all("text")]

    def said(self) -> list[str]:
        """What every text says."""
        return [one.said for one in self.written()]

    def feet(self, place: tuple[float, float], group: str) -> tuple[float, float]:
        """A place on paper in feet, by the scale and origin the group carries."""
        data = self.group(group).attrib
        per_ft, up = float(data["data-pt-per-ft"]), float(data["data-up"])
        x, y = float(data["data-origin-x-pt"]), float(data["data-origin-y-pt"])
        return (place[0] - x) / per_ft, (place[1] - y) / (up * per_ft)


def corners_pt(one: Element) -> list[tuple[float, float]]:
    """The corners of a line, a rectangle, a polygon or a polyline, and the middle of a circle."""
    value = {name: float(said) for name, said in one.attrib.items() if re.fullmatch(r"-?[\d.]+", said)}
    match _tag(one):
        case "line":
            return [(value["x1"], value["y1"]), (value["x2"], value["y2"])]
        case "rect":
            x, y, wide, high = value["x"], value["y"], value["width"], value["height"]
            return [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
        case "circle":
            return [(value["cx"], value["cy"])]
        case "polygon" | "polyline":
            pairs = [pair.split(",") for pair in one.get("points", "").split()]
            return [(float(x), float(y)) for x, y in pairs]
        case _:
            return []


def faults(svg: str) -> list[str]:
    """What is wrong with a sheet; nothing where it is good."""
    sheet = Sheet(svg)
    return [
        *_texts_wrong(sheet),
        *_over_each_other(sheet),
        *_off_paper(sheet),
        *_not_grey(sheet),
        *_ids(sheet),
    ]


def _texts_wrong(sheet: Sheet) -> Iterator[str]:
    for one in sheet.written():
        if one.size_pt < LEAST_PT:
            yield f"{one.said!r} is set in {one.size_pt} pt"
        if not one.said.strip():
            yield "a text says nothing"


def _over_each_other(sheet: Sheet) -> Iterator[str]:
    written = [one for one in sheet.written() if not one.across]
    rooms = [one.room for one in written]
    for a, b in STRtree(rooms).query(rooms, predicate="intersects").T:
        if a < b and rooms[a].intersection(rooms[b]).area > TOUCH_SQPT:
            yield f"{written[a].said!r} and {written[b].said!r} lie over each other"


def _off_paper(sheet: Sheet) -> Iterator[str]:
    white = sheet.paper.buffer(-MARGIN_PT, join_style="mitre")
    for one in sheet.written():
        if not white.covers(one.room):
            yield f"{one.said!r} leaves the paper"
    left, top, right, bottom = sheet.paper.bounds
    for one in sheet.root.iter():
        for x, y in corners_pt(one):
            if not (left - 1e-9 <= x <= right + 1e-9 and top - 1e-9 <= y <= bottom + 1e-9):
                yield f"a {_tag(one)} leaves the paper at {x:g}, {y:g}"


def _not_grey(sheet: Sheet) -> Iterator[str]:
    for one in sheet.root.iter():
        for name in ("fill", "stroke"):
            colour = one.get(name, "none")
            if colour != "none" and not re.fullmatch(r"#([0-9a-f]{2})\1\1", colour):
                yield f"a {_tag(one)} has the colour {colour}"


def _ids(sheet: Sheet) -> Iterator[str]:
    for name, count in Counter(sheet.ids()).items():
        if count > 1:
            yield f"the id {name} is given {count} times"


def size_of(one: Element) -> tuple[float, float]:
    """How wide and high a shape is, pt."""
    xs, ys = zip(*corners_pt(one), strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def middle_of(one: Element) -> tuple[float, float]:
    """The middle of a shape, pt."""
    xs, ys = zip(*corners_pt(one), strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def close(a: tuple[float, float], b: tuple[float, float], within: float) -> bool:
    """Whether two places are the same."""
    return math.dist(a, b) <= within

"""Detail sheets read back: what is in a group, in inches as the report has them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from xml.etree.ElementTree import Element

from drawings.sheet_checks import SVG, Sheet, corners_pt, report_of

from service.drawings.sheets import sheet_svg

Place = tuple[float, float]
# a hundredth of a point at the smallest scale that is drawn, and a little
NEAR_IN = 0.06


@cache
def sheet_of(example: str, name: str, paper: str) -> Sheet:
    """A sheet of an example deck."""
    return Sheet(sheet_svg(report_of(example), name, paper))


def has(sheet: Sheet, id: str) -> bool:
    """Whether a sheet has a group of this id."""
    return id in sheet.ids()


def part(group: Element, name: str) -> Iterator[Element]:
    """What is in the parts of one name in a group."""
    for one in group.iter(f"{SVG}g"):
        if one.get("data-part") == name:
            yield from one


def inches_of(sheet: Sheet, one: Element, view: str) -> list[Place]:
    """The corners of a shape, in along and in up, by the scale of the view it lies in."""
    places = [sheet.feet(corner, view) for corner in corners_pt(one)]
    return [(12 * x, 12 * y) for x, y in places]

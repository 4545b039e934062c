"""Several views on one sheet: each as large as fits, with its name under it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.drawings.kit.ink import LIGHT, At, line
from service.drawings.kit.labels import Label, Placing
from service.drawings.kit.lettering import Box, shortened, width_pt
from service.drawings.kit.paper import View, scale_for

_NAME_PT, _NAME_SIZE_PT = 24.0, 9.0


class Reach(NamedTuple):
    """What a view shows: places along and heights, in, and the room beside it for what is written, pt."""

    left_in: float
    bottom_in: float
    right_in: float
    top_in: float
    beside_pt: Box = Box(20, 20, 20, 20)

    @property
    def wide_ft(self) -> float:
        """How much it shows along, ft."""
        return (self.right_in - self.left_in) / 12

    @property
    def high_ft(self) -> float:
        """How much it shows upwards, ft."""
        return (self.top_in - self.bottom_in) / 12


class Placed(NamedTuple):
    """A view where it lies on paper, heights growing upwards, and the room it has."""

    view: View
    room: Box

    def at(self, along_in: float, height_in: float) -> At:
        """Return the place on paper of a place along and a height, in."""
        return self.view.at(along_in / 12, height_in / 12)


def cells(area: Box, columns: int, rows: int) -> list[Box]:
    """Return an area in equal parts, row by row.

    >>> cells(Box(0, 0, 20, 10), 2, 1)[1]
    Box(left=10.0, top=0.0, right=20.0, bottom=10.0)
    """
    wide, high = (area.right - area.left) / columns, (area.bottom - area.top) / rows
    return [
        Box(
            area.left + column * wide,
            area.top + row * high,
            area.left + (column + 1) * wide,
            area.top + (row + 1) * high,
        )
        for row in range(rows)
        for column in range(columns)
    ]


def placed(reach: Reach, room: Box) -> Placed:
    """Return a view as large as fits in a room, in the middle of it, its name's room left free below."""
    left, top, right, bottom = reach.beside_pt
    wide = room.right - room.left - left - right
    high = room.bottom - room.top - top - bottom - _NAME_PT
    scale = scale_for(reach.wide_ft, reach.high_ft, wide, high)
    spare_x = max(0.0, wide - reach.wide_ft * scale.pt_per_ft) / 2
    spare_y = max(0.0, high - reach.high_ft * scale.pt_per_ft) / 2
    origin = (
        room.left + left + spare_x - reach.left_in / 12 * scale.pt_per_ft,
        room.top + top + spare_y + reach.top_in / 12 * scale.pt_per_ft,
    )
    return Placed(View(scale, origin, -1.0), room)


def side_by_side(reaches: Sequence[Reach], area: Box) -> list[Placed]:
    """Return views in equal parts of an area, so divided that the smallest of them is as large as can be."""
    count = len(reaches)
    ways = []
    for columns in range(1, count + 1):
        parts = cells(area, columns, math.ceil(count / columns))
        ways.append([placed(reach, part) for reach, part in zip(reaches, parts, strict=False)])
    return max(ways, key=_smallest, default=[])


def _smallest(views: Sequence[Placed]) -> float:
    return min(one.view.scale.pt_per_ft for one in views)


def most_that_fit(reaches: Sequence[Reach], area: Box, least_pt_per_ft: float) -> list[Placed]:
    """Return as many of the views as can be read, the first ones; the first one always.

    Args:
        reaches: what each view shows.
        area: where they may lie.
        least_pt_per_ft: the smallest scale at which one can still be read.
    """
    for count in range(len(reaches), 1, -1):
        found = side_by_side(reaches[:count], area)
        if _smallest(found) >= least_pt_per_ft:
            return found
    return side_by_side(reaches[:1], area)


def kept(
    one: Placed, a_in: float, a_height_in: float, b_in: float, b_height_in: float, placing: Placing
) -> None:
    """Let no label lie over a part of a view, by two of its corners."""
    (x0, y0), (x1, y1) = one.at(a_in, a_height_in), one.at(b_in, b_height_in)
    placing.keep(Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))


def named(one: Placed, name: str, placing: Placing) -> Element:
    """Write a view's name and scale at the bottom of its room; return the line under them."""
    room, scale = one.room, f", {one.view.scale.text}"
    left = room.right - room.left - 8 - width_pt(scale, _NAME_SIZE_PT, bold=True)
    text = shortened(name, left, _NAME_SIZE_PT, bold=True) + scale
    half = width_pt(text, _NAME_SIZE_PT, bold=True) / 2
    middle = ((room.left + room.right) / 2, room.bottom - 12)
    under = middle[1] + 7
    placing.place(Label(text, (middle,), _NAME_SIZE_PT, True))
    return line((middle[0] - half, under), (middle[0] + half, under), LIGHT)


def scale_said(views: Sequence[Placed]) -> str:
    """Return the scale as the title block says it: of one view its own, of several that each says its own."""
    scales = list(dict.fromkeys(one.view.scale.text for one in views))
    if not scales:
        return "No scale"
    return f"Scale {scales[0]}" if len(scales) == 1 else "Scales as noted"


def scale_of(views: Sequence[Placed]) -> float | None:
    """Return how many points a foot is, where all views have one scale."""
    scales = {one.view.scale.pt_per_ft for one in views}
    return scales.pop() if len(scales) == 1 else None

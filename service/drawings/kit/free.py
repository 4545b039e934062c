"""What is free under a drawing."""

from __future__ import annotations

import math
from collections.abc import Iterable
from xml.etree.ElementTree import Element

from service.drawings.kit.lettering import Box, width_pt

_UNDER_PT, _LEAST_PT = 10.0, 54.0


def under(parts: Iterable[Element], area: Box, wide_pt: float) -> list[Box]:
    """Return the columns of a width that are free between what is drawn and the bottom of the area.

    Args:
        parts: all that is drawn and written in the area.
        area: where it lies, pt.
        wide_pt: how wide a column is.

    Returns:
        As many columns as lie beside each other; none where they would be too low for a few lines.
    """
    lowest = max((_lowest_pt(one) for part in parts for one in part.iter()), default=area.top)
    top = lowest + _UNDER_PT
    if area.bottom - top < _LEAST_PT:
        return []
    count = int((area.right - area.left) // wide_pt)
    lefts = [area.left + number * wide_pt for number in range(count)]
    return [Box(left, top, left + wide_pt, area.bottom) for left in lefts]


def _lowest_pt(one: Element) -> float:
    """How far down the paper an element reaches; nothing for what only holds others."""
    at = {name: float(one.get(name, "0")) for name in ("y", "y1", "y2", "cy", "r", "height")}
    match one.tag:
        case "line":
            return max(at["y1"], at["y2"])
        case "rect":
            return at["y"] + at["height"]
        case "circle":
            return at["cy"] + at["r"]
        case "polygon" | "polyline":
            return max(float(pair.partition(",")[2]) for pair in one.get("points", "").split())
        case "text":
            return at["y"] + _below_pt(one)
        case _:
            return -math.inf


def _below_pt(one: Element) -> float:
    """How far a text may reach under where it is set: as far as it is long, where it is turned."""
    size = float(one.get("font-size", "0"))
    long = width_pt(one.text or "", size, one.get("font-weight") == "bold")
    return long if one.get("transform") else size / 2

"""A sheet of a thing the deck does not have: it says so, and why."""

from __future__ import annotations

from collections.abc import Sequence

from service.drawings.kit.ink import centred
from service.drawings.kit.labels import Placing
from service.drawings.kit.lettering import lines_of
from service.drawings.kit.paper import Paper
from service.drawings.kit.sheet import Content

_SIZE_PT, _STEP_PT = 11.0, 15.0


def nothing_to_draw(title: str, why: str, paper: Paper, further: Sequence[str] = ()) -> Content:
    """Return a sheet that says what there is none of; ``further`` are sentences under it."""
    area = paper.area
    room = area.right - area.left - 60
    lines = [line for text in (why, *further) for line in (*lines_of(text, room, _SIZE_PT), "")][:-1]
    most = int((area.bottom - area.top - 60) / _STEP_PT)
    middle = (area.left + area.right) / 2
    top = (area.top + area.bottom) / 2 - _STEP_PT * min(len(lines), most) / 2
    body = [
        centred(text, (middle, top + _STEP_PT * row), _SIZE_PT, bold=row == 0)
        for row, text in enumerate(lines[:most])
        if text
    ]
    return Content(title, "No scale", (), body, " ".join((why, *further)))


def no_room(left: Sequence[str], placing: Placing) -> list[str]:
    """Return the notes that come first: which views, and which texts, found no room on the paper."""
    found = []
    if left:
        found.append(f"No room on this paper for {', '.join(left)}: see the tables, or ask for larger paper.")
    if placing.missed:
        found.append(f"No room on this paper to write: {'; '.join(placing.missed)}.")
    return found

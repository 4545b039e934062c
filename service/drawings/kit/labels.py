"""Texts on a sheet, none over another one."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.drawings.kit.ink import DIMENSION, NONE, PAPER, At, centred, line, rectangle
from service.drawings.kit.lettering import ASCENT, DESCENT, Box, width_pt

_CELL_PT = 48.0
_LEADER_FROM_PT = 14.0


class Label(NamedTuple):
    """A text with the places its middle may take, best first; ``of`` is what a leader runs to where it stands off."""

    text: str
    places: tuple[At, ...]
    size_pt: float = 7.5
    bold: bool = False
    turn_deg: float = 0.0
    of: At | None = None

    def box(self, middle: At) -> Box:
        """Return the room the text takes about its middle, pt; of a slanted one the upright room around it."""
        return _about(middle, self._halves())

    def boxes(self) -> Iterator[tuple[At, Box]]:
        """Yield each place with the room the text takes there; the text is measured once for all of them."""
        halves = self._halves()
        return ((middle, _about(middle, halves)) for middle in self.places)

    def _halves(self) -> tuple[float, float]:
        half_width = width_pt(self.text, self.size_pt, self.bold) / 2 + 1
        half_height = (ASCENT + DESCENT) * self.size_pt / 2
        turn = math.radians(self.turn_deg)
        across = abs(half_width * math.cos(turn)) + abs(half_height * math.sin(turn))
        return across, abs(half_width * math.sin(turn)) + abs(half_height * math.cos(turn))


def _about(middle: At, halves: tuple[float, float]) -> Box:
    (x, y), (across, down) = middle, halves
    return Box(x - across, y - down, x + across, y + down)


def around(at: At, nearest_pt: float = 9.0, farthest_pt: float = 80.0) -> tuple[At, ...]:
    """Return places about a point, nearer ones first.

    >>> around((0, 0), 10, 10)[0]
    (7.07, -7.07)
    """
    x, y = at
    return tuple((round(x + dx, 2), round(y + dy, 2)) for dx, dy in _offsets(nearest_pt, farthest_pt))


@lru_cache(maxsize=64)
def _offsets(nearest_pt: float, farthest_pt: float) -> tuple[At, ...]:
    """How far aside and down each place about a point lies: most points of a sheet share them."""
    turns = [math.radians(turn_deg) for turn_deg in (-45, 45, -135, 135, -90, 0, 90, 180)]
    found: list[At] = []
    reach = nearest_pt
    while reach <= farthest_pt:
        found += [(reach * math.cos(turn), reach * math.sin(turn)) for turn in turns]
        reach += 6.0
    return tuple(found)


class Placing:
    """What is written on one sheet. A label takes the first of its places that is free.

    All of it is drawn last, over every line: see ``written``.
    """

    def __init__(self, room: Box) -> None:
        self.room = room
        self.missed: list[str] = []
        self._settled: list[tuple[Label, At]] = []
        self._taken: defaultdict[tuple[int, int], list[Box]] = defaultdict(list)

    def keep(self, box: Box) -> None:
        """Let nothing be written in a rectangle from now on."""
        for cell in _cells(box):
            self._taken[cell].append(box)

    def is_free(self, box: Box) -> bool:
        """Return whether a text may be written in a rectangle."""
        if not box.inside(self.room):
            return False
        # asked tens of thousands of times for a large deck: what `Box.meets` asks, without a call for each
        left, top, right, bottom = box
        for cell in _cells(box):
            for other_left, other_top, other_right, other_bottom in self._taken.get(cell, ()):
                if left < other_right and other_left < right and top < other_bottom and other_top < bottom:
                    return False
        return True

    def has_room(self, label: Label) -> bool:
        """Return whether a label may be written at one of its places."""
        return any(self.is_free(box) for _, box in label.boxes())

    def place(self, label: Label) -> At | None:
        """Write a label at its first free place and return it; null, and noted in ``missed``, where there is none."""
        for middle, box in label.boxes():
            if self.is_free(box):
                self.keep(box)
                self._settled.append((label, middle))
                return middle
        self.missed.append(label.text)
        return None

    def written(self) -> list[Element]:
        """Return all labels: leaders first, then each text on paper of its own, so that no line crosses letters."""
        leaders = [part for label, middle in self._settled for part in _leader(label, middle)]
        return leaders + [part for label, middle in self._settled for part in _text(label, middle)]


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    for column in range(int(box.left // _CELL_PT), int(box.right // _CELL_PT) + 1):
        for row in range(int(box.top // _CELL_PT), int(box.bottom // _CELL_PT) + 1):
            yield column, row


def _text(label: Label, middle: At) -> list[Element]:
    text = centred(label.text, middle, label.size_pt, bold=label.bold, turn_deg=label.turn_deg)
    return [*([] if label.turn_deg % 90 else [rectangle(*label.box(middle), NONE, PAPER)]), text]


def _leader(label: Label, middle: At) -> list[Element]:
    if label.of is None or math.dist(label.of, middle) < _LEADER_FROM_PT:
        return []
    box = label.box(middle)
    nearest = (
        min(max(label.of[0], box.left), box.right),
        min(max(label.of[1], box.top), box.bottom),
    )
    return [line(label.of, nearest, DIMENSION)]

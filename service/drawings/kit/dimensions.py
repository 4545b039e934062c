"""Dimension strings: a thin line with a slanting tick at each stop and the length of each part over it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.drawings.kit.ink import DIMENSION, LIGHT, At, line
from service.drawings.kit.labels import Label, Placing
from service.drawings.kit.lettering import width_pt

SIZE_PT = 7.5
FIRST_PT, APART_PT = 20.0, 17.0  # from what is measured to the first string, and from string to string
_GAP_PT, _PAST_PT, _TICK_PT = 3.0, 3.0, 2.6
_ROWS = 7


class Baseline(NamedTuple):
    """Where a string is drawn: a point, the way along what is measured and the way out from it."""

    origin: At
    along: At
    out: At

    def at(self, along_pt: float, out_pt: float) -> At:
        """Return a place on paper.

        >>> Baseline((10, 10), (1, 0), (0, 1)).at(5, 20)
        (15, 30)
        """
        return (
            self.origin[0] + along_pt * self.along[0] + out_pt * self.out[0],
            self.origin[1] + along_pt * self.along[1] + out_pt * self.out[1],
        )

    def out_of(self, place: At) -> float:
        """Return how far out a place on paper lies, pt.

        >>> Baseline((10, 10), (1, 0), (0, 1)).out_of((40, 30))
        20
        """
        return (place[0] - self.origin[0]) * self.out[0] + (place[1] - self.origin[1]) * self.out[1]

    @property
    def turn_deg(self) -> float:
        """How a text along it is turned: read from below or from the right."""
        turn = math.degrees(math.atan2(self.along[1], self.along[0]))
        return (turn + 90.0) % 180.0 - 90.0


def between(a: At, b: At, out_of: At) -> Baseline:
    """Return the baseline from one point to another; out is away from a third point.

    >>> between((0, 0), (10, 0), (5, -5))
    Baseline(origin=(0, 0), along=(1.0, 0.0), out=(-0.0, 1.0))
    """
    length = math.dist(a, b)
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    out = (-along[1], along[0])
    towards = (out_of[0] - a[0]) * out[0] + (out_of[1] - a[1]) * out[1]
    return Baseline(a, along, out if towards <= 0 else (along[1], -along[0]))


class Drawn(NamedTuple):
    """A string's elements, and how far out it reaches, pt."""

    parts: list[Element]
    reach_pt: float


def string(
    base: Baseline, stops_pt: Sequence[float], texts: Sequence[str], out_pt: float, placing: Placing
) -> Drawn:
    """Return the lines of a dimension string and write its lengths; one too wide for its part stands on a leader.

    Args:
        base: what is measured.
        stops_pt: places along it, rising, pt; one more than texts.
        texts: the length of each part.
        out_pt: how far out the line lies.
        placing: what is written on the sheet so far.
    """
    parts = [line(base.at(stops_pt[0], out_pt), base.at(stops_pt[-1], out_pt), DIMENSION)]
    for stop in stops_pt:
        parts += _stop(base, stop, out_pt)
    reach = out_pt + _PAST_PT
    for (left, right), text in zip(pairwise(stops_pt), texts, strict=True):
        label = _label(base, left, right, text, out_pt)
        middle = placing.place(label)
        if middle is not None:
            reach = max(reach, base.out_of(middle) + SIZE_PT)
    return Drawn(parts, reach)


def _stop(base: Baseline, stop_pt: float, out_pt: float) -> tuple[Element, Element]:
    extension = line(base.at(stop_pt, _GAP_PT), base.at(stop_pt, out_pt + _PAST_PT), DIMENSION)
    tick = line(
        base.at(stop_pt - _TICK_PT, out_pt + _TICK_PT), base.at(stop_pt + _TICK_PT, out_pt - _TICK_PT), LIGHT
    )
    return extension, tick


def _label(base: Baseline, left_pt: float, right_pt: float, text: str, out_pt: float) -> Label:
    half, middle = width_pt(text, SIZE_PT) / 2 + 3, (left_pt + right_pt) / 2
    fits = 2 * half <= right_pt - left_pt
    over = [base.at(middle, out_pt - SIZE_PT / 2 - 2)] if fits else []
    beyond = [
        base.at(middle + aside, out_pt + SIZE_PT / 2 + 4 + row * (SIZE_PT + 2.5))
        for row in range(_ROWS)
        for aside in (0.0, half, -half)
    ]
    return Label(text, (*over, *beyond), SIZE_PT, False, base.turn_deg, base.at(middle, out_pt))

"""Ordinate dimensions: how far each place lies from one origin, on lines that step aside where they would crowd."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from xml.etree.ElementTree import Element

from service.drawings.kit.dimensions import SIZE_PT, Baseline
from service.drawings.kit.ink import DIMENSION, polyline
from service.drawings.kit.labels import Label, Placing
from service.drawings.kit.lettering import width_pt

_APART_PT, _STEP_PT, _GAP_PT = 10.0, 9.0, 2.0


def ordinates(
    base: Baseline, stops_pt: Mapping[str, tuple[float, float]], out_pt: float, placing: Placing
) -> list[Element]:
    """Return a line for each place along a baseline and write its text at the line's end, square to the baseline.

    Args:
        base: what is measured.
        stops_pt: of each text its place along the baseline and how far out its line begins, pt.
        out_pt: how far out the texts begin.
        placing: what is written on the sheet so far.
    """
    told = sorted(stops_pt.items(), key=lambda item: item[1])
    aside = spread([along for _, (along, _) in told], _APART_PT)
    found: list[Element] = []
    for (text, (along, begins)), place in zip(told, aside, strict=True):
        long = width_pt(text, SIZE_PT)
        label = Label(text, (base.at(place, out_pt + _GAP_PT + long / 2 + 1),), turn_deg=_across(base))
        ends = [(along, begins), (along, out_pt - _STEP_PT), (place, out_pt - _GAP_PT), (place, out_pt)]
        found.append(polyline([base.at(*end) for end in ends], DIMENSION))
        placing.place(label)
    return found


def _across(base: Baseline) -> float:
    """How a text square to a baseline is turned: read from below or from the right."""
    return 0.0 if abs(base.out[0]) > abs(base.out[1]) else -90.0


def spread(places: Sequence[float], apart: float) -> list[float]:
    """Return rising places moved as little as can be so that all lie so far apart.

    >>> spread([0, 1, 30], 10)
    [-4.5, 5.5, 30.0]
    """
    blocks: list[tuple[float, int]] = []
    for number, place in enumerate(places):
        middle, count = float(place) - number * apart, 1
        while blocks and blocks[-1][0] >= middle:
            before, many = blocks.pop()
            middle = (before * many + middle * count) / (many + count)
            count += many
        blocks.append((middle, count))
    moved = [middle for middle, count in blocks for _ in range(count)]
    return [middle + number * apart for number, middle in enumerate(moved)]

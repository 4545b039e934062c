"""A heavy object on a rectangular level: the joists under it, and the lines beams of its own can stand on."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.contract.plan import footprint
from service.contract.spec import HeavyObjectSpec, LevelSpec
from service.framing.joist_lines import joist_centres
from service.framing.layout import Layout
from service.framing.outline import Rectangle

INSET_IN = 3.0  # beam centres inside the footprint, so that joists bear on the whole beam
APART_IN = 24.0  # two beams of one small object: their footings need room
LEAST_APART_IN = 12.0
CLEAR_OF_BEAM_IN = 12.0
BESIDE_BEAM_IN = (12.0, 24.0)
CLEAR_OF_HOUSE_IN = 18.0
SHORTEST_BEAM_IN = 36.0
MOST_ROWS = 4
SAME_IN = 1e-6


@dataclass(frozen=True)
class Footprint:
    """What an object covers, from the level's left edge and from the house wall line, in."""

    number: int
    left_in: float
    right_in: float
    near_in: float
    far_in: float

    @property
    def member(self) -> str:
        """The object's id."""
        return f"deck.heavy-{self.number}"


@dataclass(frozen=True)
class Strip:
    """The joist lines that carry an object (centres from the left edge) and the width they stand for, in."""

    start_in: float
    end_in: float
    centres_in: tuple[float, ...]

    @property
    def length_in(self) -> float:
        """Length of the beams under these joists."""
        return self.end_in - self.start_in


def footcoversof(thing: HeavyObjectSpec, number: int, level: LevelSpec, rect: Rectangle) -> Footprint:
    """Return where an object stands on its rectangle."""
    corners = footprint(thing)
    xs = [12 * (x + level.origin_ft[0] - rect.x_ft) for x, _ in corners]
    ys = [12 * (y + level.origin_ft[1] - rect.y_ft) for _, y in corners]
    return Footprint(number, min(xs), max(xs), min(ys), max(ys))


def strip_under(layout: Layout, covers: Footprint) -> Strip:
    """Return the joists whose share of the width reaches under the object, at least 36 in of deck."""
    centres = joist_centres(layout.width_in, layout.spacing_in)
    edges = (0.0, *((a + b) / 2 for a, b in itertools.pairwise(centres)), layout.width_in)
    under = [
        i
        for i in range(len(centres))
        if edges[i] < covers.right_in - SAME_IN and edges[i + 1] > covers.left_in + SAME_IN
    ]
    first, last = under[0], under[-1]
    while edges[last + 1] - edges[first] < min(SHORTEST_BEAM_IN, layout.width_in) - SAME_IN:
        first, last = max(0, first - 1), min(len(centres) - 1, last + 1)
    return Strip(edges[first], edges[last + 1], centres[first : last + 1])


def _within(layout: Layout, by_house: bool) -> tuple[float, float]:
    """The nearest and farthest place of a beam of its own."""
    near = CLEAR_OF_HOUSE_IN if by_house else layout.house_face_in + INSET_IN
    return near, layout.projection_in - INSET_IN


def _even(covers: Footprint, count: int, near_in: float, far_in: float) -> tuple[float, ...]:
    first = max(covers.near_in + INSET_IN, near_in)
    last = min(covers.far_in - INSET_IN, far_in)
    if last - first < APART_IN:
        middle = (first + last) / 2
        first = max(near_in, min(middle - APART_IN / 2, far_in - APART_IN))
        last = min(far_in, first + APART_IN)
    return tuple(first + (last - first) * i / (count - 1) for i in range(count))


def _clear(y_in: float, beams_in: Sequence[float]) -> bool:
    return all(abs(y_in - beam) >= CLEAR_OF_BEAM_IN - SAME_IN for beam in beams_in)


def _places(y_in: float, beams_in: Sequence[float]) -> tuple[float, ...]:
    """The place itself where it is clear, then places 12 and 24 in to both sides of a beam of the deck near it."""
    near = [beam for beam in beams_in if abs(beam - y_in) < BESIDE_BEAM_IN[-1] - SAME_IN]
    sides = [beam + sign * by for by in BESIDE_BEAM_IN for beam in near for sign in (-1, 1)]
    close = sorted({s for s in sides if abs(s - y_in) <= BESIDE_BEAM_IN[-1]}, key=lambda s: abs(s - y_in))
    return tuple(place for place in dict.fromkeys((y_in, *close)) if _clear(place, beams_in))


def row_sets(layout: Layout, covers: Footprint, by_house: bool) -> Iterator[tuple[float, ...]]:
    """Yield the rows of beams an object can have, fewest first: from the wall line, rising, in.

    One row near each edge of the footprint, more spread evenly between; 12 in clear of the deck's own beams and,
    where there is a house, 18 in from its wall (both conventions of this service).
    """
    near, far = _within(layout, by_house)
    for count in range(2, MOST_ROWS + 1):
        rows = _even(covers, count, near, far)
        for tried in itertools.product(*(_places(row, layout.beam_ys_in) for row in rows)):
            apart = all(b - a >= LEAST_APART_IN - SAME_IN for a, b in itertools.pairwise(tried))
            if apart and near - SAME_IN <= tried[0] and tried[-1] <= far + SAME_IN:
                yield tried

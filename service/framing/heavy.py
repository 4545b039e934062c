"""A heavy object on a level: the joists under it, and the lines beams of its own can stand on."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from service.contract.plan import footprint
from service.contract.report_frame import Point
from service.contract.spec import HeavyObjectSpec, LevelSpec
from service.framing.axes import Axes
from service.framing.joist_lines import joist_places
from service.framing.line import LineLayout
from service.framing.members import Members

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
    """What an object covers, in the axes of the region it stands on, in: across the joists, and along them."""

    number: int
    left_in: float
    right_in: float
    near_in: float
    far_in: float
    corners_ft: tuple[Point, ...] = ()

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


@dataclass(frozen=True)
class Bed:
    """The joists an object stands on, all alike: between two ends across, with where each stands, in.

    ``names`` are what they rest on, ``house`` says at which of their two ends the house stands.
    """

    axes: Axes
    line: LineLayout
    names: tuple[str, ...]
    group: str
    joist_size: str
    spacing_in: float
    joist_bottom_in: float
    from_in: float
    to_in: float
    centres_in: tuple[float, ...]
    house: tuple[bool, bool]

    @cached_property
    def beams_in(self) -> tuple[float, ...]:
        """Where the deck's own beams stand under them."""
        return tuple(rest.at_in for rest in self.line.rests if rest.row is not None)


def covered(thing: HeavyObjectSpec, number: int, level: LevelSpec, axes: Axes) -> Footprint:
    """Return where an object stands in a region's axes."""
    x0, y0 = level.origin_ft
    corners = [axes.local_in((x + x0, y + y0)) for x, y in footprint(thing)]
    us, vs = [u for u, _ in corners], [v for _, v in corners]
    plan = tuple((x + x0, y + y0) for x, y in footprint(thing))
    return Footprint(number, min(us), max(us), min(vs), max(vs), plan)


def bed_under(members: Members, covers: Footprint, joist_bottom_in: float) -> Bed | None:
    """Return the joists under an object, or None where they are not alike, or the object is not on them."""
    layout = members.layout
    for number, part in enumerate(layout.region.sections):
        within = part.from_in - SAME_IN <= covers.left_in and covers.right_in <= part.to_in + SAME_IN
        lies = (
            part.low.at(covers.left_in) - SAME_IN <= covers.near_in
            and covers.far_in <= part.high.at(covers.left_in) + SAME_IN
        )
        if not (part.square and within and lies):
            continue
        laid = layout.arrangement
        lines = {laid.line_at(number, u) for u in laid.places(number)}
        if len(lines) == 1:
            return _bed(members, number, lines.pop(), joist_bottom_in)
    return None


def _bed(members: Members, number: int, line: LineLayout, joist_bottom_in: float) -> Bed:
    layout = members.layout
    part = layout.region.sections[number]
    places = [(n, u) for n, u in joist_places(layout.region, layout.spacing_in)]
    wires = members.joists.lines
    names = next(
        tuple(support.member for support in wire.supports)
        for placed, wire in zip(members.placed, wires, strict=True)
        if placed == line
    )
    at_house = ("ledger", "wall")
    return Bed(
        axes=layout.region.axes,
        line=line,
        names=names,
        group=members.joists.id,
        joist_size=layout.joist_size,
        spacing_in=layout.spacing_in,
        joist_bottom_in=joist_bottom_in,
        from_in=part.from_in,
        to_in=part.to_in,
        centres_in=tuple(u for n, u in places if n == number),
        house=(part.low.meets in at_house, part.high.meets in at_house),
    )


def strip_under(bed: Bed, covers: Footprint) -> Strip:
    """Return the joists whose share of the width reaches under the object, at least 36 in of deck."""
    centres = bed.centres_in
    edges = (bed.from_in, *((a + b) / 2 for a, b in itertools.pairwise(centres)), bed.to_in)
    under = [
        i
        for i in range(len(centres))
        if edges[i] < covers.right_in - SAME_IN and edges[i + 1] > covers.left_in + SAME_IN
    ]
    first, last = under[0], under[-1]
    while edges[last + 1] - edges[first] < min(SHORTEST_BEAM_IN, bed.to_in - bed.from_in) - SAME_IN:
        first, last = max(0, first - 1), min(len(centres) - 1, last + 1)
    return Strip(edges[first], edges[last + 1], centres[first : last + 1])


def _within(bed: Bed) -> tuple[float, float]:
    """The nearest and farthest place of a beam of its own."""
    low, high = bed.line.low, bed.line.high
    near = low.line_in + CLEAR_OF_HOUSE_IN if bed.house[0] else low.face_in + INSET_IN
    far = high.line_in - CLEAR_OF_HOUSE_IN if bed.house[1] else high.face_in - INSET_IN
    return near, far


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


def row_sets(bed: Bed, covers: Footprint) -> Iterator[tuple[float, ...]]:
    """Yield the rows of beams an object can have, fewest first: along the joists, rising, in.

    One row near each edge of the footprint, more spread evenly between; 12 in clear of the deck's own beams and,
    where there is a house, 18 in from its wall (both conventions of this service).
    """
    near, far = _within(bed)
    for count in range(2, MOST_ROWS + 1):
        rows = _even(covers, count, near, far)
        for tried in itertools.product(*(_places(row, bed.beams_in) for row in rows)):
            apart = all(b - a >= LEAST_APART_IN - SAME_IN for a, b in itertools.pairwise(tried))
            if apart and near - SAME_IN <= tried[0] and tried[-1] <= far + SAME_IN:
                yield tried

"""Blocking between joists: where each piece lies, and so how many there are."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from service.contract.report_frame import Blocking, Point
from service.framing.axes import Axes
from service.framing.joist_lines import JOIST_IN
from service.framing.line import LineLayout
from service.framing.members import Members

# Common practice, no source: one row in the middle of a span over 8 ft, two at third points over 12 ft.
ONE_ROW_OVER_IN = 96.0
TWO_ROWS_OVER_IN = 144.0
# A border board lies on two joists: 12 in is the closest spacing the decking tables ask for there.
BORDER_EVERY_IN = 12.0
BACKING_SIZE = "2x6"  # laid flat, wider than the seam may wander (common practice)

OVER_BEAMS = "joists held upright over the beam (full depth, at least 60 % is required)"
IN_SPANS = "rows within spans over 8 ft (common practice)"
BORDERS = "border boards along the end joists: blocks every 12 in"
BACKING = "border boards: laid flat on the blocks, set that much lower, under the ends of the other boards"


REASONS = (OVER_BEAMS, IN_SPANS, BORDERS, BACKING)


@dataclass(frozen=True)
class Piece:
    """One piece of blocking: what it is for, its size, its length, in, and the ends of its centre line in plan."""

    because: str
    size: str
    length_in: float
    ends_ft: tuple[Point, Point]

    @property
    def kind(self) -> tuple[str, str, float]:
        """What pieces that are ordered together have in common."""
        return self.because, self.size, self.length_in


def like_pieces(level: str, first: int, pieces: Iterable[Piece]) -> tuple[Blocking, ...]:
    """Return like pieces together, in the order their kinds come first, numbered from ``first`` on.

    >>> ends = ((0.0, 1.0), (1.0, 1.0))
    >>> like_pieces("main", 1, [Piece("guard post", "2x8", 12.0, ends)] * 2)[0].count
    2
    """
    places: dict[tuple[str, str, float], list[tuple[Point, Point]]] = {}
    for piece in pieces:
        places.setdefault(piece.kind, []).append(piece.ends_ft)
    return tuple(
        Blocking(
            id=f"{level}.blocking-{number}",
            size=size,
            length_in=length,
            count=len(ends),
            because=because,
            places_ft=tuple(ends),
        )
        for number, ((because, size, length), ends) in enumerate(places.items(), start=first)
    )


def across(axes: Axes, left_in: float, right_in: float, along_in: float) -> tuple[Point, Point]:
    """Return the ends of a piece square to the joists, between two faces of theirs at a place along them."""
    return axes.deck_ft(left_in, along_in), axes.deck_ft(right_in, along_in)


def span_rows(span_in: float) -> int:
    """Return how many rows of blocking a joist span gets between its supports.

    >>> span_rows(96), span_rows(120), span_rows(150)
    (0, 1, 2)
    """
    return (span_in > ONE_ROW_OVER_IN) + (span_in > TWO_ROWS_OVER_IN)


@dataclass(frozen=True)
class Bay:
    """Two neighbouring joists and where their centre lines stand, in across. ``outer``: one of them is an end joist."""

    left: LineLayout
    right: LineLayout
    left_in: float
    right_in: float
    outer: bool

    @property
    def clear_in(self) -> float:
        """The clear width between them."""
        return self.right_in - self.left_in - JOIST_IN

    @property
    def beside_in(self) -> tuple[float, float]:
        """Between which places along them both are there."""
        return (
            max(self.left.low.joist_in, self.right.low.joist_in),
            min(self.left.high.joist_in, self.right.high.joist_in),
        )

    def block(self, axes: Axes, along_in: float, because: str, size: str) -> Piece:
        """Return a piece from face to face of the two."""
        half = JOIST_IN / 2
        ends = across(axes, self.left_in + half, self.right_in - half, along_in)
        return Piece(because, size, round(self.clear_in, 4), ends)


def _overlap_in(one: LineLayout, other: LineLayout) -> float:
    return min(one.high.joist_in, other.high.joist_in) - max(one.low.joist_in, other.low.joist_in)


def bays_of(members: Members) -> Iterator[Bay]:
    """Yield every bay of a layout: each joist with the next one it runs beside."""
    layout, axes = members.layout, members.layout.region.axes
    lines = members.joists.lines
    places = [12 * ((wire.x_ft or 0.0) - axes.origin_ft[0]) if axes.away
              else 12 * ((wire.y_ft or 0.0) - axes.origin_ft[1]) for wire in lines]  # fmt: skip
    order = sorted(range(len(places)), key=lambda i: (places[i], members.placed[i].low.joist_in))
    for place, i in enumerate(order):
        for j in _beside(members, places, i, order[place + 1 :]):
            if places[j] - places[i] <= layout.spacing_in + JOIST_IN:
                outer = any(_at_edge(members, places[k], side) for k, side in ((i, 1), (j, -1)))
                yield Bay(members.placed[i], members.placed[j], places[i], places[j], outer)


def _beside(members: Members, places: list[float], left: int, others: list[int]) -> list[int]:
    """The next joists to the right of one, each beside another part of it."""
    found: list[int] = []
    for j in others:
        line = members.placed[j]
        clear = all(_overlap_in(line, members.placed[k]) <= 0 for k in found)
        if places[j] > places[left] + 0.01 and clear and _overlap_in(members.placed[left], line) > 0:
            found.append(j)
    return found


def _at_edge(members: Members, u_in: float, inward: int) -> bool:
    flanks = members.layout.region.flanks
    return any(f.inward == inward and abs(f.face_in + inward * JOIST_IN / 2 - u_in) < 0.01 for f in flanks)


def _held_by_rim(line: LineLayout, index: int) -> bool:
    """Whether a rim at the end of the joist holds it upright over the beam there."""
    first = index == 0 and not line.low.ledger and line.low_cantilever_in == 0
    last = index == len(line.rests) - 1 and not line.high.ledger and line.high_cantilever_in == 0
    return first or last


def _over_beams(bay: Bay) -> Iterator[float]:
    """Where both joists run over a beam and no rim holds them; over one askew, midway between the two places."""
    held = {
        rest.row: (rest.at_in, _held_by_rim(bay.left, i))
        for i, rest in enumerate(bay.left.rests)
        if rest.row is not None
    }
    for i, rest in enumerate(bay.right.rests):
        if rest.row in held:
            at_in, by_rim = held[rest.row]
            if not (by_rim and _held_by_rim(bay.right, i)):
                yield (at_in + rest.at_in) / 2


def _rows_in(line: LineLayout) -> list[float]:
    """Where the rows of blocking within the spans of one joist lie: they part each span equally."""
    return [
        start + span * (n + 1) / (span_rows(span) + 1)
        for start, span in zip(line.supports_in, line.spans_in, strict=False)
        for n in range(span_rows(span))
    ]


def _in_spans(bay: Bay) -> Iterator[float]:
    """Where rows within spans cross the bay: those of the joist with fewer, midway where both have as many."""
    fewer, more = sorted((_rows_in(bay.left), _rows_in(bay.right)), key=len)
    if len(fewer) == len(more):
        return ((a + b) / 2 for a, b in zip(fewer, more, strict=True))
    return iter(fewer)


def _under_borders(bay: Bay) -> Iterator[float]:
    """Where blocks under border boards stand: each in the middle of an equal stretch of 12 in at most."""
    low, high = bay.beside_in
    count = math.ceil((high - low) / BORDER_EVERY_IN)
    return (low + (high - low) * (n + 0.5) / count for n in range(count))


def _backing(axes: Axes, bay: Bay) -> Piece:
    """The piece that lies along the bay, midway between the two joists."""
    middle, (low, high) = (bay.left_in + bay.right_in) / 2, bay.beside_in
    ends = axes.deck_ft(middle, low), axes.deck_ft(middle, high)
    return Piece(BACKING, BACKING_SIZE, round(high - low, 4), ends)


def _pieces(members: Members, borders: int) -> Iterator[Piece]:
    axes, size = members.layout.region.axes, members.layout.joist_size
    dropped = members.layout.placement == "dropped"
    for bay in bays_of(members):
        bordered = borders > 0 and bay.outer
        if bay.clear_in > 0:
            for because, places, wanted in (
                (OVER_BEAMS, _over_beams(bay), dropped),
                (IN_SPANS, _in_spans(bay), True),
                (BORDERS, _under_borders(bay), bordered),
            ):
                yield from (bay.block(axes, at, because, size) for at in places if wanted)
        if bordered:
            yield _backing(axes, bay)


def blocking(level: str, members: Members, first: int, borders: int = 0) -> tuple[Blocking, ...]:
    """Return the blocking over beams, within spans and under border boards, like pieces together."""
    pieces = [piece for piece in _pieces(members, borders) if piece.length_in > 0]
    pieces.sort(key=lambda piece: (REASONS.index(piece.because), -piece.length_in))
    return like_pieces(level, first, pieces)

"""Rows of blocking between joists."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from service.contract.report_frame import Blocking
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


def span_rows(span_in: float) -> int:
    """Return how many rows of blocking a joist span gets between its supports.

    >>> span_rows(96), span_rows(120), span_rows(150)
    (0, 1, 2)
    """
    return (span_in > ONE_ROW_OVER_IN) + (span_in > TWO_ROWS_OVER_IN)


@dataclass(frozen=True)
class Bay:
    """Two neighbouring joists and the clear width between them, in. ``outer``: one of them is an end joist."""

    left: LineLayout
    right: LineLayout
    clear_in: float
    outer: bool

    @property
    def overlap_in(self) -> float:
        """How far they run beside each other."""
        return _overlap_in(self.left, self.right)


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
                yield Bay(members.placed[i], members.placed[j], places[j] - places[i] - JOIST_IN, outer)


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


def _over_beams(bay: Bay) -> int:
    """How many beams both joists run over where no rim holds them."""
    held = {
        rest.row: _held_by_rim(bay.left, i) for i, rest in enumerate(bay.left.rests) if rest.row is not None
    }
    shared = [(held[rest.row], _held_by_rim(bay.right, i)) for i, rest in enumerate(bay.right.rests)
              if rest.row in held]  # fmt: skip
    return sum(not (one and other) for one, other in shared)


def _in_spans(bay: Bay) -> int:
    return min(sum(span_rows(span) for span in line.spans_in) for line in (bay.left, bay.right))


def blocking(level: str, members: Members, first: int, borders: int = 0) -> tuple[Blocking, ...]:
    """Return the blocking over beams, within spans and under border boards, like pieces together."""
    found = {reason: Counter[float]() for reason in (OVER_BEAMS, IN_SPANS, BORDERS, BACKING)}
    dropped = members.layout.placement == "dropped"
    for bay in bays_of(members):
        length = round(bay.clear_in, 4)
        found[OVER_BEAMS][length] += _over_beams(bay) if dropped else 0
        found[IN_SPANS][length] += _in_spans(bay)
        if borders and bay.outer:
            found[BORDERS][length] += math.ceil(bay.overlap_in / BORDER_EVERY_IN)
            found[BACKING][round(bay.overlap_in, 4)] += 1
    like = [
        (reason, length, count)
        for reason, pieces in found.items()
        for length, count in sorted(pieces.items(), reverse=True)
        if count and length > 0
    ]
    return tuple(
        Blocking(
            id=f"{level}.blocking-{number}",
            size=BACKING_SIZE if reason == BACKING else members.layout.joist_size,
            length_in=length,
            count=count,
            because=reason,
        )
        for number, (reason, length, count) in enumerate(like, start=first)
    )

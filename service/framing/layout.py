"""One way to frame a region: the choices, and the geometry that follows from them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal

from service.framing.beam_row import BeamRow
from service.framing.line import LEDGER_IN, RIM_IN, End, LineLayout, Rest, laps
from service.framing.region import Bound, Region, Section
from service.sizing.lumber import width_in

LONGEST_BLOCK_IN = (
    24.0  # in a sharp corner, what is shorter may be solid blocking (convention of this service)
)
STEP_IN = 12.0


@dataclass(frozen=True)
class Layout:
    """A frame for a region. ``stock_in`` is the longest board: longer joist lines lap over beams between."""

    region: Region
    joist_size: str
    spacing_in: float
    rows: tuple[BeamRow, ...]
    beam_size: str
    beam_plies: int
    placement: Literal["dropped", "flush"]
    post_size: str
    stock_in: float

    @cached_property
    def beam_width_in(self) -> float:
        """Width of the built-up beam, in."""
        return width_in(self.beam_size) * self.beam_plies

    @property
    def attached(self) -> bool:
        """Whether joists hang on the house."""
        return self.region.attached

    @property
    def attachment(self) -> Literal["ledger", "freestanding"]:
        """The word for it."""
        return "ledger" if self.attached else "freestanding"

    def line_at(self, section: int, u_in: float) -> LineLayout:
        """Return how joists of a section lie at a ``u``."""
        part = self.region.sections[section]
        low, high = self._end(part.low, u_in, 1), self._end(part.high, u_in, -1)
        rests = [self._rest(row, number, u_in) for number, row in enumerate(self.rows)
                 if row.carries(section, u_in)]  # fmt: skip
        rests += [Rest(end.joist_in, None, LEDGER_IN, True) for end in (low, high) if end.ledger]
        rests.sort(key=lambda rest: rest.at_in)
        return LineLayout(low, high, tuple(rests), laps(rests, high.joist_in - low.joist_in, self.stock_in))

    def _rest(self, row: BeamRow, number: int, u_in: float) -> Rest:
        return Rest(row.at(u_in), number, self.beam_width_in * row.stretch, self.placement == "flush")

    def _end(self, bound: Bound, u_in: float, inward: int) -> End:
        line = bound.at(u_in)
        if bound.meets == "ledger":
            return End(line, line, line + inward * LEDGER_IN, ledger=True)
        face = line + inward * bound.gap_in
        flush = self.placement == "flush"
        thick = (self.beam_width_in if flush else RIM_IN) * bound.stretch
        return End(line, face, face + inward * thick, flush=flush)

    def places(self, section: int) -> Iterator[float]:
        """Yield places ``u`` of a section that show every way its joists lie: one where all are alike.

        Else both sides of every place where a beam begins or ends, and a foot apart between.
        """
        part = self.region.sections[section]
        cuts = self.cuts(section)
        if part.square and len(cuts) == 2:
            yield part.middle_in
            return
        for a, b in pairwise(cuts):
            inset = min(0.05, (b - a) / 4)
            count = 1 if part.square else max(1, round((b - a) / STEP_IN))
            yield from (a + inset + (b - a - 2 * inset) * i / count for i in range(count + 1))

    def cuts(self, section: int) -> list[float]:
        """Return the places where the joists of a section change: its ends, and ends of beams within it."""
        part = self.region.sections[section]
        found = {part.from_in, part.to_in}
        for row in self.rows:
            if section in row.sections:
                found |= {
                    u for u in (row.start_in[0], row.end_in[0]) if part.from_in + 2 < u < part.to_in - 2
                }
        return sorted(found)

    @cached_property
    def lines(self) -> tuple[tuple[int, float, LineLayout], ...]:
        """The ways joists lie, with section and ``u``, of every length that is framed."""
        found = []
        for section in range(len(self.region.sections)):
            for u in self.places(section):
                line = self.line_at(section, u)
                if line.stands or not self.blocked(section, u):
                    found.append((section, u, line))
        return tuple(found)

    def blocked(self, section: int, u_in: float) -> bool:
        """Return whether a place is so near a sharp corner that solid blocking stands there instead of joists."""
        part = self.region.sections[section]
        return not part.square and part.length_in(u_in) < LONGEST_BLOCK_IN


def section_name(part: Section) -> str:
    """Return a section in words, for reasons.

    >>> from service.framing.region import Border, region_of
    >>> points = [(0.0, 0.0), (16.0, 0.0), (16.0, 12.0), (0.0, 12.0)]
    >>> region = region_of(
    ...     [Border(i, points[i], points[(i + 1) % 4], "open") for i in range(4)], "away_from_house")
    >>> section_name(region.sections[0])
    'from edge 0 to edge 2'
    """
    names = [
        "a line inside the deck" if b.number is None else f"edge {b.number}" for b in (part.low, part.high)
    ]
    return f"from {names[0]} to {names[1]}"

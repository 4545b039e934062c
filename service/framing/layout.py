"""One way to frame a region: where its beams run and how its joists lie on them, and the sizes chosen for both."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal

from service.framing.beam_row import BeamRow, alike
from service.framing.line import LEDGER_IN, RIM_IN, End, LineLayout, Rest, laps
from service.framing.region import Bound, Region, Section

LONGEST_BLOCK_IN = (
    24.0  # in a sharp corner, what is shorter may be solid blocking (convention of this service)
)
STEP_IN = 12.0
Placement = Literal["dropped", "flush"]


@dataclass(frozen=True)
class RowUse:
    """What one row carries at its worst: joist spans on both sides, cantilever, and for 1 psf its load, ft."""

    near_in: float = 0.0
    far_in: float = 0.0
    cantilever_in: float = 0.0
    interior: bool = False
    broken: bool = False
    share_ft: float = 0.0

    def with_line(self, line: LineLayout, index: int) -> RowUse:
        """Return it with another line that rests on the row."""
        spans = line.spans_in
        if not line.interior(index):
            near = spans[0] if index == 0 else spans[-1]
            over = line.low_cantilever_in if index == 0 else line.high_cantilever_in
            most = max(self.cantilever_in, over)
            return RowUse(
                max(self.near_in, near), self.far_in, most, self.interior, self.broken, self.share_ft
            )
        near, far = max(self.near_in, spans[index - 1]), max(self.far_in, spans[index])
        share = max(self.share_ft, line.reactions_plf(1.0)[index])
        return RowUse(near, far, self.cantilever_in, True, self.broken or index in line.lap_at, share)


@dataclass(frozen=True, eq=False)
class Arrangement:
    """Where rows of beams of one width run in a region, and so how its joists lie; no sizes yet.

    ``stock_in`` is the longest board: longer joist lines lap over beams between.
    """

    region: Region
    rows: tuple[BeamRow, ...]
    beam_width_in: float
    placement: Placement
    stock_in: float

    def line_at(self, section: int, u_in: float) -> LineLayout:
        """Return how joists of a section lie at a ``u``; where nothing is askew, one line stands for all alike."""
        if self.only_line is not None:
            return self.only_line
        rows = tuple(number for number, row in enumerate(self.rows) if row.carries(section, u_in))
        part = self.region.sections[section]
        if part.low.slope or part.high.slope or any(self.rows[number].slope for number in rows):
            return self._line(part, u_in, rows)
        if (section, rows) not in self._alike:
            self._alike[section, rows] = self._line(part, u_in, rows)
        return self._alike[section, rows]

    @cached_property
    def only_line(self) -> LineLayout | None:
        """The line that all joists lie alike: a rectangle with every row all across it; else null."""
        if len(self.region.sections) > 1 or not self.region.sections[0].square:
            return None
        part, middle = self.region.sections[0], self.region.sections[0].middle_in
        ends = (part.from_in, part.to_in)
        whole = all(not row.slope and all(row.carries(0, u) for u in ends) for row in self.rows)
        return self._line(part, middle, tuple(range(len(self.rows)))) if whole else None

    @cached_property
    def _alike(self) -> dict[tuple[int, tuple[int, ...]], LineLayout]:
        """Lines that do not change along the rows, by section and the rows they lie on."""
        return {}

    def _line(self, part: Section, u_in: float, rows: Sequence[int]) -> LineLayout:
        low, high = self._end(part.low, u_in, 1), self._end(part.high, u_in, -1)
        rests = [
            Rest(row.at(u_in), number, self.beam_width_in * row.stretch, self.placement == "flush")
            for number, row in ((number, self.rows[number]) for number in rows)
        ]
        ledgers = ((end.joist_in, end is low) for end in (low, high) if end.ledger)
        rests += [Rest(at, None, LEDGER_IN, True, at_low) for at, at_low in ledgers]
        rests.sort(key=lambda rest: rest.at_in)
        return LineLayout(low, high, tuple(rests), laps(rests, high.joist_in - low.joist_in, self.stock_in))

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

    @cached_property
    def stands(self) -> bool:
        """Whether every joist is held at two places; what is not is no frame at all, pinned or not."""
        return all(line.stands for _, _, line in self.lines)

    @cached_property
    def longest_piece_in(self) -> float:
        """The longest joist between its laps, in; 0 for none."""
        return max((b - a for _, _, line in self.lines for a, b in pairwise(line.pieces_in())), default=0.0)

    @cached_property
    def lapped(self) -> bool:
        """Whether any joist laps over a beam."""
        return any(line.lap_at for _, _, line in self.lines)

    @cached_property
    def interior(self) -> bool:
        """Whether joists lie on both sides of any row."""
        return any(use.interior for use in self.uses)

    @cached_property
    def lined_up(self) -> list[tuple[int, ...]]:
        """The rows, by number, in groups whose posts line up."""
        return alike(self.rows)

    @cached_property
    def rows_at_walls(self) -> tuple[tuple[int, float], ...]:
        """The rows, by number, along walls the deck stands clear of, and how far from the gap each is, in."""
        found = []
        for place, row in enumerate(self.rows):
            for part in (self.region.sections[number] for number in row.sections):
                v = row.at(part.middle_in)
                if row.low and part.low.meets == "wall":
                    found.append((place, (v - part.low.at(part.middle_in)) / part.low.stretch - 1.0))
                if row.high and part.high.meets == "wall":
                    found.append((place, (part.high.at(part.middle_in) - v) / part.high.stretch - 1.0))
        return tuple(found)

    @cached_property
    def uses(self) -> tuple[RowUse, ...]:
        """What each row carries."""
        found = [RowUse()] * len(self.rows)
        for _, _, line in self.lines:
            if line.stands:
                for index, rest in enumerate(line.rests):
                    if rest.row is not None:
                        found[rest.row] = found[rest.row].with_line(line, index)
        return tuple(found)


@dataclass(frozen=True, eq=False)
class Layout:
    """A frame for a region: an arrangement with its sizes. ``rows`` are those of the arrangement, on their posts."""

    arrangement: Arrangement
    joist_size: str
    spacing_in: float
    rows: tuple[BeamRow, ...]
    beam_size: str
    beam_plies: int
    post_size: str

    @property
    def region(self) -> Region:
        """The region framed."""
        return self.arrangement.region

    @property
    def placement(self) -> Placement:
        """Whether beams are dropped or flush."""
        return self.arrangement.placement

    @property
    def attached(self) -> bool:
        """Whether joists hang on the house."""
        return self.region.attached

    @property
    def attachment(self) -> Literal["ledger", "freestanding"]:
        """The word for it."""
        return "ledger" if self.attached else "freestanding"

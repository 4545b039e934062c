"""How the joists of one place lie: where they begin and end, what they rest on, and what they carry beyond it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from service.mechanics.quick import continuous_reactions

LEDGER_IN = 1.5
RIM_IN = 1.5


@dataclass(frozen=True)
class Rest:
    """What a joist line rests on at ``at_in``: a row of beams by its number in the layout, or a ledger (null).

    ``width_in`` is the bearing along the joist; ``hung`` joists end at it in hangers; ``low`` says at which end of
    the joist a ledger is.
    """

    at_in: float
    row: int | None
    width_in: float
    hung: bool
    low: bool = False


@dataclass(frozen=True)
class End:
    """One end of a joist line, from outside in: the outline, the frame's outer face, the joist's end.

    ``ledger`` and ``flush`` say what it ends at; else behind a rim.
    """

    line_in: float
    face_in: float
    joist_in: float
    ledger: bool = False
    flush: bool = False


@dataclass(frozen=True)
class LineLayout:
    """A joist line from its low end to its high one, in along the joists."""

    low: End
    high: End
    rests: tuple[Rest, ...]
    lap_at: tuple[int, ...] = ()

    @cached_property
    def supports_in(self) -> tuple[float, ...]:
        """Where it is held: ledger faces and beam centres."""
        return tuple(rest.at_in for rest in self.rests)

    @cached_property
    def spans_in(self) -> tuple[float, ...]:
        """Its spans, ledger face to beam centre and beam centre to beam centre."""
        return tuple(b - a for a, b in pairwise(self.supports_in))

    @property
    def length_in(self) -> float:
        """The length of the joist, laps not counted."""
        return self.high.joist_in - self.low.joist_in

    @cached_property
    def low_cantilever_in(self) -> float:
        """First beam's centre to the rim's outer face; 0 with a ledger or where joists end on the beam."""
        first = self.rests[0]
        return 0.0 if self.low.ledger else _counted(first.at_in - self.low.face_in, first.width_in, self.low)

    @cached_property
    def high_cantilever_in(self) -> float:
        """Last beam's centre to the rim's outer face; 0 with a ledger or where joists end on the beam."""
        last = self.rests[-1]
        return 0.0 if self.high.ledger else _counted(self.high.face_in - last.at_in, last.width_in, self.high)

    @property
    def cantilevers(self) -> tuple[tuple[float, float], ...]:
        """Each cantilever there is, with the span beside it."""
        ends = ((self.low_cantilever_in, self.spans_in[0]), (self.high_cantilever_in, self.spans_in[-1]))
        return tuple(end for end in ends if end[0] > 0)

    @property
    def longest_cantilever_in(self) -> float:
        """The longer of its cantilevers."""
        return max(self.low_cantilever_in, self.high_cantilever_in)

    def interior(self, index: int) -> bool:
        """Return whether joists lie on both sides of a rest."""
        return 0 < index < len(self.rests) - 1

    @cached_property
    def stands(self) -> bool:
        """Whether it is held at two places in order, within its ends."""
        if len(self.rests) < 2 or self.length_in <= 0:
            return False
        first, last = self.rests[0], self.rests[-1]
        # A flush beam holds the joist from beyond its end; any other lies under it.
        low = self.low.face_in if first.hung else self.low.joist_in
        high = self.high.face_in if last.hung else self.high.joist_in
        inside = low - 1e-6 <= first.at_in and last.at_in <= high + 1e-6
        ordered = first.low == self.low.ledger and (last.row is None) == self.high.ledger
        return inside and ordered and all(span > 1e-6 for span in self.spans_in)

    def reactions_plf(self, load_psf: float) -> tuple[float, ...]:
        """Return the load per foot across the joists on each rest, plf; the floor is loaded to its outline.

        Joists lapped over a beam are broken there. What lies on a ledger's own top is the ledger's.
        """
        ats, totals = self.supports_in, [0.0] * len(self.rests)
        cuts = [0, *self.lap_at, len(ats) - 1]
        for start, end in pairwise(cuts):
            spans_ft = [(b - a) / 12 for a, b in pairwise(ats[start : end + 1])]
            before = self._past_ft(start, self.low, ats[start] - self.low.line_in)
            after = self._past_ft(len(ats) - 1 - end, self.high, self.high.line_in - ats[end])
            for offset, reaction in enumerate(continuous_reactions(spans_ft, before, after, load_psf)):
                totals[start + offset] += reaction
        if self.low.ledger:
            totals[0] += load_psf * (ats[0] - self.low.line_in) / 12
        if self.high.ledger:
            totals[-1] += load_psf * (self.high.line_in - ats[-1]) / 12
        return tuple(totals)

    def _past_ft(self, inside: int, end: End, past_in: float) -> float:
        return past_in / 12 if inside == 0 and not end.ledger else 0.0

    def pieces_in(self) -> tuple[float, ...]:
        """Return where the joist begins, laps and ends."""
        return (self.low.joist_in, *(self.supports_in[i] for i in self.lap_at), self.high.joist_in)


def _counted(past_centre_in: float, width_in: float, end: End) -> float:
    """Joists that end over the beam do not cantilever: at most the rim hangs past its face."""
    rim_in = abs(end.face_in - end.joist_in)
    return 0.0 if past_centre_in - width_in / 2 <= rim_in + 1e-9 else past_centre_in


def laps(rests: Sequence[Rest], length_in: float, stock_in: float) -> tuple[int, ...]:
    """Return the rests a line longer than any board laps over: every beam between the first and the last rest."""
    if length_in <= stock_in:
        return ()
    return tuple(range(1, len(rests) - 1))

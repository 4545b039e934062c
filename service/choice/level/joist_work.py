"""What the joists of an arrangement come to before their size is chosen: pieces, hangers and ties."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.framing.joist_lines import JOIST_IN
from service.framing.layout import Arrangement
from service.framing.line import LineLayout, Rest
from service.framing.members import LAP_IN
from service.framing.region import Bound, Section
from service.takeoff.hangers import FLANGE_IN, room_in, skew_deg
from service.takeoff.lines import Segment, lead_in
from service.units.rounding import cut_length

Hung = tuple[bool, float]  # a hanger with concealed flanges, and how far off square, degrees


@dataclass(frozen=True, eq=False)
class JoistWork:
    """``pieces`` by cut length, in, ``hangers`` by their kind, and ``ties`` against lifting."""

    pieces: tuple[tuple[float, int], ...]
    hangers: tuple[tuple[Hung, int], ...]
    ties: int

    @property
    def count(self) -> int:
        """How many pieces there are."""
        return sum(count for _, count in self.pieces)


def joist_work(laid: Arrangement, places: Sequence[tuple[int, float]]) -> JoistWork:
    """Return what joists at these places, section and in across, come to; solid blocking is none of it.

    The order counts the same pieces, hangers and ties, by the members.
    """
    pieces, hangers, ties = Counter[float](), Counter[Hung](), 0
    for (section, line), us in _alike(laid, places).items():
        part = laid.region.sections[section]
        for length_in in _lengths_in(part, line):
            pieces[length_in] += len(us)
        ties += _ties(laid, line) * len(us)
        hung = [rest for rest in line.rests if rest.hung]
        hangers.update(_hung(laid, part, rest, u_in, line) for u_in in us for rest in hung)
    return JoistWork(tuple(sorted(pieces.items())), tuple(sorted(hangers.items())), ties)


def _alike(
    laid: Arrangement, places: Sequence[tuple[int, float]]
) -> dict[tuple[int, LineLayout], list[float]]:
    """Where joists of each line lie."""
    found: dict[tuple[int, LineLayout], list[float]] = {}
    if laid.only_line is not None:
        return {(0, laid.only_line): [u_in for _, u_in in places]}
    for section, u_in in places:
        line = laid.line_at(section, u_in)
        if line.stands or not laid.blocked(section, u_in):
            found.setdefault((section, line), []).append(u_in)
    return found


def joist_runs(laid: Arrangement, places: Sequence[tuple[int, float]]) -> Iterator[Segment]:
    """Yield where joists at these places lie in plan, ft."""
    for section, u_in in places:
        line = laid.line_at(section, u_in)
        if line.stands or not laid.blocked(section, u_in):
            yield _run(laid, u_in, line)


def _run(laid: Arrangement, u_in: float, line: LineLayout) -> Segment:
    axes = laid.region.axes
    return axes.deck_ft(u_in, line.low.joist_in), axes.deck_ft(u_in, line.high.joist_in)


def _lengths_in(part: Section, line: LineLayout) -> tuple[float, ...]:
    whole = line.length_in + JOIST_IN / 2 * (abs(part.low.slope) + abs(part.high.slope))
    before = lead_in(whole, line.length_in, (part.low.cut_deg, part.high.cut_deg))
    start = line.low.joist_in
    ends = [0.0, *(before + line.supports_in[i] - start for i in line.lap_at), whole]
    laps = [0.0, *(LAP_IN for _ in line.lap_at), 0.0]
    return tuple(cut_length(b - a + (laps[n] + laps[n + 1]) / 2) for n, (a, b) in enumerate(pairwise(ends)))


def _ties(laid: Arrangement, line: LineLayout) -> int:
    """One where a joist bears on a dropped beam, two at a lap; one at a ledger that a loaded cantilever lifts off."""
    rests = line.rests
    if laid.placement != "dropped":
        return 0
    found = sum(rest.row is not None for rest in rests) + len(line.lap_at)
    if len(rests) < 2:
        return found
    over = ((line.high_cantilever_in, rests[-1], rests[-2]), (line.low_cantilever_in, rests[0], rests[1]))
    return found + sum(past > 0 and tip.row is not None and behind.row is None for past, tip, behind in over)


def _hung(laid: Arrangement, part: Section, rest: Rest, u_in: float, line: LineLayout) -> Hung:
    """The hanger of a joist end: its flanges are concealed where there is no room beside it."""
    held: Bound | Segment
    if rest.row is None:
        bound = part.low if rest.low else part.high
        held = (bound.from_in, bound.to_in)
    else:
        row = laid.rows[rest.row]
        held = (row.start_in, row.end_in)
    (a, v), (b, w) = held
    if v == w:
        return min(u_in - a, b - u_in) < JOIST_IN / 2 + FLANGE_IN, 0.0
    axes = laid.region.axes
    holder, run = (axes.deck_ft(a, v), axes.deck_ft(b, w)), _run(laid, u_in, line)
    room = room_in(holder, run, rest.at_in - line.low.joist_in)
    return room < JOIST_IN / 2 + FLANGE_IN, round(skew_deg(holder, run), 6)

"""What the joists of an arrangement come to before their size is chosen: pieces, hangers and ties."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.framing.joist_lines import JOIST_IN
from service.framing.layout import Arrangement
from service.framing.line import LineLayout, Rest
from service.framing.members import LAP_IN
from service.framing.region import Section
from service.takeoff.hangers import FLANGE_IN
from service.takeoff.lines import Segment, lead_in
from service.units.rounding import cut_length


@dataclass(frozen=True, eq=False)
class JoistWork:
    """``pieces`` by cut length, in, ``hangers`` with usual and with concealed flanges, ``ties`` against lifting.

    ``runs`` are where joists lie in plan, ft.
    """

    pieces: tuple[tuple[float, int], ...]
    hangers: tuple[tuple[bool, int], ...]
    ties: int
    runs: tuple[Segment, ...]

    @property
    def count(self) -> int:
        """How many pieces there are."""
        return sum(count for _, count in self.pieces)


def joist_work(laid: Arrangement, places: Sequence[tuple[int, float]]) -> JoistWork:
    """Return what joists at these places, section and in across, come to; solid blocking is none of it.

    The order counts the same pieces, hangers and ties, by the members.
    """
    pieces, hangers, ties = Counter[float](), Counter[bool](), 0
    alike: dict[int, tuple[LineLayout, tuple[float, ...], int, tuple[Rest, ...]]] = {}
    runs = []
    for section, u_in in places:
        line = laid.line_at(section, u_in)
        if not line.stands and laid.blocked(section, u_in):
            continue
        part = laid.region.sections[section]
        if id(line) not in alike:  # the line is kept beside it, so that its id stays its own
            hung = tuple(rest for rest in line.rests if rest.hung)
            alike[id(line)] = (line, _lengths_in(part, line), _ties(laid, line), hung)
        _, lengths, tied, hung = alike[id(line)]
        pieces.update(lengths)
        ties += tied
        hangers.update(_concealed(laid, part, rest, u_in) for rest in hung)
        runs.append(_run(laid, u_in, line))
    return JoistWork(tuple(sorted(pieces.items())), tuple(sorted(hangers.items())), ties, tuple(runs))


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


def _concealed(laid: Arrangement, part: Section, rest: Rest, u_in: float) -> bool:
    """Whether a joist end has no room beside it for a hanger's flange: it hangs at the end of what it hangs on.

    Ledgers and flush beams lie square to the joists: others are not offered.
    """
    if rest.row is None:
        bound = part.low if rest.low else part.high
        start, end = bound.from_in[0], bound.to_in[0]
    else:
        row = laid.rows[rest.row]
        start, end = row.start_in[0], row.end_in[0]
    return min(u_in - start, end - u_in) < JOIST_IN / 2 + FLANGE_IN

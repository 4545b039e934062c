"""What holds a stair up between its ends: beams on posts, landings on two of them, and their braces."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.checks.judged import Judged, reason
from service.choice.level.stair_sizes import StairAsk, choose_beam, landing_joists
from service.connections.bracing import Bracing, BracingAsk, brace_level
from service.contract.report import Reason
from service.contract.report_frame import Stair
from service.framing.stair_beams import LandingFrame, StairBeam, build_landing
from service.framing.stair_lines import BearingLine, StairLoads
from service.framing.stairs import StairPlan
from service.sizing.criteria import Criteria
from service.sizing.lumber import depth_in


@dataclass(frozen=True)
class Supports:
    """What holds a stair up between its ends; landings by their number from the top, from 0."""

    beams: tuple[StairBeam, ...]
    landings: Mapping[int, LandingFrame]
    judged: Judged

    @property
    def unframed(self) -> int:
        """How many supports could not be framed."""
        return len(self.judged.reasons)


def supports(stair: Stair, plan: StairPlan, loads: StairLoads, ask: StairAsk, first: int) -> Supports:
    """Return what holds a stair up between its ends, its beams numbered from ``first`` on.

    A support that can't be framed is a reason, and ``unframed``.
    """
    beams: list[StairBeam] = []
    landings: dict[int, LandingFrame] = {}
    reasons: list[Reason] = []
    for group in _groups(loads.lines):
        found = _group(stair, plan, loads, group, first + len(beams), ask)
        if isinstance(found, str):
            text = f"{stair.id} needs {_words(group[0])}, which is not framed here: {found}."
            reasons.append(reason("stair_support_not_framed", text, stair.id))
            continue
        made, frame = found
        beams += made
        if frame is not None and group[0].landing is not None:
            landings[group[0].landing] = frame
    return Supports(tuple(beams), landings, Judged((), tuple(reasons)))


def _groups(lines: Iterable[BearingLine]) -> list[list[BearingLine]]:
    """The lines that are framed together: both of a landing, each mid support alone."""
    groups: list[list[BearingLine]] = []
    for line in lines:
        if line.kind == "landing_far" and groups:
            groups[-1].append(line)
        else:
            groups.append([line])
    return groups


def _words(line: BearingLine) -> str:
    return "a landing" if line.landing is not None else "a support under the stringers"


def _group(
    stair: Stair, plan: StairPlan, loads: StairLoads, group: Sequence[BearingLine], first: int, ask: StairAsk
) -> tuple[list[StairBeam], LandingFrame | None] | str:
    """The beams of a group and, for a landing, its frame; or why it can't be framed."""
    number, size, spacing = group[0].landing, "", 0.0
    under_in = 0.0
    if number is not None:
        joists = landing_joists(plan, loads.platforms[number], stair.landings[number].guard is not None, ask)
        if joists is None:
            return "no joists span it"
        size, spacing = joists
        under_in = plan.place.decking.thickness_in + depth_in(size)
    beams: list[StairBeam] = []
    for i, line in enumerate(group):
        beam = beam_on_ground(stair, plan, line, first + i, under_in, ask)
        if isinstance(beam, str):
            return beam
        beams.append(beam)
    if number is None:
        return beams, None
    id_ = stair.landings[number].id
    return beams, build_landing(plan, id_, loads.platforms[number], size, spacing, *beams)


def beam_on_ground(
    stair: Stair, plan: StairPlan, line: BearingLine, number: int, under_in: float, ask: StairAsk
) -> StairBeam | str:
    """Return the beam under a line of a stair, on posts in the ground; or why there is none, in words."""
    found = choose_beam(plan, stair.level, line, number, under_in, ask)
    if isinstance(found, str):
        return found
    for name, floor in plan.place.floors.items():
        if any(floor.covers((stand.x_ft, stand.y_ft)) for stand in found.stands):
            return f"its posts would have to go through the floor of level {name}"
    return found


def bracings(
    stair: Stair, beams: Sequence[StairBeam], seismic: str | None, criteria: Criteria
) -> list[Bracing]:
    """Return the braces of each landing as of a free-standing deck (DCA 6, from memory), and of each other beam.

    A row under stringers is braced along its beam alone: the stringers, fast at their foot, hold it the other way.
    """
    groups: dict[str, list[StairBeam]] = {}
    for beam in beams:
        number = beam.line.landing
        groups.setdefault(beam.beam.id if number is None else stair.landings[number].id, []).append(beam)
    return [
        brace_level(
            BracingAsk(
                level=name,
                freestanding=group[0].line.landing is not None,
                decking_angle_deg=0.0,
                seismic_design_category=seismic,
                posts=tuple(post for beam in group for post in beam.posts),
                beams=tuple(beam.beam for beam in group),
                room_in=_brace_room_in(group),
            ),
            criteria,
        )
        for name, group in groups.items()
    ]


BRACE_END_IN = 4.0  # half a 2x6 at 45 degrees


def _brace_room_in(group: Sequence[StairBeam]) -> float:
    """The longest leg of which two, from neighbouring posts, do not meet on the beam or the joists."""
    apart = [span for beam in group for span in beam.beam.spans_in]
    outs = [beam.line.centre_in(beam.sizes.width_in) for beam in group]
    apart += [b - a for a, b in pairwise(outs)]
    return min(apart) / 2 - BRACE_END_IN

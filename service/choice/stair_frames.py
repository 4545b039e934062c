"""What every stair stands on: who holds its upper end, beams and landings under it, and what is at its foot."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import msgspec

from service.checks.judged import Judged, reason, together
from service.checks.stairs import foot_on_level, foot_words, judge_landing, judge_stair_beam
from service.choice.stair_sizes import StairAsk, choose_beam, landing_joists
from service.choice.stair_words import (
    NOT_TAKEN,
    box_caution,
    house_reasons,
    own_beam_caution,
    tall_reasons,
    untaken_text,
)
from service.connections.bracing import Bracing, BracingAsk, brace_level
from service.connections.posts import base_item, cap_item
from service.contract.plan import SAME_FT
from service.contract.report import Reason
from service.contract.report_frame import Landing, Post, Stair
from service.foundations.demand import Demand
from service.foundations.stair_pad import PadAsk, StairPad, stair_pad
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN
from service.framing.stair_beams import LandingFrame, StairBeam, build_landing
from service.framing.stair_clashes import clashes
from service.framing.stair_lines import BearingLine, StairLoads, header_line
from service.framing.stair_place import StairPlace
from service.framing.stairs import StairLoad, StairPlan, StairResult
from service.sizing.criteria import Criteria
from service.sizing.lumber import depth_in
from service.takeoff.items import plies

EdgeKind = Literal["edge_beam", "side", "cantilever", "flush"]
ON_GROUND = ("grade", "pad")
MOST_BOX_RISERS = 3  # common practice, no source: steps of up to three risers are built as a box


@dataclass(frozen=True)
class Head:
    """The edge a stair leaves by, as the deck is framed there.

    ``edge_beam``: joists end over a beam under it, which takes the stair's load. ``side``: it runs with the joists.
    ``cantilever``: joists hang past their last beam. ``flush``: joists hang on a beam there. ``member`` is what the
    stringers would hang on.
    """

    kind: EdgeKind
    member: str


@dataclass(frozen=True)
class StairFrame:
    """One stair with everything under it.

    ``edge_load`` is what the member it hangs on has to take; none where it stands by itself. ``foot_lb`` is what
    bears on the ground or floor at its foot.
    """

    stair: Stair
    beams: tuple[StairBeam, ...]
    pad: StairPad | None
    edge_load: StairLoad | None
    foot_lb: float
    judged: Judged

    @property
    def posts(self) -> tuple[Post, ...]:
        """The posts of its beams."""
        return tuple(post for beam in self.beams for post in beam.posts)


@dataclass(frozen=True)
class StairFrames:
    """All stairs of a deck, in the caller's order; ``judged`` holds everything found about them."""

    frames: tuple[StairFrame, ...]
    judged: Judged

    @property
    def stairs(self) -> tuple[Stair, ...]:
        """The stairs as they go over the wire."""
        return tuple(frame.stair for frame in self.frames)

    @property
    def posts(self) -> tuple[Post, ...]:
        """All posts under them."""
        return tuple(post for frame in self.frames for post in frame.posts)

    @property
    def pads(self) -> tuple[StairPad, ...]:
        """The pads at their feet."""
        return tuple(frame.pad for frame in self.frames if frame.pad is not None)

    @property
    def edge_loads(self) -> tuple[StairLoad, ...]:
        """What edges of the deck have to take."""
        return tuple(frame.edge_load for frame in self.frames if frame.edge_load is not None)


def stair_frames(
    results: Sequence[StairResult],
    heads: Mapping[str, Head],
    places: Mapping[str, StairPlace],
    ask: StairAsk,
    seismic: str | None,
) -> StairFrames:
    """Return what the stairs of a deck stand on; ``heads`` by the stair's id, ``places`` by the level's.

    ``seismic`` is the site's seismic design category.
    """
    frames = tuple(
        _frame(one, one.stair, one.plan, one.loads, heads[one.stair.id], ask, seismic)
        for one in results
        if one.stair is not None and one.plan is not None and one.loads is not None
    )
    laid = together(Judged(one.findings, one.reasons, one.cautions) for one in results)
    blocked = Judged((), clashes(results, places))
    return StairFrames(frames, together([laid, blocked, *(frame.judged for frame in frames)]))


@dataclass(frozen=True)
class _Held:
    """How the upper end is held: the word for it, by what, its own beam if it has one, and what to say."""

    head: str
    carried_by: str | None
    beam: StairBeam | None
    judged: Judged


@dataclass(frozen=True)
class _Under:
    """What holds a stair up between its ends."""

    beams: tuple[StairBeam, ...]
    landings: Mapping[int, LandingFrame]
    judged: Judged


def _frame(
    result: StairResult, stair: Stair, plan: StairPlan, loads: StairLoads, head: Head, ask: StairAsk,
    seismic: str | None,
) -> StairFrame:  # fmt: skip
    held = _held(stair, plan, loads, head, ask)
    under = _under(stair, plan, loads, ask, first=2 if held.beam else 1)
    beams = tuple(_seated(one, ask) for one in (*([held.beam] if held.beam else []), *under.beams))
    pad, at_foot = _foot(stair, plan, loads, held.head, ask.criteria)
    bracings = _bracings(stair, beams, seismic, ask.criteria)
    return StairFrame(
        stair=_wired(stair, held, beams, under.landings, bracings),
        beams=beams,
        pad=pad,
        edge_load=result.load if held.head == "hung" else None,
        foot_lb=_foot_lb(loads, held.head),
        judged=together(
            [
                held.judged,
                under.judged,
                _judged(plan, beams, under.landings, ask.criteria),
                *(Judged(one.findings, one.reasons, one.cautions) for one in bracings),
                at_foot,
            ]
        ),
    )


def _judged(
    plan: StairPlan, beams: Sequence[StairBeam], landings: Mapping[int, LandingFrame], criteria: Criteria
) -> Judged:
    """What is found of the beams and landings themselves."""
    return together(
        [
            *(judge_stair_beam(one, criteria) for one in beams),
            *(judge_landing(one, plan.place.decking, criteria) for one in landings.values()),
            Judged((), (*tall_reasons(beams, criteria), *house_reasons(plan, beams))),
        ]
    )


def _held(stair: Stair, plan: StairPlan, loads: StairLoads, head: Head, ask: StairAsk) -> _Held:
    if loads.header_lb == 0:
        return _Held("step", None, None, Judged())
    if head.kind == "edge_beam":
        return _Held("hung", head.member, None, Judged())
    if plan.climb.risers <= MOST_BOX_RISERS and _lies_whole(plan):
        return _Held("box", None, None, Judged((), (), (box_caution(stair, head.kind),)))
    top = plan.built[0]
    line = header_line(stair.id, plan.climb, top, plan.place.surface_height_in, loads.header_lb)
    beam = _beam_for(stair, plan, line, 1, 0.0, ask)
    if isinstance(beam, StairBeam):
        said = own_beam_caution(stair, beam.beam.id)
        return _Held("own_beam", beam.beam.id, beam, Judged((), (), (said,)))
    text = untaken_text(loads.header_lb, head.member, head.kind, beam)
    return _Held("hung", head.member, None, Judged((), (reason(NOT_TAKEN[head.kind], text, stair.id),)))


def _lies_whole(plan: StairPlan) -> bool:
    """Whether the ground, or all of it the floor it goes down to, is under a stair of one flight."""
    floor = plan.place.floors.get(plan.down_to)
    whole = floor is None or bool(floor.polygon.buffer(SAME_FT).covers(plan.footprint))
    return len(plan.climb.flights) == 1 and whole


def _beam_for(
    stair: Stair, plan: StairPlan, line: BearingLine, number: int, under_in: float, ask: StairAsk
) -> StairBeam | str:
    """A beam on the ground, or why there is none."""
    found = choose_beam(plan, stair.level, line, number, under_in, ask)
    if isinstance(found, str):
        return found
    for name, floor in plan.place.floors.items():
        if any(floor.covers((stand.x_ft, stand.y_ft)) for stand in found.stands):
            return f"its posts would have to go through the floor of level {name}"
    return found


def _under(stair: Stair, plan: StairPlan, loads: StairLoads, ask: StairAsk, first: int) -> _Under:
    beams: list[StairBeam] = []
    landings: dict[int, LandingFrame] = {}
    reasons: list[Reason] = []
    for group in _groups(loads.lines):
        found = _group(stair, plan, loads, group, first + len(beams), ask)
        if isinstance(found, str):
            text = f"Under {stair.id} {_words(group[0])} is needed, and {found}: it is not framed here."
            reasons.append(reason("stair_support_not_framed", text, stair.id))
            continue
        made, frame = found
        beams += made
        if frame is not None and group[0].landing is not None:
            landings[group[0].landing] = frame
    return _Under(tuple(beams), landings, Judged((), tuple(reasons)))


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
        beam = _beam_for(stair, plan, line, first + i, under_in, ask)
        if isinstance(beam, str):
            return beam
        beams.append(beam)
    if number is None:
        return beams, None
    id_ = stair.landings[number].id
    return beams, build_landing(plan, id_, loads.platforms[number], size, spacing, *beams)


def _seated(one: StairBeam, ask: StairAsk) -> StairBeam:
    """The beam's posts with the base and cap each stands between."""
    sizes, coating = one.sizes, ask.criteria.coating
    base = base_item(sizes.post_size, coating)
    cap = cap_item(sizes.post_size, sizes.size, sizes.plies, coating)
    return replace(one, posts=tuple(msgspec.structs.replace(post, base=base, cap=cap) for post in one.posts))


def _bracings(
    stair: Stair, beams: Sequence[StairBeam], seismic: str | None, criteria: Criteria
) -> list[Bracing]:
    """Braces of each landing as of a free-standing deck, of each other beam along it: stringers hold it the other way.

    That a landing is braced so is DCA 6, from memory.
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


def _foot_lb(loads: StairLoads, head: str) -> float:
    return loads.total_lb if head == "box" else loads.foot_lb


def _foot(
    stair: Stair, plan: StairPlan, loads: StairLoads, head: str, criteria: Criteria
) -> tuple[StairPad | None, Judged]:
    """The pad at the foot, or whether the floor there takes it."""
    if head == "step":
        return None, Judged()
    load = _foot_lb(loads, head)
    if plan.down_to not in ON_GROUND:
        if head == "box":
            return None, Judged()
        found = foot_on_level(stair.id, plan.down_to, load, plan.line.width_ft, criteria)
        code, text = "stair_foot_on_level", foot_words(found, plan.down_to)
        return None, Judged((found,), () if found.passes else (reason(code, text, stair.id, found.citation),))
    if plan.down_to == "pad":
        return None, Judged()
    pad = stair_pad(_pad_ask(stair, plan, load, head), criteria)
    return pad, Judged(pad.findings, (), pad.cautions)


def _pad_ask(stair: Stair, plan: StairPlan, load_lb: float, head: str) -> PadAsk:
    """The pad reaches from under the stringers to the end of the landing."""
    face, width_in = plan.climb.run_in, plan.line.width_ft * 12
    start = 0.0 if head == "box" else face - plan.seat_in
    return PadAsk(
        stair=stair.id,
        mark=f"{stair.mark}-F",
        at_ft=plan.line.middle((start + plan.end_in) / 2),
        grade_in=stair.foot_height_in,
        load_lb=load_lb,
        width_in=width_in,
        length_in=plan.end_in - start,
        bearing_in=face - start,
    )


def _wired(
    stair: Stair, held: _Held, beams: Sequence[StairBeam], landings: Mapping[int, LandingFrame],
    bracings: Sequence[Bracing],
) -> Stair:  # fmt: skip
    return msgspec.structs.replace(
        stair,
        head=held.head,
        carried_by=held.carried_by,
        beams=tuple(one.beam for one in beams),
        braces=tuple(brace for one in bracings for brace in one.braces),
        landings=tuple(_with(one, landings.get(i)) for i, one in enumerate(stair.landings)),
    )


def _with(landing: Landing, frame: LandingFrame | None) -> Landing:
    if frame is None:
        return landing
    return msgspec.structs.replace(landing, joists=(frame.joists,), rims=frame.rims)


def stair_demands(frames: StairFrames, attached: bool) -> list[Demand]:
    """Return what the footings under the beams of stairs have to carry; ``attached``: the deck hangs on the house."""
    return [
        _demand(frame.stair.id, beam, i, attached)
        for frame in frames.frames
        for beam in frame.beams
        for i in range(len(beam.stands))
    ]


def _demand(stair: str, beam: StairBeam, at: int, attached: bool) -> Demand:
    stand, sizes = beam.stands[at], beam.sizes
    place = f"{beam.number}-{stand.number}"
    post = f"{stair}.post-{place}" if stand.foot.standing == "post" else None
    return Demand(
        footing_id=f"{stair}.footing-{place}",
        mark=f"S{stair.rpartition('-')[2]}-F{place}",
        post=post,
        serves=post or beam.beam.id,
        x_ft=stand.x_ft,
        y_ft=stand.y_ft,
        load_lb=stand.load_lb,
        sizing_load_lb=stand.sizing_load_lb,
        post_size=sizes.post_size,
        grade_height_in=stand.grade_in,
        attached=attached,
        top_above_grade_in=PIER_TOP_ABOVE_GRADE_IN if post else stand.foot.pier_top_in - stand.grade_in,
        seat=None if post else plies(sizes.plies),
    )

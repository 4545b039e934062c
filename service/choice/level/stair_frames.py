"""What every stair stands on: who holds its upper end, beams and landings under it, and what is at its foot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import msgspec

from service.checks.judged import Judged, reason, together
from service.checks.stairs import foot_on_level, foot_words, judge_landing, judge_stair_beam
from service.choice.level.demands import demand_of
from service.choice.level.stair_sizes import StairAsk
from service.choice.level.stair_supports import beam_on_ground, bracings, supports
from service.choice.level.stair_words import (
    NOT_TAKEN,
    box_caution,
    house_reasons,
    own_beam_caution,
    tall_reasons,
    untaken_text,
)
from service.connections.bracing import Bracing
from service.connections.posts import base_item, cap_item
from service.contract.plan import SAME_FT
from service.contract.report_frame import Landing, Post, Stair
from service.contract.report_order import Takeoff, Unpriced
from service.foundations.demand import Demand
from service.foundations.stair_pad import PadAsk, StairPad, stair_pad
from service.framing.stair_beams import LandingFrame, StairBeam
from service.framing.stair_lines import StairLoads, header_line
from service.framing.stairs import StairLoad, StairPlan, StairResult
from service.sizing.criteria import Criteria

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
    bears on the ground or floor at its foot, ``unframed`` how many supports it lacks.
    """

    stair: Stair
    plan: StairPlan
    beams: tuple[StairBeam, ...]
    pad: StairPad | None
    edge_load: StairLoad | None
    foot_lb: float
    unframed: int
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


def stair_frames(
    results: Sequence[StairResult], heads: Mapping[str, Head], ask: StairAsk, seismic: str | None
) -> StairFrames:
    """Return what stairs stand on; ``heads`` by the stair's id, ``seismic`` the site's seismic design category."""
    frames = tuple(
        _frame(one, one.stair, one.plan, one.loads, heads[one.stair.id], ask, seismic)
        for one in results
        if one.stair is not None and one.plan is not None and one.loads is not None
    )
    laid = together(Judged(one.findings, one.reasons, one.cautions) for one in results)
    return StairFrames(frames, together([laid, *(frame.judged for frame in frames)]))


def footings_alone(result: StairResult, ask: StairAsk) -> int | None:
    """Return how many footings hold the head of a stair that no edge takes; null where nothing of its own does.

    A step or a box needs none, a beam of its own those of its posts.
    """
    if result.stair is None or result.plan is None or result.loads is None:
        return None
    held = _held(result.stair, result.plan, result.loads, Head("cantilever", ""), ask)
    if held.head == "hung":
        return None
    return len(held.beam.stands) if held.beam else 0


@dataclass(frozen=True)
class _Held:
    """How the upper end is held: the word for it, by what, its own beam if it has one, and what to say."""

    head: str
    carried_by: str | None
    beam: StairBeam | None
    judged: Judged


def _frame(
    result: StairResult, stair: Stair, plan: StairPlan, loads: StairLoads, head: Head, ask: StairAsk,
    seismic: str | None,
) -> StairFrame:  # fmt: skip
    held = _held(stair, plan, loads, head, ask)
    under = supports(stair, plan, loads, ask, first=2 if held.beam else 1)
    beams = tuple(_seated(one, ask) for one in (*([held.beam] if held.beam else []), *under.beams))
    pad, at_foot = _foot(stair, plan, loads, held.head, ask.criteria)
    braced = bracings(stair, beams, seismic, ask.criteria)
    return StairFrame(
        stair=_wired(stair, held, beams, under.landings, braced),
        plan=plan,
        beams=beams,
        pad=pad,
        edge_load=result.load if held.head == "hung" else None,
        foot_lb=_foot_lb(loads, held.head),
        unframed=under.unframed,
        judged=together(
            [
                held.judged,
                under.judged,
                _judged(plan, beams, under.landings, ask.criteria),
                *(Judged(one.findings, one.reasons, one.cautions) for one in braced),
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
    beam = beam_on_ground(stair, plan, line, 1, 0.0, ask)
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


def _seated(one: StairBeam, ask: StairAsk) -> StairBeam:
    """The beam's posts with the base and cap each stands between."""
    sizes, coating = one.sizes, ask.criteria.coating
    base = base_item(sizes.post_size, coating)
    cap = cap_item(sizes.post_size, sizes.size, sizes.plies, coating)
    return replace(one, posts=tuple(msgspec.structs.replace(post, base=base, cap=cap) for post in one.posts))


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
        demand_of(
            beam.owner,
            stand,
            (beam.sizes.post_size, beam.sizes.plies),
            attached,
            (frame.plan.place.grade, frame.plan.place.walls),
        )
        for frame in frames.frames
        for beam in frame.beams
        for stand in beam.stands
    ]


def without_supports(order: Takeoff, frames: StairFrames) -> Takeoff:
    """Return the order marked incomplete where a stair needs a support that could not be framed."""
    missing = [frame for frame in frames.frames if frame.unframed]
    if not missing:
        return order
    because = "what it stands on between its ends is an engineer's: not in this order"
    lines = tuple(
        Unpriced(
            item="service.engineer.stair_support",
            quantity=one.unframed,
            unit="lot",
            because=f"{one.stair.id}: {because}",
        )
        for one in missing
    )
    total = order.total and msgspec.structs.replace(order.total, complete=False)
    return msgspec.structs.replace(order, unpriced=(*order.unpriced, *lines), total=total)

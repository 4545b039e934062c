"""One layout worked out to the end: members, connections, footings, order, checks and verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import msgspec

from service.checks.calculated import frame_findings
from service.checks.frame import judge_beam, judge_boards, judge_joists, judge_posts
from service.checks.joints import judge_joints, seated_posts
from service.checks.judged import Judged, reason, together
from service.checks.verdict import slightly_over, verdict
from service.choice.ask import Ask
from service.choice.context import Context
from service.choice.heavy import heavy_demands, heavy_frames, without_refused
from service.choice.heavy_words import judge_heavy
from service.choice.house_side import ledger_of
from service.choice.limits import Limits
from service.choice.score import beam_limits, crowds_house
from service.comparison.compare import compare
from service.comparison.recommend import choose_method, unserved
from service.comparison.result import Comparison, MethodResult
from service.connections.bracing import Bracing, BracingAsk, brace_level
from service.connections.guard_anchorage import Carriers
from service.connections.guards import GuardResult, lay_out_guards
from service.connections.ledger import LedgerResult
from service.connections.stairs import cantilever_reason
from service.contract.ids import item
from service.contract.report import Reason, Verdict
from service.contract.report_frame import Blocking, Clearance, Footing, Ledger, Level, Post
from service.contract.report_order import Takeoff
from service.contract.spec import DeckSpec, LevelSpec
from service.foundations.demand import Demand
from service.framing.blocking import blocking
from service.framing.frame import Frame
from service.framing.guards import GuardedLevel
from service.framing.heavy_members import own_blocking, with_own
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN, stack
from service.framing.layout import Layout
from service.framing.members import Members, Setting, Stand, build
from service.framing.stairs import StairLoad, StairResult
from service.takeoff.items import plies
from service.takeoff.order import take_off
from service.units.citation import own_convention


@dataclass(frozen=True)
class Case:
    """What stays the same while layouts are tried: spec, context, level, guards, stairs, what the site means."""

    spec: DeckSpec
    context: Context
    level: LevelSpec
    ask: Ask
    guarded: bool
    stairs: tuple[StairResult, ...]
    site: Judged

    @property
    def touches_house(self) -> bool:
        """Whether the level's near edge lies along a house wall."""
        return self.spec.house.wall != "none" and self.level.house_edges != ()


@dataclass(frozen=True)
class Worked:
    """A layout worked out. ``method`` is null where no footing method could be sized."""

    layout: Layout
    frame: Frame
    judged: Judged
    verdict: Verdict
    ledger: LedgerResult | None
    comparison: Comparison
    method: MethodResult | None
    takeoff: Takeoff

    @property
    def footings(self) -> int:
        """How many footings carry the frame."""
        return sum(1 for f in self.frame.footings if not f.serves.startswith("deck.stair-"))

    @property
    def cost(self) -> Decimal | None:
        """What the frame costs: the order, and what its footings cost beyond what is in the order already."""
        if self.takeoff.subtotal is None:
            return None
        order = Decimal(self.takeoff.subtotal.amount)
        if self.method is None or self.method.compared.cost is None:
            return order
        ordered = {line.item for line in self.takeoff.hardware}
        ordered |= {line.item for line in self.takeoff.concrete}
        ordered |= {line.item for line in self.takeoff.stock}
        counted = [q for q in self.method.compared.quantities if q.extended and q.item in ordered]
        twice = sum((Decimal(q.extended.amount) for q in counted if q.extended), Decimal(0))
        return order + Decimal(self.method.compared.cost.likely) - twice

    @property
    def days(self) -> float | None:
        """Likely working days until framing starts."""
        schedule = self.method.compared.schedule if self.method else None
        return schedule.first_framing_working_day.likely if schedule else None


def _setting(case: Case, layout: Layout) -> Setting:
    ask = case.ask
    return Setting(
        level=ask.level,
        rectangle=ask.rectangle,
        species=ask.criteria.species,
        grade=ask.criteria.grade,
        stack=stack(ask.surface_in, ask.decking_in, layout.joist_size, layout.beam_size, layout.placement),
        ground=ask.ground,
        design_psf=ask.criteria.design_psf,
        stock_in=ask.stock_in,
        stair_loads=ask.stair_loads,
    )


def _demand(stand: Stand, layout: Layout, level: str) -> Demand:
    place = f"{stand.beam_number}-{stand.number}"
    post = f"{level}.post-{place}" if stand.foot.standing == "post" else None
    return Demand(
        footing_id=f"{level}.footing-{place}",
        mark=f"F{place}",
        post=post,
        serves=post or stand.beam,
        x_ft=stand.x_ft,
        y_ft=stand.y_ft,
        load_lb=stand.load_lb,
        sizing_load_lb=stand.sizing_load_lb,
        post_size=layout.post_size,
        grade_height_in=stand.grade_in,
        attached=layout.attached,
        top_above_grade_in=(PIER_TOP_ABOVE_GRADE_IN if post else stand.foot.pier_top_in - stand.grade_in),
        seat=None if post else plies(layout.beam_plies),
    )


def _bracing(case: Case, layout: Layout, members: Members) -> Bracing:
    ask = BracingAsk(
        level=case.ask.level,
        freestanding=not layout.attached,
        decking_angle_deg=case.level.decking.angle_deg,
        seismic_design_category=case.spec.site.seismic_design_category,
        posts=members.posts,
        beams=members.beams,
    )
    return brace_level(ask, case.ask.criteria)


def _guards(case: Case, layout: Layout, members: Members, first_blocking: int) -> GuardResult:
    rect, prices = case.ask.rectangle, case.context.prices
    outer = {rim.edge: rim.id for rim in members.rims if rim.edge is not None}
    if layout.placement == "flush":
        outer[rect.yard_edge] = members.beams[-1].id
        if not layout.attached:
            outer[rect.house_edge] = members.beams[0].id
    carriers = Carriers(
        joists=members.joists.id,
        direction=members.joists.direction,
        joist_lines_ft=tuple(line.x_ft or 0.0 for line in members.joists.lines),
        size=layout.joist_size,
        rims=outer,
        first_blocking=first_blocking,
    )
    level = GuardedLevel(
        id=case.ask.level,
        outline_ft=rect.corners_ft,
        house_edges=(rect.house_edge,) if case.touches_house else (),
        surface_height_in=case.ask.surface_in,
        decking_thickness_in=case.ask.decking_in,
        grade=case.ask.ground,
    )
    stairs = [one.stair for one in case.stairs if one.stair is not None]
    offered = None if prices is None else {line.item for line in prices.lines}
    return lay_out_guards(level, stairs, case.level.guard, carriers, case.ask.criteria, offered)


def _judge_frame(case: Case, layout: Layout, members: Members, ledgers: tuple[Ledger, ...]) -> Judged:
    criteria = case.ask.criteria
    allowed = beam_limits(layout, case.ask, Limits(criteria))
    beams = [
        judge_beam(
            beam, i, layout, allowed[i], [s for s in members.stands if s.beam_number == i + 1], criteria
        )
        for i, beam in enumerate(members.beams)
    ]
    return together(
        [
            judge_boards(layout, members.joists.id, criteria, case.level.decking),
            judge_joists(layout, members.joists.id, criteria),
            *beams,
            judge_posts(members, layout, criteria),
            judge_joints(layout, members, criteria),
            Judged(frame_findings(layout, members, ledgers, criteria)),
            _judge_stairs(case, layout),
            _house_row(case, layout),
        ]
    )


def _stair_reason(load: StairLoad, case: Case, layout: Layout) -> Reason | None:
    """The yard-side beam takes a stair; on a side edge its load goes to an end joist, and that is nobody's rule."""
    cited = case.ask.criteria.rulebook.limit("ledger_may_carry_beams").citation
    if load.edge != case.ask.rectangle.yard_edge:
        text = (
            f"The stair's {load.reaction_lb:.0f} lb goes to an end joist and through it to the house side: an "
            "engineer must show what takes it, or the stair moves to the yard edge."
        )
        return reason("stair_on_end_joist", text, load.stair, cited)
    if layout.placement == "flush":
        text = "The stair hangs on the outer face of a beam whose joists hang on the inner one: no table covers it."
        return reason("stair_on_flush_beam", text, load.stair, own_convention("beams loaded on both faces"))
    return cantilever_reason(load, layout.yard_cantilever_in, beam_under_edge=False)


def _house_row(case: Case, layout: Layout) -> Judged:
    """What a first row of footings hard by the house, or a ledger with no wall to hang on, means."""
    out = []
    if crowds_house(layout):
        text = (
            f"The first row stands {layout.beam_ys_in[0]:g} in from the house wall, where the house footing and its "
            "drain are likely to be."
        )
        out.append(
            reason("footing_row_at_house", text, f"{case.ask.level}.beam-1", own_convention("18 in clear"))
        )
    if case.spec.framing.attachment == "ledger" and not layout.attached:
        text = "A ledger is asked for, and there is no house wall here to hang one on: the deck stands free."
        out.append(reason("ledger_without_wall", text))
    return Judged((), tuple(out))


def _judge_stairs(case: Case, layout: Layout) -> Judged:
    loads = [one.load for one in case.stairs if one.load is not None]
    found = [_stair_reason(load, case, layout) for load in loads]
    return Judged((), tuple(r for r in found if r is not None))


def _of_method(comparison: Comparison, method: MethodResult | None, wanted: str) -> Judged:
    refused = unserved(comparison, wanted)
    if method is None:
        none = reason("method_not_worked_out", "No footing method could be worked out here.")
        return Judged(reasons=(*refused, none))
    findings = tuple(f for sized in method.sized for f in sized.findings)
    return Judged(findings, (*refused, *method.reasons), method.cautions)


def _clearance(case: Case, layout: Layout, members: Members) -> Clearance:
    heights = _setting(case, layout).stack
    above = [heights.beam_bottom_in - stand.grade_in for stand in members.stands]
    return Clearance(
        surface_height_in=case.ask.surface_in,
        joist_bottom_height_in=heights.joist_bottom_in,
        lowest_beam_bottom_height_in=heights.beam_bottom_in,
        lowest_beam_above_grade_in=min(above),
        missing_in=None,
    )


def _level(
    case: Case,
    layout: Layout,
    members: Members,
    ledger: LedgerResult | None,
    braces: Bracing,
    guards: GuardResult,
    rows: tuple[Blocking, ...],
) -> Level:
    rect = case.ask.rectangle
    return Level(
        id=case.ask.level,
        area_sqft=rect.width_ft * rect.projection_ft,
        clearance=_clearance(case, layout, members),
        joists=(members.joists,),
        ledgers=(ledger.ledger,) if ledger and ledger.ledger else (),
        rims=members.rims,
        beams=members.beams,
        blocking=(*rows, *guards.blocking),
        braces=braces.braces,
        guards=guards.guards,
    )


def based(posts: tuple[Post, ...], footings: tuple[Footing, ...], coating: str) -> tuple[Post, ...]:
    """Return the posts with the base their footing gives them: a pile's cap, else the base they have."""
    piles = {f.post: f.pile for f in footings if f.pile is not None}
    return tuple(
        msgspec.structs.replace(post, base=item("pile_cap", piles[post.id].shaft, post.size, coating))
        if post.id in piles
        else post
        for post in posts
    )


def _frame(level: Level, posts: tuple[Post, ...], footings: tuple[Footing, ...], case: Case) -> Frame:
    stairs = tuple(one.stair for one in case.stairs if one.stair is not None)
    return Frame((level,), posts, footings, stairs)


def work_out(case: Case, layout: Layout) -> Worked:
    """Return a layout worked out: the same rules for a candidate as for the frame that is answered."""
    criteria, spec = case.ask.criteria, case.spec
    members = build(_setting(case, layout), layout)
    members = replace(members, posts=seated_posts(layout, members, criteria))
    ledger = ledger_of(case.ask, spec, layout) if layout.attached else None
    braces = _bracing(case, layout, members)
    heavy = heavy_frames(spec, case.ask, layout, _setting(case, layout))
    rows = blocking(case.ask.level, layout, members.joists, case.level.decking.border_boards)
    rows += own_blocking(heavy.frames, layout, case.ask.level, len(rows) + 1)
    guards = _guards(case, layout, members, len(rows) + 1)
    demands = [_demand(s, layout, case.ask.level) for s in members.stands]
    demands += heavy_demands(heavy, case.ask.level, layout.attached)
    comparison = compare(demands, criteria, spec, case.context.prices, case.context.facts)
    method = choose_method(comparison, spec.foundation.method)
    footings = tuple(sized.footing for sized in method.sized) if method else ()
    level = _level(case, layout, members, ledger, braces, guards, rows)
    level = with_own(level, heavy.frames, layout, case.ask.rectangle.x_ft)
    posts = based((*members.posts, *heavy.posts), footings, criteria.coating)
    frame = _frame(level, posts, footings, case)
    judged = together(
        [
            case.site,
            Judged(ledger.findings, ledger.reasons, ledger.cautions) if ledger else Judged(),
            _judge_frame(case, layout, members, level.ledgers),
            Judged(braces.findings, braces.reasons, braces.cautions),
            Judged(guards.findings, guards.reasons, guards.cautions),
            *(Judged(s.findings, s.reasons, s.cautions) for s in case.stairs),
            judge_heavy(heavy, layout, criteria, case.ask.level, footings),
            _of_method(comparison, method, spec.foundation.method),
        ]
    )
    limit = criteria.rulebook.in_force_settings.calculated_engineer_ratio
    judged = judged + Judged((), (), slightly_over(judged, limit))
    return Worked(
        layout=layout,
        frame=frame,
        judged=judged,
        verdict=verdict(judged, limit),
        ledger=ledger,
        comparison=comparison,
        method=method,
        takeoff=without_refused(take_off(frame, spec, criteria, case.context.prices), heavy),
    )


def best_of(worked: Sequence[Worked], objective: str) -> Worked | None:
    """Return the frame with the best verdict, then the best by the objective, ties by order given."""
    rank = {"prescriptive": 0, "engineer_required": 1, "not_permitted": 2}

    def key(one: Worked) -> tuple[object, ...]:
        failing = len(one.verdict.reasons) if one.verdict.status == "not_permitted" else 0
        # A heavy object is an engineer's with any frame: the deck round it is still best by the tables.
        beside = any(r.code != "heavy_object" for r in one.verdict.reasons)
        complete = one.takeoff.total is None or one.takeoff.total.complete
        money = one.cost if one.cost is not None else Decimal(0)
        by = (
            (one.footings, money)
            if objective == "fewest_footings" or one.cost is None
            else (money, one.footings)
        )
        return (rank[one.verdict.status], failing, beside, not complete, *by)

    return min(worked, key=key, default=None)

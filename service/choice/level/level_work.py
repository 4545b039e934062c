"""One level's frame worked out: members, connections, guards, what its footings carry, and every finding."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

from service.checks.calculated import frame_findings
from service.checks.frame import judge_beam, judge_boards, judge_joists, judge_posts
from service.checks.joints import judge_joints, seated_posts
from service.checks.judged import Judged, reason, together
from service.choice.level.beam_rows import CLEAR_OF_HOUSE_IN
from service.choice.level.case import Case
from service.choice.level.demands import demand_of
from service.choice.level.guarded import guarded_level
from service.choice.level.heavy import Heavy, heavy_demands, heavy_frames
from service.choice.level.house_side import ledgers_of
from service.choice.level.limits import Limits
from service.choice.level.score import beam_limits
from service.choice.level.stair_frames import Head, StairFrames, stair_demands, stair_frames
from service.choice.level.stair_sizes import stair_ask
from service.connections.bracing import Bracing, BracingAsk, brace_level
from service.connections.guard_carriers import Carriers
from service.connections.guards import GuardResult, lay_out_guards
from service.connections.ledger import LedgerResult
from service.contract.report import Reason
from service.contract.report_frame import Beam, Blocking, Clearance, Ledger, Level, Post
from service.foundations.demand import Demand
from service.framing.blocking import blocking
from service.framing.edge_loads import Taken, at_ends, taken
from service.framing.ground import lowest_ground_gap_in
from service.framing.heavy_members import own_blocking, with_own
from service.framing.joist_lines import JOIST_IN, unframed_in
from service.framing.layout import Layout
from service.framing.members import Members, build, numbered
from service.framing.region import SAME_IN
from service.framing.sides import corners_in_frame
from service.framing.stands import Stand
from service.units.citation import own_convention

TIE_WITHIN_IN = 24.0  # R507.9.2


@dataclass(frozen=True)
class LevelWork:
    """A level worked out as far as its footings: they are chosen for the whole deck."""

    case: Case
    layouts: tuple[Layout, ...]
    built: tuple[Members, ...]
    ledgers: tuple[LedgerResult, ...]
    level: Level
    posts: tuple[Post, ...]
    demands: tuple[Demand, ...]
    heavy: Heavy
    stairs: StairFrames
    judged: Judged

    @property
    def attached(self) -> bool:
        """Whether any joist hangs on the house."""
        return any(layout.attached for layout in self.layouts)

    @cached_property
    def main(self) -> Layout:
        """The layout of the largest part."""
        return max(self.layouts, key=lambda one: one.region.area_sqft)


def _demand(case: Case, stand: Stand, members: Members) -> Demand:
    layout = members.layout
    sizes = (layout.post_size, layout.beam_plies)
    return demand_of(case.setting().owner, stand, sizes, layout.attached, (case.ground, case.walls))


def _bracing(case: Case, members: Members) -> Bracing:
    ask = BracingAsk(
        level=case.level.id,
        freestanding=not members.layout.region.hung_all_along,
        decking_angle_deg=case.level.decking.angle_deg,
        seismic_design_category=case.spec.site.seismic_design_category,
        posts=members.posts,
        beams=members.beams,
        joist_bottom_in=case.setting().stack(members.layout).joist_bottom_in,
    )
    return brace_level(ask, case.criteria)


def _guards(case: Case, built: Sequence[Members], first_blocking: int) -> GuardResult:
    prices = case.context.prices
    flush = [beam for m in built if m.layout.placement == "flush" for beam in m.beams]
    carriers = Carriers(
        tuple(members.joists for members in built),
        (*(rim for members in built for rim in members.rims), *flush),
        first_blocking,
    )
    guarded = guarded_level(case.spec, case.level, case.outline, case.ground)
    stairs = [one.stair for one in case.stairs if one.stair is not None]
    offered = None if prices is None else {line.item for line in prices.lines}
    return lay_out_guards(
        guarded, stairs, case.level.guard, carriers, case.criteria, offered, case.known_guard_runs
    )


def _lowest_in(case: Case, members: Members, row: int) -> float:
    """The least height of a beam's bottom over the ground along it."""
    beam = members.beams[row]
    return lowest_ground_gap_in(beam.start_ft, beam.end_ft, beam.bottom_height_in, case.ground)


def _judge_beams(case: Case, members: Members) -> Iterator[Judged]:
    ask = case.ask(members.layout.region)
    allowed = beam_limits(members.layout, ask, Limits(case.criteria))
    for row, (use, limit) in enumerate(zip(members.layout.arrangement.uses, allowed, strict=True)):
        yield judge_beam(members, row, use, limit, _lowest_in(case, members, row), case.criteria)


def _judge_part(case: Case, members: Members, ledgers: Sequence[LedgerResult]) -> Judged:
    criteria, layout = case.criteria, members.layout
    hung = [one.ledger for one in ledgers if one.ledger is not None]
    return together(
        [
            judge_boards(layout, members.joists.id, criteria, case.level.decking),
            judge_joists(members, criteria),
            *_judge_beams(case, members),
            judge_posts(members, criteria),
            judge_joints(members, criteria),
            Judged(frame_findings(members, hung, tuple(taken(layout, case.loads)), criteria)),
            _house_row(members),
            _sharp_corners(members),
            _rims_as_joists(members),
            _lifting(members),
        ]
    )


def _heads(case: Case, built: Sequence[Members]) -> dict[str, Head]:
    """What each stair of the level leaves by: the beam under its edge, or what is there instead."""
    found = {load.member: Head("side", built[0].joists.id) for load in case.loads}
    for members in built:
        for one in at_ends(members.layout, case.loads):
            found[one.load.member] = _head(members, one)
    return found


def _head(members: Members, one: Taken) -> Head:
    beam = members.beams[one.row].id
    if members.layout.placement == "flush":
        return Head("flush", beam)
    if one.cantilever_in > 0:
        rims = (rim.id for rim in members.rims if rim.edge == one.load.number)
        return Head("cantilever", next(rims, beam))
    return Head("edge_beam", beam)


def _stairs(case: Case, built: Sequence[Members]) -> StairFrames:
    ask = stair_ask(case.criteria, case.stock_in, built[0].layout.post_size)
    seismic = case.spec.site.seismic_design_category
    return stair_frames(case.stairs, _heads(case, built), ask, seismic)


def _house_row(members: Members) -> Judged:
    """What footings hard by the house mean: a whole row of them, or one beside a wall a row ends at."""
    out = []
    flagged = set[str]()
    for number, past_gap_in in members.layout.arrangement.rows_at_walls:
        if past_gap_in < CLEAR_OF_HOUSE_IN - SAME_IN:
            text = (
                f"The first row stands {past_gap_in + 1:g} in from the house wall, where the house footing and its "
                "drain are likely to be."
            )
            name = members.beams[number].id
            flagged.add(name)
            out.append(reason("footing_row_at_house", text, name, own_convention("18 in clear")))
    out += [
        one for stand in members.stands if stand.beam not in flagged and (one := _at_wall(members, stand))
    ]
    return Judged((), tuple(dict.fromkeys(out)))


def _at_wall(members: Members, stand: Stand) -> Reason | None:
    region = members.layout.region
    away_in = region.from_house_in(*region.axes.local_in((stand.x_ft, stand.y_ft)))
    if away_in >= CLEAR_OF_HOUSE_IN - SAME_IN:
        return None
    text = (
        f"A footing of {stand.beam} stands {away_in:.3g} in from a wall of the house, where the house footing and its "
        "drain are likely to be."
    )
    return reason("footing_row_at_house", text, stand.beam, own_convention("18 in clear"))


def _sharp_corners(members: Members) -> Judged:
    """Where a corner is so sharp that no joist stands within a bay of it."""
    layout = members.layout
    gap_in = unframed_in(layout.arrangement, layout.spacing_in)
    if gap_in <= layout.spacing_in + JOIST_IN:
        return Judged()
    text = (
        f"In a sharp corner no joist fits for {gap_in:.3g} in, more than the {layout.spacing_in:g} in between joists: "
        "its framing is an engineer's, or the corner is blunted."
    )
    return Judged(
        (), (reason("corner_too_sharp", text, members.joists.id, own_convention("no bay over the spacing")),)
    )


def _rims_as_joists(members: Members) -> Judged:
    """An edge that joists end at with no beam under it: its rim is an end joist askew, which no table covers."""
    layout = members.layout
    found = []
    for bound in layout.region.bounds:
        parts = [n for n, part in enumerate(layout.region.sections) if bound in (part.low, part.high)]
        held = bound.meets == "ledger" or any(
            row.high if bound == layout.region.sections[n].high else row.low
            for n in parts
            for row in layout.rows
            if n in row.sections
        )
        if not held:
            text = (
                f"Edge {bound.number} runs nearly along the joists: the rim there works as an end joist askew on the "
                "beams it crosses, which no table covers."
            )
            found.append(reason("rim_as_end_joist", text, members.joists.id))
    return Judged((), tuple(found))


def _lifting(members: Members) -> Judged:
    """A post that the rest of its beam lifts needs a tie that no table gives."""
    lifted = [stand for stand in members.stands if stand.load_lb < 0]
    return Judged(
        (),
        tuple(
            reason(
                "post_lifts",
                f"The deck lifts {one.beam} off its post {one.number} by {-one.load_lb:.0f} lb: what holds it down is "
                "an engineer's.",
                one.beam,
            )
            for one in lifted
        ),
    )


def _short_ties(case: Case, ledgers: Sequence[LedgerResult]) -> Judged:
    """Lateral ties stand within 24 in of each end of the deck: a wall whose ledgers end sooner can't give that."""
    cited = case.criteria.rulebook.limit("lateral_two_devices_end_distance").citation
    found = []
    walls: dict[tuple[str, float], list[Ledger]] = {}
    for one in ledgers:
        if one.ledger is not None:
            (ax, ay), (bx, by) = one.ledger.start_ft, one.ledger.end_ft
            along = "x" if abs(bx - ax) >= abs(by - ay) else "y"
            walls.setdefault((along, round(ay if along == "x" else ax, 3)), []).append(one.ledger)
    left, near, right, far = case.outline.polygon.bounds
    for (along, _), hung in walls.items():
        axis = 0 if along == "x" else 1
        places = sorted(p[axis] for one in hung for p in (one.start_ft, one.end_ft))
        low, high = (left, right) if along == "x" else (near, far)
        short_ft = max(places[0] - low, high - places[-1])
        if short_ft * 12 > TIE_WITHIN_IN + SAME_IN:
            text = (
                f"{hung[0].id} ends {short_ft:.4g} ft short of the deck's end along its wall: no lateral tie can stand "
                "within 24 in of that end, so what holds the deck sideways there is an engineer's."
            )
            found.append(reason("lateral_ties_short_of_deck", text, hung[0].id, cited))
    return Judged((), tuple(found))


def _without_wall(case: Case, layouts: Sequence[Layout]) -> Judged:
    if case.spec.framing.attachment == "ledger" and not any(layout.attached for layout in layouts):
        text = "A ledger is asked for, and there is no house wall here to hang one on: the deck stands free."
        return Judged((), (reason("ledger_without_wall", text),))
    return Judged()


def _clearance(case: Case, built: Sequence[Members]) -> Clearance:
    setting = case.setting()
    stacks = [setting.stack(members.layout) for members in built]
    above = [_lowest_in(case, m, row) for m in built for row in range(len(m.beams))]
    return Clearance(
        surface_height_in=case.level.surface_height_in,
        joist_bottom_height_in=min(one.joist_bottom_in for one in stacks),
        lowest_beam_bottom_height_in=min((one.beam_bottom_in for one in stacks), default=None)
        if above
        else None,
        lowest_beam_above_grade_in=min(above, default=None),
        missing_in=None,
    )


def _rows(case: Case, built: Sequence[Members]) -> tuple[Blocking, ...]:
    found: tuple[Blocking, ...] = ()
    for members in built:
        found += blocking(case.level.id, members, len(found) + 1, case.level.decking.border_boards)
    return found


Numbered = TypeVar("Numbered", Beam, Post)


def _by_number(members: Iterable[Numbered]) -> tuple[Numbered, ...]:
    """Members in the order of the numbers in their marks: B2, P2-3."""
    return tuple(sorted(members, key=lambda one: [int(n) for n in one.mark[1:].split("-")]))


def _level(
    case: Case,
    built: Sequence[Members],
    ledgers: Sequence[LedgerResult],
    rows: tuple[Blocking, ...],
    braces: Sequence[Bracing],
    guards: GuardResult,
) -> Level:
    return Level(
        id=case.level.id,
        area_sqft=case.outline.polygon.area,
        clearance=_clearance(case, built),
        joists=tuple(members.joists for members in built),
        ledgers=tuple(one.ledger for one in ledgers if one.ledger),
        rims=tuple(rim for members in built for rim in members.rims),
        beams=_by_number(beam for members in built for beam in members.beams),
        blocking=rows,
        braces=tuple(brace for found in braces for brace in found.braces),
        guards=guards.guards,
        outline_ft=corners_in_frame(case.level),
        house_lines_ft=case.outline.house_lines_ft,
    )


def work_level(case: Case, layouts: Sequence[Layout]) -> LevelWork:
    """Return a level worked out with one layout a region."""
    case.context.watch.go_on()
    criteria, name, setting = case.criteria, case.level.id, case.setting()
    built = [
        build(setting, layout, numbers) for layout, numbers in zip(layouts, numbered(layouts), strict=True)
    ]
    built = [replace(members, posts=seated_posts(members, criteria)) for members in built]
    hung = [ledgers_of(case.ask(m.layout.region), case.spec, m.layout, m.numbers, m.shares) for m in built]
    ledgers = tuple(one for found in hung for one in found)
    braces = [_bracing(case, members) for members in built]
    heavy = heavy_frames(case.spec, case.ask(layouts[0].region), built, setting)
    rows = _rows(case, built)
    rows += own_blocking(heavy.frames, name, len(rows) + 1)
    guards = _guards(case, built, len(rows) + 1)
    stairs = _stairs(case, built)
    stands = sorted(
        ((s, m) for m in built for s in m.stands), key=lambda one: (one[0].beam_number, one[0].number)
    )
    demands = [_demand(case, stand, members) for stand, members in stands]
    attached = any(layout.attached for layout in layouts)
    demands += heavy_demands(heavy, case, attached)
    demands += stair_demands(stairs, attached)
    level = _level(case, built, ledgers, (*rows, *guards.blocking), braces, guards)
    judged = together(
        [
            *(Judged(one.findings, one.reasons, one.cautions) for one in ledgers),
            *(_judge_part(case, members, found) for members, found in zip(built, hung, strict=True)),
            _without_wall(case, layouts),
            _short_ties(case, ledgers),
            *(Judged(one.findings, one.reasons, one.cautions) for one in braces),
            Judged(guards.findings, guards.reasons, guards.cautions),
            stairs.judged,
        ]
    )
    return LevelWork(
        case=case,
        layouts=tuple(layouts),
        built=tuple(built),
        ledgers=ledgers,
        level=with_own(level, heavy.frames, built),
        posts=(
            *_by_number(post for members in built for post in members.posts),
            *heavy.posts,
            *stairs.posts,
        ),
        demands=tuple(demands),
        heavy=heavy,
        stairs=stairs,
        judged=judged,
    )

"""The calculated twin of every table check of a frame: joists, beams, posts and ledger fasteners."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import msgspec

from service.checks.stair_on_beam import StairsOnBeam, stairs_on_beam
from service.contract.report_frame import Beam as BeamMember
from service.contract.report_frame import Ledger, Post
from service.framing.edge_loads import Taken
from service.framing.joist_lines import JOIST_IN
from service.framing.line import LineLayout
from service.framing.members import Members
from service.mechanics.beam import Beam, Point
from service.sizing.allowed import TABLE_GRADE
from service.sizing.calculated_ledger import IMPLIED_LB
from service.sizing.calculated_members import Member, MemberLine, member_lines
from service.sizing.calculated_posts import post_capacity
from service.sizing.calculated_species import all_on_deck
from service.sizing.criteria import Criteria
from service.sizing.lumber import post_side_in
from service.sizing.stair_limits import figure
from service.timber.refusal import NoRule
from service.timber.sections import section
from service.timber.values import TimberData
from service.units.citation import Citation
from service.units.finding import Finding, at_most
from service.units.working import Step, step

HANGER_BEARING_IN = 1.5  # IRC R507.6.1: 1.5 in on wood or metal
TIP_LB = 220.0  # IRC Table R507.6, footnote on cantilevers
CHECKS = {
    "bending": "bending",
    "shear": "shear",
    "bearing": "bearing",
    "deflection": "deflection",
    "overhang_deflection": "deflection",
}
JOIST_CHECKS = CHECKS | {"overhang_deflection": "cantilever_tip_load"}
BEAM_CHECKS = CHECKS | {"bearing": "bearing_on_post"}


def as_findings(
    lines: tuple[MemberLine, ...] | NoRule, member: str, prefix: str, names: dict[str, str]
) -> Iterator[Finding]:
    """Yield the lines of a member as its checks, or nothing where there is no rule."""
    if isinstance(lines, NoRule):
        return
    for line in lines:
        check = f"{prefix}_{names[line.check]}"
        yield at_most(
            member, check, "calculated", line.demand, line.capacity, line.unit, line.citation, line.steps
        )


def _load_kind(criteria: Criteria) -> str:
    return "snow" if criteria.snow_psf > criteria.live_psf else "live"


def stair_load_kind(criteria: Criteria) -> str:
    """Return the kind of load that decides where a stair stands: snow only where it is more than any live load."""
    live = figure(criteria.rulebook, "stair_live_load").value
    return "live" if live > criteria.snow_psf else _load_kind(criteria)


def calculated_grade(criteria: Criteria, size: str) -> str:
    """Return the grade a member is calculated with: its own, or No. 2 where its own has no value we trust."""
    if criteria.timber is None:
        return TABLE_GRADE
    found = all_on_deck(
        criteria.timber, criteria.species, criteria.grade, section(size), _load_kind(criteria), 1.0, ""
    )
    return TABLE_GRADE if isinstance(found, NoRule) else criteria.grade


def joist_pieces(line: LineLayout) -> Iterator[Beam]:
    """Yield the beams a joist line is by statics: broken where joists lap."""
    supports = line.supports_in
    end = line.high.line_in if line.high_cantilever_in else supports[-1]
    begin = line.low.face_in if line.low_cantilever_in else supports[0]
    cuts = [begin, *(supports[i] for i in line.lap_at), end]
    for a, b in pairwise(cuts):
        inside = tuple((y - a) / 12 for y in supports if a - 1e-9 <= y <= b + 1e-9)
        yield Beam((b - a) / 12, inside)


def tips(piece: Beam) -> tuple[Point, ...]:
    """Return the 220 lb at each free end of a piece, each alone."""
    ends = []
    if piece.supports_ft[0] > 0:
        ends.append(Point(0.0, TIP_LB))
    if piece.supports_ft[-1] < piece.length_ft - 1e-9:
        ends.append(Point(piece.length_ft, TIP_LB))
    return tuple(ends)


def worst_lines(lines: Sequence[LineLayout]) -> tuple[LineLayout, ...]:
    """Return the longest span of joists on the same members, and the longest cantilever if another has it."""
    longest = max(lines, key=lambda line: max(line.spans_in))
    reaching = max(lines, key=lambda line: line.longest_cantilever_in)
    return (
        (longest,) if reaching.longest_cantilever_in == longest.longest_cantilever_in else (longest, reaching)
    )


def joist_findings(members: Members, criteria: Criteria, data: TimberData) -> Iterator[Finding]:
    """Yield bending, shear, bearing and deflection of the worst joists, worst load pattern."""
    layout = members.layout
    wood = Member(
        criteria.species,
        layout.joist_size,
        1,
        calculated_grade(criteria, layout.joist_size),
        _load_kind(criteria),
        True,
        HANGER_BEARING_IN,
    )
    for _, lines in members.kinds:
        for line in worst_lines(lines):
            yield from _line_findings(members, line, wood, criteria, data)


def _line_findings(
    members: Members, line: LineLayout, wood: Member, criteria: Criteria, data: TimberData
) -> Iterator[Finding]:
    strip_ft = members.layout.spacing_in / 12
    for piece in joist_pieces(line):
        lines = member_lines(
            data, wood, piece, criteria.dead_psf * strip_ft, criteria.variable_psf * strip_ft,
            varying_points=tips(piece),
        )  # fmt: skip
        if not isinstance(lines, NoRule):
            lines = tuple(
                _seated(one, line, strip_ft, criteria) if one.check == "bearing" else one for one in lines
            )
        yield from as_findings(lines, members.joists.id, "joist", JOIST_CHECKS)


def _seated(found: MemberLine, line: LineLayout, strip_ft: float, criteria: Criteria) -> MemberLine:
    """The bearing line with each support's own length: 1.5 in in a hanger, the beam's width on a dropped beam."""
    lengths = [HANGER_BEARING_IN if rest.hung else rest.width_in for rest in line.rests]
    loads = [plf * strip_ft for plf in line.reactions_plf(criteria.design_psf)]
    stresses = [load / (JOIST_IN * length) for load, length in zip(loads, lengths, strict=True)]
    worst = max(range(len(stresses)), key=stresses.__getitem__)
    steps = (
        *(one for one in found.steps if one.symbol not in ("R", "lb")),
        step("R", loads[worst], "lb", "reaction of one joist"),
        step("lb", lengths[worst], "in", "bearing length: 1.5 in in a hanger, the beam's width on a beam"),
    )
    return msgspec.structs.replace(found, demand=stresses[worst], steps=steps)


def whole_beam(beam: BeamMember) -> Beam:
    """Return a beam as the one continuous piece it is where no ply is joined."""
    supports, length = beam.supports_ft, sum(beam.spans_in) / 12
    before, after = beam.overhang_start_in / 12, beam.overhang_end_in / 12
    return Beam(before + length + after, tuple(x - supports[0] + before for x in supports))


def beam_spans(beam: BeamMember) -> Iterator[Beam]:
    """Yield a beam whose plies are joined over posts, span by span."""
    before, after = beam.overhang_start_in / 12, beam.overhang_end_in / 12
    last = len(beam.spans_in) - 1
    for i, span in enumerate(beam.spans_in):
        near = before if i == 0 else 0.0
        far = after if i == last else 0.0
        yield Beam(near + span / 12 + far, (near, near + span / 12))


def beam_findings(
    beam: BeamMember, post_size: str, criteria: Criteria, data: TimberData, stairs: Sequence[Taken] = (),
    under_stair: bool = False,
) -> Iterator[Finding]:  # fmt: skip
    """Yield bending, shear, bearing on posts and deflection of a beam, worst load pattern.

    Stairs on it stand where they do, each loaded or not. Where plies are joined over posts some run through there
    and some do not: the beam is judged as one piece and span by span. A post is judged by what the one piece brings,
    since two spans that end on it bring less, and where a stair stands on a span by what that span alone brings, if
    it is more: the end post of an overhang is not relieved by the spans beyond. ``under_stair``: all of the load is
    a stair's.
    """
    wood = Member(
        criteria.species,
        beam.size,
        beam.plies,
        calculated_grade(criteria, beam.size),
        stair_load_kind(criteria) if stairs or under_stair else _load_kind(criteria),
        False,
        post_side_in(post_size),
    )
    share_ft = beam.line_load_plf / criteria.design_psf
    plf = criteria.dead_psf * share_ft, criteria.variable_psf * share_ft
    on_it = stairs_on_beam(stairs, criteria)

    def lines_of(piece: Beam, more: StairsOnBeam) -> tuple[MemberLine, ...] | NoRule:
        found = member_lines(data, wood, piece, *plf, more.dead, varying_loads=more.varying)
        return found if isinstance(found, NoRule) else tuple(_with(one, more.steps) for one in found)

    whole, pieces = lines_of(whole_beam(beam), on_it), list[MemberLine]()
    starts_ft = (0.0, *beam.supports_ft[1:-1])
    for start_ft, span in zip(starts_ft, beam_spans(beam), strict=True) if beam.splices else ():
        here = on_it.on(start_ft, span)
        lines = lines_of(span, here)
        if isinstance(lines, NoRule):
            continue
        if here.varying and not isinstance(whole, NoRule):
            whole = _bearing_most(whole, lines)
        pieces += (one for one in lines if one.check != "bearing")
    yield from as_findings(whole, beam.id, "beam", BEAM_CHECKS)
    yield from as_findings(tuple(pieces), beam.id, "beam", BEAM_CHECKS)


def _bearing_most(whole: tuple[MemberLine, ...], piece: tuple[MemberLine, ...]) -> tuple[MemberLine, ...]:
    """The lines of a whole beam, its bearing that of a piece where this is more."""
    (other,) = (one for one in piece if one.check == "bearing")
    return tuple(other if one.check == "bearing" and other.demand > one.demand else one for one in whole)


def _with(line: MemberLine, steps: tuple[Step, ...]) -> MemberLine:
    return msgspec.structs.replace(line, steps=(*steps, *line.steps))


def post_findings(members: Members, criteria: Criteria, stairs: Sequence[Taken] = ()) -> Iterator[Finding]:
    """Yield the compression of every post against its capacity as a column."""
    stands = [stand for stand in members.stands if stand.foot.standing == "post"]
    under = {members.names[one.row] for one in stairs}
    for post, stand in zip(members.posts, stands, strict=True):
        yield from post_compression(post, stand.sizing_load_lb, criteria, stand.beam in under)


def post_compression(
    post: Post, load_lb: float, criteria: Criteria, under_stair: bool = False
) -> tuple[Finding, ...]:
    """Return the compression of a post against its capacity as a column by plain NDS; none where no value is known."""
    if criteria.timber is None:
        return ()
    kind = stair_load_kind(criteria) if under_stair else _load_kind(criteria)
    grade = calculated_grade(criteria, post.size)
    found = post_capacity(criteria.timber, criteria.species, post.size, post.height_in, kind, grade)
    if isinstance(found, NoRule):
        return ()
    cited = Citation("NDS", edition="2018", section="3.6 and 3.7", status=found.status)
    return (
        at_most(post.id, "post_compression", "calculated", load_lb, found.value, "lb", cited, found.steps),
    )


def _implied(ledger: Ledger) -> float | None:
    if ledger.fastener.startswith("lag_screw"):
        return IMPLIED_LB["lag_screw_1/2"]
    washers = ledger.sheathing_thickness_in > 0.5
    return (
        IMPLIED_LB["bolt_1/2_with_washers" if washers else "bolt_1/2"] if "bolt" in ledger.fastener else None
    )


def ledger_findings(ledgers: Sequence[Ledger], members: Members, criteria: Criteria) -> Iterator[Finding]:
    """Yield the load of one fastener of each ledger against the load the table's own spacing implies.

    The table rests on tests: yield equations give a third of it and can't verify it.
    """
    duration = 1.15 if _load_kind(criteria) == "snow" else 1.0
    for ledger in ledgers:
        implied = _implied(ledger)
        if implied is None or ledger.spacing_in is None:
            continue
        line_plf = criteria.design_psf * _span_beside(members, ledger.id) / 24
        demand = line_plf * ledger.spacing_in / 12
        working = (
            step("w", line_plf, "plf", "design load x half the joist span"),
            step("P", implied, "lb", "load one fastener carries as the table's spacing implies; from tests"),
            step("CD", duration, "ratio", "NDS 2.3.2 (memory)"),
        )
        cited = Citation(
            "fit of IRC Table R507.9.1.3(1)",
            section="test-based: yield equations can't verify it",
            status="own_convention",
        )
        yield at_most(
            ledger.id,
            "ledger_fastener_spacing",
            "calculated",
            demand,
            implied * duration,
            "lb",
            cited,
            working,
        )


def _span_beside(members: Members, ledger: str) -> float:
    """The longest joist span beside a ledger, in."""
    spans = [
        line.spans_in[0 if names[0] == ledger else -1]
        for names, lines in members.kinds
        if ledger in (names[0], names[-1])
        for line in lines
    ]
    return max(spans)


def frame_findings(
    members: Members, ledgers: Sequence[Ledger], stairs: Sequence[Taken], criteria: Criteria
) -> tuple[Finding, ...]:
    """Return the calculated checks of a frame, in the order loads run; none without design values.

    ``stairs`` are those that its rows of beam take.
    """
    data = criteria.timber
    if data is None:
        return ()
    found: list[Finding] = []
    found += ledger_findings(ledgers, members, criteria)
    found += joist_findings(members, criteria, data)
    for row, beam in enumerate(members.beams):
        on_it = [one for one in stairs if one.row == row]
        found += beam_findings(beam, members.layout.post_size, criteria, data, on_it)
    found += post_findings(members, criteria, stairs)
    return tuple(found)

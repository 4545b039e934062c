"""Checks of joists, beams and posts, in the order they carry load."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Protocol

import msgspec

from service.checks import would_pass
from service.checks.judged import Judged, caution, reason, together
from service.connections.plies import side_loaded_plies
from service.contract.report import Caution, Reason
from service.contract.report_frame import Beam, Post
from service.contract.spec import DeckingSpec
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN
from service.framing.layout import Layout
from service.framing.line import LineLayout
from service.framing.members import Members
from service.sizing.allowed import (
    TALLEST_POST_IN,
    Allowed,
    allowed_cantilever,
    allowed_joist_span,
    allowed_post_height,
)
from service.sizing.beams import overhang_limit_in
from service.sizing.criteria import Criteria
from service.sizing.decking import decking_spacing_limit
from service.sizing.lumber import depth_in
from service.units.citation import own_convention
from service.units.finding import Finding, at_least, at_most, yes_no
from service.units.working import step


class Use(Protocol):
    """What a beam carries at its worst: the joist span and cantilever beside it, in, or joists on both sides."""

    @property
    def near_in(self) -> float: ...

    @property
    def cantilever_in(self) -> float: ...

    @property
    def interior(self) -> bool: ...


def _advised(finding: Finding, advice: str | None) -> Finding:
    return (
        finding if finding.passes or advice is None else msgspec.structs.replace(finding, would_pass=advice)
    )


def _length(member: str, check: str, demand_in: float, allowed: Allowed) -> Finding:
    return at_most(
        member, check, allowed.basis, demand_in, allowed.value_in, "in", allowed.citation, allowed.working
    )


def _off_table(allowed: Allowed, member: str, what: str, criteria: Criteria) -> list[Reason]:
    """Say once that a member is off the tables; where load or species put all of them there, the site says it."""
    if allowed.basis == "table" or criteria.table_load_psf is None or not criteria.species_group:
        return []
    if allowed.limit is not None and allowed.limit.covered:
        return [_by_grade(what, member, criteria)]
    how = (
        "it is sized by calculation" if allowed.value_in is not None else f"no rule sizes it ({allowed.why})"
    )
    return [reason("size_or_spacing_off_tables", f"No row of the deck tables covers {what}: {how}.", member)]


def _by_grade(what: str, member: str | None, criteria: Criteria) -> Reason:
    grade = criteria.grade.replace("_", " ")
    text = f"The tables are for No. 2, and say no to {what}; grade {grade} carries it by calculation."
    return reason("grade_off_tables", text, member, criteria.rulebook.limit("lumber_grade").citation)


def _memory(allowed: Allowed, member: str) -> list[Caution]:
    if not allowed.remembered:
        return []
    return [
        caution(
            "value_from_memory",
            f"The calculation for {member} rests on a design value that was remembered, not read.",
            "Have the value checked against the NDS Supplement.",
        )
    ]


def _suspect(allowed: Allowed, member: str) -> list[Caution]:
    if not allowed.suspect or allowed.limit is None:
        return []
    cell = allowed.citation
    return [
        caution(
            "table_row_suspect",
            f"A row of {cell.table or cell.section} read for {member} is printed out of family; the safer of the "
            "printed and the likely value was used.",
            "Ask the building department which value it enforces.",
        )
    ]


def _of_allowed(finding: Finding, allowed: Allowed, what: str, criteria: Criteria) -> Judged:
    return Judged(
        (finding,),
        tuple(_off_table(allowed, finding.member, what, criteria)),
        (*_suspect(allowed, finding.member), *_memory(allowed, finding.member)),
    )


def judge_boards(layout: Layout, member: str, criteria: Criteria, decking: DeckingSpec) -> Judged:
    """Judge the joist spacing under the boards."""
    limit = decking_spacing_limit(criteria, decking)
    if limit.spacing_in is None:
        text = "Boards this thin or at this angle have no row: their maker or an engineer sets the joist spacing."
        return Judged(reasons=(reason("size_or_spacing_off_tables", text, member),))
    check = at_most(
        member, "joist_spacing_for_decking", "rule" if limit.by_label else "table",
        layout.spacing_in, limit.spacing_in, "in", limit.citation, limit.steps,
    )  # fmt: skip
    advice = _advised(check, f"{limit.spacing_in:g} in spacing")
    if not limit.by_label:
        return Judged((advice,))
    note = caution(
        "maker_listing_governs",
        f"The label of {decking.material} boards sets the joist spacing, not the code table.",
        "Read the label before ordering; stairs often need closer stringers.",
    )
    return Judged((advice,), (), (note,))


def _joist_spans(members: Members, lines: Sequence[LineLayout], criteria: Criteria) -> Iterator[Judged]:
    """One check a span, of the longest among joists that rest on the same members."""
    layout, member = members.layout, members.joists.id
    over = max(line.longest_cantilever_in for line in lines)
    whole = allowed_joist_span(criteria, layout.joist_size, layout.spacing_in, over)
    for spans in zip(*(line.spans_in for line in lines), strict=True):
        span = max(spans)
        allowed = whole.for_demand(span)
        check = _length(member, "joist_span", span, allowed)
        advice = None if check.passes else would_pass.joists(criteria, layout, span, over)
        yield _of_allowed(
            _advised(check, advice),
            allowed,
            f"{layout.joist_size} joists at {layout.spacing_in:g} in",
            criteria,
        )


def _used(reach_in: float, allowed: Allowed) -> float:
    value = allowed.for_demand(reach_in).value_in
    return math.inf if not value else reach_in / value


def _cantilevers(members: Members, lines: Sequence[LineLayout], criteria: Criteria) -> Iterator[Judged]:
    """One check an end, of the worst among joists that rest on the same members."""
    layout, member = members.layout, members.joists.id
    low = {(line.low_cantilever_in, line.spans_in[0]) for line in lines}
    high = {(line.high_cantilever_in, line.spans_in[-1]) for line in lines}
    for ends in (low, high):
        reaching = {
            end: allowed_cantilever(criteria, layout.joist_size, layout.spacing_in, end[1])
            for end in sorted(ends)
            if end[0] > 0
        }
        if reaching:
            reach, back = max(reaching, key=lambda end: _used(end[0], reaching[end]))
            allowed = reaching[reach, back]
            check = _length(member, "joist_cantilever", reach, allowed)
            longest = None if allowed.value_in is None else f"a cantilever up to {allowed.value_in:.6g} in"
            advice = longest or "no cantilever beside this back span"
            yield _of_allowed(
                _advised(check, advice), allowed, f"this cantilever of {layout.joist_size}", criteria
            )


def judge_joists(members: Members, criteria: Criteria) -> Judged:
    """Judge joist spans and cantilevers; of joists that rest on the same members, the worst."""
    total = Judged()
    for _, lines in members.kinds:
        parts = (*_joist_spans(members, lines, criteria), *_cantilevers(members, lines, criteria))
        total = total + together(parts)
    return total


def _overhang(beam: Beam, criteria: Criteria) -> Finding:
    cited = criteria.rulebook.limit("beam_overhang_limit").citation
    ends = [
        (beam.overhang_start_in, beam.spans_in[0]),
        (beam.overhang_end_in, beam.spans_in[-1]),
    ]
    reach, adjacent = max(ends, key=lambda end: end[0] / end[1])
    limit = overhang_limit_in(criteria, adjacent)
    working = (step("L", adjacent, "in", "actual adjacent span"),)
    return at_most(beam.id, "beam_overhang", "rule", reach, limit, "in", cited, working)


def judge_splices(beam: Beam, criteria: Criteria) -> list[Finding]:
    """Judge where the plies of a beam are joined; nothing where they are whole."""
    if not beam.splices:
        return []
    cited = criteria.rulebook.limit("beam_ply_bearing")
    citation = cited.citation if cited.found or cited.text else own_convention("splices over posts")
    return [yes_no(beam.id, "beam_splice_over_post", "rule", _joined_by_rule(beam), citation)]


def _joined_by_rule(beam: Beam) -> bool:
    """Whether joints stand on interior posts, at most half the plies at one."""
    at = Counter(splice.at_post for splice in beam.splices)
    numbers = (int(place.rpartition("-")[2]) for place in at)
    interior = all(1 < number < len(beam.supports_ft) for number in numbers)
    return interior and 2 * max(at.values()) <= beam.plies


def _clear(beam: Beam, lowest_in: float) -> Finding:
    cited = own_convention("pier tops stand 3 in above grade")
    return at_least(beam.id, "beam_clear_of_grade", "rule", lowest_in, PIER_TOP_ABOVE_GRADE_IN, "in", cited)


def _both_sides(beam: Beam, criteria: Criteria) -> list[Reason]:
    accepted = criteria.rulebook.in_force_settings.accept_tributary_interior_beams
    if accepted and beam.placement == "dropped":
        return []
    text = (
        f"{beam.id} carries joists on both sides; the beam tables are for one side. It is sized by its true "
        "reaction and by the table at the sum of both spans, whichever is less."
    )
    cited = criteria.guide.limit("guide_beam_joists_one_side").citation
    return [reason("joists_on_both_sides", text, beam.id, cited)]


def _flush(beam: Beam, layout: Layout, criteria: Criteria) -> list[Finding]:
    if beam.placement != "flush":
        return []
    cited = criteria.rulebook.limit("flush_beam_depth").citation
    deep, needed = depth_in(beam.size), depth_in(layout.joist_size)
    depth = at_least(beam.id, "flush_beam_depth", "rule", deep, needed, "in", cited)
    return [depth, *side_loaded_plies(beam, criteria)]


def judge_beam(
    members: Members, row: int, use: Use, allowed: Allowed, clear_in: float, criteria: Criteria
) -> Judged:
    """Judge one beam: span, overhang, splices, what a flush one needs, and its least height over the ground."""
    beam = members.beams[row]
    span = max(beam.spans_in)
    allowed = allowed.for_demand(span)
    check = _length(beam.id, "beam_span", span, allowed)
    if not check.passes and not use.interior:
        check = _advised(check, would_pass.beam(criteria, span, use.near_in, use.cantilever_in))
    what = f"a {beam.plies}-ply {beam.size} beam under these joists"
    reasons = _both_sides(beam, criteria) if use.interior else _off_table(allowed, beam.id, what, criteria)
    findings = (
        check,
        _overhang(beam, criteria),
        *judge_splices(beam, criteria),
        _clear(beam, clear_in),
        *_flush(beam, members.layout, criteria),
    )
    return Judged(findings, tuple(reasons), (*_suspect(allowed, beam.id), *_memory(allowed, beam.id)))


def _post_reason(allowed: Allowed, post: Post, criteria: Criteria) -> list[Reason]:
    if allowed.basis == "table":
        return []
    if post.height_in > TALLEST_POST_IN:
        text = f"Posts of {post.height_in:.4g} in: no table has one over 14 ft."
        return [reason("post_above_table", text)]
    if criteria.table_load_psf is None or not criteria.species_group:
        return []
    if allowed.limit is not None and allowed.limit.covered:
        return [_by_grade(f"{post.size} posts this tall", None, criteria)]
    return [reason("post_above_table", f"The post table has no row for {post.size} under this load.")]


def judge_post(post: Post, beam_plies: int, load_lb: float, criteria: Criteria) -> Judged:
    """Judge a post's height against its load."""
    area = load_lb / criteria.design_psf
    whole = allowed_post_height(criteria, post.size, beam_plies, area, post.height_in)
    allowed = whole.for_demand(post.height_in)
    check = _length(post.id, "post_height", post.height_in, allowed)
    if not check.passes:
        check = _advised(check, would_pass.post(criteria, post.height_in, beam_plies, area))
    reasons = tuple(_post_reason(allowed, post, criteria))
    return Judged((check,), reasons, (*_suspect(allowed, post.id), *_memory(allowed, post.id)))


def judge_posts(members: Members, criteria: Criteria) -> Judged:
    """Judge every post's height against its load."""
    stands = [stand for stand in members.stands if stand.foot.standing == "post"]
    return together(
        judge_post(post, members.layout.beam_plies, stand.sizing_load_lb, criteria)
        for post, stand in zip(members.posts, stands, strict=True)
    )

"""Checks of what stands under a stair: beams, posts and landing joists by table, each with its calculated twin."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from service.checks.calculated import CHECKS, beam_findings, calculated_grade, post_compression
from service.checks.frame import judge_splices
from service.checks.judged import Judged, together
from service.checks.of_allowed import judge_length
from service.connections.posts import seat_on_pier, seat_on_post
from service.contract.report_frame import Joists
from service.contract.spec_level import DeckingSpec
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN
from service.framing.stair_beams import LandingFrame, StairBeam
from service.mechanics.beam import Beam
from service.sizing.allowed import allowed_beam_span, allowed_joist_span, allowed_post_height
from service.sizing.beams import overhang_limit_in
from service.sizing.calculated_members import Member, member_lines
from service.sizing.criteria import Criteria
from service.sizing.decking import decking_spacing_limit
from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.citation import own_convention
from service.units.finding import Finding, at_least, at_most
from service.units.working import step

BEARING_IN = 1.5  # IRC R507.6.1: 1.5 in on wood


def joist_span_of_ft(beam: StairBeam, criteria: Criteria) -> float:
    """Return the joist span that would load a deck's beam as the stair loads this one, ft."""
    return 2 * beam.sized.line_load_plf / criteria.design_psf


def judge_stair_beam(beam: StairBeam, criteria: Criteria) -> Judged:
    """Judge one beam under a stair with its posts."""
    rules = (*_rules(beam, criteria), *_seats(beam, criteria))
    calculated = tuple(_calculated(beam, criteria, criteria.timber)) if criteria.timber else ()
    return together([_span(beam, criteria), Judged(rules), _posts(beam, criteria), Judged(calculated)])


def _span(beam: StairBeam, criteria: Criteria) -> Judged:
    sizes, joists_ft = beam.sizes, joist_span_of_ft(beam, criteria)
    allowed = allowed_beam_span(criteria, sizes.size, sizes.plies, joists_ft, 0.0)
    what = f"a {sizes.plies}-ply {sizes.size} beam under a stair"
    found = judge_length(beam.beam.id, "beam_span", max(beam.beam.spans_in), allowed, what, criteria)
    load = step("w", beam.sized.line_load_plf, "plf", "what the stair puts on the beam, over its width")
    read = step("J", joists_ft, "ft", "2 w over the design load: the joists that load a beam so")
    findings = (msgspec.structs.replace(one, working=(load, read, *one.working)) for one in found.findings)
    return Judged(tuple(findings), found.reasons, found.cautions)


def _rules(beam: StairBeam, criteria: Criteria) -> Iterator[Finding]:
    made = beam.beam
    reach, beside = max(
        (made.overhang_start_in, made.spans_in[0]),
        (made.overhang_end_in, made.spans_in[-1]),
        key=lambda end: end[0] / end[1],
    )
    cited = criteria.rulebook.limit("beam_overhang_limit").citation
    limit = overhang_limit_in(criteria, beside)
    yield at_most(made.id, "beam_overhang", "rule", reach, limit, "in", cited)
    yield from judge_splices(made, criteria)
    cited = own_convention("pier tops stand 3 in above grade")
    yield at_least(made.id, "beam_clear_of_grade", "rule", beam.gap_in, PIER_TOP_ABOVE_GRADE_IN, "in", cited)


def _seats(beam: StairBeam, criteria: Criteria) -> Iterator[Finding]:
    standing, sizes = {stand.foot.standing for stand in beam.stands}, beam.sizes
    if "post" in standing:
        yield from seat_on_post(criteria, beam.beam.id, sizes.post_size, sizes.size, sizes.plies).findings
    if "saddle" in standing:
        yield from seat_on_pier(criteria, beam.beam.id, sizes.size, sizes.plies).findings


def _posts(beam: StairBeam, criteria: Criteria) -> Judged:
    standing = [stand for stand in beam.stands if stand.foot.standing == "post"]
    total = Judged()
    for post, stand in zip(beam.posts, standing, strict=True):
        area = stand.sizing_load_lb / criteria.design_psf
        allowed = allowed_post_height(criteria, post.size, beam.sizes.plies, area, post.height_in)
        what = f"a {post.size} post under a stair"
        total += judge_length(post.id, "post_height", post.height_in, allowed, what, criteria)
    return total


def _calculated(beam: StairBeam, criteria: Criteria, data: TimberData) -> Iterator[Finding]:
    yield from beam_findings(beam.sized, beam.sizes.post_size, criteria, data, under_stair=True)
    standing = [stand for stand in beam.stands if stand.foot.standing == "post"]
    for post, stand in zip(beam.posts, standing, strict=True):
        yield from post_compression(post, stand.sizing_load_lb, criteria, under_stair=True)


def _load_kind(criteria: Criteria) -> str:
    return "snow" if criteria.snow_psf > criteria.live_psf else "live"


def judge_landing(frame: LandingFrame, decking: DeckingSpec, criteria: Criteria) -> Judged:
    """Judge the joists of a landing: span, spacing under its boards, and the calculation beside the table."""
    joists = frame.joists
    allowed = allowed_joist_span(criteria, joists.size, joists.spacing_in, 0.0)
    what = f"{joists.size} joists at {joists.spacing_in:g} in"
    span = max(span for line in joists.lines for span in line.spans_in)
    spans = judge_length(joists.id, "joist_span", span, allowed, what, criteria)
    calculated = tuple(_joist_lines(joists, criteria, criteria.timber)) if criteria.timber else ()
    return together([spans, Judged(tuple(_boards(joists, decking, criteria))), Judged(calculated)])


def _boards(joists: Joists, decking: DeckingSpec, criteria: Criteria) -> Iterator[Finding]:
    limit = decking_spacing_limit(criteria, decking)
    if limit.spacing_in is not None:
        yield at_most(
            joists.id, "joist_spacing_for_decking", "rule" if limit.by_label else "table",
            joists.spacing_in, limit.spacing_in, "in", limit.citation, limit.steps,
        )  # fmt: skip


def _joist_lines(joists: Joists, criteria: Criteria, data: TimberData) -> Iterator[Finding]:
    line = joists.lines[0]
    supports = tuple(one.at_in / 12 for one in line.supports)
    grade, kind = calculated_grade(criteria, joists.size), _load_kind(criteria)
    repetitive = joists.count >= 3
    wood = Member(criteria.species, joists.size, 1, grade, kind, repetitive, BEARING_IN)
    strip_ft = joists.spacing_in / 12
    lines = member_lines(
        data, wood, Beam(line.length_in / 12, supports), criteria.dead_psf * strip_ft,
        criteria.variable_psf * strip_ft,
    )  # fmt: skip
    if isinstance(lines, NoRule):
        return
    for one in lines:
        check = f"joist_{CHECKS[one.check]}"
        yield at_most(
            joists.id, check, "calculated", one.demand, one.capacity, one.unit, one.citation, one.steps
        )


def foot_on_level(member: str, level: str, load_lb: float, width_ft: float, criteria: Criteria) -> Finding:
    """Return the check of a stair's foot on a lower level's floor: no more than a one foot strip of it carries.

    The strip is a convention of this service: what its joists, beams and footings are sized for anyway.
    """
    plf, strip = load_lb / width_ft, criteria.design_psf
    steps = (
        step("R", load_lb, "lb", "load of the stair's foot"),
        step("b", width_ft, "ft", "stair width"),
        step("w", strip, "psf", f"design load of level {level}, on a strip one foot wide"),
    )
    cited = own_convention("a stair's foot on a lower level: a one foot strip of its design load")
    found = at_most(member, "stair_foot_on_level", "rule", plf, strip, "plf", cited, steps)
    if found.passes:
        return found
    advice = "a shorter flight, or a beam of the lower level under the stair's foot"
    return msgspec.structs.replace(found, would_pass=advice)


def foot_words(finding: Finding, level: str) -> str:
    """Return what a foot that is too heavy means, in words."""
    return (
        f"The foot of {finding.member} puts {finding.demand:.3g} plf on level {level}, more than a one foot strip of "
        f"it is designed for ({finding.capacity:.3g} plf): an engineer must show what takes it."
    )

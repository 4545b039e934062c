"""Checks of what stands under a heavy object: its joists, beams and posts, all by calculation."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from service.checks.calculated import BEAM_CHECKS, CHECKS, calculated_grade
from service.checks.judged import Judged
from service.connections.posts import seat_on_pier, seat_on_post
from service.contract.report_frame import Beam as BeamMember
from service.framing.heavy import Bed
from service.framing.heavy_members import OwnFrame, OwnRows
from service.framing.heavy_statics import pieces
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN
from service.mechanics.beam import Beam
from service.sizing.calculated_members import Member, MemberLine, member_lines
from service.sizing.calculated_posts import post_capacity
from service.sizing.criteria import Criteria
from service.sizing.lumber import PLY_IN, post_side_in
from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.citation import Citation, own_convention
from service.units.finding import Finding, at_least, at_most
from service.units.working import Step, step

# A filled tub stays for years: the shorter duration of snow is never counted for it, NDS 2.3.2 (from memory).
LOAD_KIND = "live"
# Deflection is looked at between the object's own beams only; the deck's own check covers the rest.
WHOLE_LINE = ("bending", "shear", "bearing")
Lines = tuple[MemberLine, ...] | NoRule


def _between(bed: Bed, rows_in: Sequence[float]) -> float:
    """The longest bay between beams under the object, ft."""
    inside = [y for y in bed.line.supports_in if rows_in[0] < y < rows_in[-1]]
    places = sorted((*rows_in, *inside))
    return max(b - a for a, b in pairwise(places)) / 12


def heavy_joist_lines(rows: OwnRows, criteria: Criteria, data: TimberData) -> Lines:
    """Return the checks of one joist under an object.

    Bending, shear and bearing on the whole joist line; deflection on the longest bay between the object's beams
    as if the joist ended there, with all but the deck's dead load counted as coming and going.
    """
    bed, load = rows.bed, rows.load
    strip_ft, grade = bed.spacing_in / 12, calculated_grade(criteria, bed.joist_size)
    bearing_in = rows.least_plies * PLY_IN
    wood = Member(criteria.species, bed.joist_size, 1, grade, LOAD_KIND, True, bearing_in=bearing_in)
    dead, varying = load.dead_psf * strip_ft, load.variable_psf * strip_ft
    every: list[MemberLine] = []
    for piece in pieces(bed, rows.rows_in, rows.footprint):
        extra = piece.added(load.extra_psf, strip_ft)
        if extra:
            lines = member_lines(data, wood, piece.beam, dead, varying, extra)
            if isinstance(lines, NoRule):
                return lines
            every += [line for line in lines if line.check in WHOLE_LINE]
    bay_ft = _between(bed, rows.rows_in)
    full = (load.total_psf - load.dead_psf) * strip_ft
    bent = member_lines(data, wood, Beam(bay_ft, (0.0, bay_ft)), dead, full)
    if isinstance(bent, NoRule):
        return bent
    return (*every, *(line for line in bent if line.check == "deflection"))


def heavy_beam_lines(
    length_in: float,
    post_xs_in: Sequence[float],
    load_plf: float,
    size: tuple[str, int],
    post_size: str,
    criteria: Criteria,
    data: TimberData,
) -> Lines:
    """Return the checks of a beam under an object; its whole load counts as coming and going."""
    nominal, plies = size
    grade = calculated_grade(criteria, nominal)
    wood = Member(
        criteria.species, nominal, plies, grade, LOAD_KIND, False, bearing_in=post_side_in(post_size)
    )
    beam = Beam(length_in / 12, tuple(x / 12 for x in post_xs_in))
    return member_lines(data, wood, beam, 0.0, load_plf)


def _findings(
    lines: Lines, member: str, prefix: str, names: dict[str, str], more: tuple[Step, ...]
) -> Iterator[Finding]:
    if isinstance(lines, NoRule):
        return
    for line in lines:
        check, steps = f"{prefix}_{names[line.check]}", (*more, *line.steps)
        yield at_most(
            member, check, "calculated", line.demand, line.capacity, line.unit, line.citation, steps
        )


def _beam_findings(
    frame: OwnFrame, beam: BeamMember, criteria: Criteria, data: TimberData
) -> Iterator[Finding]:
    sizes = frame.sizes
    lines = heavy_beam_lines(
        frame.rows.strip.length_in, sizes.post_xs_in, beam.line_load_plf, (beam.size, beam.plies),
        sizes.post_size, criteria, data,
    )  # fmt: skip
    load = (
        step("q", frame.rows.load.total_psf, "psf", "on the object's footprint"),
        step("w", beam.line_load_plf, "plf", "joist reaction, worst load pattern, along the whole beam"),
    )
    yield from _findings(lines, beam.id, "beam", BEAM_CHECKS, load)
    stands = [stand for stand in frame.stands if stand.beam == beam.id]
    lowest = min(beam.bottom_height_in - stand.grade_in for stand in stands)
    clear = own_convention("pier tops stand 3 in above grade")
    yield at_least(beam.id, "beam_clear_of_grade", "rule", lowest, PIER_TOP_ABOVE_GRADE_IN, "in", clear)
    standing = {stand.foot.standing for stand in stands}
    if "post" in standing:
        yield from seat_on_post(criteria, beam.id, sizes.post_size, beam.size, beam.plies).findings
    if "saddle" in standing:
        yield from seat_on_pier(criteria, beam.id, beam.size, beam.plies).findings


def _post_findings(frame: OwnFrame, criteria: Criteria, data: TimberData) -> Iterator[Finding]:
    standing = [stand for stand in frame.stands if stand.foot.standing == "post"]
    for post, stand in zip(frame.posts, standing, strict=True):
        grade = calculated_grade(criteria, post.size)
        found = post_capacity(data, criteria.species, post.size, post.height_in, LOAD_KIND, grade)
        if not isinstance(found, NoRule):
            cited = Citation("NDS", edition="2018", section="3.6 and 3.7", status=found.status)
            yield at_most(
                post.id, "post_compression", "calculated", stand.sizing_load_lb, found.value, "lb", cited,
                found.steps,
            )  # fmt: skip


def judge_own(frame: OwnFrame, criteria: Criteria) -> Judged:
    """Judge the joists under an object, its beams and its posts."""
    data = criteria.timber
    if data is None:
        return Judged()
    lines = heavy_joist_lines(frame.rows, criteria, data)
    found = list(_findings(lines, frame.footprint.member, "joist", CHECKS, frame.rows.load.steps))
    for beam in frame.beams:
        found += _beam_findings(frame, beam, criteria, data)
    found += _post_findings(frame, criteria, data)
    return Judged(tuple(found))


def utilisation(lines: Lines) -> float:
    """Return the worst ratio of demand to capacity; infinite where a value is missing."""
    if isinstance(lines, NoRule):
        return math.inf
    return max(line.ratio for line in lines)

"""The checks of joists and beams of a supplier's sections: no table, by calculation alone."""

from __future__ import annotations

from collections.abc import Iterator

from service.checks.calculated import (
    BEAM_CHECKS,
    HANGER_BEARING_IN,
    JOIST_CHECKS,
    as_findings,
    joist_pieces,
    tips,
    whole_beam,
    worst_lines,
)
from service.contract.report_frame import Beam
from service.framing.members import Members
from service.sizing.criteria import Criteria
from service.sizing.lumber import post_side_in
from service.sizing.supplier_sections import Ply, section_lines
from service.units.finding import Finding

BOTH = {"bending_and_shear": "bending_and_shear", "bending_and_reaction": "bending_and_reaction"}


def section_joist_findings(members: Members, ply: Ply, criteria: Criteria) -> Iterator[Finding]:
    """Yield the checks of the worst joists were they of a section: as for sawn joists, bearing 1.5 in everywhere."""
    strip_ft = members.layout.spacing_in / 12
    dead, varying = criteria.dead_psf * strip_ft, criteria.variable_psf * strip_ft
    for _, lines in members.kinds:
        for line in worst_lines(lines):
            for piece in joist_pieces(line):
                found = section_lines(ply, piece, dead, varying, HANGER_BEARING_IN, tips(piece))
                yield from as_findings(found, members.joists.id, "joist", JOIST_CHECKS | BOTH)


def section_beam_findings(beam: Beam, post_size: str, ply: Ply, criteria: Criteria) -> Iterator[Finding]:
    """Yield the checks of a beam were it of a section, in one piece over all its posts."""
    share_ft = beam.line_load_plf / criteria.design_psf
    dead, varying = criteria.dead_psf * share_ft, criteria.variable_psf * share_ft
    found = section_lines(ply, whole_beam(beam), dead, varying, post_side_in(post_size))
    yield from as_findings(found, beam.id, "beam", BEAM_CHECKS | BOTH)

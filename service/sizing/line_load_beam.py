"""Span of a beam under any line load, by plain NDS: for beams no table covers."""

from __future__ import annotations

from typing import Final

from service.sizing.calculated_result import Allowable, Bound, least
from service.sizing.calculated_species import all_on_deck
from service.timber.adjust import Adjusted
from service.timber.members import bending_span_in, deflection_span_in, shear_span_in
from service.timber.refusal import NoRule
from service.timber.sections import section
from service.timber.values import TimberData
from service.units.working import Step, step

# NDS 4.3.9 asks for three members; the 1.10 the tables use for two plies has no source.
REPETITIVE: Final = {1: 1.0, 2: 1.0, 3: 1.15}
REPETITIVE_SOURCE: Final = "NDS 4.3.9: three or more members"
CONTINUOUS_SHEAR: Final = 1.25  # 5/8 w L beside the middle support of two equal spans, against w L / 2
SPAN_PART: Final = 360.0


def _bounds(values: Adjusted, total: float, varying: float) -> list[Bound]:
    piece = values.section
    load = step("w", total, "lb/in", "line load, dead and varying")
    shear = shear_span_in(values.fv_psi, piece, total, multiple=CONTINUOUS_SHEAR)
    continuous = step("k", CONTINUOUS_SHEAR, "ratio", "shear beside the middle post of two equal spans")
    found: list[tuple[str, str, float, tuple[Step, ...]]] = [
        ("bending", "Fb", bending_span_in(values.fb_psi, piece, total), (load,)),
        ("shear", "Fv", shear, (load, continuous)),
        (
            "deflection",
            "E",
            deflection_span_in(values.e_psi, piece, varying, SPAN_PART),
            (step("w_v", varying, "lb/in", "varying line load"),),
        ),
    ]
    return [
        Bound(check, values.species, span, values.statuses[on], (*values.steps[on], *extra))
        for check, on, span, extra in found
    ]


def line_load_beam_span(
    data: TimberData,
    species: str,
    size: str,
    plies: int,
    dead_plf: float,
    varying_plf: float,
    load_kind: str = "live",
    grade: str = "no_2",
) -> Allowable | NoRule:
    """Return the span at which a beam under a line load is full, post centre to post centre, in.

    Source: NDS 3.3 to 3.5 and 4.3: bending by w L2 / 8 (which covers two equal continuous spans too), shear
    5/8 w L without leaving out load near the post, L/360 under the varying load.

    Args:
        data: design values and factors.
        species: species, or a group, which takes its weakest member.
        size: nominal size of one ply.
        plies: 1 to 3.
        dead_plf: dead load, plf.
        varying_plf: live or snow, plf.
        load_kind: ``live`` or ``snow``.
        grade: grade.

    Returns:
        Span, in, with the governing check, or a refusal.

    Limits of validity: load along the whole beam, top edge held by joists, beam weight left out.

    >>> from service.timber.values import DesignValues, Factors
    >>> line_load_beam_span(TimberData(DesignValues({}), Factors({})), "hem_fir", "2x8", 4, 50.0, 200.0).why
    'beams are calculated with one to three plies, not 4'
    """
    if dead_plf + varying_plf <= 0:
        return NoRule("the joists lift off this beam: it carries nothing down")
    if plies not in REPETITIVE:
        return NoRule(f"beams are calculated with one to three plies, not {plies}")
    values = all_on_deck(
        data, species, grade, section(size, plies), load_kind, REPETITIVE[plies], REPETITIVE_SOURCE
    )
    if isinstance(values, NoRule):
        return values
    total, varying = (dead_plf + varying_plf) / 12, varying_plf / 12
    return least([bound for one in values for bound in _bounds(one, total, varying)])

"""Ledger fasteners: the load one carries as the table implies it. Tests, not yield equations, are behind it."""

from __future__ import annotations

import math
from typing import Final

from service.sizing.calculated_result import Allowable
from service.sizing.calculated_species import duration_of
from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.working import step

DEAD_PSF: Final = 10.0
WIDEST_IN: Final = 36.0
# Fit of IRC Table R507.9.1.3(1), lb at CD 1.0; each within about a pound (washers: 612.5 to 625).
IMPLIED_LB: Final = {
    "lag_screw_1/2": 384.0,
    "bolt_1/2": 727.0,
    "bolt_1/2_with_washers": 613.0,
    # AWC DCA 6 Table 5, lag screw or bolt into an engineered rim board; 300 to 312 and 350 to 354 all fit.
    "rim_board_1": 300.0,
    "rim_board_1-1/8": 350.0,
}


def ledger_spacing(
    data: TimberData, fastener: str, joist_span_ft: float, varying_psf: float, load_kind: str = "live"
) -> Allowable | NoRule:
    """Return the spacing of ledger fasteners that the table's implied load gives, in.

    Source: fit of IRC Table R507.9.1.3(1): floor(12 P CD / ((L + 10) J / 2)), at most 36; all 189 cells exact.
    P is a test load two to four times the NDS yield value; the yield equations do not apply to the joint
    (sheathing between, STRUCTURE magazine, May 2008). Use the table; this only shows what it implies.

    Args:
        data: factors.
        fastener: ``lag_screw_1/2``, ``bolt_1/2`` or ``bolt_1/2_with_washers`` (over up to 1/2 in of stacked
            washers); ``rim_board_1`` or ``rim_board_1-1/8`` for either into an engineered rim board.
        joist_span_ft: joist span, ft, at most 18.
        varying_psf: live or snow load, psf.
        load_kind: ``live`` or ``snow``.

    Returns:
        Spacing, in, or a refusal.

    Limits of validity: ledgers the table covers, joist spans to 18 ft.

    >>> from service.timber.values import DesignValues, Factors
    >>> ledger_spacing(TimberData(DesignValues({}), Factors({})), "nail", 10.0, 40.0).why
    'no tested load for a ledger fastener nail'
    """
    implied, duration = IMPLIED_LB.get(fastener), duration_of(load_kind)
    if implied is None:
        return NoRule(f"no tested load for a ledger fastener {fastener}")
    if isinstance(duration, NoRule):
        return duration
    if not 0 < joist_span_ft <= 18:
        return NoRule(f"the ledger table has joist spans to 18 ft, not {joist_span_ft:g}")
    cd = data.factors.find("CD", "strength", duration)
    if isinstance(cd, NoRule):
        return cd
    line_plf = (varying_psf + DEAD_PSF) * joist_span_ft / 2
    spacing = 12 * implied * cd.value / line_plf
    steps = (
        step("P", implied, "lb", "load one fastener carries: fit of IRC Table R507.9.1.3(1)"),
        step("CD", cd.value, "ratio", f"{cd.nds_section} ({cd.status})"),
        step("w", line_plf, "plf", "(varying + dead 10 psf) x half the joist span"),
        step("s", spacing, "in", "12 P CD / w"),
    )
    printed = min(WIDEST_IN, float(math.floor(spacing)))
    bounds = {"fastener": spacing, "cap": WIDEST_IN}
    governing = "cap" if spacing > WIDEST_IN else "fastener"
    return Allowable(
        min(spacing, WIDEST_IN), printed, "in", governing, fastener, "own_convention", bounds, steps
    )

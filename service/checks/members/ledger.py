"""Ledger fasteners alone: spacing by table, and the load of one against what the table's spacings imply."""

from __future__ import annotations

from typing import Final

import msgspec

from service.checks.judged import caution
from service.checks.members import judging
from service.checks.members.sides import (
    BY_TABLE,
    Said,
    Worked,
    by_rule,
    by_table,
    decides,
    load_kind,
    side,
)
from service.connections.ledger_fasteners import needs_washers
from service.contract.member_checks import LedgerCheckSpec
from service.contract.member_checks_answer import MemberLimit, MemberRefusal
from service.contract.report import Caution
from service.sizing.calculated_ledger import IMPLIED_LB
from service.sizing.calculated_ledger import ledger_spacing as implied_spacing
from service.sizing.calculated_species import duration_of
from service.sizing.criteria import Criteria
from service.sizing.ledger import TABLE, FastenerOption, fastener_options, ledger_spacing
from service.sizing.limit import Limit, limit_of
from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.citation import Citation
from service.units.finding import Finding, at_most
from service.units.working import step

SPACING, LOAD = "ledger_fastener_spacing", "ledger_fastener_load"
LEDGER = judging.alone("ledger")
IMPLIED_AS: Final = {
    "lag_screw": "lag_screw_1/2",
    "bolt": "bolt_1/2",
    "bolt_with_washers": "bolt_1/2_with_washers",
}
TESTS = Citation(
    "fit of IRC Table R507.9.1.3(1)",
    section="test-based: yield equations can't verify it",
    status="own_convention",
)
BY_TESTS = (
    "The table rests on tests of whole joints through sheathing. NDS yield equations do not apply to the joint and "
    "give a quarter to a half of it, so they can't verify it: use the table. What is shown is the load of one "
    "fastener against the load the table's own spacings imply."
)


def option_of(spec: LedgerCheckSpec, criteria: Criteria) -> FastenerOption | None:
    """Return the column of the table for a fastener; None past the sheathing it may go through."""
    options = fastener_options(criteria.rulebook.tables[TABLE])
    lag, washers = spec.fastener == "lag_screw", spec.fastener == "bolt_with_washers"
    fits = [
        one for one in options
        if one.is_lag == lag and needs_washers(options, one) == washers
        and spec.sheathing_thickness_in <= one.max_sheathing_in + 1e-9
    ]  # fmt: skip
    return fits[0] if fits else None


def _table(spec: LedgerCheckSpec, criteria: Criteria) -> tuple[Said, Limit | None]:
    option = option_of(spec, criteria)
    if option is None:
        name = spec.fastener.replace("_", " ")
        text = f"{spec.sheathing_thickness_in:g} in of sheathing is past the table's column for a {name}."
        return MemberRefusal(SPACING, "sheathing_off_tables", text), None
    limit = limit_of(ledger_spacing(criteria, option, spec.joist_span_ft))
    return by_table(criteria, SPACING, limit, "size_or_spacing_off_tables", with_species=False), limit


def _implied(spec: LedgerCheckSpec, criteria: Criteria, data: TimberData, table: Said) -> Said:
    """The spacing by the implied load; refused where the fastener was not tested through such sheathing."""
    if isinstance(table, MemberRefusal) and table.code == "sheathing_off_tables":
        return MemberRefusal(SPACING, "tests_only", "No test is behind a fastener through so much sheathing.")
    found = implied_spacing(
        data, IMPLIED_AS[spec.fastener], spec.joist_span_ft, criteria.variable_psf, load_kind(criteria)
    )
    said = by_rule(SPACING, found, "test_load", TESTS)
    return msgspec.structs.replace(said, species=None) if isinstance(said, MemberLimit) else said


def _capacity_lb(spec: LedgerCheckSpec, criteria: Criteria, data: TimberData) -> MemberLimit | None:
    duration = duration_of(load_kind(criteria))
    cd = duration if isinstance(duration, NoRule) else data.factors.find("CD", "strength", duration)
    if isinstance(cd, NoRule):
        return None
    implied = IMPLIED_LB[IMPLIED_AS[spec.fastener]]
    working = (
        step("P", implied, "lb", "load of one fastener that the table's spacings imply; from tests"),
        step("CD", cd.value, "ratio", f"{cd.nds_section} ({cd.status})"),
    )
    return MemberLimit(
        quantity=LOAD,
        sense="at_most",
        value=implied * cd.value,
        unit="lb",
        printed=None,
        method="test_load",
        governing="fastener",
        bounds=(),
        species=None,
        status="own_convention",
        citation=TESTS,
        working=working,
    )


def _spacing_in(spec: LedgerCheckSpec, table: Said) -> float | None:
    """The spacing that is judged, or else the table's own."""
    return spec.spacing_in or (table.value if isinstance(table, MemberLimit) else None)


def _load(spec: LedgerCheckSpec, criteria: Criteria, spacing_in: float, capacity: MemberLimit) -> Finding:
    line_plf = (criteria.variable_psf + criteria.dead_psf) * spec.joist_span_ft / 2
    working = (
        step("w", line_plf, "plf", "design load x half the joist span"),
        step("s", spacing_in, "in", "fastener spacing"),
        *capacity.working,
    )
    demand = line_plf * spacing_in / 12
    return at_most(LEDGER, SPACING, "calculated", demand, capacity.value, "lb", capacity.citation, working)


def _findings(
    spec: LedgerCheckSpec, criteria: Criteria, table: Said, implied: Said, capacity: MemberLimit | None
) -> tuple[Finding, ...]:
    found: list[Finding] = []
    if spec.spacing_in is not None:
        found += judging.against(LEDGER, SPACING, spec.spacing_in, table, "table")
    spacing_in = _spacing_in(spec, table)
    if capacity is not None and spacing_in is not None and isinstance(implied, MemberLimit):
        found.append(_load(spec, criteria, spacing_in, capacity))
    return tuple(found)


def _cautions(limit: Limit | None) -> tuple[Caution, ...]:
    action = "Follow the table; a fastener outside it needs its maker's evaluation report or an engineer."
    found = [caution("ledger_rests_on_tests", BY_TESTS, action)]
    if limit is not None:
        found += judging.suspect(limit.suspect, limit.citation.table or "the ledger table", LEDGER)
    return tuple(found)


def check_ledger(spec: LedgerCheckSpec, criteria: Criteria, data: TimberData) -> Worked:
    """Return the fasteners of a ledger on a wood band, and whether the spacing given holds."""
    table, limit = _table(spec, criteria)
    implied = _implied(spec, criteria, data, table)
    capacity = _capacity_lb(spec, criteria, data)
    # No calculation stands in for the table: a case it leaves out has no spacing at all.
    nothing = MemberRefusal(SPACING, "tests_only", "Only the table gives a spacing.")
    allowable, governing = decides(table, nothing)
    return Worked(
        table=side(BY_TABLE, table),
        calculated=side(BY_TESTS, implied, [] if capacity is None else [capacity]),
        allowable=allowable,
        governing=governing,
        judged=judging.judged(
            _findings(spec, criteria, table, implied, capacity),
            judging.off_table(table, LEDGER),
            _cautions(limit),
        ),
        asked=spec.spacing_in is not None,
    )

"""What is asked of a member against both sides: findings, reasons and cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import msgspec

from service.checks.judged import Judged, caution, reason
from service.checks.members.sides import Said
from service.contract.ids import member
from service.contract.member_checks_answer import MemberLimit
from service.contract.report import Caution, Reason
from service.sizing.allowed import TABLE_GRADE
from service.sizing.calculated_members import MemberLine
from service.sizing.criteria import Criteria
from service.timber.refusal import NoRule
from service.units.finding import Basis, Finding, at_most

ALONE = "member"
# Said for every member at once by the site, or as a caution.
SAID_ELSEWHERE = frozenset(
    {
        "live_load_above_tables", "snow_above_tables", "material_not_in_rulebook", "soil_needs_engineer",
        "no_table_in_edition",
    }
)  # fmt: skip
# What an engineer is asked for where a refusal has no reason code of its own.
SPOKEN_AS = {
    "back_span_under_table": "size_or_spacing_off_tables",
    "joists_overhang_too_far": "size_or_spacing_off_tables",
    "no_rule_covers": "size_or_spacing_off_tables",
}


def alone(kind: str) -> str:
    """Return the id of a member that belongs to no deck.

    >>> alone("guard-post")
    'member.guard-post-1'
    """
    return member(ALONE, kind, 1)


def with_advice(finding: Finding, would_pass: str) -> Finding:
    """Return a finding with what would pass, where it fails."""
    return finding if finding.passes else msgspec.structs.replace(finding, would_pass=would_pass)


def _advised(finding: Finding) -> Finding:
    if not finding.capacity:
        return finding
    return with_advice(finding, f"at most {finding.capacity:.6g} {finding.unit}")


def against(id: str, check: str, demand: float, said: Said, basis: Basis) -> Iterator[Finding]:
    """Yield the check of a length against one side; none where that side has no limit."""
    if isinstance(said, MemberLimit):
        yield _advised(at_most(id, check, basis, demand, said.value, said.unit, said.citation, said.working))


def length_findings(
    id: str, check: str, demand_in: float, table: Said, design: Said, cell: Finding | None = None
) -> tuple[Finding, ...]:
    """Return the check of a length against the table, and against the calculation where the table does not permit it.

    Where it does, stresses and deflections at this length are the calculated side, as in a design. ``cell`` is
    the finding of a cell that permits none.
    """
    by_cell = (cell,) if cell is not None else tuple(against(id, check, demand_in, table, "table"))
    if by_cell and all(one.passes for one in by_cell):
        return by_cell
    return (*by_cell, *against(id, check, demand_in, design, "calculated"))


def line_findings(
    lines: Sequence[MemberLine] | NoRule, id: str, names: dict[str, str]
) -> tuple[Finding, ...]:
    """Return the stress and deflection checks of a member, each where it is worst."""
    if isinstance(lines, NoRule):
        return ()
    return tuple(
        at_most(
            id, names[one.check], "calculated", one.demand, one.capacity, one.unit, one.citation, one.steps
        )
        for one in lines
        if one.check in names
    )


def worst_lines(cases: Iterable[tuple[MemberLine, ...] | NoRule]) -> tuple[MemberLine, ...] | NoRule:
    """Return each check of a member at the case it is worst in, or the first refusal."""
    worst: dict[str, MemberLine] = {}
    for lines in cases:
        if isinstance(lines, NoRule):
            return lines
        for line in lines:
            held = worst.get(line.check)
            if held is None or line.ratio > held.ratio:
                worst[line.check] = line
    return tuple(worst.values())


def off_table(table: Said, id: str) -> tuple[Reason, ...]:
    """Return why an engineer is asked for where the table leaves a member out; the site speaks for itself."""
    if isinstance(table, MemberLimit) or table.code == "not_permitted_cell" or table.code in SAID_ELSEWHERE:
        return ()
    return (reason(SPOKEN_AS.get(table.code, table.code), table.text, id),)


def without_rule(table: Said, design: Said, id: str) -> tuple[Reason, ...]:
    """Return that neither side has a value for what is asked: nothing may pass then."""
    if isinstance(design, MemberLimit) or isinstance(table, MemberLimit):
        return ()
    return (reason("size_or_spacing_off_tables", f"No rule sizes it: {design.text}", id),)


def remembered(said: Sequence[Said], id: str) -> tuple[Caution, ...]:
    """Return the caution that a calculated limit rests on a remembered value."""
    if not any(isinstance(one, MemberLimit) and one.status == "memory" for one in said):
        return ()
    text = f"A calculated limit of {id} rests on a design value that was remembered, not read."
    return (caution("value_from_memory", text, "Have the value checked against the NDS Supplement."),)


def table_over_design(table: Said, design: Said, id: str) -> tuple[Caution, ...]:
    """Return the caution that the table allows more than NDS does, with both figures."""
    if not (isinstance(table, MemberLimit) and isinstance(design, MemberLimit)):
        return ()
    if table.value <= design.value + 0.5:  # tables are printed to the nearest inch
        return ()
    name = table.quantity.replace("_", " ")
    text = (
        f"The table allows {id} a {name} of {table.value:.6g} {table.unit}; NDS as asked gives "
        f"{design.value:.1f} {design.unit}, by {design.governing}."
    )
    action = "The table decides; take the next size up if it costs little."
    return (caution("table_permits_calculation_does_not", text, action),)


def suspect(found: bool, where: str, id: str) -> tuple[Caution, ...]:
    """Return the caution that a row read is printed out of family."""
    if not found:
        return ()
    text = (
        f"A row of {where} read for {id} is printed out of family; the safer of printed and likely was used."
    )
    return (caution("table_row_suspect", text, "Ask the building department which value it enforces."),)


def beyond_the_table(
    findings: Sequence[Finding], criteria: Criteria
) -> tuple[tuple[Finding, ...], tuple[Reason, ...]]:
    """Return the findings a verdict is made of, and the reason where only a better grade carries the member.

    The tables are for No. 2: what they refuse a better grade may carry by calculation, for an engineer to accept.
    """
    if criteria.grade == TABLE_GRADE:
        return tuple(findings), ()
    carried = {f.check for f in findings if f.basis == "calculated" and f.passes}
    lifted = [f for f in findings if f.basis == "table" and not f.passes and f.check in carried]
    text = f"The tables are for No. 2 and say no; grade {criteria.grade.replace('_', ' ')} carries it by calculation."
    cited = criteria.rulebook.limit("lumber_grade").citation
    reasons = tuple(reason("grade_off_tables", text, f.member, cited) for f in lifted)
    return tuple(f for f in findings if f not in lifted), reasons


def judged(findings: Sequence[Finding], reasons: Sequence[Reason], cautions: Sequence[Caution]) -> Judged:
    """Return what was found of a member."""
    return Judged(tuple(findings), tuple(reasons), tuple(cautions))

"""One length of a member against what is allowed it: the check, and what its basis means for the verdict."""

from __future__ import annotations

from service.checks.judged import Judged, caution, reason
from service.contract.report import Caution, Reason
from service.sizing.allowed import Allowed
from service.sizing.criteria import Criteria
from service.units.finding import Finding, at_most


def judge_length(
    member: str, check: str, demand_in: float, whole: Allowed, what: str, criteria: Criteria
) -> Judged:
    """Judge a span or height, in; ``what`` names the member in words, as ``a 2-ply 2x10 beam``."""
    allowed = whole.for_demand(demand_in)
    return Judged(
        (length_finding(member, check, demand_in, allowed),),
        off_table(allowed, member, what, criteria),
        (*suspect(allowed, member), *remembered(allowed, member)),
    )


def length_finding(member: str, check: str, demand_in: float, allowed: Allowed) -> Finding:
    """Return the check of a length against what is allowed, in."""
    return at_most(
        member, check, allowed.basis, demand_in, allowed.value_in, "in", allowed.citation, allowed.working
    )


def off_table(allowed: Allowed, member: str, what: str, criteria: Criteria) -> tuple[Reason, ...]:
    """Say once that a member is off the tables; where load or species put all of them there, the site says it."""
    if allowed.basis == "table" or criteria.table_load_psf is None or not criteria.species_group:
        return ()
    if allowed.limit is not None and allowed.limit.covered:
        return (by_grade(what, member, criteria),)
    sized = allowed.value_in is not None
    how = "it is sized by calculation" if sized else f"no rule sizes it ({allowed.why})"
    text = f"No row of the deck tables covers {what}: {how}."
    return (reason("size_or_spacing_off_tables", text, member),)


def by_grade(what: str, member: str | None, criteria: Criteria) -> Reason:
    """Say that only a grade better than the tables' No. 2 carries a member."""
    grade = criteria.grade.replace("_", " ")
    text = f"The tables are for No. 2, and say no to {what}; grade {grade} carries it by calculation."
    return reason("grade_off_tables", text, member, criteria.rulebook.limit("lumber_grade").citation)


def remembered(allowed: Allowed, member: str) -> tuple[Caution, ...]:
    """Say that a calculation rests on a design value from memory."""
    if not allowed.remembered:
        return ()
    text = f"The calculation for {member} rests on a design value that was remembered, not read."
    return (caution("value_from_memory", text, "Have the value checked against the NDS Supplement."),)


def suspect(allowed: Allowed, member: str) -> tuple[Caution, ...]:
    """Say that a table row behind a member is printed out of family."""
    if not allowed.suspect or allowed.limit is None:
        return ()
    cell = allowed.citation
    text = (
        f"A row of {cell.table or cell.section} read for {member} is printed out of family; the safer of the "
        "printed and the likely value was used."
    )
    action = "Ask the building department which value it enforces."
    return (caution("table_row_suspect", text, action),)

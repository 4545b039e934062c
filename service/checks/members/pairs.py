"""One quantity of a member on both sides, and what is found of it where it is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.checks.members import judging
from service.checks.members.sides import Said, calculated
from service.contract.member_checks_answer import MemberLimit
from service.contract.report import Caution, Reason
from service.sizing.limit import Limit
from service.units.finding import Finding, at_most


@dataclass(frozen=True)
class Pair:
    """The table's reading, the main calculated limit with those beside it, and NDS as asked (``design``)."""

    limit: Limit
    table: Said
    main: Said
    beside: tuple[Said, ...]
    design: Said


def pair_of(limit: Limit, table: Said, twin: Said | None, design: Said) -> Pair:
    """Return both sides of a quantity; ``twin`` is the calculation that gives the table's cells back."""
    main, beside = calculated(table, twin, design)
    return Pair(limit, table, main, beside, design)


def findings_of(pair: Pair, id: str, check: str, demand_in: float) -> tuple[Finding, ...]:
    """Return the checks of a length on both sides; a cell that permits none fails."""
    cell = None
    if pair.limit.outcome == "not_permitted":
        cell = at_most(id, check, "table", demand_in, None, "in", pair.limit.citation, pair.limit.working)
    return judging.length_findings(id, check, demand_in, pair.table, pair.design, cell)


def reasons_of(pair: Pair, id: str) -> tuple[Reason, ...]:
    """Return why an engineer is asked for where a quantity that is asked for is off the table."""
    return (*judging.off_table(pair.table, id), *judging.without_rule(pair.table, pair.design, id))


def cautions_of(pairs: Sequence[Pair], id: str) -> tuple[Caution, ...]:
    """Return what has to be said of the limits themselves, once each."""
    found: list[Caution] = []
    for pair in pairs:
        cell = pair.limit.citation
        read = isinstance(pair.table, MemberLimit)
        found += judging.suspect(pair.limit.suspect and read, cell.table or cell.section or "a table", id)
        found += judging.remembered((pair.main, *pair.beside), id)
        found += judging.table_over_design(pair.table, pair.design, id)
    return tuple(dict.fromkeys(found))


def beside_all(first: Pair, further: Sequence[Pair]) -> list[Said]:
    """Return everything calculated but the first quantity's main limit."""
    return [*first.beside, *(said for one in further for said in (one.main, *one.beside))]

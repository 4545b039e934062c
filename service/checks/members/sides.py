"""The two sides of a member check: limits, refusals, and what of them decides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from service.checks.judged import Judged
from service.contract.member_checks_answer import (
    CheckBound,
    MemberAllowable,
    MemberLimit,
    MemberRefusal,
    MemberSide,
)
from service.sizing.calculated_result import Allowable
from service.sizing.criteria import Criteria
from service.sizing.limit import Limit
from service.timber.refusal import NoRule
from service.units.citation import Citation

Said = MemberLimit | MemberRefusal
NDS = Citation("NDS, allowable stress design", edition="2018")
BY_TABLE = "Read from the table of the edition by its own look-up rule."
BY_CALCULATION = (
    "Where the table covers the member, the calculation that gives its cells back; beside it, or alone where no "
    "table covers the member, NDS allowable stress design of the member as asked."
)


@dataclass(frozen=True)
class Worked:
    """A member worked out. ``asked`` says whether anything was given to judge."""

    table: MemberSide
    calculated: MemberSide
    allowable: MemberAllowable | None
    governing: str | None
    judged: Judged = field(default_factory=Judged)
    asked: bool = True


def load_kind(criteria: Criteria) -> str:
    """Return which varying load counts: live, or snow where it is the greater."""
    return "snow" if criteria.snow_psf > criteria.live_psf else "live"


def site_refusal(criteria: Criteria, quantity: str, with_species: bool = True) -> MemberRefusal | None:
    """Return why no row of any deck table can be read here, whatever the member; None where one can."""
    columns = criteria.rulebook.tables["joist_spans"].printed_values("load_psf")
    if criteria.live_psf > columns[0]:
        text = f"Live load {criteria.live_psf:g} psf: the deck tables assume {columns[0]:g}."
        return MemberRefusal(quantity, "live_load_above_tables", text)
    if criteria.table_load_psf is None:
        text = f"Ground snow {criteria.snow_psf:g} psf: the deck tables stop at {columns[-1]:g}."
        return MemberRefusal(quantity, "snow_above_tables", text)
    if with_species and not criteria.species_group:
        text = f"No deck table of {criteria.rulebook.id} covers {criteria.species}."
        return MemberRefusal(quantity, "material_not_in_rulebook", text)
    return None


def by_table(criteria: Criteria, quantity: str, limit: Limit, code: str, with_species: bool = True) -> Said:
    """Return what a table says of a length; ``code`` names a case that its rows leave out."""
    known = bool(criteria.species_group) or not with_species
    if limit.value_in is not None and limit.found and known:
        return _cell(quantity, limit, limit.value_in)
    if refused := site_refusal(criteria, quantity, with_species):
        return refused
    why = f"{limit.readings[0].why}."
    return MemberRefusal(quantity, code if not limit.covered else "not_permitted_cell", why)


def _cell(quantity: str, limit: Limit, value_in: float) -> MemberLimit:
    reading = limit.readings[0]
    as_read = value_in == reading.value
    cut = reading.value is not None and value_in < reading.value
    return MemberLimit(
        quantity=quantity,
        sense="at_most",
        value=value_in,
        unit="in",
        printed=reading.printed if as_read else None,
        method="table_cell",
        governing="quarter_of_span" if cut else "table_cell",
        bounds=(),
        species=None,
        status=reading.citation.status,
        citation=reading.citation,
        working=limit.working,
    )


def by_rule(
    quantity: str,
    found: Allowable | NoRule,
    method: str,
    citation: Citation,
    sense: Literal["at_most", "at_least"] = "at_most",
) -> Said:
    """Return what a calculation says; one that refuses is a refusal with its reason."""
    if isinstance(found, NoRule):
        return MemberRefusal(quantity, "no_rule_covers", f"{found.why}.")
    return MemberLimit(
        quantity=quantity,
        sense=sense,
        value=found.value,
        unit=found.unit,
        printed=found.printed if method == "table_rule" else None,
        method=method,
        governing=found.governing,
        bounds=tuple(CheckBound(name, value, found.unit) for name, value in found.bounds.items()),
        species=found.species,
        status=found.status,
        citation=_known(citation, found.status),
        working=found.steps,
    )


def _known(citation: Citation, status: str) -> Citation:
    return Citation(citation.document, citation.edition, citation.section, citation.table, status=status)


def rule_of(limit: Limit) -> Citation:
    """Return the citation of the calculation that gives the cells of a table back."""
    cell = limit.citation
    return Citation(
        f"calculation fitted to {cell.document}",
        cell.edition,
        cell.section,
        cell.table,
        status="own_convention",
    )


def calculated(table: Said, twin: Said | None, nds: Said) -> tuple[Said, tuple[Said, ...]]:
    """Return the main calculated limit and those beside it: the table's own rule first where the table is read."""
    if isinstance(table, MemberLimit) and isinstance(twin, MemberLimit):
        return twin, (nds,)
    return nds, ()


def side(text: str, main: Said, also: Sequence[Said] = ()) -> MemberSide:
    """Return one side of the answer."""
    said = (main, *also)
    return MemberSide(
        text=text,
        allowable=main if isinstance(main, MemberLimit) else None,
        governing=_governing(main),
        also=tuple(one for one in also if isinstance(one, MemberLimit)),
        refusals=tuple(one for one in said if isinstance(one, MemberRefusal)),
    )


def _governing(main: Said) -> str | None:
    if isinstance(main, MemberLimit):
        return main.governing
    return "not_permitted" if main.code == "not_permitted_cell" else None


def decides(table: Said, other: Said) -> tuple[MemberAllowable | None, str | None]:
    """Return the limit that decides and what governs it: the table's, and where it has none the calculated one."""
    refused = isinstance(table, MemberRefusal) and table.code != "not_permitted_cell"
    if refused and isinstance(other, MemberLimit):
        return allowable_of(other, "calculated"), other.governing
    if isinstance(table, MemberLimit):
        return allowable_of(table, "table"), table.governing
    return None, _governing(table)


def allowable_of(one: MemberLimit, basis: Literal["table", "calculated"]) -> MemberAllowable:
    """Return a limit as the one that decides."""
    return MemberAllowable(
        quantity=one.quantity, sense=one.sense, value=one.value, unit=one.unit, basis=basis
    )

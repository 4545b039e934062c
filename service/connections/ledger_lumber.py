"""Which lumber a ledger may be, and how deep it has to be."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec

from service.sizing.criteria import Criteria
from service.sizing.lumber import depth_in
from service.units.citation import common_practice
from service.units.finding import Finding, at_least, yes_no
from service.units.working import word

# IRC R507.9.1.1: treated southern pine, incised treated hem-fir, or a naturally durable species.
LEDGER_SPECIES = ("southern_pine", "hem_fir", "redwood", "western_cedar")
ORDERED_INSTEAD = "southern_pine"
LOWEST_GRADE = "no_2"


@dataclass(frozen=True)
class LedgerLumber:
    """Species and grade of a ledger, and whether the rule names that species."""

    species: str
    grade: str
    permitted: bool


def ledger_lumber(species: str, grade: str, pinned: str | None) -> LedgerLumber:
    """Return the lumber a ledger is ordered in (no unit).

    Source: IRC R507.9.1.1 (2015: R507.2.1). For other framing species southern pine is ordered; a caller's own
    wish stands and is judged.

    Args:
        species: framing species.
        grade: framing grade; every grade offered is No. 2 or better.
        pinned: the caller's ledger species, or null.

    >>> ledger_lumber("douglas_fir_larch", "no_1", None)
    LedgerLumber(species='southern_pine', grade='no_2', permitted=True)
    >>> ledger_lumber("hem_fir", "no_1", None)
    LedgerLumber(species='hem_fir', grade='no_1', permitted=True)
    >>> ledger_lumber("hem_fir", "no_2", "spruce_pine_fir").permitted
    False
    """
    used = pinned or (species if species in LEDGER_SPECIES else ORDERED_INSTEAD)
    return LedgerLumber(used, grade if used == species else LOWEST_GRADE, used in LEDGER_SPECIES)


def size_findings(
    criteria: Criteria, member: str, size: str, joist_size: str, lumber: LedgerLumber
) -> tuple[Finding, ...]:
    """Return the checks of a ledger's depth and species.

    Source: IRC R507.9.1.1 (2015: R507.2.1); as deep as the joists is common practice, no source.

    Args:
        criteria: rules.
        member: id of the ledger.
        size: nominal ledger size, dressed depths compared in in.
        joist_size: nominal size of the joists it carries.
        lumber: its species and grade.
    """
    rule = criteria.rulebook.limit("ledger_size")
    as_deep = common_practice("a ledger is at least as deep as the joists it carries")
    species = yes_no(
        member, "ledger_size", "rule", lumber.permitted, rule.citation,
        (word("species", lumber.species, "ledger as ordered"), word("grade", lumber.grade, "ledger as ordered")),
    )  # fmt: skip
    return (
        at_least(member, "ledger_size", "rule", depth_in(size), depth_in(rule.text), "in", rule.citation),
        at_least(member, "ledger_size", "rule", depth_in(size), depth_in(joist_size), "in", as_deep),
        species if lumber.permitted else msgspec.structs.replace(species, would_pass=ORDERED_INSTEAD),
    )

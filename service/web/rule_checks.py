"""What is wrong with a draft: by the strict loader of its kind, and beside the rules that are in force."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.rule_drafts import DraftCheck, RuleFault, UnappliedAmendment
from service.rules.amend import adoption_faults, apply_amendments
from service.rules.faults import TableFault, TableRefused
from service.rules.jurisdiction import Jurisdiction
from service.rules.rulebook import RULEBOOK_FILE, Rulebook
from service.store.rule_drafts import Draft
from service.web.desk import Desk
from service.web.rule_access import table_in
from service.web.trial_decks import trial_faults


@dataclass(frozen=True)
class Beside:
    """What a version would meet beside it: faults, and amendments it has no row for."""

    faults: tuple[TableFault, ...] = ()
    unapplied: tuple[UnappliedAmendment, ...] = ()


def check_of(draft: Draft, desk: Desk) -> DraftCheck:
    """Return whether a draft could be published, with every fault of it."""
    try:
        made = draft.built()
        beside = beside_others(made, desk)
    except TableRefused as refused:
        beside = Beside(refused.faults)
    return DraftCheck(
        id=draft.id,
        version=draft.version,
        valid=not beside.faults,
        digest=draft.digest,
        faults=tuple(_fault(one) for one in beside.faults),
        unapplied=beside.unapplied,
    )


def refuse_beside(made: Rulebook | Jurisdiction, desk: Desk) -> None:
    """Refuse a version that contradicts the rules in force beside it.

    Raises:
        TableRefused: with every fault
    """
    faults = beside_others(made, desk).faults
    if faults:
        raise TableRefused(faults)


def beside_others(made: Rulebook | Jurisdiction, desk: Desk) -> Beside:
    """Return what a version would meet: a place its rulebooks, a rulebook the places that adopt it."""
    if isinstance(made, Jurisdiction):
        try:
            return Beside(
                tuple(
                    adoption_faults(made, desk.snapshot.latest_rulebooks)
                    or _adopted_too_soon(made, desk)
                    or _tried(made, desk)
                )
            )
        except TableRefused as refused:
            return Beside(refused.faults)
    faults = _another_kind(made, desk)
    if not faults and made.kind == "code":
        faults = trial_faults(made, None, desk)
    unapplied: list[UnappliedAmendment] = []
    for place in _places_to_come(desk):
        if all(one.rulebook != made.id for one in place.adoptions):
            continue
        try:
            there = apply_amendments(made, place)
        except TableRefused as refused:
            faults += refused.faults
            continue
        unapplied += [UnappliedAmendment(jurisdiction=place.id, amendment=name) for name in there.unapplied]
    return Beside(tuple(faults), tuple(unapplied))


def _places_to_come(desk: Desk) -> list[Jurisdiction]:
    """The versions of places that are in force, or will be."""
    shelf, today = desk.snapshot.jurisdictions, desk.today(None)
    lasting = (key for key, days in sorted(shelf.days.items()) if days.after is None or days.after > today)
    return [shelf.versions[key] for key in lasting if key in shelf.versions]


def _another_kind(made: Rulebook, desk: Desk) -> list[TableFault]:
    """A code never becomes a guide, nor the other way round: designs rest on it under its id."""
    kinds = {book.kind for (id, _), book in desk.snapshot.rulebooks.versions.items() if id == made.id}
    if kinds <= {made.kind}:
        return []
    return [TableFault(RULEBOOK_FILE, 1, "kind", f"{made.id} is a {' and a '.join(sorted(kinds))}")]


def _adopted_too_soon(place: Jurisdiction, desk: Desk) -> list[TableFault]:
    """Adoptions of a rulebook of which no version is in force yet on the first day it would be needed."""
    shelf, today = desk.snapshot.rulebooks, desk.today(None)
    return [
        TableFault(f"{place.id}.toml", 1, "adoptions", f"no version of {one.rulebook} is in force on {day}")
        for one in place.adoptions
        if shelf.key_on(one.rulebook, day := max(one.from_day, today)) is None
    ]


def _tried(place: Jurisdiction, desk: Desk) -> list[TableFault]:
    """The faults of decks tried in a place, by the rulebook it adopted last."""
    latest = desk.snapshot.latest_rulebooks[place.adoptions[-1].rulebook]
    return trial_faults(apply_amendments(latest, place), place, desk)


def _fault(fault: TableFault) -> RuleFault:
    return RuleFault(table=table_in(fault), line=fault.line, column=fault.column, text=fault.text)

"""Cautions every answer carries."""

from __future__ import annotations

from collections.abc import Iterable

from service.checks.judged import caution
from service.contract.report import Caution
from service.rules.jurisdiction import Jurisdiction

LOCAL_CODES_DECIDE = caution(
    "local_codes_decide",
    "Cities and counties amend the model code; what they adopted decides, not this answer.",
    "Check edition, amendments, frost depth, snow load and permit rules with the building department.",
)
ALWAYS = (
    caution(
        "call_before_you_dig",
        "Gas, power, water and data lines may lie where the footings go; private lines are not marked by anyone.",
        "Call the one-call service days before digging or driving piles, and wait for the marks.",
    ),
    LOCAL_CODES_DECIDE,
    caution(
        "licensed_practice_decides",
        "This is arithmetic on published tables; it has not seen the site.",
        "Where an engineer is asked for, or anything looks different from what was assumed, get one.",
    ),
    caution(
        "not_an_approval",
        "Within the tables does not mean approved: only the building department approves.",
        "Submit drawings, wait for the permit, and have every inspection.",
    ),
)


def local_notes(place: Jurisdiction | None) -> tuple[Caution, ...]:
    """Return what the jurisdiction itself wants known."""
    if place is None:
        return ()
    action = f"Ask {place.name} what it means for this deck."
    return tuple(caution("local_note", note, action) for note in (*place.local_notes, *place.permit_notes))


def unique(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Return the cautions once each, in order."""
    return tuple(dict.fromkeys(cautions))

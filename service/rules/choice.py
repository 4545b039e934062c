"""Which rulebook is in force in a place on a day."""

from __future__ import annotations

from datetime import date

from service.rules.jurisdiction import Jurisdiction


def rulebook_in_force(jurisdiction: Jurisdiction, as_of: date) -> str | None:
    """Return the id of the rulebook in force on ``as_of``, or None before the place adopted any."""
    adopted = [adoption for adoption in jurisdiction.adoptions if adoption.from_day <= as_of]
    return adopted[-1].rulebook if adopted else None

"""Decks that are designed by rules before these are published: what a loader accepts may still end a design."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import msgspec

from service.choice.level.context import Context
from service.contract.spec import DeckSpec
from service.pipeline import design
from service.rules.faults import TableFault
from service.rules.jurisdiction import Jurisdiction
from service.rules.rulebook import RULEBOOK_FILE, Rulebook
from service.web.desk import Desk


@cache
def trial_decks() -> tuple[DeckSpec, ...]:
    """Return three decks of no place: on a ledger with a stair, free-standing, low with a hot tub.

    >>> [deck.house.wall for deck in trial_decks()]
    ['wood_band', 'brick_veneer', 'none']
    """
    text = (files("service") / "web" / "trial_decks.json").read_bytes()
    return msgspec.json.decode(text, type=tuple[DeckSpec, ...])


def trial_faults(rulebook: Rulebook, place: Jurisdiction | None, desk: Desk) -> list[TableFault]:
    """Return a fault for each deck that cannot be designed by a code; any verdict is a design.

    Args:
        rulebook: as it stands in the place
        place: where the decks are tried; None for no place
        desk: what else a design needs
    """
    today = desk.today(place)
    context = Context(
        rulebook=rulebook,
        guide=desk.guide(today),
        jurisdiction=place,
        prices=None,
        facts=desk.facts,
        timber=desk.timber,
        minutes=desk.minutes,
        as_of=today,
        in_force=None if place is None else rulebook.id,
        engine_version=desk.engine_version,
    )
    where = rulebook.id if place is None else f"{rulebook.id} in {place.id}"
    failed = (_failure(deck, context) for deck in trial_decks())
    return [
        TableFault(RULEBOOK_FILE, 1, None, f"no design of trial deck {number} by {where}: {kind}")
        for number, kind in enumerate(failed, start=1)
        if kind
    ]


def _failure(deck: DeckSpec, context: Context) -> str | None:
    try:
        design(deck, context, with_wishes=False)
    except Exception as error:
        # whatever it is: the draft is at fault, and says so
        return f"{type(error).__name__} {str(error)[:120]}".strip()
    return None

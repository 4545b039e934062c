"""Rules are tried on decks before they are published: what ends a design is a fault of the rules."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.app import bundled_snapshot, make_desk
from service.rules.faults import TableRefused
from service.web.rule_checks import refuse_beside
from service.web.trial_decks import trial_decks, trial_faults

DESK = make_desk(bundled_snapshot())


@pytest.mark.parametrize("id", ["irc-2015", "irc-2018", "irc-2021", "irc-2024"])
def test_every_code_that_comes_with_the_service_passes(id: str) -> None:
    assert trial_faults(DESK.snapshot.rulebooks.versions[id, 1], None, DESK) == []


def test_a_code_no_deck_can_be_designed_by_is_refused() -> None:
    book = DESK.snapshot.rulebooks.versions["irc-2021", 1]
    settled = {name: book.tables[name] for name in ("settings", "stair_and_guard_limits")}
    faults = trial_faults(replace(book, tables=settled), None, DESK)
    assert len(faults) == len(trial_decks())
    assert "no design of trial deck 1 by irc-2021: " in str(faults[0])
    with pytest.raises(TableRefused, match="trial deck 3"):
        refuse_beside(replace(book, tables=settled), DESK)

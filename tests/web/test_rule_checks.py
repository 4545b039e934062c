"""What a version would meet beside it, before it is published."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import msgspec
import pytest

from service.app import bundled_snapshot, make_desk
from service.rules.faults import TableRefused
from service.rules.jurisdiction import Adoption
from service.rules.rulebook import Rulebook
from service.store.snapshot import Days, Shelf
from service.web.desk import Desk
from service.web.rule_checks import refuse_beside

NOON = dt.datetime(2026, 11, 28, 12, tzinfo=dt.UTC)
LATER = dt.date(2027, 3, 1)
SNAPSHOT = bundled_snapshot()
CODE = SNAPSHOT.rulebooks.versions["irc-2021", 1]
PLACE = SNAPSHOT.jurisdictions.versions["alder-county", 1]


def desk_with(book: Rulebook, days: Days) -> Desk:
    """A desk that has one rulebook more."""
    shelf, key = SNAPSHOT.rulebooks, (book.id, book.version)
    more = Shelf(
        shelf.sort,
        {**shelf.versions, key: book},
        {**shelf.states, key: "announced"},
        {},
        {**shelf.days, key: days},
    )
    return make_desk(replace(SNAPSHOT, rulebooks=more), clock=lambda: NOON)


def adopting(id: str, day: dt.date):
    return msgspec.structs.replace(PLACE, adoptions=(*PLACE.adoptions, Adoption(id, day)))


def test_a_place_adopts_what_is_in_force_by_then() -> None:
    desk = desk_with(replace(CODE, id="brook-code"), Days(LATER, None))
    with pytest.raises(TableRefused, match="no version of brook-code is in force on 2026-12-01"):
        refuse_beside(adopting("brook-code", dt.date(2026, 12, 1)), desk)
    refuse_beside(adopting("brook-code", LATER), desk)


def test_a_code_does_not_become_a_guide() -> None:
    desk = make_desk(SNAPSHOT, clock=lambda: NOON)
    with pytest.raises(TableRefused, match="irc-2021 is a code"):
        refuse_beside(replace(CODE, version=2, kind="guide"), desk)


def test_no_other_guide_takes_the_place_of_the_one_there_is() -> None:
    guide = SNAPSHOT.guide(NOON.date())
    assert guide is not None
    newer = replace(guide, id="brook-guide", published_on=dt.date(2026, 11, 27))
    assert desk_with(newer, Days(None, None)).guide().id == guide.id == "dca-6"

"""What the service answers from: one snapshot, the bundled facts, the date, and the work it lets in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from litestar.di import NamedDependency

from service.contract.problem import Rejected
from service.foundations.facts import FoundationFacts
from service.rules.amend import apply_amendments
from service.rules.framing_minutes import FramingMinutes
from service.rules.jurisdiction import Jurisdiction
from service.rules.price_book import PriceBook
from service.rules.rulebook import Rulebook
from service.store.access import NO_BOOK
from service.store.errors import NotServed
from service.store.snapshot import Snapshot, split_reference
from service.timber.values import TimberData
from service.web.caller import NOBODY, Caller
from service.web.gate import Gate

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """Return the present moment: the only clock of the service."""
    return datetime.now(UTC)  # noqa: TID251 - the web layer sets the date; nothing below has a clock


class AmendedRulebooks:
    """Rulebooks as they stand in places, each pair worked out once and kept for as long as the desk stands.

    Both halves of a pair are published versions that never change, so a kept one never grows old.
    """

    def __init__(self) -> None:
        self._kept: dict[tuple[str, str], Rulebook] = {}

    def of(self, rulebook: Rulebook, place: Jurisdiction) -> Rulebook:
        """Return a rulebook as it stands in a place."""
        key = (f"{rulebook.id}@{rulebook.version} {rulebook.digest}", place.digest)
        if key not in self._kept:
            self._kept[key] = apply_amendments(rulebook, place)
        return self._kept[key]


@dataclass(frozen=True)
class Desk:
    """Everything a handler needs. A newer snapshot comes with a desk of its own.

    Attributes:
        snapshot: rulebooks, jurisdictions and price books
        facts: facts of the footing methods
        timber: design values of wood
        minutes: how long framing takes
        engine_version: version of the service, which is part of every answer
        clock: gives the moment a day is taken from
        gate: lets so many designs in at a time
        amendments: rulebooks as they stand in places
    """

    snapshot: Snapshot
    facts: FoundationFacts
    timber: TimberData
    minutes: FramingMinutes
    engine_version: str
    clock: Clock = utc_now
    gate: Gate = field(default_factory=Gate)
    amendments: AmendedRulebooks = field(default_factory=AmendedRulebooks)

    def stopped(self) -> Desk:
        """Return this desk with its clock stopped."""
        now = self.clock()
        return replace(self, clock=lambda: now)

    def today(self, place: Jurisdiction | None) -> date:
        """Return the day it is in a place; without one, in UTC."""
        zone = UTC if place is None else ZoneInfo(place.time_zone)
        return self.clock().astimezone(zone).date()

    def amended(self, rulebook: Rulebook, place: Jurisdiction | None) -> Rulebook:
        """Return a rulebook as it stands in a place; as it was published without one."""
        return rulebook if place is None else self.amendments.of(rulebook, place)

    def price_book(self, reference: str, as_of: date, caller: Caller = NOBODY) -> PriceBook:
        """Return the price book a reference means on a day.

        Raises:
            NotServed: there is none that the caller may read
        """
        id = split_reference(reference)[0]
        if self.snapshot.access.readable(id, caller.reads_as, caller.only_book) is NO_BOOK:
            raise NotServed(f"there is no price book {reference} that may be read")
        return self.snapshot.price_book(reference, as_of)

    def place(self, reference: str, as_of: date | None = None) -> Jurisdiction:
        """Return the version of a place in force on a day, or the pinned one; without a day, on its own today.

        Raises:
            NotServed: there is none
        """
        found = self.snapshot.jurisdiction(reference, as_of or self.today(None))
        return found if as_of else self.snapshot.jurisdiction(reference, self.today(found))

    def guide(self, as_of: date | None = None) -> Rulebook:
        """Return the guide beyond the code on a day, today without one; refuse while nothing is loaded."""
        day = as_of or self.today(None)
        guide = self.snapshot.guide(day)
        if guide is None or not _codes(self.snapshot.rulebooks_on(day)):
            raise Rejected("no_rulebook", "no rulebook is loaded")
        return guide

    def places(self) -> tuple[str, ...]:
        """Return the ids of the jurisdictions that may be named today."""
        shelf, today = self.snapshot.jurisdictions, self.today(None)
        return tuple(sorted({id for id, _ in shelf.versions if shelf.key_on(id, today) in shelf.versions}))

    def books(self, caller: Caller = NOBODY) -> tuple[str, ...]:
        """Return the ids of the price books a caller may read."""
        return self.snapshot.access.visible(caller.reads_as, caller.only_book)

    def codes(self) -> tuple[str, ...]:
        """Return the ids of the rulebooks a design can be made by today."""
        return _codes(self.rulebooks())

    def rulebooks(self) -> Mapping[str, Rulebook]:
        """Return the rulebooks in force today, by id."""
        return self.snapshot.rulebooks_on(self.today(None))


def _codes(rulebooks: Mapping[str, Rulebook]) -> tuple[str, ...]:
    return tuple(id for id, book in rulebooks.items() if book.kind == "code")


GivenDesk = NamedDependency[Desk]

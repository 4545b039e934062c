"""Everything the service answers from, in memory and unchanging; a newer one replaces it whole."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from types import MappingProxyType
from typing import Generic, NamedTuple, TypeVar

from service.rules.jurisdiction import Jurisdiction
from service.rules.price_book import PriceBook
from service.rules.rulebook import Rulebook
from service.store.access import Access
from service.store.errors import DamagedVersion, NotServed

Item = TypeVar("Item")
Key = tuple[str, int]
GUIDE = "dca-6"
SERVED_UNPINNED = frozenset({"in_force", "superseded"})
_REFERENCE = re.compile(r"([a-z][a-z0-9]*(?:-[a-z0-9]+)*)(?:@([1-9][0-9]{0,8}))?")


def split_reference(reference: str) -> tuple[str, int | None]:
    """The id and the pinned version of a reference, which is null where none is pinned.

    >>> split_reference("irc-2021@2"), split_reference("irc-2021")
    (('irc-2021', 2), ('irc-2021', None))
    """
    found = _REFERENCE.fullmatch(reference)
    if found is None:
        raise NotServed(f"{reference!r} is no id, with or without @ and a version number")
    return found[1], int(found[2]) if found[2] else None


class Days(NamedTuple):
    """The days a version is in force: from the first until before ``after``; null is without an end."""

    first: date | None
    after: date | None

    def contain(self, day: date) -> bool:
        """Return whether a day is one of them.

        >>> Days(None, date(2027, 1, 1)).contain(date(2026, 12, 31))
        True
        """
        return (self.first is None or self.first <= day) and (self.after is None or day < self.after)

    @property
    def last(self) -> date | None:
        """The last of them, null where there is none."""
        return None if self.after is None else self.after - timedelta(days=1)


@dataclass(frozen=True)
class Shelf(Generic[Item]):
    """The published versions of one sort of thing.

    Attributes:
        sort: what they are, for messages
        versions: by id and version number
        states: state of every version as it is stored, damaged ones too
        damaged: why a version cannot be served
        days: when a rulebook or a place's version is in force; no entry for one that never is
        published: the day in UTC the database took it on; no entry where none did
    """

    sort: str
    versions: Mapping[Key, Item]
    states: Mapping[Key, str]
    damaged: Mapping[Key, str]
    days: Mapping[Key, Days] = field(default_factory=dict)
    published: Mapping[Key, date] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Seal the mappings."""
        for name in ("versions", "states", "damaged", "days", "published"):
            object.__setattr__(self, name, MappingProxyType(dict(getattr(self, name))))

    def pinned(self, id: str, version: int) -> Item:
        """One version, whatever its state.

        Raises:
            NotServed: there is none of this id and number
            DamagedVersion: it is damaged in the store
        """
        key = (id, version)
        if key in self.damaged:
            raise DamagedVersion(self.damaged[key])
        if key not in self.versions:
            raise NotServed(f"there is no {self.sort} {id}@{version}")
        return self.versions[key]

    def key_on(self, id: str, day: date) -> Key | None:
        """The version of an id that is in force on a day, null where none is; at most one can be."""
        return next((key for key, days in self.days.items() if key[0] == id and days.contain(day)), None)

    def on(self, id: str, day: date) -> Item:
        """The version of an id that is in force on a day.

        Raises:
            NotServed: none is
            DamagedVersion: it is damaged in the store
        """
        key = self.key_on(id, day)
        if key is None:
            known = any(key[0] == id for key in self.states)
            raise NotServed(f"there is no {self.sort} {id}{f' in force on {day}' if known else ''}")
        return self.pinned(*key)

    def state_on(self, key: Key, day: date) -> str:
        """The state of a version on a day; it follows from its days, which may begin after it was stored."""
        if self.states[key] in ("draft", "withdrawn"):
            return self.states[key]
        days = self.days.get(key)
        if days is None or (days.after is not None and days.after <= day):
            return "superseded"
        return "announced" if days.first is not None and day < days.first else "in_force"

    def candidates(self, id: str) -> tuple[Item, ...]:
        """The versions an id alone may mean, oldest first: neither announced only nor withdrawn."""
        return tuple(
            self.versions[key]
            for key in sorted(self.versions)
            if key[0] == id and self.states[key] in SERVED_UNPINNED
        )

    def refuse_if_damaged(self, id: str) -> None:
        """Refuse when a damaged version of an id might be the one meant."""
        for key in sorted(self.damaged):
            if key[0] == id and self.states[key] in SERVED_UNPINNED:
                raise DamagedVersion(self.damaged[key])

    def nothing(self, id: str, why: str = "") -> NotServed:
        """What to raise when no version of an id can be served."""
        return NotServed(f"there is no {self.sort} {id}{why}")


@dataclass(frozen=True)
class Snapshot:
    """The rulebooks, jurisdictions and price books as they were published when it was taken.

    Attributes:
        rulebooks: codes and guides
        jurisdictions: places
        price_books: of every organisation; who may see one is told by `access`
        access: keys in force, and who may read which price book
        changes: count of the changes the store had seen by then
    """

    rulebooks: Shelf[Rulebook]
    jurisdictions: Shelf[Jurisdiction]
    price_books: Shelf[PriceBook]
    access: Access
    changes: int = 0

    @property
    def damaged(self) -> Mapping[str, str]:
        """Why a version of anything cannot be served, by its reference."""
        shelves = (self.rulebooks, self.jurisdictions, self.price_books)
        return {f"{id}@{n}": why for shelf in shelves for (id, n), why in sorted(shelf.damaged.items())}

    def rulebook(self, reference: str, as_of: date) -> Rulebook:
        """The rulebook a reference means on a day: the pinned version, or the one in force.

        Args:
            reference: `irc-2021`, or `irc-2021@2` to pin a version
            as_of: the day of the design

        Raises:
            NotServed: no such rulebook or version, or none in force on the day
            DamagedVersion: the version meant is damaged in the store
        """
        return _meant(self.rulebooks, reference, as_of)

    def jurisdiction(self, reference: str, as_of: date) -> Jurisdiction:
        """The version of a place in force on a day, or the pinned one; errors as for `rulebook`."""
        return _meant(self.jurisdictions, reference, as_of)

    def price_book(self, reference: str, as_of: date) -> PriceBook:
        """The version of a price book whose prices hold on a day, or the pinned one; errors as for `rulebook`.

        At most one can hold: the database refuses versions of one book whose days overlap.
        """
        id, version = split_reference(reference)
        if version is not None:
            return self.price_books.pinned(id, version)
        candidates = self.price_books.candidates(id)
        for book in candidates:
            if book.covers(as_of):
                return book
        self.price_books.refuse_if_damaged(id)
        raise self.price_books.nothing(id, f" with prices for {as_of}" if candidates else "")

    def rulebooks_on(self, day: date) -> Mapping[str, Rulebook]:
        """The rulebooks in force on a day, by id; a damaged one is left out."""
        keys = {key[0]: key for key in self.rulebooks.versions if self.rulebooks.key_on(key[0], day) == key}
        return {id: self.rulebooks.versions[keys[id]] for id in sorted(keys)}

    @property
    def latest_rulebooks(self) -> Mapping[str, Rulebook]:
        """The version of every rulebook with the highest number, by id, whenever it is in force."""
        newest = dict(sorted(self.rulebooks.versions))
        return {id: self.rulebooks.versions[id, version] for id, version in newest.items()}

    def guide(self, day: date) -> Rulebook | None:
        """The guide that gives cautions beside the code, as in force on a day; null where it is not there.

        It is named here: whoever may publish a rulebook of his own must not put it in the place of everyone's.
        """
        found = self.rulebooks_on(day).get(GUIDE)
        return found if found is not None and found.kind == "guide" else None


def _meant(shelf: Shelf[Item], reference: str, as_of: date) -> Item:
    id, version = split_reference(reference)
    return shelf.on(id, as_of) if version is None else shelf.pinned(id, version)


NOTHING = Snapshot(
    Shelf("rulebook", {}, {}, {}),
    Shelf("jurisdiction", {}, {}, {}),
    Shelf("price book", {}, {}, {}),
    Access(),
)

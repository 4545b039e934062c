"""Everything the service answers from, in memory and unchanging; a newer one replaces it whole."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from types import MappingProxyType
from typing import Generic, TypeVar

from service.rules.jurisdiction import Jurisdiction
from service.rules.price_book import PriceBook
from service.rules.rulebook import Rulebook
from service.store.access import Access
from service.store.errors import DamagedVersion, NotServed

Item = TypeVar("Item")
Key = tuple[str, int]
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


@dataclass(frozen=True)
class Shelf(Generic[Item]):
    """The published versions of one sort of thing.

    Attributes:
        sort: what they are, for messages
        versions: by id and version number
        states: state of every version, damaged ones too
        damaged: why a version cannot be served
    """

    sort: str
    versions: Mapping[Key, Item]
    states: Mapping[Key, str]
    damaged: Mapping[Key, str]

    def __post_init__(self) -> None:
        """Seal the mappings."""
        for name in ("versions", "states", "damaged"):
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

    def candidates(self, id: str) -> tuple[Item, ...]:
        """The versions an id alone may mean, oldest first: neither announced only nor withdrawn."""
        return tuple(
            self.versions[key]
            for key in sorted(self.versions)
            if key[0] == id and self.states[key] in SERVED_UNPINNED
        )

    def refuse_if_damaged(self, id: str, above: int = 0) -> None:
        """Refuse when a damaged version of an id, numbered higher than `above`, might be the one meant."""
        for key in sorted(self.damaged):
            if key[0] == id and key[1] > above and self.states[key] in SERVED_UNPINNED:
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

    def rulebook(self, reference: str, as_of: date) -> Rulebook:
        """The rulebook a reference means on a day.

        Without a pinned version it is the newest one published by that day. On a day before the first
        publication it is the first: ours is then a later copy of the same code.

        Args:
            reference: `irc-2021`, or `irc-2021@2` to pin a version
            as_of: the day of the design

        Raises:
            NotServed: no such rulebook or version
            DamagedVersion: the version meant is damaged in the store
        """
        id, version = split_reference(reference)
        if version is not None:
            return self.rulebooks.pinned(id, version)
        published = self.rulebooks.candidates(id)
        chosen = next((one for one in reversed(published) if one.published_on <= as_of), None)
        chosen = chosen or next(iter(published), None)
        self.rulebooks.refuse_if_damaged(id, above=chosen.version if chosen else 0)
        if chosen is None:
            raise self.rulebooks.nothing(id)
        return chosen

    def jurisdiction(self, reference: str) -> Jurisdiction:
        """The newest version of a place, or the pinned one; errors as for `rulebook`."""
        id, version = split_reference(reference)
        if version is not None:
            return self.jurisdictions.pinned(id, version)
        newest = next(reversed(self.jurisdictions.candidates(id)), None)
        self.jurisdictions.refuse_if_damaged(id, above=newest.version if newest else 0)
        if newest is None:
            raise self.jurisdictions.nothing(id)
        return newest

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

    @cached_property
    def latest_rulebooks(self) -> Mapping[str, Rulebook]:
        """The newest version of every rulebook, by id."""
        ids = sorted({id for id, _ in self.rulebooks.versions})
        newest = {id: next(reversed(self.rulebooks.candidates(id)), None) for id in ids}
        return MappingProxyType({id: book for id, book in newest.items() if book is not None})

    @cached_property
    def guide(self) -> Rulebook | None:
        """The guide that gives cautions beside the code: the newest one published, null where there is none."""
        guides = [book for book in self.latest_rulebooks.values() if book.kind == "guide"]
        return max(guides, key=lambda book: (book.published_on, book.id), default=None)


NOTHING = Snapshot(
    Shelf("rulebook", {}, {}, {}),
    Shelf("jurisdiction", {}, {}, {}),
    Shelf("price book", {}, {}, {}),
    Access(),
)

"""Who may see which price book: keys without their secrets, owners and grants, as the snapshot holds them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType

NO_ORGANISATION = ""


@dataclass(frozen=True)
class ApiKey:
    """A key that is not revoked.

    Attributes:
        id: 16 hex digits, no secret
        organisation: whose key it is
        kind: `secret` or `publishable`
        scopes: what it may do
        price_book: book its designs are priced with where none is named; of a publishable key the only one
        secret_digest: SHA-256 of its secret part in hex
        expires_at: from then on it is no longer in force; None for one without an end
        rules_bound: rulebooks and jurisdictions its `rules:` scopes are for; empty for all
        origins: pages a publishable key may be sent from, as browsers write them
    """

    id: str
    organisation: str
    kind: str
    scopes: frozenset[str]
    price_book: str | None
    secret_digest: str
    expires_at: datetime | None = None
    rules_bound: frozenset[str] = frozenset()
    origins: frozenset[str] = frozenset()

    def in_force_at(self, moment: datetime) -> bool:
        """Whether it may be used at a moment."""
        return self.expires_at is None or moment < self.expires_at


@dataclass(frozen=True)
class BookHead:
    """A price book apart from its versions."""

    id: str
    organisation: str
    public: bool


# What stands for a key or a book that is not there, so that its look-up goes the same way as any other's.
# No text is known to have this digest, and no organisation has this name.
NO_KEY = ApiKey("", NO_ORGANISATION, "secret", frozenset(), None, "0" * 64)
NO_BOOK = BookHead("", NO_ORGANISATION, False)


@dataclass(frozen=True)
class Access:
    """Keys, price books and grants of one moment.

    Attributes:
        keys: keys by id; a revoked one is gone, one that has expired may still be there
        books: every price book by id, with or without versions
        grants: pairs of price book and organisation that may read it
    """

    keys: Mapping[str, ApiKey] = field(default_factory=dict)
    books: Mapping[str, BookHead] = field(default_factory=dict)
    grants: frozenset[tuple[str, str]] = frozenset()
    _of_origin: Mapping[str, tuple[ApiKey, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Seal the mappings."""
        for name in ("keys", "books"):
            object.__setattr__(self, name, MappingProxyType(dict(getattr(self, name))))
        object.__setattr__(self, "_of_origin", MappingProxyType(_by_origin(self.keys.values())))

    def has_origin(self, origin: str, moment: datetime) -> bool:
        """Whether any key in force at a moment may be sent from pages of an origin."""
        return any(key.in_force_at(moment) for key in self._of_origin.get(origin, ()))

    def readable(self, id: str, organisation: str, only: str | None = None) -> BookHead:
        """The price book of an id as an organisation sees it: `NO_BOOK` where it sees none.

        All look-ups are always made, so a book that is another's costs what one that is not there does.

        Args:
            id: of the price book
            organisation: who asks; the empty text sees public books alone
            only: the one book that may be seen at all, where there is but one

        >>> books = {"tollgate-yard": BookHead("tollgate-yard", "tollgate", False)}
        >>> access = Access(books=books, grants=frozenset({("tollgate-yard", "brook")}))
        >>> [access.readable("tollgate-yard", one).id for one in ("tollgate", "brook", "other")]
        ['tollgate-yard', 'tollgate-yard', '']
        """
        head = self.books.get(id, NO_BOOK)
        granted = (id, organisation) in self.grants
        owned = organisation != NO_ORGANISATION and head.organisation == organisation
        allowed = only is None or id == only
        return head if allowed and (head.public or owned or granted) else NO_BOOK

    def visible(self, organisation: str, only: str | None = None) -> tuple[str, ...]:
        """The ids of the price books an organisation may read, sorted; see `readable`."""
        return tuple(id for id in sorted(self.books) if self.readable(id, organisation, only) is not NO_BOOK)


def _by_origin(keys: Iterable[ApiKey]) -> dict[str, tuple[ApiKey, ...]]:
    found: dict[str, tuple[ApiKey, ...]] = {}
    for key in keys:
        for origin in key.origins:
            found[origin] = (*found.get(origin, ()), key)
    return found


def secret_digest(secret: str) -> str:
    """What is kept of a key's secret part: its SHA-256, which is enough for 256 random bits.

    >>> secret_digest("")[:8]
    'e3b0c442'
    """
    return hashlib.sha256(secret.encode()).hexdigest()

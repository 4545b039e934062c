"""Who may see which price book: keys without their secrets, owners and grants, as the snapshot holds them."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

NO_ORGANISATION = ""


@dataclass(frozen=True)
class ApiKey:
    """A key that is in force.

    Attributes:
        id: 16 hex digits, no secret
        organisation: whose key it is
        kind: `secret` or `publishable`
        scopes: what it may do
        price_book: book its designs are priced with where none is named
        secret_digest: SHA-256 of its secret part in hex
    """

    id: str
    organisation: str
    kind: str
    scopes: frozenset[str]
    price_book: str | None
    secret_digest: str


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
        keys: keys in force, by id; a revoked one is gone
        books: every price book by id, with or without versions
        grants: pairs of price book and organisation that may read it
    """

    keys: Mapping[str, ApiKey] = field(default_factory=dict)
    books: Mapping[str, BookHead] = field(default_factory=dict)
    grants: frozenset[tuple[str, str]] = frozenset()

    def __post_init__(self) -> None:
        """Seal the mappings."""
        for name in ("keys", "books"):
            object.__setattr__(self, name, MappingProxyType(dict(getattr(self, name))))

    def readable(self, id: str, organisation: str) -> BookHead:
        """The price book of an id as an organisation sees it: `NO_BOOK` where it sees none.

        Both look-ups are always made, so a book that is another's costs what one that is not there does.

        >>> books = {"tollgate-yard": BookHead("tollgate-yard", "tollgate", False)}
        >>> access = Access(books=books, grants=frozenset({("tollgate-yard", "brook")}))
        >>> [access.readable("tollgate-yard", one).id for one in ("tollgate", "brook", "other")]
        ['tollgate-yard', 'tollgate-yard', '']
        """
        head = self.books.get(id, NO_BOOK)
        granted = (id, organisation) in self.grants
        owned = organisation != NO_ORGANISATION and head.organisation == organisation
        return head if head.public or owned or granted else NO_BOOK

    def visible(self, organisation: str) -> tuple[str, ...]:
        """The ids of the price books an organisation may read, sorted."""
        return tuple(id for id in sorted(self.books) if self.readable(id, organisation) is not NO_BOOK)


def secret_digest(secret: str) -> str:
    """What is kept of a key's secret part: its SHA-256, which is enough for 256 random bits.

    >>> secret_digest("")[:8]
    'e3b0c442'
    """
    return hashlib.sha256(secret.encode()).hexdigest()

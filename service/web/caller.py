"""Who asks: an organisation and what its key may do, a value handed down like the spec itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from litestar.di import NamedDependency

from service.contract.problem import Rejected
from service.store.access import NO_ORGANISATION

KeyScope = Literal["designs", "prices:read", "prices:write", "rules:write", "rules:publish", "admin"]
# Any of these lets a caller see the prices of its organisation's books.
SEES_PRICES = frozenset({"designs", "prices:read", "prices:write"})
NEEDS_KEY = "this needs a valid key: send `Authorization: Bearer` and a key that is in force"


@dataclass(frozen=True)
class Caller:
    """Who asks.

    Attributes:
        organisation: whose key was sent; the empty text without a key
        scopes: what the key may do
        bound_book: price book of its designs where the spec names none
        key_id: id of the key, no secret; the empty text without one
        rules_bound: rulebooks and jurisdictions its `rules:` scopes are for; empty for all
        publishable: whether the key stands in a page: it then sees its one price book and no other
    """

    organisation: str = NO_ORGANISATION
    scopes: frozenset[str] = frozenset()
    bound_book: str | None = None
    key_id: str = ""
    rules_bound: frozenset[str] = frozenset()
    publishable: bool = False

    def needs(self, scope: KeyScope) -> None:
        """Refuse a caller without a key, or whose key lacks a scope.

        Raises:
            Rejected: unauthenticated, scope_missing
        """
        if self.organisation == NO_ORGANISATION:
            raise Rejected("unauthenticated", NEEDS_KEY)
        if scope not in self.scopes:
            raise Rejected("scope_missing", f"this needs a key with the scope {scope}")

    def needs_rules(self, scope: KeyScope, id: str) -> None:
        """Refuse a caller whose key lacks a scope, or has it for other rulebooks and jurisdictions alone.

        Args:
            scope: rules:write or rules:publish
            id: of the rulebook or jurisdiction

        Raises:
            Rejected: unauthenticated, scope_missing
        """
        self.needs(scope)
        if self.rules_bound and id not in self.rules_bound:
            raise Rejected("scope_missing", f"this needs a key with the scope {scope} for {id}")

    @property
    def reads_as(self) -> str:
        """The organisation whose price books it may see; none where its scopes let it see no prices."""
        if self.publishable:
            # anyone may take the key out of the page: it sees what everyone may
            return NO_ORGANISATION
        return self.organisation if self.scopes & SEES_PRICES else NO_ORGANISATION

    @property
    def only_book(self) -> str | None:
        """The one price book it may see, where there is but one."""
        return self.bound_book if self.publishable else None


NOBODY = Caller()
GivenCaller = NamedDependency[Caller]

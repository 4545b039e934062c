"""What becomes of a design when another version of its rulebook takes the place of the one it was made by.

Of every pair, ``from`` is what the first version gives and ``to`` what the second gives.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from service.contract.money import Money
from service.contract.report import JurisdictionRef, PriceBookRef, Reason, RulebookRef
from service.contract.report_comparison import Status
from service.contract.report_order import OrderTotal

# A list in an answer line holds so many entries, so that no line grows with the deck; how many more there are is told.
MOST_TOLD = 100
_FROM = {"from_": "from"}


class RulebookChange(msgspec.Struct, frozen=True, kw_only=True, rename=_FROM):
    """The two versions a spec is designed by."""

    from_: RulebookRef
    to: RulebookRef


class DesignIdChange(msgspec.Struct, frozen=True, kw_only=True, rename=_FROM):
    """The ids of the two designs; they differ even where the decks are the same, as the rules are part of them."""

    from_: str
    to: str


class StatusChange(msgspec.Struct, frozen=True, kw_only=True, rename=_FROM):
    """The two verdicts."""

    from_: Status
    to: Status


class CountChange(msgspec.Struct, frozen=True, kw_only=True, rename=_FROM):
    """How many there are."""

    from_: int
    to: int


class ReasonChanges(msgspec.Struct, frozen=True, kw_only=True):
    """Reasons of the verdict that come, and that go.

    Reasons about a member are the same where code and member are, whatever figures their text names; those about the
    whole deck where code and text are.
    """

    added: tuple[Reason, ...]
    removed: tuple[Reason, ...]
    added_left_out: int
    removed_left_out: int


class FieldChange(msgspec.Struct, frozen=True, kw_only=True, rename=_FROM):
    """A field of a member that both designs have.

    ``field`` is its name in the report, that of a part after a point (``concrete.base_size_in``); ``.count`` is how
    many parts a list has. Of several parts alike the first that differs is told. Null where there is no such part.
    """

    member: str
    field: str
    from_: str | None
    to: str | None


class MemberChanges(msgspec.Struct, frozen=True, kw_only=True):
    """Members that come, that go, and what changes of those that stay: sizes, counts and places, not loads."""

    added: tuple[str, ...]
    removed: tuple[str, ...]
    changed: tuple[FieldChange, ...]
    added_left_out: int
    removed_left_out: int
    changed_left_out: int


class CheckFigures(msgspec.Struct, frozen=True, kw_only=True):
    """What a check came to."""

    demand: float | None
    capacity: float | None
    ratio: float | None
    passes: bool


class CheckChange(msgspec.Struct, frozen=True, kw_only=True, rename=_FROM):
    """A check that fails in one of the designs and not in the other; null where that one has no such check."""

    id: str
    member: str
    check: str
    basis: Literal["table", "calculated", "rule"]
    unit: str | None
    from_: CheckFigures | None
    to: CheckFigures | None


class CheckChanges(msgspec.Struct, frozen=True, kw_only=True):
    """Checks that fail in the second design only, and in the first only: they pass now, or are made no more."""

    newly_failing: tuple[CheckChange, ...]
    no_longer_failing: tuple[CheckChange, ...]
    newly_failing_left_out: int
    no_longer_failing_left_out: int


class OrderChange(msgspec.Struct, frozen=True, kw_only=True, rename=_FROM):
    """What the two orders come to, at the same prices.

    ``change`` is null unless both totals are complete; ``because`` says why, empty where there is a ``change``.
    ``lines_changed`` is how many items (of one length) are ordered in another quantity, also without prices.
    """

    from_: OrderTotal | None
    to: OrderTotal | None
    change: Money | None
    because: str
    lines_changed: int


class RuleImpact(msgspec.Struct, frozen=True, kw_only=True):
    """Two designs of one spec side by side: of the same day, in the same place, at the same prices.

    Both versions count as in force where the rulebook the spec is designed by is.
    """

    as_of: str
    engine_version: str
    jurisdiction: JurisdictionRef | None
    rulebooks: RulebookChange
    price_book: PriceBookRef | None
    design_ids: DesignIdChange
    verdict: StatusChange
    reasons: ReasonChanges
    members: MemberChanges
    footings: CountChange
    checks: CheckChanges
    order: OrderChange

"""The answer types: a design report and its parts."""

from __future__ import annotations

from typing import Literal

import msgspec

from service.contract.money import Money
from service.contract.report_choice import Alternative, MaterialOption, PreferenceCost, Search
from service.contract.report_comparison import CodedText, FootingComparison, Status
from service.contract.report_frame import Footing, Level, Post, Stair
from service.contract.report_ground import Ground
from service.contract.report_order import Takeoff
from service.contract.spec import DeckSpec
from service.units.citation import Citation
from service.units.finding import Finding


class JurisdictionRef(msgspec.Struct, frozen=True, kw_only=True):
    """The jurisdiction version a design was made under."""

    id: str
    version: int
    digest: str


class RulebookRef(msgspec.Struct, frozen=True, kw_only=True):
    """The rulebook version a design was made from."""

    id: str
    edition: str
    version: int
    digest: str


class PriceBookRef(msgspec.Struct, frozen=True, kw_only=True):
    """The price book version an order was priced from."""

    id: str
    version: int
    digest: str
    currency: str


class AmendmentRef(msgspec.Struct, frozen=True, kw_only=True):
    """A local change to the model code that was in force."""

    id: str
    title: str
    citation: Citation


class InputUsed(msgspec.Struct, frozen=True, kw_only=True):
    """A default or local value that mattered."""

    pointer: str
    value: str
    source: Literal["caller", "key", "amendment", "jurisdiction", "rulebook", "default"]
    effect: str


class Reason(msgspec.Struct, frozen=True, kw_only=True):
    """Why the verdict is not better."""

    code: str
    text: str
    member: str | None = None
    citation: Citation | None = None


class Verdict(msgspec.Struct, frozen=True, kw_only=True):
    """``prescriptive`` means within the tables read; it never means approved."""

    status: Status
    reasons: tuple[Reason, ...]


class AttachmentOption(msgspec.Struct, frozen=True, kw_only=True):
    """One way to support the house side, worked out; of several levels that of the first one at the house.

    ``cost`` of the way answered is its order and its footings; that of the other one is ``cost_change`` more, counted
    as frames are compared (``search.cost``), as in ``alternatives`` and ``preference_costs``. Null where a price is
    not known.
    """

    kind: Literal["ledger", "freestanding"]
    verdict: Status
    footings: int | None
    cost: Money | None
    days: float | None
    bracing: str | None
    because: tuple[CodedText, ...]
    cost_change: Money | None = None


class Attachment(msgspec.Struct, frozen=True, kw_only=True):
    """Hang it on the house or stand it free."""

    kind: Literal["ledger", "freestanding"]
    ledger_lands_on: str | None
    because: tuple[CodedText, ...]
    options: tuple[AttachmentOption, ...]


class Loads(msgspec.Struct, frozen=True, kw_only=True):
    """Design loads; design = dead + the greater of live and snow."""

    live_psf: float
    dead_psf: float
    snow_psf: float
    governing: Literal["live", "snow"]
    design_psf: float


class Permit(msgspec.Struct, frozen=True, kw_only=True):
    """A permit that is likely to be needed."""

    kind: str
    text: str


class Inspection(msgspec.Struct, frozen=True, kw_only=True):
    """An inspection, when it falls and what is looked at."""

    kind: str
    when: str
    looks_at: tuple[str, ...]


class Permits(msgspec.Struct, frozen=True, kw_only=True):
    """What the building department will want; it decides, this list does not."""

    permits: tuple[Permit, ...]
    inspections: tuple[Inspection, ...]
    drawings_needed: tuple[str, ...]
    reviewer_questions: tuple[str, ...]


class Caution(msgspec.Struct, frozen=True, kw_only=True):
    """Something to know before anyone builds, and what to do about it."""

    code: str
    text: str
    action: str


class DesignReport(msgspec.Struct, frozen=True, kw_only=True):
    """A whole design: members, checks with citations, order, footing comparison, cautions.

    It says where everything lies, so that a drawing decides no geometry of its own.
    """

    design_id: str
    reference: str | None
    as_of: str
    engine_version: str
    jurisdiction: JurisdictionRef | None
    amendments: tuple[AmendmentRef, ...]
    rulebook: RulebookRef
    price_book: PriceBookRef | None
    resolved_spec: DeckSpec
    objective_used: Literal["cost", "fewest_footings", "stiffness", "no_prices"]
    inputs: tuple[InputUsed, ...]
    verdict: Verdict
    attachment: Attachment
    loads: Loads
    levels: tuple[Level, ...]
    posts: tuple[Post, ...]
    footings: tuple[Footing, ...]
    ground: Ground
    stairs: tuple[Stair, ...]
    checks: tuple[Finding, ...]
    takeoff: Takeoff
    footing_comparison: FootingComparison
    alternatives: tuple[Alternative, ...]
    preference_costs: tuple[PreferenceCost, ...]
    material_options: tuple[MaterialOption, ...] = ()
    search: Search | None = None
    permits: Permits
    cautions: tuple[Caution, ...]

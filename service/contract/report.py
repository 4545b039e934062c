"""The answer types: a design report and its parts."""

from __future__ import annotations

from typing import Literal

import msgspec

from service.contract.money import Money, MoneyRange
from service.contract.report_frame import Footing, Level, Post, Stair
from service.contract.report_order import Takeoff
from service.contract.spec import DeckSpec
from service.units.citation import Citation
from service.units.finding import Finding
from service.units.working import Step

Status = Literal["prescriptive", "engineer_required", "not_permitted"]


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


class CodedText(msgspec.Struct, frozen=True):
    """A code with a sentence for people."""

    code: str
    text: str


class AttachmentOption(msgspec.Struct, frozen=True, kw_only=True):
    """One way to support the house side, worked out."""

    kind: Literal["ledger", "freestanding"]
    verdict: Status
    footings: int | None
    cost: Money | None
    days: float | None
    bracing: str | None
    because: tuple[CodedText, ...]


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


class Risk(msgspec.Struct, frozen=True, kw_only=True):
    """A risk of a footing method and what to do about it."""

    code: str
    severity: Literal["low", "moderate", "high"]
    text: str
    action: str


class Task(msgspec.Struct, frozen=True, kw_only=True):
    """A task of a schedule, in working days; ``labour_hours`` over all footings."""

    task: str
    after: tuple[str, ...]
    crew_present: bool
    days_low: float
    days_likely: float
    days_high: float
    labour_hours: float
    source: str


class DayRange(msgspec.Struct, frozen=True):
    """Low, likely and high working days from the start of layout."""

    low: float
    likely: float
    high: float


class Schedule(msgspec.Struct, frozen=True, kw_only=True):
    """The tasks of a method and when framing can start."""

    tasks: tuple[Task, ...]
    first_framing_working_day: DayRange
    first_framing_date: str | None


class Quantity(msgspec.Struct, frozen=True, kw_only=True):
    """An amount of one item."""

    item: str
    quantity: float
    unit: str
    unit_price: str | None
    extended: Money | None


class MethodComparison(msgspec.Struct, frozen=True, kw_only=True):
    """One footing method worked out for the same posts and loads."""

    method: str
    feasible: bool
    why_not: tuple[CodedText, ...]
    footings: tuple[Footing, ...]
    quantities: tuple[Quantity, ...]
    cost: MoneyRange | None
    schedule: Schedule | None
    risks: tuple[Risk, ...]


class BreakEven(msgspec.Struct, frozen=True, kw_only=True):
    """Where the ranking of the two cheapest methods turns over."""

    methods: tuple[str, str]
    crew_day_value: Money | None
    footing_count: float | None
    working: tuple[Step, ...]


class MethodProbability(msgspec.Struct, frozen=True):
    """How likely a method is to be the cheapest."""

    method: str
    probability: float


class FootingComparison(msgspec.Struct, frozen=True, kw_only=True):
    """Footing methods side by side."""

    methods: tuple[MethodComparison, ...]
    break_even: BreakEven | None
    probability_cheapest: tuple[MethodProbability, ...]
    recommended: str | None
    because: tuple[str, ...]


class Alternative(msgspec.Struct, frozen=True, kw_only=True):
    """Another frame, and what is different about it."""

    summary: str
    differences: tuple[str, ...]
    verdict: Status
    footing_count: int
    cost: Money | None
    days: float | None
    deflection_in: float | None


class PreferenceCost(msgspec.Struct, frozen=True, kw_only=True):
    """What one wish costs against the chosen frame."""

    preference: str
    cost: Money | None
    footing_count: int
    days: float | None
    deflection_in: float | None


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
    """A whole design: members, checks with citations, order, footing comparison, cautions."""

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
    stairs: tuple[Stair, ...]
    checks: tuple[Finding, ...]
    takeoff: Takeoff
    footing_comparison: FootingComparison
    alternatives: tuple[Alternative, ...]
    preference_costs: tuple[PreferenceCost, ...]
    permits: Permits
    cautions: tuple[Caution, ...]

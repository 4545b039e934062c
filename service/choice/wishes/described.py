"""The decision in words: attachment, its options, a frame in one line and how another differs."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple, Protocol

from service.checks.judged import caution
from service.choice.level.case import Case
from service.choice.level.worked import Worked
from service.choice.search.decide import Decision, Option
from service.comparison.method_words import plain
from service.contract.money import Money, money
from service.contract.report import Attachment, AttachmentOption, Caution
from service.contract.report_comparison import CodedText, Status
from service.contract.report_order import Takeoff
from service.framing.beam_row import BeamRow
from service.units.text import feet_inches

WORST: Status = "not_permitted"
# What a wish has changed besides, by its name or by what it may be the only change of, as its sentence tells it.
SAID_ALSO = (
    "attachment", "joist direction", "joists", "beams", "rows of beams", "placement", "posts", "joist cantilever",
)  # fmt: skip


class Priced(Protocol):
    """How a way of support stands, what it costs, and how much more than the one answered."""

    @property
    def verdict(self) -> Status: ...

    @property
    def cost(self) -> Money | None: ...

    @property
    def cost_change(self) -> Money | None: ...


class Beside(Protocol):
    """The deck answered, beside which frames are told."""

    @property
    def cases(self) -> tuple[Case, ...]: ...

    @property
    def decisions(self) -> tuple[Decision, ...]: ...

    @property
    def chosen(self) -> Worked: ...

    def priced(self, decision: Decision, worked: Worked) -> Priced: ...


def whole_cost(worked: Worked) -> Money | None:
    """Return what a frame costs with its footings; None where a price book is missing."""
    subtotal = worked.takeoff.subtotal
    return None if subtotal is None or worked.cost is None else money(subtotal.currency, Decimal(worked.cost))


def _bracing(worked: Worked) -> str | None:
    ways = {brace.direction for level in worked.frame.levels for brace in level.braces}
    if not ways:
        return None
    return "along and across the beams" if len(ways) > 1 else "along the beams"


def ledger_words(worked: Worked) -> Iterator[CodedText]:
    """Yield why the walls take a ledger, or do not."""
    for ledger in worked.ledgers:
        for found in ledger.reasons:
            yield CodedText(found.code, found.text)
        if ledger.possible == "prescriptive":
            yield CodedText("wall_allows_ledger", f"A ledger lands on the {_plain(ledger.lands_on)}.")


def _plain(word: str | None) -> str:
    return (word or "house").replace("_", " ")


def _option(answered: Beside, decision: Decision, option: Option) -> AttachmentOption:
    worked = option.worked
    if worked is None:
        text = "No frame of this kind was found for these heights and sizes."
        return AttachmentOption(
            kind=option.kind, verdict=WORST, footings=None, cost=None, days=None, bracing=None,
            because=(CodedText("no_frame_found", text),),
        )  # fmt: skip
    words = list(dict.fromkeys(ledger_words(worked))) or [
        CodedText(r.code, r.text) for r in worked.verdict.reasons[:3]
    ]
    priced = answered.priced(decision, worked)
    return AttachmentOption(
        kind=option.kind,
        verdict=priced.verdict,
        footings=worked.footings,
        cost=priced.cost,
        days=worked.days,
        bracing=_bracing(worked),
        because=tuple(words),
        cost_change=priced.cost_change,
    )


def _why(answered: Beside, decision: Decision) -> Iterator[CodedText]:
    chosen = answered.chosen
    kind = "ledger" if chosen.attached else "freestanding"
    if answered.cases[0].spec.framing.attachment == kind:
        yield CodedText("asked_for", f"The spec asks for a {kind} deck.")
    other = next((o.worked for o in decision.options if o.worked is not None and o.kind != kind), None)
    ledger = next((o.worked for o in decision.options if o.kind == "ledger" and o.worked), None)
    if ledger is not None:
        yield from ledger_words(ledger)
    if other is None or decision.chosen is None:
        return
    more = answered.priced(decision, other).cost_change
    yield from _against(decision.chosen, other, kind, more)


def _against(chosen: Worked, other: Worked, kind: str, more: Money | None) -> Iterator[CodedText]:
    if other.verdict.status != chosen.verdict.status:
        yield CodedText(
            "better_verdict",
            f"{_plain(chosen.verdict.status)} against {_plain(other.verdict.status)} the other way.",
        )
    elif kind == "ledger" and other.footings > chosen.footings:
        yield CodedText("footing_row_saved", f"It saves {other.footings - chosen.footings} footings.")
    elif kind == "freestanding" and more is not None and Decimal(more.amount) > 0:
        yield CodedText("freestanding_costs_less", "Standing free costs less here.")


def attachment_of(answered: Beside) -> Attachment:
    """Return how the house side is supported, why, and both options worked out; by the first level at the house."""
    decisions, chosen = answered.decisions, answered.chosen
    decision = next((d for d in decisions if len(d.options) > 1), decisions[0])
    ledger = next((o.worked for o in decision.options if o.kind == "ledger" and o.worked), None)
    return Attachment(
        kind="ledger" if chosen.attached else "freestanding",
        ledger_lands_on=next((one.lands_on for one in ledger.ledgers), None) if ledger else None,
        because=tuple(dict.fromkeys(_why(answered, decision))),
        options=tuple(_option(answered, decision, option) for option in decision.options),
    )


def no_attachment(why: tuple[str, ...]) -> Attachment:
    """Return the attachment of a deck no frame was found for."""
    words = tuple(CodedText("no_frame_found", text) for text in why)
    return Attachment(kind="freestanding", ledger_lands_on=None, because=words, options=())


def summary(worked: Worked) -> str:
    """Return a frame in one line."""
    layout = worked.layout
    kind = "ledger" if worked.attached else "free-standing"
    rows = _rows(worked)
    beams = f"{len(rows)} x {layout.beam_plies}-ply {layout.beam_size} {layout.placement}"
    return (
        f"{kind}, {layout.joist_size} at {layout.spacing_in:g} in, {beams}, {worked.footings} footings, "
        f"beam spans {_spans(worked)}"
    )


def _rows(worked: Worked) -> list[BeamRow]:
    return [row for level in worked.levels for one in level.layouts for row in one.rows]


def _spans(worked: Worked) -> str:
    return f"to {feet_inches(max((max(row.spans_in) for row in _rows(worked)), default=0.0))}"


def _overhangs(worked: Worked) -> str:
    return f"to {feet_inches(max((max(row.overhangs_in) for row in _rows(worked)), default=0.0))}"


def _cantilever(worked: Worked) -> str:
    uses = (use for level in worked.levels for one in level.layouts for use in one.arrangement.uses)
    return feet_inches(max((use.cantilever_in for use in uses), default=0.0))


class Difference(NamedTuple):
    """One thing that is different about another frame."""

    name: str
    theirs: str
    ours: str

    @property
    def text(self) -> str:
        """It in words, as they stand in a list."""
        return f"{self.name}: {self.theirs} instead of {self.ours}"


def differences(chosen: Worked, other: Worked, *, alone: bool = True) -> Iterator[Difference]:
    """Return what is different about another frame of a level.

    The footing method of a level is that of the deck only where it stands ``alone``.
    """
    a, b = chosen.layout, other.layout
    pairs = [
        Difference("attachment", b.attachment, a.attachment),
        Difference("joist direction", b.region.axes.direction, a.region.axes.direction),
        Difference(
            "joists", f"{b.joist_size} at {b.spacing_in:g} in", f"{a.joist_size} at {a.spacing_in:g} in"
        ),
        Difference("beams", f"{b.beam_plies}-ply {b.beam_size}", f"{a.beam_plies}-ply {a.beam_size}"),
        Difference("rows of beams", str(len(_rows(other))), str(len(_rows(chosen)))),
        Difference("placement", b.placement, a.placement),
        Difference("posts", b.post_size, a.post_size),
        Difference("footings", str(other.footings), str(chosen.footings)),
        *([Difference("footing method", _method(other), _method(chosen))] if alone else []),
        Difference("beam spans", _spans(other), _spans(chosen)),
        Difference("beam overhangs", _overhangs(other), _overhangs(chosen)),
        Difference("joist cantilever", _cantilever(other), _cantilever(chosen)),
    ]
    return (one for one in pairs if one.ours != one.theirs)


def _method(worked: Worked) -> str:
    return plain(worked.method.method) if worked.method else "not worked out"


def besides(preference: str, chosen: Worked, other: Worked) -> Iterator[str]:
    """Yield what a wish brings along with it: members of other sizes and places, but not the very thing wished."""
    a, b = chosen.layout, other.layout
    wished = {
        "attachment": "attachment",
        "post_size": "posts",
        "joist_spacing_in": "joists" if a.joist_size == b.joist_size else "",
        "beam_plies": "beams" if a.beam_size == b.beam_size else "",
    }.get(preference)
    for one in differences(chosen, other):
        if one.name in SAID_ALSO and one.name != wished:
            yield f"{one.name} {one.theirs} instead of {one.ours}"


def over_ceiling(case: Case, order: Takeoff) -> tuple[Caution, ...]:
    """Return a caution where the order comes to more than the caller's ceiling."""
    ceiling, total = case.spec.framing.cost_ceiling, order.total
    if ceiling is None or total is None or ceiling.currency != total.currency:
        return ()
    if Decimal(total.amount) <= Decimal(ceiling.amount):
        return ()
    text = (
        f"The order comes to {total.amount} {total.currency}, over the ceiling of {ceiling.amount}. It is the order of "
        "material that is held against the ceiling; frames are compared by what differs between them (search.cost)."
    )
    return (caution("over_cost_ceiling", text, "Make the deck smaller, or raise the ceiling."),)

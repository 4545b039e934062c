"""The decision in words: attachment, its options, a frame in one line and how another differs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from service.checks.judged import caution
from service.choice.case import Case
from service.choice.decide import Decision, Option
from service.choice.worked import Worked
from service.contract.money import Money, money
from service.contract.report import Attachment, AttachmentOption, Caution
from service.contract.report_comparison import CodedText, Status
from service.framing.beam_row import BeamRow
from service.units.text import feet_inches

WORST: Status = "not_permitted"


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


def _option(option: Option) -> AttachmentOption:
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
    return AttachmentOption(
        kind=option.kind,
        verdict=worked.verdict.status,
        footings=worked.footings,
        cost=whole_cost(worked),
        days=worked.days,
        bracing=_bracing(worked),
        because=tuple(words),
    )


def _why(case: Case, decision: Decision, chosen: Worked) -> Iterator[CodedText]:
    kind = "ledger" if chosen.attached else "freestanding"
    if case.spec.framing.attachment == kind:
        yield CodedText("asked_for", f"The spec asks for a {kind} deck.")
    other = next((o.worked for o in decision.options if o.worked is not None and o.kind != kind), None)
    ledger = next((o.worked for o in decision.options if o.kind == "ledger" and o.worked), None)
    if ledger is not None:
        yield from ledger_words(ledger)
    if other is None or decision.chosen is None:
        return
    yield from _against(decision.chosen, other, kind)


def _against(chosen: Worked, other: Worked, kind: str) -> Iterator[CodedText]:
    if other.verdict.status != chosen.verdict.status:
        yield CodedText(
            "better_verdict",
            f"{_plain(chosen.verdict.status)} against {_plain(other.verdict.status)} the other way.",
        )
    elif kind == "ledger" and other.footings > chosen.footings:
        yield CodedText("footing_row_saved", f"It saves {other.footings - chosen.footings} footings.")
    elif kind == "freestanding" and _cheaper(chosen, other):
        yield CodedText("freestanding_costs_less", "Standing free costs less here.")


def _cheaper(one: Worked, other: Worked) -> bool:
    return one.cost is not None and other.cost is not None and one.cost < other.cost


def attachment_of(case: Case, decisions: Sequence[Decision], chosen: Worked) -> Attachment:
    """Return how the house side is supported, why, and both options worked out; by the first level at the house."""
    decision = next((d for d in decisions if len(d.options) > 1), decisions[0])
    ledger = next((o.worked for o in decision.options if o.kind == "ledger" and o.worked), None)
    return Attachment(
        kind="ledger" if chosen.attached else "freestanding",
        ledger_lands_on=next((one.lands_on for one in ledger.ledgers), None) if ledger else None,
        because=tuple(dict.fromkeys(_why(case, decision, chosen))),
        options=tuple(_option(option) for option in decision.options),
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


def differences(chosen: Worked, other: Worked) -> Iterator[str]:
    """Yield what is different about another frame of a level, one thing a line."""
    a, b = chosen.layout, other.layout
    pairs = [
        ("attachment", a.attachment, b.attachment),
        ("joist direction", a.region.axes.direction, b.region.axes.direction),
        ("joists", f"{a.joist_size} at {a.spacing_in:g} in", f"{b.joist_size} at {b.spacing_in:g} in"),
        ("beams", f"{a.beam_plies}-ply {a.beam_size}", f"{b.beam_plies}-ply {b.beam_size}"),
        ("placement", a.placement, b.placement),
        ("posts", a.post_size, b.post_size),
        ("footings", str(chosen.footings), str(other.footings)),
        ("beam spans", _spans(chosen), _spans(other)),
        ("beam overhangs", _overhangs(chosen), _overhangs(other)),
        ("joist cantilever", _cantilever(chosen), _cantilever(other)),
    ]
    for name, ours, theirs in pairs:
        if ours != theirs:
            yield f"{name}: {theirs} instead of {ours}"


def over_ceiling(case: Case, chosen: Worked) -> tuple[Caution, ...]:
    """Return a caution where the order comes to more than the caller's ceiling."""
    ceiling, total = case.spec.framing.cost_ceiling, chosen.takeoff.total
    if ceiling is None or total is None or ceiling.currency != total.currency:
        return ()
    if Decimal(total.amount) <= Decimal(ceiling.amount):
        return ()
    text = f"The order comes to {total.amount} {total.currency}, over the ceiling of {ceiling.amount}."
    return (caution("over_cost_ceiling", text, "Make the deck smaller, or raise the ceiling."),)

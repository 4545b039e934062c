"""What each wish changes against the frame answered: money, footings, days, deflection, room, in one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from service.choice.wishes.figures import BY_PIECE, Change, Figures, change, said
from service.contract.report_choice import MaterialOption, PreferenceCost
from service.contract.report_comparison import CodedText
from service.units.text import sentence

NOTHING_MORE = Decimal()


class Outcome(NamedTuple):
    """What a wish leads to: the figures of the best frame with it, judged to the last check, and its words.

    Without such a frame ``figures`` is null and ``why_not`` says why. ``differences`` are all that is different about
    it, ``besides`` those that its sentence tells, and ``basis`` is how its money is counted.
    """

    figures: Figures | None
    summary: str | None = None
    proven: bool = False
    why_not: tuple[CodedText, ...] = ()
    differences: tuple[str, ...] = ()
    besides: tuple[str, ...] = ()
    basis: str = BY_PIECE


class Wished(NamedTuple):
    """A wish in words: its name and value on the wire, the start of its sentence, and a note at its end."""

    preference: str
    value: str
    said: str
    note: str = ""


def preference(
    wished: Wished, ours: Figures, outcome: Outcome, currency: str | None, *, already: bool
) -> PreferenceCost:
    """Return what a wish changes, as it is sent.

    Args:
        wished: the wish
        ours: the figures of the frame answered
        outcome: the best frame with the wish; that of the frame answered where it has it
        currency: of every cost
        already: whether the frame answered has it

    >>> ours, other = Figures("prescriptive", 10_000, 6), Figures("prescriptive", 3_134_000, 6)
    >>> wished = Wished("joist_spacing_in", "12", "12 in spacing")
    >>> preference(wished, ours, Outcome(other), "USD", already=False).text
    '12 in spacing: +312.40 USD at list prices by the piece, same footings.'
    """
    figures = ours if already else outcome.figures
    if figures is None:
        return _without(wished, outcome.why_not)
    found = change(ours, figures)._replace(basis=outcome.basis)
    told = "as in the frame answered" if already else ", ".join(one.text for one in said(found, currency))
    told += "" if already or not outcome.besides else f"; {', '.join(outcome.besides)}"
    told += f" ({wished.note})" if wished.note else ""
    return PreferenceCost(
        preference=wished.preference,
        value=wished.value,
        text=f"{wished.said}: {told}.",
        already=already,
        verdict=figures.verdict,
        cost=found.money(currency),
        footing_count=found.footings,
        days=found.days,
        deflection_in=found.deflection_in,
        head_room_in=found.head_room_in,
        summary=outcome.summary,
        proven=outcome.proven,
        differences=() if already else outcome.differences,
    )


def of_material(
    option: MaterialOption, ours: Figures, currency: str | None, answered: Decimal | None = NOTHING_MORE
) -> PreferenceCost:
    """Return what another material changes: posts, footings and depths stay as they are, deflection is not told.

    ``answered`` is what the material of the deck answered costs more than sawn lumber, null where that is not known.
    """
    plain = option.material.replace("_", " ").capitalize()
    wished = Wished("material", option.material, plain)
    if option.already or option.verdict is None:
        return preference(
            wished, ours, Outcome(None, why_not=option.why_not), currency, already=option.already
        )
    more = None if option.cost_change is None else Decimal(option.cost_change.amount)
    cost = None if more is None or answered is None else more - answered
    found = Change(cost, 0, 0.0, None, 0.0, option.verdict, ours.verdict)
    told = [one.text for one in said(found, currency)]
    stays = len(option.stays_sawn)
    told += [f"{stays} member{'' if stays == 1 else 's'} of sawn lumber still"] if stays else []
    return PreferenceCost(
        preference="material", value=option.material, text=f"{plain}: {', '.join(told)}.", already=False,
        verdict=option.verdict, cost=found.money(currency), footing_count=0, days=0.0, deflection_in=None,
        head_room_in=0.0, summary=None,
    )  # fmt: skip


def of_sawn_lumber(ours: Figures, sawn: Outcome, currency: str | None) -> PreferenceCost:
    """Return what the frame of treated sawn lumber changes against the same one answered in another material."""
    wished = Wished("material", "sawn_lumber", "Treated sawn lumber")
    return preference(wished, ours, sawn, currency, already=False)


def _without(wished: Wished, why_not: Sequence[CodedText]) -> PreferenceCost:
    """A wish no frame stands with; the first reason is in the sentence, all of them in the list."""
    why = f": {why_not[0].text[:1].lower()}{why_not[0].text[1:]}" if why_not else ""
    return PreferenceCost(
        preference=wished.preference,
        value=wished.value,
        text=sentence(f"{wished.said}: not here{why}"),
        already=False,
        verdict=None,
        cost=None,
        footing_count=None,
        days=None,
        deflection_in=None,
        head_room_in=None,
        summary=None,
        why_not=tuple(why_not),
    )

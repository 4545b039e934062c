"""What every wish costs: the best deck with it, found in the fields already there wherever they hold it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.choice.beside import Answered, figures_of
from service.choice.best_first import Order
from service.choice.case import Case
from service.choice.cases import cases_of
from service.choice.decide import Decision, best_found, objective_of
from service.choice.described import summary
from service.choice.judging import (
    Way,
    Where,
    by_objective,
    elsewhere,
    layout_key,
    mask_of,
    seated,
    within,
)
from service.choice.preferences import Outcome, Wished, of_material, preference
from service.choice.space import space_of
from service.choice.wishes import Wish, wishes_of
from service.choice.worked import Worked
from service.contract.report_choice import MaterialOption, PreferenceCost
from service.contract.report_comparison import CodedText
from service.sizing.allowed import without_rule
from service.sizing.resolve import criteria_of

REASONS_TOLD = 3
WHATEVER_FRAME = ("not_allowed_here", "size_limit_of_edition")  # hang on the place and the deck, not on loads
NEW_CRITERIA = ("species", "grade")  # every limit is another's
FOR_THE_DECK = (
    *NEW_CRITERIA,
    "footing_method",
    "objective",
)  # every level is asked anew, whatever it has by chance
Part = tuple[Worked, bool]  # a level as a deck by itself, and whether none with the wish is better
NO_FRAME = CodedText("no_frame_found", "No frame with it stands.")
NO_WALL = CodedText("ledger_without_wall", "There is no house wall to hang it on.")


def preference_costs(answered: Answered, materials: Sequence[MaterialOption]) -> tuple[PreferenceCost, ...]:
    """Return what each wish changes against the deck answered, in a fixed order.

    ``materials`` are what the deck answered would be of others: they change members, not where these stand.
    """
    case = answered.cases[0]
    wishes = (_told(answered, wish) for wish in wishes_of(case.spec, case.context.prices))
    return (*wishes, *(of_material(one, answered.figures, answered.currency) for one in materials))


def _told(answered: Answered, wish: Wish) -> PreferenceCost:
    wished = Wished(wish.preference, wish.value, wish.said)
    if all(wish.has(part) for part in answered.parts) and _possible(answered, wish):
        outcome = Outcome(answered.figures, summary(answered.chosen), answered.proven)
        return preference(wished, answered.figures, outcome, answered.currency, already=True)
    outcome, same = _outcome(answered, wish)
    return preference(wished, answered.figures, outcome, answered.currency, already=same)


def _possible(answered: Answered, wish: Wish) -> bool:
    return wish.value != "ledger" or any(case.touches_house for case in answered.cases)


def _outcome(answered: Answered, wish: Wish) -> tuple[Outcome, bool]:
    """The best deck with a wish, and whether it is the one answered though nobody asked for that."""
    if not _possible(answered, wish):
        return Outcome(None, why_not=(NO_WALL,)), False
    refused = _whatever_frame(answered, wish)
    if refused:
        return Outcome(None, why_not=refused), False
    found = list(_parts(answered, wish))
    parts = [part for part, _ in found]
    if len(parts) < len(answered.parts):
        return Outcome(None, why_not=(NO_FRAME,)), False
    deck = answered.deck(parts)
    missed = _missed(wish, deck, answered.chosen)
    if missed:
        return Outcome(None, why_not=missed), False
    same = wish.preference == "objective" and _frames(deck) == _frames(answered.chosen)
    proven = len(parts) == 1 and found[0][1]
    return Outcome(figures_of(deck, parts), summary(deck), proven), same


def _frames(worked: Worked) -> list[tuple[object, ...]]:
    return [layout_key(one) for level in worked.levels for one in level.layouts]


def _whatever_frame(answered: Answered, wish: Wish) -> tuple[CodedText, ...]:
    """Why a footing method serves no frame of this deck, however its posts stand."""
    if wish.preference != "footing_method":
        return ()
    result = answered.chosen.comparison.result(wish.value)
    found = result.why_not if result else ()
    return tuple(one for one in found if one.code in WHATEVER_FRAME)


def _missed(wish: Wish, deck: Worked, ours: Worked) -> tuple[CodedText, ...]:
    """Why the best deck there is does not do: its footings can't be made so, or it may not be built."""
    if wish.preference == "footing_method":
        result = deck.comparison.result(wish.value)
        if result is None:
            return (CodedText("method_not_worked_out", "It is not worked out here."),)
        if result.why_not:
            return result.why_not
        if deck.method is not result:
            return tuple(CodedText(one.code, one.text) for one in result.reasons[:REASONS_TOLD]) or (
                NO_FRAME,
            )
    if deck.verdict.status == "not_permitted" != ours.verdict.status:
        reasons = (CodedText(one.code, one.text) for one in deck.verdict.reasons)
        return tuple(dict.fromkeys(reasons))[:REASONS_TOLD]
    return ()


def _parts(answered: Answered, wish: Wish) -> Iterator[Part]:
    """Each level with the wish; those that have it, and those it is not for, stay as they are."""
    for number, part in enumerate(answered.parts):
        stays = wish.preference not in FOR_THE_DECK and wish.has(part)
        found = (part, False) if stays else _of_level(answered, wish, number)
        if found is None:
            return
        yield found


def _of_level(answered: Answered, wish: Wish, number: int) -> Part | None:
    """One level with a wish: from the fields already there, else from fields of its own, else by another plan."""
    case = _case(answered, wish, number)
    if case is None:
        return None
    if wish.preference == "attachment":
        return _other_way(answered.decisions[number], case, wish.value)
    ways, where = _ways(answered, wish, number, case)
    order = Order(objective_of(case), where)
    found = by_objective(ways, order, answered.judge, answered.most, widen=True)
    if found is None:
        others = (other for way in ways for other in elsewhere(way, case))
        tries = (by_objective((one,), order, answered.judge, answered.most, widen=True) for one in others)
        found = next((one for one in tries if one is not None), None)
    return (found.worked, found.proven) if found else None


def _case(answered: Answered, wish: Wish, number: int) -> Case | None:
    """The case of a level as the wish asks for it; None where no rule sizes members of that wood."""
    base = answered.cases[number]
    if wish.preference not in NEW_CRITERIA:
        return base.with_space(wish.spec, space_of(wish.spec, base.level, base.criteria, base.guarded))
    context = base.context
    criteria = criteria_of(wish.spec, context.rulebook, context.guide, context.jurisdiction, context.timber)
    return None if without_rule(criteria) else cases_of(wish.spec, context, criteria)[number]


def _other_way(decision: Decision, case: Case, kind: str) -> Part | None:
    """The best frame of one way of support: an option of the decision, or what is against it if that is none."""
    for option in decision.options:
        if option.kind == kind:
            return None if option.found is None else (option.found.worked, option.found.proven)
    found = best_found(case, "ledger" if kind == "ledger" else "freestanding", Order(objective_of(case)))
    return None if found is None else (found.worked, found.proven)


def _kind(worked: Worked) -> str:
    return "ledger" if worked.attached else "freestanding"


def _ways(answered: Answered, wish: Wish, number: int, case: Case) -> tuple[Sequence[Way], Where | None]:
    """The ways a wish may be had, and which of their frames have it: searched anew where the fields have none."""
    ways, base = answered.ways[number], answered.cases[number]
    if wish.preference == "footing_method":
        return [way.on_footings(case) for way in ways], None
    if wish.preference in NEW_CRITERIA or not within(case.space, base.space):
        # Searched anew for the answered way of support alone: what the other one costs is a wish of its own.
        ours = [way for way in ways if way.kind == _kind(answered.parts[number])] or ways
        return [way.asked_again(case) for way in ours], seated(case.space)
    return ways, None if case.space == base.space else mask_of(case.space, base.space)

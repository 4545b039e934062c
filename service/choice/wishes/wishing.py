"""What every wish costs: the best deck with it, found in the fields already there wherever they hold it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import NamedTuple

from service.checks.verdict import FORBIDDING
from service.choice.level.case import Case
from service.choice.level.cases import cases_of
from service.choice.level.joined import with_cheapest_joints
from service.choice.level.list_prices import MONEY
from service.choice.level.space import space_of
from service.choice.level.worked import Worked
from service.choice.search.best_first import Order
from service.choice.search.decide import best_found, objective_of
from service.choice.search.effort import fields, looked_at
from service.choice.search.found import STIFFEST_WITHIN
from service.choice.wishes.beside import Answered, figures_of, unpriced
from service.choice.wishes.described import besides, differences, summary, whole_cost
from service.choice.wishes.figures import BY_ORDER
from service.choice.wishes.judging import (
    Way,
    Where,
    by_objective,
    elsewhere,
    layout_key,
    mask_of,
    next_best,
    seated,
    way_of,
    within,
)
from service.choice.wishes.preferences import Outcome, Wished, of_material, of_sawn_lumber, preference
from service.choice.wishes.side_by_side import gone_together
from service.choice.wishes.wishes import Wish, wishes_of
from service.contract.report import Reason
from service.contract.report_choice import MaterialOption, PreferenceCost
from service.contract.report_comparison import CodedText
from service.sizing.allowed import without_rule
from service.sizing.resolve import criteria_of
from service.units.rounding import money as half_up

REASONS_TOLD = 3
WHATEVER_FRAME = ("not_allowed_here", "size_limit_of_edition")  # hang on the place and the deck, not on loads
NEW_CRITERIA = ("species", "grade")  # every limit is another's
FOR_THE_DECK = ("footing_method", "objective")  # every level is asked anew, whatever it has by chance
PINS = ("joist_size", "joist_spacing_in", "beam_size", "beam_plies", "post_size")
UNKNOWN_PRICES = "prices that are not known are left out"
UNKNOWN_REACH = "how far the money reaches is not known where prices are not"
# Of the members that sections take the place of: another material has them otherwise.
OF_SAWN = (*NEW_CRITERIA, "beam_plies")


class Part(NamedTuple):
    """A level as a deck by itself, whether none with the wish is better, and the next best frames with it."""

    worked: Worked
    proven: bool = False
    others: Callable[[], Iterator[Worked]] = lambda: iter(())


class Granted(NamedTuple):
    """A wish and what it leads to; ``parts`` are the levels of the deck with it, empty where there is none."""

    wish: Wish
    outcome: Outcome
    already: bool
    parts: tuple[Worked, ...] = ()


NO_FRAME = CodedText("no_frame_found", "No frame with it stands.")
NO_PINNED_FRAME = CodedText("no_frame_found", "No frame with it stands with these sizes pinned.")
NO_WALL = CodedText("ledger_without_wall", "There is no house wall to hang it on.")
TOO_MANY = CodedText(
    "too_many_frames",
    "Not worked out: this deck has so many frames, footings and edges that not every wish was looked into.",
)


def granted(answered: Answered) -> tuple[Granted, ...]:
    """Return every wish with the best deck that has it, in a fixed order.

    Those that fields of their own are needed for come last to be worked out: they take most.
    """
    case = answered.cases[0]
    wishes = list(wishes_of(case.spec, case.context.prices, one_way=answered.one_way))
    anew = {id(one): _anew(answered, one) for one in wishes}
    found = {
        id(one): _granted(answered, one, anew[id(one)])
        for one in sorted(wishes, key=lambda w: anew[id(w)] > 0)
    }
    return tuple(found[id(one)] for one in wishes)


def _granted(answered: Answered, wish: Wish, anew: int) -> Granted:
    if _has(answered, wish) and _possible(answered, wish):
        outcome = Outcome(answered.figures, summary(answered.chosen), answered.proven)
        return Granted(wish, outcome, True, answered.parts)
    return _outcome(answered, wish, anew)


def _has(answered: Answered, wish: Wish) -> bool:
    """Whether the deck answered has a wish already; of a member that is sawn of another material it does not."""
    if answered.shown is not None and wish.preference in OF_SAWN:
        return False
    # The footings of several levels are of one method, whichever one would do for each.
    decks = [answered.chosen] if wish.preference == "footing_method" else answered.parts
    return all(wish.has(one) for one in decks)


def preference_costs(
    answered: Answered, wishes: Sequence[Granted], materials: Sequence[MaterialOption]
) -> tuple[PreferenceCost, ...]:
    """Return what each wish changes against the deck answered, in a fixed order.

    ``materials`` are what the deck answered would be of others: they change members, not where these stand.
    """
    ours, currency, shown = answered.figures, answered.currency, answered.shown
    told = [
        preference(_words(answered, one), ours, _as_proven(answered, one), currency, already=one.already)
        for one in wishes
    ]
    sawn = Outcome(answered.sawn, summary(answered.chosen), answered.proven)
    back = [of_sawn_lumber(ours, sawn, currency)] if shown is not None else []
    more = Decimal() if shown is None else shown.cost_change
    return (*told, *back, *(of_material(one, ours, currency, more) for one in materials))


def _as_proven(answered: Answered, granted: Granted) -> Outcome:
    """What a wish leads to: where a price is not known, nothing is proven of money."""
    if _hangs_on_prices(granted.wish) and not _priced(answered, granted):
        return granted.outcome._replace(proven=False)
    return granted.outcome


def _words(answered: Answered, granted: Granted) -> Wished:
    """A wish in words; beside another material all that is told is of the frame of sawn lumber."""
    wish, said, note = granted.wish, granted.wish.said, granted.wish.note
    if _hangs_on_prices(wish) and not _priced(answered, granted):
        note = UNKNOWN_REACH if wish.value == "stiffness" else f"{note}; {UNKNOWN_PRICES}".removeprefix("; ")
    elif wish.value == "stiffness":
        note += _a_tenth(answered)
    if answered.shown is not None and not granted.already and granted.outcome.figures is not None:
        said += ", of sawn lumber"
    return Wished(wish.preference, wish.value, said, note)


def _hangs_on_prices(wish: Wish) -> bool:
    return wish.preference == "objective" and wish.value in ("cost", "stiffness")


def _priced(answered: Answered, granted: Granted) -> bool:
    """Whether every price of the frame answered and of that with a wish is known."""
    figures = granted.outcome.figures
    return answered.figures.cost is not None and (figures is None or figures.cost is not None)


def _a_tenth(answered: Answered) -> str:
    """How much a tenth over the cheapest is, where that is the frame answered and no ceiling is given."""
    spec, prices = answered.cases[0].spec, [part.price for part in answered.parts if part.price is not None]
    known = bool(prices) and all(one.complete for one in prices)
    if spec.framing.objective != "cost" or spec.framing.cost_ceiling is not None or not known:
        return ""
    more = sum(int(one.total * STIFFEST_WITHIN) - one.total for one in prices)
    return f", {half_up(Decimal(more) / MONEY)} {answered.currency} more"


def _possible(answered: Answered, wish: Wish) -> bool:
    return wish.value != "ledger" or any(case.touches_house for case in answered.cases)


def _anew(answered: Answered, wish: Wish) -> int:
    """What it takes to search for a wish anew, by what the fields of the deck answered took; 0 where they hold it."""
    return sum(
        fields(search)
        for number, ways in enumerate(answered.ways)
        if _wanted_of(answered, wish, number) and _searched_anew(answered, wish, number)
        for way in ways
        for search in way.searches
    )


def _wanted_of(answered: Answered, wish: Wish, number: int) -> bool:
    """Whether a level has to be another for a wish."""
    return wish.preference in FOR_THE_DECK or not wish.has(answered.parts[number])


def _searched_anew(answered: Answered, wish: Wish, number: int) -> bool:
    """Whether the fields of a level do not hold the frames of a wish."""
    base = answered.cases[number]
    if wish.preference == "attachment":
        return all(option.kind != wish.value for option in answered.decisions[number].options)
    return wish.preference in NEW_CRITERIA or not within(
        space_of(wish.spec, base.level, base.criteria, base.guarded), base.space
    )


def _outcome(answered: Answered, wish: Wish, anew: int) -> Granted:
    """The best deck with a wish; it may be the one answered though nobody asked for that.

    ``anew`` is what it takes to search for it where the fields there are do not hold it.
    """
    if not _possible(answered, wish):
        return _refused(wish, (NO_WALL,))
    refused = _whatever_frame(answered, wish)
    if refused:
        return _refused(wish, refused)
    effort = answered.judge.effort
    refused_before = effort.refused
    found = list(_parts(answered, wish)) if not anew or effort.allows(anew) else []
    if len(found) < len(answered.parts):
        return _refused(wish, (_no_frame(answered, wish) if effort.refused == refused_before else TOO_MANY,))
    parts, deck = gone_together(
        [one.worked for one in found],
        lambda place: found[place].others(),
        answered.deck,
        objective_of(answered.cases[0]),
    )
    missed = _missed(wish, deck, answered.chosen)
    if missed:
        return _refused(wish, missed)
    same = wish.preference == "objective" and _frames(deck) == _frames(answered.chosen)
    proven = len(parts) == 1 and found[0].proven
    outcome = Outcome(
        figures_of(deck, parts), summary(deck), proven,
        differences=tuple(_differences(answered, parts)), besides=tuple(_besides(answered, wish, parts)),
    )  # fmt: skip
    if wish.preference in NEW_CRITERIA and not wish.has(answered.chosen):
        outcome = _by_order(answered, outcome, deck, _labour(parts) - _labour(answered.parts))
    return Granted(wish, outcome, same and answered.shown is None, tuple(parts))


def _no_frame(answered: Answered, wish: Wish) -> CodedText:
    framing = answered.cases[0].spec.framing
    pinned = any(getattr(framing, name) is not None for name in PINS if name != wish.preference)
    return NO_PINNED_FRAME if pinned else NO_FRAME


def _refused(wish: Wish, why_not: tuple[CodedText, ...]) -> Granted:
    return Granted(wish, Outcome(None, why_not=why_not), False)


def _by_order(answered: Answered, outcome: Outcome, deck: Worked, labour: int) -> Outcome:
    """The outcome with the money of both orders: all wood of the deck is another, that of guards and stairs too."""
    ours, theirs = answered.figures, outcome.figures
    if theirs is None or ours.cost is None or deck.method is None or deck.method.cost is None:
        return outcome
    bought = with_cheapest_joints(deck, objective_of(answered.cases[0]))
    missing = tuple(one for one in unpriced(bought) if one not in unpriced(answered.chosen))
    whole = whole_cost(bought)
    if missing or whole is None or answered.known_whole is None:
        return outcome._replace(figures=replace(theirs, cost=None, unpriced=missing))
    more = Decimal(whole.amount) - Decimal(answered.known_whole.amount)
    cost = ours.cost + int(more * MONEY) + labour
    return outcome._replace(figures=replace(theirs, cost=cost), basis=BY_ORDER)


def _labour(parts: Sequence[Worked]) -> int:
    return sum(one.price.labour for one in parts if one.price is not None)


def _differences(answered: Answered, parts: Sequence[Worked]) -> Iterator[str]:
    for name, ours, theirs in _pairs(answered, parts):
        for one in differences(ours, theirs, alone=not name):
            yield name + one.text


def _besides(answered: Answered, wish: Wish, parts: Sequence[Worked]) -> Iterator[str]:
    for name, ours, theirs in _pairs(answered, parts):
        for text in besides(wish.preference, ours, theirs):
            yield name + text


def _pairs(answered: Answered, parts: Sequence[Worked]) -> Iterator[tuple[str, Worked, Worked]]:
    """Each level as it is and with a wish, and its name where there are several."""
    for case, ours, theirs in zip(answered.cases, answered.parts, parts, strict=True):
        yield f"level {case.level.id}: " if len(parts) > 1 else "", ours, theirs


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
            return _against(result.reasons, ours) or (NO_FRAME,)
    if wish.value == "ledger" and not deck.attached:
        return (NO_WALL,)  # joists do not end there: what is framed instead stands free
    if deck.verdict.status == "not_permitted" != ours.verdict.status:
        return _against(deck.verdict.reasons, ours) or (NO_FRAME,)
    return ()


def _against(reasons: Sequence[Reason], ours: Worked) -> tuple[CodedText, ...]:
    """What is against a deck and not against ours, what forbids it first: the rest is true of both."""
    known = {(one.code, one.text) for one in ours.verdict.reasons}
    left = [one for one in reasons if (one.code, one.text) not in known]
    forbidden = [one for one in left if one.code in FORBIDDING]
    return tuple(dict.fromkeys(CodedText(one.code, one.text) for one in forbidden or left))[:REASONS_TOLD]


def _parts(answered: Answered, wish: Wish) -> Iterator[Part]:
    """Each level with the wish; those that have it, and those it is not for, stay as they are."""
    for number in range(len(answered.parts)):
        if not _wanted_of(answered, wish, number):
            yield _staying(answered, number)
            continue
        found = _of_level(answered, wish, number)
        if found is None:
            return
        yield found


def _staying(answered: Answered, number: int) -> Part:
    order = Order(objective_of(answered.cases[number]))
    return Part(
        answered.parts[number], False, partial(next_best, answered.ways[number], order, answered.judge)
    )


def _of_level(answered: Answered, wish: Wish, number: int) -> Part | None:
    """One level with a wish: from the fields already there, else from fields of its own, else by another plan."""
    case = _case(answered, wish, number)
    if case is None:
        return None
    if wish.preference == "attachment":
        return _other_way(answered, number, case, wish.value)
    if not answered.judge.effort.allows():
        return None
    ways, where = _ways(answered, wish, number, case)
    order, judge, most = Order(objective_of(case), where), answered.judge, answered.most(number)
    found = by_objective(ways, order, judge, most, widen=True)
    if found is None:
        others = (other for way in ways for other in elsewhere(way, case))
        tries = (by_objective((one,), order, judge, most, widen=True) for one in others)
        found = next((one for one in tries if one is not None), None)
    return Part(found.worked, found.proven, partial(next_best, ways, order, judge)) if found else None


def _case(answered: Answered, wish: Wish, number: int) -> Case | None:
    """The case of a level as the wish asks for it; None where no rule sizes members of that wood."""
    base = answered.cases[number]
    if wish.preference not in NEW_CRITERIA:
        return base.with_space(wish.spec, space_of(wish.spec, base.level, base.criteria, base.guarded))
    context = base.context
    criteria = criteria_of(wish.spec, context.rulebook, context.guide, context.jurisdiction, context.timber)
    return None if without_rule(criteria) else cases_of(wish.spec, context, criteria)[number]


def _other_way(answered: Answered, number: int, case: Case, kind: str) -> Part | None:
    """The best frame of one way of support: an option of the decision, or what is against it if that is none."""
    order = Order(objective_of(case))
    for option in answered.decisions[number].options:
        if option.kind == kind:
            way = way_of(option)
            if option.found is None or way is None:
                return None
            others = partial(next_best, (way,), order, answered.judge)
            return Part(option.found.worked, option.found.proven, others)
    found = best_found(case, "ledger" if kind == "ledger" else "freestanding", order)
    if found is not None:
        answered.judge.effort.judged(found.worked.footings)
        answered.judge.effort.spent += looked_at(found.searches)
    return None if found is None else Part(found.worked, found.proven)


def _kind(worked: Worked) -> str:
    return "ledger" if worked.attached else "freestanding"


def _ways(answered: Answered, wish: Wish, number: int, case: Case) -> tuple[Sequence[Way], Where | None]:
    """The ways a wish may be had, and which of their frames have it: searched anew where the fields have none."""
    ways, base = answered.ways[number], answered.cases[number]
    if wish.preference == "footing_method":
        return [way.on_footings(case) for way in ways], None
    if _searched_anew(answered, wish, number):
        # Searched anew for the answered way of support alone: what the other one costs is a wish of its own.
        ours = [way for way in ways if way.kind == _kind(answered.parts[number])] or ways
        return [way.asked_again(case) for way in ours], seated(case.space)
    return ways, None if case.space == base.space else mask_of(case.space, base.space)

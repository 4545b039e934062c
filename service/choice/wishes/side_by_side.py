"""Several levels as one deck: where the best frames of each don't go together, a level takes another one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice

from service.choice.level.joined import with_cheapest_joints
from service.choice.level.worked import Worked, best_of, work_deck
from service.choice.search.best_first import Order
from service.choice.search.decide import Decision, Option
from service.choice.search.found import Found, work
from service.choice.wishes.judging import case_of
from service.comparison.result import STATUS_RANK

MOST_TRIED = 12  # frames of one level, the best first, that are tried beside those of the others
BESIDE_ANOTHER = "levels stand side by side: each is the best by itself, and one of them gave way to another"


def side_by_side(decisions: Sequence[Decision]) -> tuple[tuple[Decision, ...], Worked]:
    """Return the decision of every level, and the deck of all of them judged as one.

    Where together they ask for more than each by itself, the next best frames of one level are tried in its place.
    Every level has a frame.
    """
    chosen = [one.chosen for one in decisions if one.chosen is not None]
    objective, tried = decisions[0].objective, dict[int, Found]()

    def others(place: int) -> Iterator[Worked]:
        for found in _next_of(decisions[place]):
            tried[id(found.worked)] = found
            yield found.worked

    parts, deck = gone_together(chosen, others, lambda those: _deck(those, objective), objective)
    settled = (_with(one, tried.get(id(part))) for one, part in zip(decisions, parts, strict=True))
    return tuple(settled), deck


def gone_together(
    parts: Sequence[Worked],
    others: Callable[[int], Iterable[Worked]],
    deck_of: Callable[[Sequence[Worked]], Worked],
    objective: str,
) -> tuple[tuple[Worked, ...], Worked]:
    """Return the levels of a deck that go together, and the deck of them.

    Args:
        parts: the best frame of each level by itself, as a deck
        others: the next best ones of a level by its place
        deck_of: the deck of all levels, judged as one
        objective: what the best of several decks has least of
    """
    if len(parts) == 1:
        return tuple(parts), parts[0]
    deck = deck_of(parts)
    alone = max(STATUS_RANK[one.verdict.status] for one in parts)
    if STATUS_RANK[deck.verdict.status] <= alone:
        return tuple(parts), deck
    ways = [(tuple(parts), deck), *_in_place(parts, others, deck_of, alone)]
    best = best_of([one for _, one in ways], objective)
    return next(found for found in ways if found[1] is best)


def _in_place(
    parts: Sequence[Worked],
    others: Callable[[int], Iterable[Worked]],
    deck_of: Callable[[Sequence[Worked]], Worked],
    alone: int,
) -> Iterator[tuple[tuple[Worked, ...], Worked]]:
    """For each level the first of its next frames that goes with the others."""
    for place in range(len(parts)):
        for other in others(place):
            tried = tuple(other if number == place else one for number, one in enumerate(parts))
            deck = deck_of(tried)
            if STATUS_RANK[deck.verdict.status] <= alone:
                yield tried, deck
                break


def _deck(parts: Sequence[Worked], objective: str) -> Worked:
    if len(parts) == 1:
        return parts[0]
    return with_cheapest_joints(work_deck([level for one in parts for level in one.levels]), objective)


def _next_of(decision: Decision) -> Iterator[Found]:
    found, ours = decision.found, decision.chosen
    if found is None or ours is None or len(found.searches) > 1 or decision.objective == "stiffness":
        return
    case = case_of(ours)
    (search,) = found.searches
    for candidate in islice(search.best_known(Order(decision.objective)), 1, MOST_TRIED):
        worked = work(case, (candidate,))
        if STATUS_RANK[worked.verdict.status] <= STATUS_RANK[ours.verdict.status]:
            yield replace(found, worked=worked, candidates=(candidate,), why_not_proven=BESIDE_ANOTHER)


def _with(decision: Decision, found: Found | None) -> Decision:
    """A decision with another frame of the way of support that was chosen."""
    if found is None:
        return decision
    options = tuple(
        Option(one.kind, found) if one.worked is decision.chosen else one for one in decision.options
    )
    return replace(decision, chosen=found.worked, options=options)

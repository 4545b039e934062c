"""Several levels as one deck: where the best frames of each don't go together, a level takes another one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice

from service.choice.best_first import Order
from service.choice.decide import Decision, Option
from service.choice.found import Found, work
from service.choice.joined import with_cheapest_joints
from service.choice.judging import case_of
from service.choice.worked import Worked, best_of, work_deck
from service.comparison.result import STATUS_RANK

MOST_TRIED = 12  # frames of one level, the best first, that are tried beside those of the others
BESIDE_ANOTHER = "levels stand side by side: each is the best by itself, and one of them gave way to another"


def side_by_side(decisions: Sequence[Decision]) -> tuple[tuple[Decision, ...], Worked]:
    """Return the decision of every level, and the deck of all of them judged as one.

    Where together they ask for more than each by itself, the next best frames of one level are tried in its place.
    Every level has a frame.
    """
    chosen = [one.chosen for one in decisions if one.chosen is not None]
    objective = decisions[0].objective
    deck = _deck(chosen, objective)
    alone = max(STATUS_RANK[one.verdict.status] for one in chosen)
    if len(chosen) == 1 or STATUS_RANK[deck.verdict.status] <= alone:
        return tuple(decisions), chosen[0] if len(chosen) == 1 else deck
    ways = [((), deck), *_others(decisions, chosen, alone)]
    best = best_of([one for _, one in ways], objective)
    taken = next(found for found, one in ways if one is best)
    return tuple(_with(one, dict(taken).get(place)) for place, one in enumerate(decisions)), best or deck


Taken = tuple[tuple[int, Found], ...]  # of which level, another frame


def _deck(parts: Sequence[Worked], objective: str) -> Worked:
    return with_cheapest_joints(work_deck([level for one in parts for level in one.levels]), objective)


def _others(
    decisions: Sequence[Decision], chosen: Sequence[Worked], alone: int
) -> Iterator[tuple[Taken, Worked]]:
    """For each level the first of its next frames that goes with the others."""
    for place, decision in enumerate(decisions):
        for found in _next_of(decision):
            parts = [found.worked if number == place else one for number, one in enumerate(chosen)]
            deck = _deck(parts, decision.objective)
            if STATUS_RANK[deck.verdict.status] <= alone:
                yield ((place, found),), deck
                break


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

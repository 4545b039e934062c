"""Other frames of the deck answered: those best in something, the other way of support, the nearest that stands."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, zip_longest

from service.choice.alternatives import Bound, Offer, Told, alternative, bounded, worth_telling
from service.choice.beside import Answered, figures_of
from service.choice.best_first import ObjectiveWord, Order
from service.choice.decide import Decision
from service.choice.described import differences, summary
from service.choice.judging import best_within
from service.choice.worked import Worked
from service.contract.report_choice import Alternative

Frame = tuple[int, Worked]  # of which level, and as a deck by itself


def alternatives(answered: Answered, *, sought: bool = True) -> tuple[Alternative, ...]:
    """Return at most eight other frames, none as good in everything as another.

    First the nearest frame that stands where the one answered does not, then the other way of support, then those
    that are best in something, if they are ``sought``. Of a deck of several levels each is of one level, and says so:
    the others stay.
    """
    of_levels = [_offers(answered, number, sought) for number in range(len(answered.decisions))]
    in_turn = (one for turn in zip_longest(*of_levels) for one in turn if one is not None)
    told = worth_telling(answered.figures, in_turn)
    return tuple(
        alternative(answered.figures, answered.whole, answered.currency, offer, _told(answered, offer.frame))
        for offer in told
    )


def _told(answered: Answered, frame: Frame) -> Told:
    number, worked = frame
    level = f"level {answered.cases[number].level.id}: " if len(answered.decisions) > 1 else ""
    return Told(level + summary(worked), tuple(differences(answered.parts[number], worked)))


def _offer(answered: Answered, number: int, worked: Worked, because: str = "") -> Offer[Frame]:
    parts = [worked if place == number else part for place, part in enumerate(answered.parts)]
    return Offer(figures_of(answered.deck(parts), parts), (number, worked), because)


def _offers(answered: Answered, number: int, sought: bool) -> Iterator[Offer[Frame]]:
    decision, ours = answered.decisions[number], answered.parts[number]
    if decision.nearest is not None:
        yield _offer(
            answered, number, decision.nearest, "The nearest frame that stands, with sizes free to choose."
        )
    for one in _other_ways(decision, ours):
        yield _offer(answered, number, one, f"The other way of support: {_way(one)}.")
    if sought:
        yield from chain(_cheapest(answered, number), _bounded(answered, number))


def _way(worked: Worked) -> str:
    return "hung on the house" if worked.attached else "free-standing"


def _other_ways(decision: Decision, ours: Worked) -> Iterator[Worked]:
    """The other options; one that may not be built only where ours may not be either."""
    for option in decision.options:
        other = option.worked
        if other is not None and other is not ours and _may_be_told(other, ours):
            yield other


def _may_be_told(other: Worked, ours: Worked) -> bool:
    return other.verdict.status != "not_permitted" or ours.verdict.status == "not_permitted"


def _cheapest(answered: Answered, number: int) -> Iterator[Offer[Frame]]:
    """The cheapest frame, where another objective chose."""
    if answered.decisions[number].objective not in ("fewest_footings", "stiffness"):
        return
    found = best_within(answered.ways[number], Order("cost"), answered.judge, widen=False)
    if found is not None:
        yield _offer(answered, number, found.worked, "The cheapest frame.")


def _bounded(answered: Answered, number: int) -> Iterator[Offer[Frame]]:
    """The best within bounds, of a level framed in one direction: parts are not weighed together."""
    ways = [way for way in answered.ways[number] if len(way.searches) == 1]
    objective: ObjectiveWord = "no_prices" if answered.currency is None else "cost"

    def seek(bound: Bound) -> Offer[Frame] | None:
        of_level = _of_level(answered, number, bound)
        found = best_within(ways, Order(objective, of_level.mask), answered.judge, widen=False)
        return None if found is None else _offer(answered, number, found.worked)

    if ways:
        yield from bounded(answered.figures, seek)


def _of_level(answered: Answered, number: int, bound: Bound) -> Bound:
    """A bound of the whole deck's footings as one of a level's: all but those a field counts stay as they are."""
    if bound.most_footings is None:
        return bound
    others = answered.figures.footings - answered.counted(number)
    return bound._replace(most_footings=bound.most_footings - others)

"""A deck answered, and the same deck with another frame on one or more of its levels, judged as a whole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from service.choice.case import Case
from service.choice.decide import Decision
from service.choice.described import whole_cost
from service.choice.figures import UNIT, Figures
from service.choice.found import STIFFEST_WITHIN, together
from service.choice.frame_price import FramePrice
from service.choice.judging import Judge, Way, case_of, ways_of
from service.choice.list_prices import whole
from service.choice.worked import Worked, work_deck
from service.contract.money import Money


@dataclass(frozen=True)
class Answered:
    """The deck answered: a decision a level, and all of them together; frames that were judged are remembered."""

    decisions: tuple[Decision, ...]
    chosen: Worked
    judge: Judge = field(default_factory=Judge)

    def __post_init__(self) -> None:
        for decision in self.decisions:
            for option in decision.options:
                if option.worked is not None:
                    self.judge.knows(case_of(option.worked), option.worked)

    @cached_property
    def parts(self) -> tuple[Worked, ...]:
        """Each level as a deck by itself."""
        return tuple(one.chosen for one in self.decisions if one.chosen is not None)

    @cached_property
    def cases(self) -> tuple[Case, ...]:
        """The case of each level."""
        return tuple(case_of(part) for part in self.parts)

    @cached_property
    def ways(self) -> tuple[tuple[Way, ...], ...]:
        """The ways of support that frames of each level may be taken from."""
        return tuple(ways_of(decision) for decision in self.decisions)

    @cached_property
    def figures(self) -> Figures:
        """What it is compared by."""
        return figures_of(self.chosen, self.parts)

    @property
    def proven(self) -> bool:
        """Whether it is proven to be the best."""
        return all(one.found is not None and one.found.proven for one in self.decisions)

    @property
    def currency(self) -> str | None:
        """Of every cost; null without a price book."""
        prices = self.cases[0].context.prices
        return prices.currency if prices else None

    @cached_property
    def whole(self) -> Money | None:
        """What it costs, order and footings."""
        return whole_cost(self.chosen)

    def deck(self, parts: Sequence[Worked]) -> Worked:
        """Return the deck of other frames, judged as one."""
        if len(parts) == 1:
            return parts[0]
        return work_deck([level for part in parts for level in part.levels])

    def counted(self, number: int) -> int:
        """Return how many footings of the frame answered the fields of a level count."""
        found = self.decisions[number].found
        return sum(one.footings for one in found.candidates) if found else 0

    def most(self, cheapest: Worked) -> int:
        """Return the most that the stiffest frame may cost, as frames are compared; the ceiling is for the order."""
        total = cheapest.price.total if cheapest.price else 0
        ceiling, ordered, ours = (
            self.cases[0].spec.framing.cost_ceiling,
            self.chosen.takeoff.total,
            self.figures.cost,
        )
        if ceiling is None or ordered is None or ours is None:
            return int(total * STIFFEST_WITHIN)
        return ours + int((Decimal(ceiling.amount) - Decimal(ordered.amount)) * UNIT)


def price_of(deck: Worked, parts: Sequence[Worked]) -> FramePrice | None:
    """Return what a deck is compared by, its footings as the deck has them; ``parts`` are its levels as searched for.

    Footings of stairs and heavy objects, and those of several levels as one job, are known of the whole deck alone.
    None where a level was not searched for.
    """
    prices = [part.price for part in parts if part.price is not None]
    if len(prices) < len(parts):
        return None
    price = together(prices)
    if deck.levels[0].case.context.prices is None:
        return price
    cost = deck.method.cost if deck.method else None
    if cost is None:
        return price._replace(complete=False)
    return price._replace(footings=whole(cost.likely))


def figures_of(deck: Worked, parts: Sequence[Worked]) -> Figures:
    """Return what a deck is compared by; ``parts`` are its levels, each as it was searched for."""
    price = price_of(deck, parts)
    priced = deck.levels[0].case.context.prices is not None and price is not None and price.complete
    bends = [part.deflection_in for part in parts if part.deflection_in is not None]
    rooms = [level.clearance.lowest_beam_above_grade_in for level in deck.frame.levels]
    return Figures(
        deck.verdict.status,
        price.total if priced and price else None,
        deck.footings,
        deck.days,
        max(bends, default=None),
        min((room for room in rooms if room is not None), default=None),
    )

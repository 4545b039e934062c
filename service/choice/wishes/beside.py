"""A deck answered, and the same deck with another frame on one or more of its levels, judged as a whole."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cached_property
from typing import NamedTuple

from service.checks.verdict import verdict
from service.choice.level.case import Case
from service.choice.level.frame_price import FramePrice
from service.choice.level.list_prices import MONEY, whole
from service.choice.level.worked import Worked, work_deck
from service.choice.search.decide import Decision, away_suffices
from service.choice.search.found import most_of, together
from service.choice.wishes.described import whole_cost
from service.choice.wishes.figures import Figures, change
from service.choice.wishes.judging import Judge, Way, case_of, ways_of
from service.contract.money import Money, money
from service.contract.report import DesignReport
from service.contract.report_comparison import Status

SAWN, OTHER_MATERIAL = "sawn_lumber", "material_not_in_rulebook"


class Shown(NamedTuple):
    """The deck as it is answered where that is not in sawn lumber: what it costs more than the frame it stands for."""

    material: str
    verdict: Status
    cost_change: Decimal | None
    subtotal: Money | None


def shown_of(report: DesignReport) -> Shown | None:
    """Return in which other material a deck is answered; None for sawn lumber."""
    option = next((one for one in report.material_options if one.already and one.members), None)
    if option is None:
        return None
    more = None if option.cost_change is None else Decimal(option.cost_change.amount)
    return Shown(option.material, report.verdict.status, more, report.takeoff.subtotal)


class Priced(NamedTuple):
    """How a way of support stands, what it costs, and how much more than the one answered; null where not known."""

    verdict: Status
    cost: Money | None = None
    cost_change: Money | None = None


@dataclass(frozen=True)
class Answered:
    """The deck answered: a decision a level, and all of them together; frames that were judged are remembered.

    ``chosen`` is of sawn lumber, as is every frame it is compared with; ``shown`` says what else it is answered in.
    """

    decisions: tuple[Decision, ...]
    chosen: Worked
    shown: Shown | None = None
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
    def sawn(self) -> Figures:
        """What it is compared by in sawn lumber."""
        return figures_of(self.chosen, self.parts)

    @cached_property
    def figures(self) -> Figures:
        """What it is compared by as it is answered: how much a section gives is not told."""
        sawn, shown = self.sawn, self.shown
        if shown is None:
            return sawn
        known = sawn.cost is not None and shown.cost_change is not None
        cost = (sawn.cost or 0) + int((shown.cost_change or 0) * MONEY) if known else None
        return replace(sawn, verdict=shown.verdict, cost=cost, deflection_in=None)

    @property
    def proven(self) -> bool:
        """Whether it is proven to be the best."""
        return all(one.found is not None and one.found.proven for one in self.decisions)

    @cached_property
    def one_way(self) -> bool:
        """Whether joists along the house were not tried on a level: those away from it do as well as any."""
        return any(_away_alone(case, part) for case, part in zip(self.cases, self.parts, strict=True))

    @property
    def currency(self) -> str | None:
        """Of every cost; null without a price book."""
        prices = self.cases[0].context.prices
        return prices.currency if prices else None

    @property
    def whole(self) -> Money | None:
        """What it costs as it is answered, order and footings; null where a price of these is not known."""
        return self.known_whole if _all_priced(self.chosen) else None

    @cached_property
    def known_whole(self) -> Money | None:
        """The same by the prices that are known."""
        sawn, own = whole_cost(self.chosen), self.chosen.takeoff.subtotal
        if self.shown is None or sawn is None or own is None:
            return sawn
        order = self.shown.subtotal
        return order and _more(sawn, Decimal(order.amount) - Decimal(own.amount))

    def priced(self, decision: Decision, worked: Worked) -> Priced:
        """Return what a way of support of one level costs, counted as all other frames are.

        The one answered costs its order and its footings, another one what frames are compared by more. Of several
        levels it is that level's by itself.
        """
        ours = decision.chosen
        alone = len(self.parts) == 1
        if ours is None or (self.shown is not None and not alone):
            return Priced(status_in_sawn(worked))
        base = self.whole if alone else whole_cost(ours) if _all_priced(ours) else None
        own = self.figures if alone else figures_of(ours, [ours])
        other = own if worked is ours else figures_of(worked, [worked])
        moved = change(own, other).cost
        if moved is None or self.currency is None:
            return Priced(other.verdict)
        return Priced(other.verdict, base and _more(base, moved), money(self.currency, moved))

    def deck(self, parts: Sequence[Worked]) -> Worked:
        """Return the deck of other frames, judged as one."""
        if len(parts) == 1:
            return parts[0]
        deck = work_deck([level for part in parts for level in part.levels])
        self.judge.effort.judged(deck.footings)
        return deck

    def counted(self, number: int) -> int:
        """Return how many footings of the frame answered the fields of a level count."""
        found = self.decisions[number].found
        return sum(one.footings for one in found.candidates) if found else 0

    def most(self, number: int) -> Callable[[Worked], int]:
        """Return what the stiffest frame of a level may cost at most; the ceiling is for the order.

        It is in the money of the search, which leaves out footings of stairs and heavy objects.
        """
        ceiling, ordered = self.cases[0].spec.framing.cost_ceiling, self.chosen.takeoff.total
        ours = self.parts[number].price

        def within(cheapest: Worked) -> int:
            if ceiling is None or ordered is None or ours is None:
                return most_of(cheapest) or 0
            return ours.total + int((Decimal(ceiling.amount) - Decimal(ordered.amount)) * MONEY)

        return within


def _away_alone(case: Case, part: Worked) -> bool:
    if case.spec.framing.joist_direction != "auto" or not away_suffices(case, part):
        return False
    layouts = (one for level in part.levels for one in level.layouts)
    return all(one.region.axes.away for one in layouts)


def _all_priced(deck: Worked) -> bool:
    """Whether every line of a deck's order and of its footings has a price."""
    total = deck.takeoff.total
    return total is not None and total.complete and not unpriced(deck)


def _more(amount: Money, more: Decimal) -> Money:
    return money(amount.currency, Decimal(amount.amount) + more)


def status_in_sawn(deck: Worked) -> Status:
    """Return how a frame of sawn lumber stands, whatever material the spec asks for."""
    case, judged = deck.levels[0].case, deck.judged
    material = case.spec.framing.material
    if material == SAWN:
        return deck.verdict.status
    # The same code is said of a species without tables, which stays.
    of_material = [one for one in judged.reasons if one.code == OTHER_MATERIAL and material in one.text]
    reasons = tuple(one for one in judged.reasons if one not in of_material)
    limit = case.criteria.rulebook.in_force_settings.calculated_engineer_ratio
    return verdict(replace(judged, reasons=reasons), limit).status


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
        status_in_sawn(deck),
        price.total if priced and price else None,
        deck.footings,
        deck.days,
        max(bends, default=None),
        min((room for room in rooms if room is not None), default=None),
        () if priced else unpriced(deck),
        deck.method.method if deck.method else None,
    )


def unpriced(deck: Worked) -> tuple[str, ...]:
    """Return the items of a deck's order and footings that its price book does not price; none without a book."""
    if deck.levels[0].case.context.prices is None:
        return ()
    footings = (line.item for line in deck.method.lines if line.extended is None) if deck.method else ()
    return tuple(dict.fromkeys((*(line.item for line in deck.takeoff.unpriced), *footings)))

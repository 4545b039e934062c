"""How the frame answered was found, as the report tells it."""

from __future__ import annotations

from collections.abc import Sequence

from service.choice.beside import price_of
from service.choice.decide import Decision
from service.choice.worked import Worked
from service.contract.report_choice import ObjectiveCost, Search
from service.rules.price_book import PriceBook

ORDERS = {
    "cost": ("cost", "footings"),
    "fewest_footings": ("footings", "cost"),
    "stiffness": ("deflection within the ceiling of cost", "cost"),
    "no_prices": ("footings", "board feet"),
}
ALWAYS_FIRST = (
    "verdict",
    "rows that joists lie on both sides of, stairs on footings of their own",
    "standing of the footings",
    "prices missing",
)
ALWAYS_LAST = ("depth of joist and beam", "sizes by name", "where beams stand", "where posts stand")


def search_told(decisions: Sequence[Decision], chosen: Worked, prices: PriceBook | None) -> Search | None:
    """Return how the frames of all levels were found, added up; None where a level has none.

    ``chosen`` is the deck of all of them.
    """
    found = [one.found for one in decisions]
    known = [one for one in found if one is not None]
    if len(known) < len(decisions):
        return None
    open_points = [one.why_not_proven for one in known if not one.proven]
    candidates = [candidate for one in known for candidate in one.candidates]
    return Search(
        frames=sum(one.frames for one in known),
        standing=sum(one.standing for one in known),
        worked_out=sum(one.judged for one in known),
        proven=not open_points,
        why_not_proven="; ".join(dict.fromkeys(open_points)) or None,
        order=(*ALWAYS_FIRST, *ORDERS[decisions[0].objective], *ALWAYS_LAST),
        cost=_cost(chosen, [one.worked for one in known], prices),
        deflection_in=max(one.deflection_in for one in candidates),
        head_room_in=min(one.head_room_in for one in candidates),
    )


def _cost(deck: Worked, parts: Sequence[Worked], prices: PriceBook | None) -> ObjectiveCost | None:
    price = price_of(deck, parts)
    return None if prices is None or price is None else price.on_the_wire(prices.currency)

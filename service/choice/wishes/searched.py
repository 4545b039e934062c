"""How the frame answered was found, as the report tells it."""

from __future__ import annotations

from service.choice.wishes.beside import Answered, price_of
from service.choice.wishes.wishes import left_aside
from service.contract.report_choice import ObjectiveCost, Search

ORDERS = {
    "cost": ("cost",),
    "fewest_footings": ("footings", "cost"),
    "stiffness": ("deflection within the ceiling of cost", "cost"),
    "no_prices": ("footings", "board feet"),
}
OF_LEVELS = "levels share one footing method: each is the best by itself, not proven together"
ALWAYS_FIRST = (
    "verdict",
    "members by tables before those an engineer has to look at",
    "rows that joists lie on both sides of, stairs on footings of their own",
    "standing of the footings",
    "prices missing",
)
ALWAYS_LAST = (
    "footings",
    "deflection",
    "board feet",
    "depth of joist and beam",
    "sizes by name",
    "where beams stand",
    "where posts stand",
)


def search_told(answered: Answered) -> Search | None:
    """Return how the frames of all levels were found, added up; None where a level has none."""
    decisions = answered.decisions
    known = [one.found for one in decisions if one.found is not None]
    if len(known) < len(decisions):
        return None
    open_points = [one.why_not_proven for one in known if not one.proven]
    if len(known) > 1:
        open_points.append(OF_LEVELS)
    candidates = [candidate for one in known for candidate in one.candidates]
    return Search(
        frames=sum(one.frames for one in known),
        standing=sum(one.standing for one in known),
        worked_out=sum(one.judged for one in known),
        proven=not open_points,
        why_not_proven="; ".join(dict.fromkeys(open_points)) or None,
        order=tuple(dict.fromkeys((*ALWAYS_FIRST, *ORDERS[decisions[0].objective], *ALWAYS_LAST))),
        cost=_cost(answered),
        deflection_in=None if answered.shown else max(one.deflection_in for one in candidates),
        head_room_in=min(one.head_room_in for one in candidates),
        left_aside=left_aside(answered.cases[0].spec, one_way=answered.one_way),
    )


def _cost(answered: Answered) -> ObjectiveCost | None:
    price = price_of(answered.chosen, answered.parts)
    return None if answered.currency is None or price is None else price.on_the_wire(answered.currency)

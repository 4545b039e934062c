"""What posts that go down to pads in the ground cost beyond ordinary ones, which the frame's own order has."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from service.comparison.bought import Bought
from service.foundations.method import Sized
from service.framing.heights import CAP_SEAT_IN, STAND_OFF_IN
from service.rules.price_book import PriceBook
from service.sizing.criteria import Criteria
from service.takeoff.framing_parts import BURIED_METHODS
from service.takeoff.items import post, treatment
from service.takeoff.ladders import share_of_board
from service.takeoff.pricing import for_sale, line_total
from service.takeoff.stand_ins import stand_in


def longer_posts(sized: Sequence[Sized], criteria: Criteria, prices: PriceBook | None) -> Iterator[Bought]:
    """Yield a line for the added lineal feet of every kind of post; nothing for methods that have posts on top.

    Source: each length at the stock it is cheapest from (``service.takeoff.ladders``), the ordinary one taken off.

    >>> list(longer_posts((), criteria, None))
    []
    """
    added: dict[str, list[tuple[float, Decimal | None]]] = {}
    for one in sized:
        if one.footing.method in BURIED_METHODS:
            short_in, long_in = _cut_lengths_in(one)
            item = stand_in(prices, _item(one.demand.post_size, criteria), long_in)
            added.setdefault(item, []).append(
                ((long_in - short_in) / 12.0, _more(prices, item, short_in, long_in))
            )
    for item, every in added.items():
        amounts = [amount for _, amount in every if amount is not None]
        yield Bought(
            item=item,
            quantity=sum(feet for feet, _ in every),
            unit="lineal_ft",
            per_footing=True,
            # Posts come in lengths: what a foot more costs is not the same everywhere.
            extended=line_total(sum(amounts, Decimal(0)), 1.0) if len(amounts) == len(every) else None,
        )


def _item(size: str, criteria: Criteria) -> str:
    use = treatment(criteria.species, ground_contact=True, structural_post=True)
    return post(size, criteria.species, criteria.grade, use)


def _cut_lengths_in(one: Sized) -> tuple[float, float]:
    """The post as it would stand on a pier, and down to its pad."""
    demand = one.demand
    down_in = demand.grade_height_in + demand.top_above_grade_in - one.footing.top_height_in
    on_pier_in = max(0.0, demand.post_height_in - STAND_OFF_IN - CAP_SEAT_IN)
    return on_pier_in, demand.post_height_in + down_in - CAP_SEAT_IN


def _more(prices: PriceBook | None, item: str, short_in: float, long_in: float) -> Decimal | None:
    offers = [(line.length_ft, line.unit_price) for line in for_sale(prices, item) if line.length_ft]
    short, long = (share_of_board(offers, length_in) for length_in in (short_in, long_in))
    return None if short is None or long is None else long - short

"""The concrete of a method: whole bags over the job, or the truck with its least load and its fee."""

from __future__ import annotations

from decimal import Decimal

from service.comparison.bought import Bought
from service.rules.price_book import PriceBook, PriceLine
from service.takeoff.concrete import (
    BAG_SIZES_LB,
    READY_MIX,
    SHORT_LOAD,
    USUAL_BAG_LB,
    WASTE_PERCENT,
    bag_item,
    bags,
    loads_cuyd,
)
from service.takeoff.pricing import for_sale, line_total

# Common practice: formed holes lose little, loose ground much.
LEAST_WASTE_PERCENT, MOST_WASTE_PERCENT = 5.0, 25.0
CASES_PERCENT = (LEAST_WASTE_PERCENT, WASTE_PERCENT, MOST_WASTE_PERCENT)


def mixes(volume_cuft: float, supply: str, prices: PriceBook | None) -> list[tuple[Bought, ...]]:
    """Return every way to buy a volume from one supply, the cheapest first: bag by bag size, or the truck.

    The amounts are those of the order; the range is that of the waste.

    >>> [line.item for lines in mixes(5.0, "bagged", None) for line in lines]
    ['concrete.bag.60lb']
    """
    if supply == "ready_mix":
        return [_truck(volume_cuft, prices)]
    offers = [
        (_bagged(volume_cuft, size, lines[0]),)
        for size in BAG_SIZES_LB
        if (lines := for_sale(prices, bag_item(size)))
    ]
    if not offers:
        return [(Bought(bag_item(USUAL_BAG_LB), bags(volume_cuft, USUAL_BAG_LB), "bag", True),)]
    return sorted(offers, key=lambda way: way[0].extended or 0)


def _bagged(volume_cuft: float, bag_lb: int, line: PriceLine) -> Bought:
    counts = [bags(volume_cuft, bag_lb, waste) for waste in CASES_PERCENT]
    least, likely, most = (line_total(line.price_at(count), count) for count in counts)
    return Bought(
        item=line.item, quantity=counts[1], unit=line.unit, per_footing=True,
        unit_price=line.price_at(counts[1]), extended=likely, least=min(least, likely), most=max(likely, most),
    )  # fmt: skip


def _truck(volume_cuft: float, prices: PriceBook | None) -> tuple[Bought, ...]:
    mix = next(iter(for_sale(prices, READY_MIX)), None)
    fee = next(iter(for_sale(prices, SHORT_LOAD)), None)
    if mix is None:
        return (Bought(READY_MIX, loads_cuyd(volume_cuft), "cuyd", True),)
    least, (load, cost, charged), most = (_load(volume_cuft, waste, mix, fee) for waste in CASES_PERCENT)
    totals = [cost + charged, least[1] + least[2], most[1] + most[2]]
    # A fuller truck may be spared the fee, so the worse case of the waste need not be the dearer one.
    ready = Bought(
        item=READY_MIX, quantity=load, unit=mix.unit, per_footing=True, unit_price=mix.price_at(load),
        extended=cost, least=min(totals) - charged, most=max(totals) - charged,
    )  # fmt: skip
    if not charged:
        return (ready,)
    return (ready, Bought(SHORT_LOAD, 1, "lot", False, charged, charged))


def _load(
    volume_cuft: float, waste_percent: float, mix: PriceLine, fee: PriceLine | None
) -> tuple[float, Decimal, Decimal]:
    """The load in cubic yards with its price and its short-load fee."""
    load = loads_cuyd(volume_cuft, mix.pack_quantity or 0, waste_percent)
    short = fee is not None and load < (fee.pack_quantity or 0)
    return (
        load,
        line_total(mix.price_at(load), load),
        line_total(fee.price_at(1), 1) if fee and short else Decimal(0),
    )

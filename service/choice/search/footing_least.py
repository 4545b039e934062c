"""What a method of footings costs at least for some loads, or for any greater ones."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import lru_cache

from service.comparison.bought import NOTHING, Bought, bought
from service.comparison.result import MethodResult, Supplied, volume_cuft
from service.connections.posts import saddle_item
from service.rules.price_book import PriceBook
from service.takeoff.concrete import BAG_SIZES_LB, READY_MIX, SHORT_LOAD, bag_item, bags
from service.takeoff.pricing import for_sale, line_total

FORM, BAGS = "form.", "concrete.bag."
MAY_SHRINK = (
    "reinforcement.",
    "post.",
)  # a wider shaft needs no bars, a higher beam no longer post in the ground
PLIES = (1, 2, 3)


def least_cost(one: MethodResult, way: Supplied, prices: PriceBook | None, saddled: bool) -> Decimal:
    """What a method costs at least for these loads or greater ones.

    A fuller truck is spared the fee, wider shafts may need no bars, and tubes of one width are cut from fewer lengths
    than those of several.
    """
    likely = way.cost.likely if way.cost else NOTHING
    spared = sum(
        (line.extended - _for_more(one, line, prices) for line in way.lines if line.extended), NOTHING
    )
    spared += _spared_by_truck(way, prices) + _spared_by_tubes(one, way, prices)
    return likely - spared - (_spared_by_saddles(one, prices) if saddled else NOTHING)


def _spared_by_truck(way: Supplied, prices: PriceBook | None) -> Decimal:
    fee = next((line.extended for line in way.lines if line.item == SHORT_LOAD and line.extended), NOTHING)
    if not fee:
        return NOTHING
    mix = next(line for line in way.lines if line.item == READY_MIX)
    free = next(iter(for_sale(prices, SHORT_LOAD))).pack_quantity or 0
    fuller = Decimal(free) * (mix.unit_price or NOTHING) - (mix.extended or NOTHING)
    return max(NOTHING, fee - fuller)


def _spared_by_tubes(one: MethodResult, way: Supplied, prices: PriceBook | None) -> Decimal:
    tubes = [
        need for need in one.maker.needs(one.alike, one.site) if need.cuts_ft and need.item.startswith(FORM)
    ]
    if len(tubes) < 2:
        return NOTHING
    cuts = tuple(sorted((cut for need in tubes for cut in need.cuts_ft), reverse=True))
    alike = bought([replace(need, cuts_ft=cuts) for need in tubes], prices)
    paid = sum((line.extended or NOTHING for line in way.lines if line.item.startswith(FORM)), NOTHING)
    return max(NOTHING, paid - min(line.extended or NOTHING for line in alike))


def _for_more(one: MethodResult, line: Bought, prices: PriceBook | None) -> Decimal:
    """What a line comes to at least where as much or more is bought, of it or of a larger kind."""
    paid = line.extended or NOTHING
    if line.item.startswith(MAY_SHRINK):
        return NOTHING
    if line.item == SHORT_LOAD or line.item == READY_MIX:
        return paid
    if line.item.startswith(BAGS):
        return min(paid, _least_bagged(volume_cuft(one.alike), prices))
    return paid * _lowest_share(line.kind, prices)


def _least_bagged(volume: float, prices: PriceBook | None) -> Decimal:
    """The least that a volume, or more, costs in bags of any size."""
    found = []
    for size in BAG_SIZES_LB:
        least = bags(volume, size)
        for line in for_sale(prices, bag_item(size)):
            counts = (least, *(one.at_least for one in line.breaks if one.at_least > least))
            found += [line_total(line.price_at(count), count) for count in counts]
    return min(found)


@lru_cache(maxsize=256)  # a price book is compared by identity and never changes
def _lowest_share(kind: str, prices: PriceBook | None) -> Decimal:
    """The lowest price for many of any item of a kind against its price for one."""
    lines = (line for line in prices.lines if line.breaks) if prices else ()
    shares = [min(one.unit_price for one in line.breaks) / line.unit_price
              for line in lines if line.item.partition(".")[0] == kind and line.unit_price]  # fmt: skip
    return min((Decimal(1), *shares))


def _spared_by_saddles(one: MethodResult, prices: PriceBook | None) -> Decimal:
    """What is spared where beams sit on their piers in saddles instead of on posts in bases, if that costs less."""
    spared = NOTHING
    for need in one.maker.needs(one.alike, one.site):
        kind, *_, coating = need.item.split(".")
        if kind == "post_base":
            saddles = [replace(need, item=saddle_item("2x10", n, coating)) for n in PLIES]
            costs = [line.extended for line in bought([need, *saddles], prices) if line.extended is not None]
            spared += (costs[0] - min(costs)) if costs else NOTHING
    return spared

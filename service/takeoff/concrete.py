"""Concrete by volume, in bags or by the truck, with the forms it is poured in; and piles instead of it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from msgspec.structs import replace

from service.contract.ids import item
from service.contract.report_frame import Footing
from service.contract.report_order import ConcreteLine, Unpriced
from service.foundations.hardware import tube_length_in
from service.foundations.pile_needs import extension_item, extensions, lead_item
from service.rules.price_book import PriceBook
from service.takeoff.items import inches
from service.takeoff.needs import Need
from service.takeoff.parts import Part
from service.takeoff.pricing import extended, for_sale, priced, unpriced

WASTE_PERCENT = 10.0  # common practice
# 0.15 cu ft for 20 lb of dry mix: two how-to pages agree; the yield clause of ASTM C387 was not seen.
YIELD_CUFT_PER_LB = 0.0075
CUFT_PER_CUYD = 27.0
BAG_SIZES_LB = (80, 60, 50)
USUAL_BAG_LB = 60  # common practice
LOAD_STEP_CUYD = 0.25  # common practice
TRUCK_FROM_CUYD = 1.0  # common practice: what is mixed by hand, where no price decides
READY_MIX = item("concrete", "ready_mix", "3000psi")
SHORT_LOAD = item("fee", "ready_mix", "short_load")
NAMES = {"bagged": "bagged concrete", "ready_mix": "ready-mix"}
ASKED, CHEAPER_IN_ALL = "was asked for", "comes cheaper with its labour, hired machines and days"


@dataclass(frozen=True)
class Supply:
    """One way to have the concrete: its lines, its cost where all of it is priced, what has no price."""

    lines: tuple[ConcreteLine, ...]
    cost: Decimal | None
    unpriced: tuple[Unpriced, ...] = ()


def bags(volume_cuft: float, bag_lb: float, waste_percent: float = WASTE_PERCENT) -> int:
    """Return the whole bags for a volume in place.

    A 12 in tube, 32 in deep, takes six 60 lb bags with 10 % waste (common practice, no source).

    >>> bags(math.pi * 0.5**2 * 32 / 12, 60)
    6
    """
    needed = volume_cuft * (1 + waste_percent / 100) / (YIELD_CUFT_PER_LB * bag_lb)
    return math.ceil(round(needed, 6))


def concrete(
    footings: Sequence[Footing], prices: PriceBook | None, supply: str, asked: bool = True
) -> tuple[tuple[ConcreteLine, ...], tuple[Unpriced, ...]]:
    """Return the concrete of a job: the cheaper supply, or the one given.

    ``asked`` says that the caller asked for the one given; else it came cheaper with its labour, hire and days.
    Without prices, bags for less than a cubic yard and a truck from there on (common practice).
    """
    volume = sum(footing.concrete.volume_cuft for footing in footings if footing.concrete)
    if not volume:
        return (), ()
    ways = {"bagged": _bagged(volume, prices), "ready_mix": _ready_mix(volume, prices)}
    name, why = _cheaper(ways, volume)
    if supply in ways and (asked or supply != name):
        name, why = supply, f"{NAMES[supply]} {ASKED if asked else CHEAPER_IN_ALL}"
    because = f"{why}{_against(name, ways)}"
    return tuple(replace(line, because=because) for line in ways[name].lines), ways[name].unpriced


def supply_without_price(footings: Sequence[Footing], prices: PriceBook | None) -> str:
    """Return how concrete comes where the whole cost of no way is known: the cheaper mix, else by its volume."""
    lines, _ = concrete(footings, prices, "auto")
    return "ready_mix" if any(line.item == READY_MIX for line in lines) else "bagged"


def _cheaper(ways: Mapping[str, Supply], volume_cuft: float) -> tuple[str, str]:
    """The cheaper way and why; bags where both cost the same."""
    costs = {name: way.cost for name, way in ways.items() if way.cost is not None}
    if costs:
        name = min(costs, key=lambda one: costs[one])
        why = "costs less" if len(costs) == len(ways) else "is the only way the price book has a price for"
        return name, f"{NAMES[name]} {why}"
    truck = _with_waste(volume_cuft) / CUFT_PER_CUYD >= TRUCK_FROM_CUYD
    than = "from 1 cu yd on a truck comes" if truck else "less than 1 cu yd is mixed by hand"
    return ("ready_mix" if truck else "bagged"), f"no price decides: {than} (common practice)"


def _against(name: str, ways: Mapping[str, Supply]) -> str:
    """Both costs, where both are known."""
    mine, other = ways[name], next(way for one, way in ways.items() if one != name)
    if mine.cost is None or other.cost is None:
        return ""
    return f": {_told(mine)} against {_told(other)}"


def _told(way: Supply) -> str:
    """A way to have the concrete in words, with what it costs."""
    mix = way.lines[0]
    fee = " with the short-load fee" if len(way.lines) > 1 else ""
    amount = f"{mix.quantity:g} bags" if mix.unit == "bag" else f"{mix.quantity:g} cu yd by truck"
    return f"{amount}{fee} for {way.cost:.2f}"


def _with_waste(volume_cuft: float) -> float:
    return volume_cuft * (1 + WASTE_PERCENT / 100)


def _bagged(volume_cuft: float, prices: PriceBook | None) -> Supply:
    sizes = [size for size in BAG_SIZES_LB if for_sale(prices, bag_item(size))]
    offers = [_supply(bag_item(size), bags(volume_cuft, size), "bag", volume_cuft, prices) for size in sizes]
    if offers:
        return min(offers, key=lambda way: way.cost or Decimal(0))
    count = bags(volume_cuft, USUAL_BAG_LB)
    return _supply(bag_item(USUAL_BAG_LB), count, "bag", volume_cuft, prices)


def bag_item(bag_lb: int) -> str:
    """Return the item of a bag of dry mix.

    >>> bag_item(60)
    'concrete.bag.60lb'
    """
    return item("concrete", "bag", f"{bag_lb}lb")


def loads_cuyd(volume_cuft: float, least_cuyd: float = 0.0, waste_percent: float = WASTE_PERCENT) -> float:
    """Return what to order by the truck: with waste, up to the next quarter yard, at least the minimum.

    >>> loads_cuyd(21.6), loads_cuyd(5.0, least_cuyd=1.0)
    (1.0, 1.0)
    """
    wanted = round(volume_cuft * (1 + waste_percent / 100) / CUFT_PER_CUYD / LOAD_STEP_CUYD, 6)
    return max(math.ceil(wanted) * LOAD_STEP_CUYD, least_cuyd)


def _ready_mix(volume_cuft: float, prices: PriceBook | None) -> Supply:
    """By the truck. The pack quantity of ready-mix is the least a supplier brings; that of the short-load fee
    is the load from which there is no fee.
    """
    lines = for_sale(prices, READY_MIX)
    load = loads_cuyd(volume_cuft, (lines[0].pack_quantity or 0) if lines else 0)
    mix = _supply(READY_MIX, load, "cuyd", volume_cuft, prices)
    fees = for_sale(prices, SHORT_LOAD)
    if mix.cost is None or not fees or load >= (fees[0].pack_quantity or 0):
        return mix
    fee = _supply(SHORT_LOAD, 1, "lot", 0.0, prices)
    return Supply((*mix.lines, *fee.lines), mix.cost + (fee.cost or 0), mix.unpriced)


def _supply(code: str, quantity: float, unit: str, volume_cuft: float, prices: PriceBook | None) -> Supply:
    lines = for_sale(prices, code)
    cost = extended(prices, lines[0], quantity) if prices and lines else priced(None, code, quantity, unit)
    line = ConcreteLine(
        item=code,
        quantity=quantity,
        unit=cost.unit,
        volume_cuft=volume_cuft,
        waste_percent=WASTE_PERCENT if volume_cuft else 0.0,
        sku=cost.sku,
        unit_price=cost.unit_price,
        extended=cost.extended,
        availability=cost.availability,
    )
    missing = unpriced(prices, code, quantity, unit) if cost.extended is None else None
    known = Decimal(cost.extended.amount) if cost.extended else None
    return Supply((line,), known, (missing,) if missing else ())


def form_parts(footings: Sequence[Footing]) -> Iterator[Part]:
    """Yield the tubes round concrete is poured in, from its base or bell to its top."""
    for footing in footings:
        shaft = footing.concrete.shaft_diameter_in if footing.concrete else None
        if footing.concrete and shaft:
            yield Part(
                item("form", inches(shaft), "tube"),
                tube_length_in(footing.length_in, footing.concrete),
                footing.id,
            )


def bell_forms(footings: Sequence[Footing]) -> Iterator[Need]:
    """Yield the form of every bell, named by its base."""
    for footing in footings:
        concrete = footing.concrete
        if concrete and concrete.bell_height_in and concrete.base_size_in:
            yield Need(item("form", inches(concrete.base_size_in), "bell"), 1, footing.id, "piece")


def piles(footings: Sequence[Footing]) -> Iterator[Need]:
    """Yield a pile and its extensions for every footing that is one; caps come with the connectors."""
    for footing in footings:
        if footing.pile:
            yield Need(lead_item(footing.pile), 1, footing.id)
            yield Need(extension_item(footing.pile), extensions(footing.pile), footing.id)

"""A lower bound of what footings cost, from the least loads that they carry.

Every method's every footing is made as it would be where it has least to do: on level ground far from the house,
under a post of each size, for the size of base its load asks for and every wider one that is made here (every pile
and every block offered). A greater load may come cheaper: where a straight pier would be too wide, a narrow one
stands on a base. Of these the cheapest counts, at the lowest price the book has for any quantity,
without whole packs or stock lengths; what is paid once, and the crew's time for that number of footings, are added.
No real footing costs less:

- more load asks for no smaller base, and of no base is the thickness under that of the least cell. From a size tried
  to the next only the concrete of the base grows; with its thickness cost goes in a straight line up to the depth of
  the hole, so both ends are tried; bars are left out;
- a slope, a house nearby and a saddle's height only add depth and so concrete, form and digging;
- whole bags, whole stock lengths, whole days and a truck's least load only add; a price that falls with the quantity
  is never under the lowest price of the book;
- days and hours grow with the number of footings and with their holes; where the season decides between mild and
  cold weather the cheaper of both counts.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR, Decimal
from functools import cached_property
from itertools import product

from service.choice.list_prices import MONEY
from service.comparison.bought import FEE, lines_for, whole_days
from service.comparison.compare import Job, methods_of, supplies_of
from service.comparison.cost import CrewTime, times
from service.comparison.digging import dig_share
from service.comparison.network import COLD
from service.comparison.result import LESSER_SERVICE
from service.comparison.schedule import LIKELY, Timetable, timetable
from service.contract.ids import item
from service.contract.report_comparison import CodedText
from service.foundations.demand import Demand
from service.foundations.facts import DUG
from service.foundations.method import CannotServe, FootingMethod, Need, Sized
from service.foundations.methods.helical_pile import strictest_policy
from service.foundations.site import Site
from service.framing.heights import SHORTEST_POST_IN
from service.rules.price_book import PriceLine
from service.sizing.footings import LEAST_THICKNESS_IN, FootingSize
from service.takeoff.concrete import (
    BAG_SIZES_LB,
    READY_MIX,
    SHORT_LOAD,
    WASTE_PERCENT,
    YIELD_CUFT_PER_LB,
    bag_item,
    loads_cuyd,
)
from service.takeoff.items import plies
from service.takeoff.pricing import for_sale, line_total

PLIES = (1, 2, 3)
PILE = "helical_pile"
FAR_FT = 1e6  # from the house: no footing there is dug any deeper for it
SEATS = ("post_base", "saddle", "pile_cap")
BARS = "reinforcement"
# What a sum of lines rounded to the cent may be short of its exact amount, for each footing.
ROUNDING = Decimal("0.05")
NOTHING = Decimal(0)


@dataclass(frozen=True)
class SizedSite(Site):
    """A place where every footing is of one size, whatever its load."""

    given: FootingSize | None = None

    def footing_size(self, demand: Demand) -> FootingSize | CodedText:
        """Return the size given."""
        return self.given or super().footing_size(demand)


@dataclass(frozen=True)
class _Tried:
    """The least footings of one method that a load may ask for, one of each kind."""

    method: FootingMethod
    kinds: tuple[Sized, ...]

    @property
    def may_be_plain(self) -> bool:
        """Whether any of them is without a word against it, and the method of full service."""
        plain = any(not (one.engineer or one.blocked) for one in self.kinds)
        return plain and self.method.name not in LESSER_SERVICE

    @property
    def pours(self) -> bool:
        """Whether any of them needs concrete."""
        return any(_volume_cuft(one) for one in self.kinds)

    @cached_property
    def volume_cuft(self) -> float:
        """The least concrete of one."""
        return min(_volume_cuft(one) for one in self.kinds)


class FootingBound:
    """The least cost of footings under posts of these sizes; ``saddles`` says that beams may sit on piers."""

    def __init__(self, job: Job, post_sizes: Sequence[str], saddles: bool = True) -> None:
        self._job, self._post_sizes, self._saddles = job, post_sizes, saddles
        self._methods = methods_of(job) if job.prices is not None else ()
        self._known: dict[tuple[tuple[float, ...], bool], int] = {}
        self._tried: dict[tuple[object, ...], _Tried] = {}
        self._eaches: dict[tuple[int, str], Decimal | None] = {}

    def least(self, loads_lb: Sequence[float], attached: bool) -> int:
        """Return what no footings under such loads, or greater ones, cost less than, 1/10000 of the currency.

        It holds for footings with nothing against them where any method can have such: others stand behind those
        whatever they cost. It is 0 without prices. ``attached`` says whether the deck hangs on the house.
        """
        key = (tuple(sorted(loads_lb)), attached)
        if key not in self._known:
            sets = (
                [[self._of(one, load, attached) for load in key[0]] for one in self._methods]
                if loads_lb
                else []
            )
            served = [one for one in sets if all(tried.kinds for tried in one)]
            wanted = self._job.spec.foundation.method
            plain = [
                one for one in served if one[0].method.name == wanted or all(t.may_be_plain for t in one)
            ]
            only_pinned = all(one[0].method.name == wanted for one in plain)
            costs = [cost for one in (served if only_pinned else plain) for cost in self._costs(one)]
            least = min(costs, default=NOTHING) - len(loads_lb) * ROUNDING
            self._known[key] = max(0, int((least * MONEY).to_integral_value(ROUND_FLOOR)))
        return self._known[key]

    def _of(self, method: FootingMethod, load_lb: float, attached: bool) -> _Tried:
        """What a method may have under a load, or a greater one; of loads that ask for the same size once."""
        site = self._job.site
        asked = [self._asked(size, load_lb, attached) for size in self._post_sizes]
        key: tuple[object, ...] = (method.name, attached, load_lb)
        if _made_by_size(method):
            size = site.footing_size(asked[0])
            key = (
                method.name,
                attached,
                None if isinstance(size, CodedText) else (size.round_in, size.square_in),
            )
        if key not in self._tried:
            self._tried[key] = _Tried(method, tuple(self._kinds(method, asked)))
        return self._tried[key]

    def _asked(self, post_size: str, load_lb: float, attached: bool) -> Demand:
        return Demand("least", "F", "least", "least", 0.0, FAR_FT, load_lb, load_lb, post_size, 0.0, attached,
                      wall_distance_ft=FAR_FT, post_height_in=SHORTEST_POST_IN, beam_plies=1)  # fmt: skip

    def _kinds(self, method: FootingMethod, asked: Sequence[Demand]) -> Iterator[Sized]:
        """Every footing of a method where it has least to do; none where it is refused whatever the load."""
        blocks = self._saddles and not _made_by_size(method) and method.name != PILE
        on_piers = (
            replace(one, post=None, seat=plies(n), post_height_in=0.0) for one in asked for n in PLIES
        )
        for demand in (*asked, *(on_piers if blocks else ())):
            for site, load_lb in self._sites(method, demand):
                found = method.size(replace(demand, sizing_load_lb=load_lb), site)
                if not isinstance(found, CannotServe):
                    yield found

    def _sites(self, method: FootingMethod, demand: Demand) -> Iterator[tuple[Site, float]]:
        """Places and loads that bring out every footing a method has for this load and for greater ones."""
        job, load_lb = self._job, demand.sizing_load_lb
        if _made_by_size(method):
            sizes = _sizes(job.site, demand)
            yield from ((SizedSite(job.criteria, job.facts, one), load_lb) for one in sizes)
        elif method.name == PILE:
            yield from ((job.site, max(load_lb, choice.chosen_by_lb)) for choice in job.site.piles)
        else:
            for block in job.facts.pier_blocks:
                yield Site(job.criteria, replace(job.facts, pier_blocks=(block,))), load_lb

    def _costs(self, tried: Sequence[_Tried]) -> Iterator[Decimal]:
        """What such footings of one method cost at least, by every supply of concrete and weather."""
        job, method = self._job, tried[0].method
        share = self._share(tried)
        weathers = ((), (COLD,)) if job.spec.schedule.start_date else ((),)
        for supply in supplies_of(job.spec) if tried[0].pours else ("",):
            words = (supply, strictest_policy(job.criteria))
            each = [self._each_known(one, supply) for one in tried]
            truck = self._truck(sum(one.volume_cuft for one in tried)) if supply == "ready_mix" else NOTHING
            goods = [one for one in (*each, truck) if one is not None]
            for cold in weathers if len(goods) > len(each) else ():
                table = timetable(method.name, (*words, *cold), len(tried), job.crew.size, job.facts, share)
                once = None if table is None else self._once(tried[0], supply, table)
                if table is not None and once is not None:
                    yield sum(goods, once) + _time(job.crew, table)

    def _share(self, tried: Sequence[_Tried]) -> float:
        """The least there is to dig for one, in the mean; each is rounded to hundredths, and so is the mean."""
        job = self._job
        every = [min(dig_share([k.footing], one.method.name, job.facts) for k in one.kinds) for one in tried]
        if len(set(every)) == 1:
            return every[0]
        return max(min(every), round(sum(every) / len(every) - 0.005, 2))

    def _each_known(self, tried: _Tried, supply: str) -> Decimal | None:
        key = (id(tried), supply)  # what is tried is kept, so that its id stays its own
        if key not in self._eaches:
            self._eaches[key] = self._each(tried, supply)
        return self._eaches[key]

    def _each(self, tried: _Tried, supply: str) -> Decimal | None:
        """What one footing costs at least, its concrete with it where that comes in bags."""
        found = [self._goods(tried.method, one) for one in tried.kinds]
        if supply == "bagged":
            rate = self._bagged_cuft
            bags = [None if rate is None else rate * Decimal(_volume_cuft(one)) for one in tried.kinds]
            found = [None if a is None or b is None else a + b for a, b in zip(found, bags, strict=True)]
        return min((one for one in found if one is not None), default=None)

    def _goods(self, method: FootingMethod, one: Sized) -> Decimal | None:
        total = NOTHING
        for need in method.needs([one], self._job.site):
            if not need.per_footing or need.item.startswith(BARS):
                continue
            price = self._seat(need) if need.item.partition(".")[0] in SEATS else self._lowest(need)
            if price is None:
                return None
            total += price
        return total

    def _seat(self, need: Need) -> Decimal | None:
        """The cheapest of what may hold a post or a beam on such a footing."""
        kind, *named, _, coating = need.item.split(".")
        posts = [
            item("pile_cap" if kind == "pile_cap" else "post_base", *named, w, coating)
            for w in self._post_sizes
        ]
        words = [plies(n) for n in PLIES if self._saddles]
        beams = [item("pile_cap" if kind == "pile_cap" else "saddle", *named, w, coating) for w in words]
        found = (self._lowest(replace(need, item=code)) for code in (*posts, *beams))
        return min((one for one in found if one is not None), default=None)

    def _lowest(self, need: Need) -> Decimal | None:
        """A need at the lowest price of the book, by the length where it is cut, without whole packs."""
        lines = lines_for(replace(need, cuts_ft=need.cuts_ft[-1:]), self._job.prices)
        stock = Decimal(need.quantity)
        return min((stock * _low(line) / Decimal(line.length_ft or 1.0) for line in lines), default=None)

    @cached_property
    def _bagged_cuft(self) -> Decimal | None:
        """The lowest price of a cubic foot in place, from bags."""
        prices = self._job.prices
        rates = [
            _low(line) / Decimal(YIELD_CUFT_PER_LB * size) * Decimal(1 + WASTE_PERCENT / 100)
            for size in BAG_SIZES_LB
            for line in for_sale(prices, bag_item(size))
        ]
        return min(rates, default=None)

    def _truck(self, volume: float) -> Decimal | None:
        """Ready-mix for the least volume: with the fee for a short load, or a load that has none."""
        mix = next(iter(for_sale(self._job.prices, READY_MIX)), None)
        fee = next(iter(for_sale(self._job.prices, SHORT_LOAD)), None)
        if mix is None:
            return None
        load, free = loads_cuyd(volume, mix.pack_quantity or 0), float(fee.pack_quantity or 0) if fee else 0.0
        if fee is None or load >= free:
            return least_total(mix, load)
        return min(least_total(mix, load) + line_total(fee.price_at(1), 1), least_total(mix, free))

    def _once(self, tried: _Tried, supply: str, table: Timetable) -> Decimal | None:
        """What is paid once a job: machines for their days, and lots."""
        total = NOTHING
        for need in tried.method.needs(tried.kinds[:1], self._job.site):
            if need.per_footing or need.only_with not in ("", supply):
                continue
            lines = lines_for(need, self._job.prices)
            days = whole_days(table.task_range(need.during)[LIKELY]) if need.during else need.quantity
            if lines:
                total += min(least_total(line, days) for line in lines)
            elif not need.item.startswith(FEE):
                return None
        return total


def _made_by_size(method: FootingMethod) -> bool:
    """Whether its footings hang on the size that the load asks for: all that stand in holes."""
    return method.name in DUG


def _sizes(site: Site, demand: Demand) -> Iterator[FootingSize]:
    """The sizes at which a form changes, each as thin as any and as thick as the hole is deep.

    From one to the next only the concrete of a base grows.
    """
    least, widest = site.footing_size(demand), site.value("base_largest")
    if isinstance(least, CodedText):
        return
    straight = site.value("tube_largest_shaft")
    forms = [one.diameter_in for one in site.facts.tubes if one.diameter_in <= straight]
    forms += [one.base_in for one in site.facts.bell_forms]
    widths = {0.0, straight + 1.0, *(one for one in forms if one <= widest)}
    thicks = {LEAST_THICKNESS_IN, max(LEAST_THICKNESS_IN, site.depth(demand).bottom_in)}
    for width, thick in product(sorted(widths), sorted(thicks)):
        wide = (max(least.round_in, width), max(least.square_in, width))
        yield replace(least, round_in=wide[0], square_in=wide[1], thickness_in=thick)


def _volume_cuft(one: Sized) -> float:
    return one.footing.concrete.volume_cuft if one.footing.concrete else 0.0


def least_total(line: PriceLine, quantity: float) -> Decimal:
    """Return the least that this many of a line, or more, come to: more may fall under a lower price.

    >>> from service.rules.price_book import EXAMPLE, parse_price_book
    >>> line = parse_price_book(EXAMPLE, "example").line("lumber.2x8.hem_fir.no_2.uc3b", 12)
    >>> least_total(line, 9.0), least_total(line, 9.9)
    (Decimal('127.80'), Decimal('139.00'))
    """
    tried = (quantity, *(float(one.at_least) for one in line.breaks if one.at_least > quantity))
    return min(line_total(line.price_at(one), one) for one in tried)


def _low(line: PriceLine) -> Decimal:
    return min((line.unit_price, *(one.unit_price for one in line.breaks)))


def _time(crew: CrewTime, table: Timetable) -> Decimal:
    """What the crew's hours and days are charged at, as the comparison charges them."""
    hourly = crew.hourly if crew.pays_hours and crew.hourly is not None else NOTHING
    value = crew.day_value or NOTHING
    return times(hourly, table.crew_hours)[LIKELY] + times(value, crew.counted_days(table))[LIKELY]

"""What single input would turn the recommendation over, and by how much, all else as it is.

The cost of every way to do a method is a straight line in a price, a rate or the value of a day, and two of them in
the days of a wait: flat until framing has to wait for it, then rising. So where two methods cost the same is solved,
not searched for; a method costs what its cheapest way costs, with the concrete in other bags or by the truck.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from service.comparison.bought import NOTHING, Bought
from service.comparison.cost import Cost, CrewTime
from service.comparison.mix import mixes
from service.comparison.network import Network
from service.comparison.result import MethodResult, Supplied, volume_cuft
from service.comparison.schedule import LIKELY, Timetable
from service.rules.price_book import PriceBook
from service.takeoff.pricing import for_sale

Numbers = NDArray[np.float64]
LEAST_PRICE, MOST_PRICE = 0.0001, 999_999_999.9999
MOST_DAY_VALUE, MOST_HOURLY = 100_000.0, 1_000.0
MOST_WAIT_DAYS = 60.0  # convention of this service: a job that waits longer is another job
# A wait and the tasks that are it, the first a method has; a post on a pad waits for the pad alone.
WAITS = {"inspection_wait": ("inspection_wait",), "cure": ("cure", "pad_cure")}
SAME = 1e-6
NEVER = -1e30


@dataclass(frozen=True)
class Input:
    """Something that could be otherwise: a field of the request, a price, or the days of a wait."""

    word: str
    unit: str
    now: float
    least: float
    most: float
    pointer: str | None = None
    item: str | None = None


@dataclass(frozen=True)
class Turn:
    """The value of an input at which another method becomes the cheapest."""

    input: Input
    at: float
    to_method: str

    @property
    def change(self) -> float:
        """How far it is, as a share of what it is now; infinite where it is nothing now."""
        return abs(self.at - self.input.now) / self.input.now if self.input.now else float("inf")


@dataclass(frozen=True)
class Way:
    """One way to do a method, priced: with its concrete in one kind of bag or by the truck."""

    method: str
    lines: tuple[Bought, ...]
    cost: Cost
    table: Timetable
    likely: float


def turns(
    best: MethodResult, rivals: Sequence[MethodResult], prices: PriceBook, crew: CrewTime
) -> list[Turn]:
    """Return where another method becomes cheaper than ``best``, nearest first: one value an input and direction."""
    ours = list(_ways(best, prices))
    theirs = [way for rival in rivals for way in _ways(rival, prices)]
    if not ours or not theirs:
        return []
    inputs = list(_inputs((*ours, *theirs), prices, crew))
    found = list(_crossings(ours, theirs, inputs))
    return sorted(found, key=lambda turn: (turn.change, turn.input.word, turn.input.item or "", turn.at))


def _ways(one: MethodResult, prices: PriceBook) -> Iterator[Way]:
    for way in one.ways:
        if way.cost is None or way.table is None:
            continue
        for lines in _with_every_mix(one, way, prices):
            goods = sum((line.extended or NOTHING for line in lines), NOTHING)
            likely = float(goods + way.cost.wages[LIKELY] + way.cost.days[LIKELY])
            yield Way(one.method, lines, way.cost, way.table, likely)


def _with_every_mix(one: MethodResult, way: Supplied, prices: PriceBook) -> Iterator[tuple[Bought, ...]]:
    """The lines of a way; with bags, of every size that is sold: a dearer bag is not bought."""
    yield way.lines
    if way.supply == "bagged":
        others = [line for line in way.lines if line.kind != "concrete"]
        for mix in mixes(volume_cuft(one.alike), way.supply, prices)[1:]:
            yield (*mix, *others)


def _inputs(ways: Sequence[Way], prices: PriceBook, crew: CrewTime) -> Iterator[Input]:
    unit = prices.currency
    if crew.day_value is not None:
        value = float(crew.day_value)
        yield Input("crew_day_value", unit, value, 0.0, MOST_DAY_VALUE, "/crew/crew_day_value")
        for word in WAITS:
            days = [
                way.table.days[place][LIKELY] for way in ways for place in _places(way.table.network, word)
            ]
            if days:
                yield Input(word, "days", max(days), 0.0, MOST_WAIT_DAYS)
    if crew.pays_hours and crew.hourly is not None:
        yield Input("hourly_rate", unit, float(crew.hourly), 0.0, MOST_HOURLY, "/crew/hourly_rate")
    yield from _prices(ways, prices)


def _prices(ways: Sequence[Way], prices: PriceBook) -> Iterator[Input]:
    """What is sold in one length only: of several the dearer would not be bought."""
    paid = {line.item: line.unit_price for way in ways for line in way.lines}
    for item, price in sorted(paid.items()):
        if price is not None and len(for_sale(prices, item)) == 1:
            yield Input("unit_price", prices.currency, float(price), LEAST_PRICE, MOST_PRICE, item=item)


@lru_cache(maxsize=512)
def _places(net: Network, word: str) -> frozenset[int]:
    """Where a wait stands among the tasks of a network."""
    tasks = [row.task for row in net.rows]
    task = next((task for task in WAITS[word] if task in tasks), None)
    return frozenset(place for place, name in enumerate(tasks) if name == task)


def _waiting(way: Way, word: str) -> tuple[float, float, float]:
    """Cost on the line that rises with a wait, its slope, and the least the cost falls to without the wait."""
    places = _places(way.table.network, word)
    if not places:
        return way.likely, 0.0, NEVER
    lengths = [days[LIKELY] for days in way.table.days]
    through, without = [], []
    for chain in way.table.network.ways:
        days = sum(lengths[place] for place in chain)
        without.append(days - sum(lengths[place] for place in chain if place in places))
        if not places.isdisjoint(chain):
            through.append(days)
    if not through:
        return way.likely, 0.0, NEVER
    elapsed, value = way.table.elapsed_days[LIKELY], float(way.cost.day_value)
    spared = elapsed - max(without)
    if not way.cost.includes_wages:
        spared = min(spared, way.table.idle_days[LIKELY])
    return way.likely - (elapsed - max(through)) * value, value, way.likely - spared * value


@dataclass(frozen=True)
class Lines:
    """Ways (rows) over inputs (columns): cost now on the rising line, its slope, and the least it falls to."""

    rising: Numbers
    slope: Numbers
    flat: Numbers

    def at(self, change: Numbers) -> Numbers:
        """Return every way's cost for changes of the inputs, the ways on a new first axis."""
        rising, slope, flat = (one.reshape(len(one), *(1,) * (change.ndim - 1), -1) for one in
                               (self.rising, self.slope, self.flat))  # fmt: skip
        return np.maximum(rising + slope * change, flat)


def _lines(ways: Sequence[Way], inputs: Sequence[Input]) -> Lines:
    shape = (len(ways), len(inputs))
    rising, slope, flat = np.zeros(shape), np.zeros(shape), np.full(shape, NEVER)
    items = {given.item: column for column, given in enumerate(inputs) if given.item}
    others = [(column, given.word) for column, given in enumerate(inputs) if not given.item]
    for row, way in enumerate(ways):
        rising[row] = way.likely
        for line in way.lines:
            if line.item in items:
                slope[row, items[line.item]] += line.quantity
        for column, word in others:
            if word in WAITS:
                rising[row, column], slope[row, column], flat[row, column] = _waiting(way, word)
            else:
                slope[row, column] = _per_unit(way, word)
    return Lines(rising, slope, flat)


def _per_unit(way: Way, word: str) -> float:
    """The hours that are paid, or the days that are counted."""
    if word == "hourly_rate":
        return way.table.crew_hours[LIKELY]
    return (way.table.elapsed_days if way.cost.includes_wages else way.table.idle_days)[LIKELY]


def _crossings(ours: Sequence[Way], theirs: Sequence[Way], inputs: Sequence[Input]) -> Iterator[Turn]:
    """The nearest change of each input, up and down, from which on the cheapest of theirs is no dearer than ours."""
    mine, other = _lines(ours, inputs), _lines(theirs, inputs)
    change = np.concatenate(list(_meetings(mine, other)))
    now = np.array([one.now for one in inputs])
    allowed = (now + change >= [one.least for one in inputs]) & (now + change <= [one.most for one in inputs])
    with np.errstate(invalid="ignore"):
        costs = other.at(np.where(allowed, change, 0.0))
        level = np.abs(costs.min(axis=0) - mine.at(np.where(allowed, change, 0.0)).min(axis=0)) < SAME
    winner = costs.argmin(axis=0)
    for column, given in enumerate(inputs):
        there = [(float(change[row, column]), int(winner[row, column]))
                 for row in np.flatnonzero(allowed[:, column] & level[:, column])]  # fmt: skip
        for side in ([one for one in there if one[0] > 0], [one for one in there if one[0] < 0]):
            if side:
                step, place = min(side, key=lambda one: abs(one[0]))
                yield Turn(given, given.now + step, theirs[place].method)


def _meetings(mine: Lines, other: Lines) -> Iterator[Numbers]:
    """Changes at which a line of ours meets one of theirs: both rising, or one of them flat."""
    rising = (
        other.rising[None, :, :] - mine.rising[:, None, :],
        mine.slope[:, None, :] - other.slope[None, :, :],
    )
    falling = (
        other.flat[None, :, :] - mine.rising[:, None, :],
        mine.slope[:, None, :] + 0.0 * other.slope[None, :, :],
    )
    lifted = (
        mine.flat[:, None, :] - other.rising[None, :, :],
        other.slope[None, :, :] + 0.0 * mine.slope[:, None, :],
    )
    for apart, steeper in (rising, falling, lifted):
        with np.errstate(divide="ignore", invalid="ignore"):
            found = np.where(np.abs(steeper) > SAME, apart / steeper, np.inf)
        yield found.reshape(-1, found.shape[-1])

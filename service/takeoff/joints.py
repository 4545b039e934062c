"""Where runs are joined: of the ways that are allowed, the one whose boards cost least together with all the rest.

Whoever lays out a run offers the ways it may be divided; here one of each is taken, item by item, by the price of the
whole item's boards. Few of the ways are tried, in turn, and turn by turn nothing gets dearer.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from service.framing.beam_lines import Joints
from service.takeoff.cutting import least_price, share_of_price
from service.takeoff.ladders import Ladders, saw_of
from service.takeoff.parts import Part
from service.units.rounding import cut_length

# A joint more than there need be must save this much of the price of the item's boards (convention of this service).
WORTH_A_JOINT = 0.02
MOST_TRIED = 12  # plans made for an item in a turn, shared among its runs
LEAST_TRIED = 3  # ways of a run that are tried at least
UNLIKE_AMONG = 4  # they are chosen among so many times more, no two with the same pieces
TURNS = 2
Lengths = Counter[float]


class Way(NamedTuple):
    """The parts of one way to divide a run, all of one item, and how many joints it has more than it needs.

    ``plies`` says of a beam over which posts, by index, each ply is joined.
    """

    parts: tuple[Part, ...]
    more_joints: int = 0
    plies: Joints = ()

    @property
    def lengths_in(self) -> Lengths:
        """How many of each cut length it needs."""
        found: Lengths = Counter()
        for part in self.parts:
            found[cut_length(part.length_in)] += part.quantity
        return found


class Offer(NamedTuple):
    """The ways a run of a member may be divided; the first is the one taken where no other saves anything."""

    ways: tuple[Way, ...]

    @property
    def item(self) -> str:
        """The item of the run."""
        return self.ways[0].parts[0].item

    @property
    def member(self) -> str:
        """The member the run is of."""
        return self.ways[0].parts[0].member


def offered(ways: Iterable[tuple[Part, ...]]) -> Iterator[Part | Offer]:
    """Yield an offer of the ways a run may be divided, or the parts of the only one; all have as many joints."""
    first, *others = ways
    if others:
        yield Offer(tuple(Way(way) for way in (first, *others)))
    else:
        yield from first


def with_joints(parts: Iterable[Part | Offer], ladders: Ladders) -> Iterator[Part]:
    """Yield the parts, those of the way taken where there is an offer, in the order they come."""
    every = list(parts)
    plain, offers = (
        [one for one in every if isinstance(one, Part)],
        [one for one in every if isinstance(one, Offer)],
    )
    ways = iter(settled(plain, offers, ladders))
    for one in every:
        yield from (one,) if isinstance(one, Part) else next(ways).parts


def settled(parts: Iterable[Part], offers: Sequence[Offer], ladders: Ladders) -> tuple[Way, ...]:
    """Return the way taken of each offer, these parts being cut from the same boards.

    A joint more than the first way has is made only where it saves ``WORTH_A_JOINT`` of the item's price, and where
    the lengths have a price.
    """
    chosen = [offer.ways[0] for offer in offers]
    fixed: dict[str, Lengths] = {}
    for part in parts:
        fixed.setdefault(part.item, Counter())[cut_length(part.length_in)] += part.quantity
    for item in dict.fromkeys(offer.item for offer in offers):
        places = [n for n, offer in enumerate(offers) if offer.item == item]
        bench = _Bench(item, ladders, fixed.get(item, Counter()))
        for place, way in zip(places, bench.taken([offers[n] for n in places]), strict=True):
            chosen[place] = way
    return tuple(chosen)


class _Bench:
    """The boards of one item, priced again for every way that is tried."""

    def __init__(self, item: str, ladders: Ladders, fixed: Lengths) -> None:
        """Keep what is cut whatever way the runs are divided."""
        self._ladder, self._saw, self._fixed = ladders.of(item), saw_of(item), fixed
        self._shares: dict[float, float] = {}

    def taken(self, offers: Sequence[Offer]) -> list[Way]:
        """Return the way of each offer, after two turns through them."""
        many = max(LEAST_TRIED, MOST_TRIED // len(offers))
        tried = [self._worth_trying(offer, many) for offer in offers]
        chosen = [offer.ways[0] for offer in offers]
        for _ in range(TURNS):
            before = list(chosen)
            for place, ways in enumerate(tried):
                others = sum((way.lengths_in for n, way in enumerate(chosen) if n != place), self._fixed)
                chosen[place] = self._best(ways, others)
            if chosen == before:
                break
        return chosen

    def _price(self, lengths: Lengths) -> float:
        return least_price(lengths, self._ladder.stock, self._saw)

    def _best(self, ways: Sequence[Way], others: Lengths) -> Way:
        first = self._price(others + ways[0].lengths_in)
        prices = [first, *(self._price(others + way.lengths_in) for way in ways[1:])]
        # What may be joined more often has to be that much cheaper, or else it counts as dearer.
        worth = WORTH_A_JOINT * first if math.isfinite(first) else 0.0
        asked = [worth if way.more_joints > ways[0].more_joints else 0.0 for way in ways]
        place = min(range(len(ways)), key=lambda n: (prices[n] + asked[n], n))
        return ways[place]

    def _worth_trying(self, offer: Offer, many: int) -> list[Way]:
        """The first way, and those whose pieces, each by itself, are cheaper than its."""
        first, *others = offer.ways
        if not self._ladder.priced:
            others = [way for way in others if way.more_joints == first.more_joints]
        most = self._alone(first)
        cheaper = [(self._alone(way), way.more_joints, n) for n, way in enumerate(others)]
        ranked = [others[n] for alone, _, n in sorted(cheaper) if alone < most]
        unlike: dict[frozenset[tuple[float, int]], Way] = {}
        for way in ranked[: UNLIKE_AMONG * many]:
            unlike.setdefault(frozenset(way.lengths_in.items()), way)
        return [first, *islice(unlike.values(), many - 1)]

    def _alone(self, way: Way) -> float:
        return sum(part.quantity * self._share(cut_length(part.length_in)) for part in way.parts)

    def _share(self, length_in: float) -> float:
        if length_in not in self._shares:
            self._shares[length_in] = share_of_price(length_in, self._ladder.stock, self._saw)
        return self._shares[length_in]

"""What a frame is compared by: what its lumber, its hardware and the work on it cost, in whole numbers.

Money is in 1/10000 of the currency, time in whole minutes, so that sums come out the same in any order. Every piece
counts at its share of the stock length that makes it cheapest, every connector at its list price, without quantity
breaks. What holds posts on their footings is in ``FootingPrices`` with the footings. What no choice of beams and
sizes changes (boards, guards, stairs) is in neither, nor are nails, blocking and braces.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import Decimal
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

from service.choice.level.case import Case
from service.choice.level.house_side import Places, fastener_spacing_in, first_span_in, judged_ledger
from service.choice.level.joist_work import JoistWork, joist_runs, joist_work
from service.choice.level.list_prices import MONEY, ListPrices, whole
from service.comparison.cost import crew_time
from service.connections.posts import cap_item
from service.contract.ids import item
from service.contract.money import Money, money
from service.contract.report_choice import ObjectiveCost
from service.contract.report_frame import Ledger
from service.framing.axes import Axes
from service.framing.beam_lines import ply_splices
from service.framing.beam_row import BeamRow
from service.framing.ground import heights_over
from service.framing.heights import Foot
from service.framing.layout import Arrangement
from service.framing.region import Bound, Region
from service.framing.rims import region_rims
from service.sizing.lumber import NATURALLY_DURABLE, depth_in
from service.takeoff.connectors import ledger_fixings
from service.takeoff.flashing import TAPE, flashing_item, lapped
from service.takeoff.framing_parts import GROUND_CONTACT_WITHIN_IN
from service.takeoff.hangers import hanger_code
from service.takeoff.items import lumber, plies, post, treatment
from service.takeoff.lines import Segment
from service.takeoff.parts import INCHES_PER_FT, distance_in, in_equal_parts
from service.takeoff.pricing import for_sale
from service.units.rounding import cut_length

MINUTES_PER_HOUR = 60
Minutes = TypeVar("Minutes", int, npt.NDArray[np.int64])


class Part(NamedTuple):
    """Part of a frame: what lumber and hardware cost, 1/10000 of the currency, minutes of one person's work, and of
    how many items the price is not known: they count nothing.
    """

    lumber: int = 0
    hardware: int = 0
    minutes: int = 0
    unpriced: int = 0

    @property
    def goods(self) -> int:
        """What has to be bought costs."""
        return self.lumber + self.hardware


def added(parts: Iterable[Part]) -> Part:
    """Return parts together.

    >>> added([Part(1, 2, 3, 0), Part(10, 20, 30, 1)])
    Part(lumber=11, hardware=22, minutes=33, unpriced=1)
    """
    return Part(*(sum(column) for column in zip(*parts, strict=True))) or Part()


class FramePrices:
    """Prices and minutes of the frames of one case, each looked up once."""

    def __init__(self, case: Case) -> None:
        self._case, self._minutes = case, case.context.minutes
        self._prices = ListPrices(case.context.prices)
        self._priced = case.context.prices is not None
        self._hour = _hour_value(case)
        self._work: dict[tuple[Arrangement, Places], JoistWork] = {}
        self._joists: dict[tuple[Arrangement, str, Places], Part] = {}
        self._edges: dict[tuple[object, ...], Part] = {}
        self._apart: dict[tuple[int, int, float], float | None] = {}
        self._beams: dict[tuple[object, ...], Part] = {}
        self._least_beams: dict[tuple[object, ...], Part] = {}
        self._posts: dict[tuple[object, ...], Part] = {}

    @cached_property
    def _highest_in(self) -> float:
        """The highest ground under the level, in above the datum."""
        corners = [(float(x), float(y)) for x, y in self._case.outline.polygon.exterior.coords[:-1]]
        return max(heights_over(self._case.ground, corners))

    def labour(self, minutes: Minutes) -> Minutes:
        """Return what the crew's time is worth, 1/10000 of the currency; works on whole columns too."""
        return (minutes * self._hour + MINUTES_PER_HOUR // 2) // MINUTES_PER_HOUR

    def joists(self, laid: Arrangement, size: str, places: Places) -> Part:
        """Return joists of a size at these places with their hangers and ties, their rims and their ledgers."""
        key = (laid, size, places)
        found = self._joists.get(key)
        if found is None:
            found = self._joists[key] = added(
                [self._framed(laid, size, places), self._edge(laid, size, places)]
            )
        return found

    def beams(
        self, laid: Arrangement, rows: Sequence[BeamRow], size: str, ply_count: int, bottom_in: float
    ) -> Part:
        """Return the boards of beams on their posts, plies joined as seldom as can be; their caps are with the posts.

        ``bottom_in`` is the height of their bottom above the datum: it matters only for naturally durable wood.
        """
        axes = laid.region.axes
        return added(self._beam(axes, row, size, ply_count, bottom_in) for row in rows)

    def posts(self, size: str, beam_size: str, ply_count: int, feet: Sequence[Foot]) -> Part:
        """Return posts by their cut lengths, with the caps of the beam; a saddle on a pier is the footing's."""
        standing = (one.cut_length_in for one in feet if one.standing == "post")
        return added(self._post(size, beam_size, ply_count, length_in) for length_in in standing)

    def least_post(self, size: str, beam_size: str, ply_count: int, shortest: Foot) -> Part:
        """Return the post of a place: no longer post of that size costs less."""
        return self.posts(size, beam_size, ply_count, (shortest,))

    def _framed(self, laid: Arrangement, size: str, places: Places) -> Part:
        work = self._work.get((laid, places))
        if work is None:
            work = self._work[laid, places] = joist_work(laid, places)
        coating, rules = self._case.criteria.coating, self._minutes
        code = self._framing(size, self._joist_bottom_in(size), joist_runs(laid, places))
        hangers = [(hanger_code(size, 1, coating, *kind)[0], count) for kind, count in work.hangers]
        tie = (item("uplift_tie", plies(1), coating), work.ties)
        return added([
            self._boards(code, work.pieces, rules.joist),
            *(self._each(one, count, rules.hanger) for one, count in hangers),
            self._each(*tie, rules.uplift_tie),
        ])  # fmt: skip

    def _edge(self, laid: Arrangement, size: str, places: Places) -> Part:
        hung = [bound for bound in laid.region.bounds if bound.meets == "ledger"]
        return added([
            self._rims(laid, size),
            *(self._ledger(laid, bound, size, places) for bound in hung),
        ])  # fmt: skip

    def _rims(self, laid: Arrangement, size: str) -> Part:
        """One longer than any board counts in equal parts; where it may be joined is the order's."""
        key = ("rims", id(laid.region), laid.placement, size)
        if key not in self._edges:
            made = region_rims(laid.region) if laid.placement == "dropped" else ()
            self._edges[key] = added(
                self._run(
                    self._framing(size, self._joist_bottom_in(size), [(rim.start_ft, rim.end_ft)]),
                    rim.length_in,
                    self._minutes.rim,
                )
                for rim in made
            )
        return self._edges[key]

    def _ledger(self, laid: Arrangement, bound: Bound, size: str, places: Places) -> Part:
        case, span_in = self._case, first_span_in(laid, bound)
        apart_in = self._apart_in(laid.region, bound, span_in)
        key = ("ledger", id(laid.region), bound.place, size, apart_in, len(places))
        if key not in self._edges:
            found = judged_ledger(case.ask(laid.region), case.spec, bound, size, span_in, places)
            self._edges[key] = self._hung(found.ledger) if found.ledger else Part()
        return self._edges[key]

    def _apart_in(self, region: Region, bound: Bound, span_in: float) -> float | None:
        key = (id(region), bound.place, span_in)
        if key not in self._apart:
            self._apart[key] = fastener_spacing_in(self._case.ask(region), self._case.spec, bound, span_in)
        return self._apart[key]

    def _hung(self, ledger: Ledger) -> Part:
        run = (ledger.start_ft, ledger.end_ft)
        bottom_in = self._joist_bottom_in(ledger.size)
        near = self._near_soil(bottom_in, [run])
        use = treatment(ledger.species, ground_contact=near, hard_to_replace=True)
        code = lumber(ledger.size, ledger.species, ledger.grade, use)
        fixings = [
            self._each(
                need.item, int(need.quantity), self._minutes.ledger_fastener * (need.item == ledger.fastener)
            )
            for need in ledger_fixings(ledger, self._case.criteria.coating)
        ]
        length_in = distance_in(*run)
        return added([self._run(code, length_in, self._minutes.ledger), self._flashed(length_in), *fixings])

    def _flashed(self, length_in: float) -> Part:
        """Flashing over a ledger and tape behind it: what standing free saves. A book without them leaves them out."""
        code, prices = flashing_item(self._case.criteria.coating), self._case.context.prices
        lengths = lapped(length_in, self._prices.longest_in(code))
        cost = sum(self._prices.piece(code, cut_length(one)) or 0 for one in lengths)
        rolls = for_sale(prices, TAPE)
        taped = math.ceil(length_in / INCHES_PER_FT) if rolls and rolls[0].pack_quantity else 0
        return Part(hardware=cost + taped * (self._prices.each(TAPE) or 0))

    def _beam(self, axes: Axes, row: BeamRow, size: str, ply_count: int, bottom_in: float) -> Part:
        run = (axes.deck_ft(*row.start_in), axes.deck_ft(*row.end_in))
        near = self._durable and self._near_soil(bottom_in, [run])
        return self._plies(size, ply_count, row.length_in, row.posts_in, near)

    def least_beams(
        self, lengths_in: Sequence[float], posts_in: Sequence[Sequence[float]], size: str, ply_count: int
    ) -> Part:
        """Return the boards of beams, near the soil or far from it, whichever has its prices known and costs less."""
        key = (tuple(lengths_in), tuple(posts_in), size, ply_count)
        if key not in self._least_beams:
            self._least_beams[key] = self._least_of(*key)
        return self._least_beams[key]

    def _least_of(
        self, lengths_in: Sequence[float], posts_in: Sequence[Sequence[float]], size: str, ply_count: int
    ) -> Part:
        found = [
            added(
                self._plies(size, ply_count, length, tuple(posts), near)
                for length, posts in zip(lengths_in, posts_in, strict=True)
            )
            for near in ((False, True) if self._durable else (False,))
        ]
        return min(found, key=lambda one: (one.unpriced, one.goods))

    def _plies(
        self, size: str, ply_count: int, length_in: float, posts_in: tuple[float, ...], near: bool
    ) -> Part:
        key = (
            size,
            ply_count,
            length_in,
            posts_in if length_in > self._case.boards.beam(size) else (),
            near,
        )
        found = self._beams.get(key)
        if found is None:
            criteria, board_in = self._case.criteria, self._case.boards.beam(size)
            use = treatment(criteria.species, ground_contact=near, hard_to_replace=True)
            code = lumber(size, criteria.species, criteria.grade, use)
            every = ply_lengths_in(length_in, posts_in, ply_count, board_in)
            boards = self._boards(code, [(cut_length(one), 1) for one in every], self._minutes.beam_ply)
            found = self._beams[key] = boards._replace(minutes=boards.minutes + self._minutes.beam)
        return found

    def _post(self, size: str, beam_size: str, ply_count: int, length_in: float) -> Part:
        key = (size, beam_size, ply_count, length_in)
        found = self._posts.get(key)
        if found is None:
            criteria = self._case.criteria
            use = treatment(criteria.species, ground_contact=False, structural_post=True)
            code = post(size, criteria.species, criteria.grade, use)
            cap = cap_item(size, beam_size, ply_count, criteria.coating)
            found = self._posts[key] = added(
                [self._boards(code, [(cut_length(length_in), 1)], self._minutes.post), self._each(cap, 1, 0)]
            )
        return found

    @property
    def _durable(self) -> bool:
        return self._case.criteria.species in NATURALLY_DURABLE

    def _joist_bottom_in(self, size: str) -> float:
        level = self._case.level
        return level.surface_height_in - level.decking.thickness_in - depth_in(size)

    def _framing(self, size: str, bottom_in: float, runs: Iterable[Segment]) -> str:
        criteria = self._case.criteria
        use = treatment(criteria.species, ground_contact=self._near_soil(bottom_in, runs))
        return lumber(size, criteria.species, criteria.grade, use)

    def _near_soil(self, bottom_in: float, runs: Iterable[Segment]) -> bool:
        """Whether wood along these runs, its bottom this high above the datum, is in ground contact anywhere."""
        if bottom_in - self._highest_in >= GROUND_CONTACT_WITHIN_IN:
            return False
        highest = (max(heights_over(self._case.ground, run)) for run in runs)
        return any(bottom_in - one < GROUND_CONTACT_WITHIN_IN for one in highest)

    def _run(self, code: str, length_in: float, minutes: int) -> Part:
        """A run in as few equal boards as stock allows."""
        lengths = in_equal_parts(length_in, self._prices.longest_in(code))
        return self._boards(code, [(cut_length(lengths[0]), len(lengths))], minutes)

    def _boards(self, code: str, pieces: Iterable[tuple[float, int]], minutes: int) -> Part:
        cost = unpriced = many = 0
        for length_in, count in pieces:
            each = self._prices.piece(code, length_in)
            many += count
            if each is None:
                unpriced += self._priced
            else:
                cost += count * each
        return Part(lumber=cost, minutes=many * minutes, unpriced=unpriced)

    def _each(self, code: str, count: int, minutes: int) -> Part:
        if not count:
            return Part()
        each = self._prices.each(code)
        return Part(0, count * (each or 0), count * minutes, int(each is None and self._priced))


def ply_lengths_in(
    length_in: float, posts_in: Sequence[float], ply_count: int, stock_in: float
) -> list[float]:
    """Return the length of every board of a beam's plies, in; whole ones where no rule allows a joint."""
    if length_in <= stock_in:
        return [length_in] * ply_count
    found = ply_splices(length_in, posts_in, ply_count, stock_in)
    joints = found or [()] * ply_count
    cuts = ([0.0, *(posts_in[at] for at in ply), length_in] for ply in joints)
    return [b - a for ply in cuts for a, b in pairwise(ply)]


def _hour_value(case: Case) -> int:
    """What an hour of one person is worth: the wage where wages are counted, else a share of the crew's day."""
    crew = crew_time(case.spec.crew)
    if crew.pays_hours and crew.hourly is not None:
        return whole(crew.hourly)
    hours = Decimal(case.context.minutes.crew_day * crew.size) / MINUTES_PER_HOUR
    return whole((crew.day_value or Decimal(0)) / hours)


class FramePrice(NamedTuple):
    """The objective cost of a frame, its parts in 1/10000 of the currency; ``minutes`` of one person's work."""

    lumber: int
    hardware: int
    footings: int
    labour: int
    minutes: int
    complete: bool

    @property
    def total(self) -> int:
        """All of it."""
        return self.lumber + self.hardware + self.footings + self.labour

    def on_the_wire(self, currency: str) -> ObjectiveCost:
        """Return the cost as the report carries it.

        >>> FramePrice(1_000_000, 200_000, 0, 50_000, 90, True).on_the_wire("USD").total.amount
        '125.00'
        """
        return ObjectiveCost(
            lumber=_money(currency, self.lumber),
            hardware=_money(currency, self.hardware),
            footings=_money(currency, self.footings),
            labour=_money(currency, self.labour),
            labour_hours=self.minutes / MINUTES_PER_HOUR,
            total=_money(currency, self.total),
            complete=self.complete,
        )


def _money(currency: str, amount: int) -> Money:
    return money(currency, Decimal(amount) / MONEY)

"""What the footings under a frame cost: by the same comparison the answer shows, each worked out once."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from service.choice.level.case import Case
from service.choice.level.demands import demand_of
from service.choice.level.list_prices import whole
from service.choice.search.footing_least import least_cost
from service.comparison.bought import NOTHING
from service.comparison.compare import METHODS, worked_out
from service.comparison.recommend import by_preference, choose_method, too_slow
from service.comparison.result import USUAL_METHOD, Comparison, MethodResult
from service.contract.report_comparison import CodedText
from service.foundations.demand import Demand
from service.framing.ground import Terrain, heights_over
from service.framing.heights import SHORTEST_POST_IN, foot, stack
from service.framing.layout import Arrangement, Layout
from service.framing.members import placed_joists, stands_of
from service.framing.stands import Stand
from service.framing.statics import Shares, carried
from service.framing.walls import Walls
from service.takeoff.framing_parts import BURIED_METHODS

NOT_ORDERED = ("service.", "fee.")
FAR_FT = 1e6  # from the house: no footing there is dug any deeper for it
# Standings: of no method, from where on one does not serve, and of one with nothing against it but its holes.
WORST, UNSERVED, PLAIN = 48, 24, 1
LIGHT_LB, STEP_LB = 1.0, 100.0
HEAVIEST_LB, BISECTED = 30_000.0, 15
Posts = tuple[tuple[float, ...], ...]
LoadSets = tuple[tuple[float, ...], ...]
Likeness = frozenset[tuple[tuple[object, ...], int]]


@dataclass(frozen=True)
class FootingPrice:
    """What footings cost, 1/10000 of the currency, and their method; null where no price or no method is known.

    ``standing`` is how the method stands, less is better; ``any_height`` says that longer posts would change nothing.
    ``ordered`` is what of the cost an order has in it: neither work nor fees.
    """

    cost: int | None
    method: str | None
    standing: int = 0
    any_height: bool = False
    ordered: int = 0


Results = dict[str, MethodResult]


@dataclass
class Sets:
    """Sets of footings worked out, whichever method is wished: by their demands, by them without heights, and those
    that have least to do by their loads and whether the deck hangs on the house.

    Not every method is worked out for every set: only those that may be chosen.
    """

    known: dict[Likeness, Results] = field(default_factory=dict)
    any_height: dict[Likeness, Results] = field(default_factory=dict)
    lightest: dict[tuple[tuple[float, ...], bool], Results] = field(default_factory=dict)


class FootingPrices:
    """What the footings of one case cost.

    It is the whole likely cost of the method: bases, anchors, saddles and pile caps among it, which
    ``FramePrices`` therefore leaves out. Footings of stairs and heavy objects are not in it. ``sets`` are those of a
    case that differs in nothing but the method wished.
    """

    def __init__(self, case: Case, sets: Sets | None = None) -> None:
        self._case = case
        self._wanted = case.spec.foundation.method
        self._job = case.footing_job
        self.sets = sets or Sets()
        self._shares: dict[tuple[Arrangement, float], Shares] = {}
        self._stands: dict[tuple[Arrangement, float, Posts], tuple[Stand, ...]] = {}
        self._least: dict[tuple[LoadSets, bool, tuple[str, ...]], int] = {}
        self._names: dict[tuple[int, bool], tuple[str, ...]] = {}
        self._serving: dict[tuple[int, bool], tuple[str, ...]] = {}
        self._wide_lb: dict[bool, float] = {}
        self._light: dict[tuple[int, bool, str], int] = {}
        self._saddled = _may_be_saddled(case)

    @property
    def plain(self) -> bool:
        """Whether every footing has level ground about it and a post on it: its own weight hangs on its load alone."""
        return self._case.ground.level and not self._saddled

    @property
    def worked_out(self) -> int:
        """How many sets of footings were worked out."""
        return len(self.sets.known)

    def least(
        self,
        loads_lb: Sequence[float],
        attached: bool,
        standing: int = 0,
        most_lb: Sequence[float] | None = None,
    ) -> int:
        """Return what no footings under such loads, or greater ones, cost less than; 0 where that is not known.

        That is of footings which stand as ``standing`` says: where none stands well, one is chosen among more methods.
        It is what they cost in 1/10000 of the currency where they have least to do, on level ground far from the
        house. More load, a slope or the house only make footings larger, deeper or longer in the making, and methods
        stand no better for it; where more of an item falls under a lower price, that price counts, and where a wider
        pier would stand on a base instead, that pier too: but not where a footing carries no more than ``most_lb``
        says of it and that is too little for a base.
        """
        # Far overhangs lift a beam at its other end; in steps loads are alike more often.
        least = [max(0.0, load // STEP_LB * STEP_LB) for load in loads_lb]
        names = self._chosen_from(len(least), attached, standing)
        sets = tuple(dict.fromkeys(
            tuple(sorted(one)) for one in (least, self._on_bases(least, attached, most_lb))
        ))  # fmt: skip
        if (sets, attached, names) not in self._least:
            self._least[sets, attached, names] = self._least_of(sets, attached, names)
        return self._least[sets, attached, names]

    def _on_bases(self, least: list[float], attached: bool, most_lb: Sequence[float] | None) -> list[float]:
        """The loads, those that may ask for a base at least as great as asks for one."""
        wide = self._too_wide_lb(attached)
        # On a slope, or where a pier goes up to the beam, its own weight asks for a base under less load.
        most = most_lb if most_lb is not None and self.plain else [math.inf] * len(least)
        return [max(a, wide) if b >= wide - STEP_LB else a for a, b in zip(least, most, strict=True)]

    def _least_of(self, sets: Sequence[tuple[float, ...]], attached: bool, names: Sequence[str]) -> int:
        """The least of all methods of these names: one that costs more under hardly any load is not asked again."""
        least: int | None = None
        for name in names:
            if least is not None and self._light_least(len(sets[0]), attached, name) >= least:
                continue
            costs = [one for loads in sets for one in self._costs(loads, attached, name)]
            least = min([*costs, *(() if least is None else (least,))], default=None)
        return least or 0

    def _costs(self, loads_lb: tuple[float, ...], attached: bool, name: str) -> list[int]:
        """What a method costs at least for such loads or greater ones, with each supply that has a price."""
        found = self._asked(loads_lb, attached, (name,))
        ways = [(one, way) for one in found for way in one.ways if way.cost]
        return [whole(least_cost(one, way, self._job.prices, self._saddled)) for one, way in ways]

    def _light_least(self, count: int, attached: bool, name: str) -> int:
        """What a method costs at least whatever the load; 0 where that is not known."""
        key = (count, attached, name)
        if key not in self._light:
            self._light[key] = min(self._costs((LIGHT_LB,) * count, attached, name), default=0)
        return self._light[key]

    def _asked(self, loads_lb: tuple[float, ...], attached: bool, names: Sequence[str]) -> list[MethodResult]:
        results = self.sets.lightest.setdefault((loads_lb, attached), {})
        demands = [_asked(load, self._case.space.post_sizes[0], attached) for load in loads_lb]
        self._work_out(demands, results, names)
        return [results[name] for name in names if results[name].alike]

    def _work_out(self, demands: Sequence[Demand], results: Results, names: Sequence[str]) -> None:
        """Add the methods of these names that are not there yet."""
        missing = [name for name in names if name not in results]
        if missing:
            self._case.context.watch.go_on()
            results |= {one.method: one for one in worked_out(demands, self._job, missing)}

    def _chosen_from(self, count: int, attached: bool, standing: int) -> tuple[str, ...]:
        """The methods that one is chosen from for so many footings that stand so: of all, those that serve at all."""
        if standing <= PLAIN or (self._wanted in METHODS and standing < WORST):
            return self._may_be_chosen(count, attached)
        if standing >= UNSERVED:
            return METHODS
        if (count, attached) not in self._serving:
            workable = self._asked((LIGHT_LB,) * count, attached, METHODS)
            self._serving[count, attached] = tuple(one.method for one in workable if one.feasible)
        return self._serving[count, attached]

    def _may_be_chosen(self, count: int, attached: bool) -> tuple[str, ...]:
        """The methods that one is chosen from for so many footings: those that stand best under hardly any load.

        More load lets none stand better, and which of them take too long hangs on their number alone.
        """
        if (count, attached) not in self._names:
            workable = self._asked((LIGHT_LB,) * count, attached, METHODS)
            found = [one for one in workable if one.method == self._wanted]
            if not found and workable:
                best = min(one.verdict_key for one in workable)
                level = [one for one in workable if one.verdict_key == best]
                late = too_slow(level)
                found = [one for one in level if one not in late]
            self._names[count, attached] = tuple(one.method for one in found)
        return self._names[count, attached]

    def _too_wide_lb(self, attached: bool) -> float:
        """The least load whose straight pier would be too wide for a tube: on a base it may come cheaper."""
        if attached not in self._wide_lb:
            site, low, high = self._job.site, 0.0, HEAVIEST_LB
            straight = site.value("tube_largest_shaft")
            for _ in range(BISECTED):
                middle = (low + high) / 2
                size = site.footing_size(_asked(middle, self._case.space.post_sizes[0], attached))
                too_wide = isinstance(size, CodedText) or size.round_in > straight
                low, high = (low, middle) if too_wide else (middle, high)
            self._wide_lb[attached] = high
        return self._wide_lb[attached]

    def of(self, layout: Layout) -> FootingPrice:
        """Return what the footings of a layout cost, by the method the comparison chooses."""
        demands = self.demands(layout)
        short = _alike(map(_without_height, demands))
        names = self._may_be_chosen(len(demands), layout.attached)
        if short in self.sets.any_height:
            results = self.sets.any_height[short]
            price = self._price(results, self._not_beaten(demands, results, names))
            if price is not None and price.any_height:
                return price
        key = _alike(one.likeness for one in demands)
        results = self.sets.known.setdefault(key, {})
        price = self._chosen(demands, results, names)
        if price.any_height:
            self.sets.any_height[short] = results
        return price

    def _chosen(self, demands: Sequence[Demand], results: Results, names: Sequence[str]) -> FootingPrice:
        """The price of the method chosen: of all there are only where none of those that may be stands as it should."""
        for tried in (names, METHODS):
            self._work_out(demands, results, [name for name in tried if name == USUAL_METHOD])
            left = self._not_beaten(demands, results, tried)
            self._work_out(demands, results, left)
            price = self._price(results, left)
            if price is not None and (price.standing <= PLAIN or price.method == self._wanted):
                return price
        return price or FootingPrice(None, None, WORST)

    def _not_beaten(self, demands: Sequence[Demand], results: Results, names: Sequence[str]) -> Sequence[str]:
        """The methods of these names that may be chosen beside the usual one, where that is worked out.

        More load makes none cheaper and lets none stand better: one that is dearer under hardly any load, and stands
        no better there, is not asked.
        """
        usual = results.get(USUAL_METHOD)
        if USUAL_METHOD not in names or usual is None or not usual.alike or usual.cost is None:
            return names
        count, attached, likely = len(demands), demands[0].attached, whole(usual.cost.likely)
        stands = {one.method: one.verdict_key for one in self._asked((LIGHT_LB,) * count, attached, names)}
        return [
            name
            for name in names
            if name == USUAL_METHOD
            or stands.get(name, ()) < usual.verdict_key
            or self._light_least(count, attached, name) <= likely
        ]

    def _price(self, results: Results, names: Sequence[str]) -> FootingPrice | None:
        """The price of the method chosen among some; null where one of them is not worked out."""
        if not names or any(name not in results for name in names):
            return None
        found = Comparison(tuple(by_preference([results[name] for name in names])))
        method = choose_method(found, self._wanted)
        unserved = self._wanted in METHODS and method is not None and method.method != self._wanted
        standing = WORST if unserved else standing_of(method)
        if method is None or method.cost is None:
            return FootingPrice(None, method.method if method else None, standing)
        # Only a post that goes down to its pad is longer or shorter for its height; that method serves less well
        # than others, so it has no say where another is wished, or is within the tables and off the fill.
        no_say = self._wanted == method.method or standing <= PLAIN
        any_height = method.method not in BURIED_METHODS and no_say
        lines = (line for line in method.lines if line.extended and not line.item.startswith(NOT_ORDERED))
        ordered = whole(sum((line.extended or NOTHING for line in lines), NOTHING))
        return FootingPrice(whole(method.cost.likely), method.method, standing, any_height, ordered)

    @property
    def site(self) -> tuple[Terrain, Walls]:
        """The ground they stand in, and the walls of the house beside it."""
        return self._case.ground, self._case.walls

    def standing_under(self, demands: Sequence[Demand]) -> int:
        """Return how the method stands that is chosen among all for some footings."""
        results = {one.method: one for one in worked_out(demands, self._job, METHODS)}
        price = self._price(results, METHODS)
        return WORST if price is None else price.standing

    def demands(self, layout: Layout) -> list[Demand]:
        """Return what the footings under the beams of a layout have to carry."""
        case, setting = self._case, self._case.setting()
        sizes, site = (layout.post_size, layout.beam_plies), (case.ground, case.walls)
        bottom_in = setting.stack(layout).beam_bottom_in
        stands = (replace(one, foot=foot(bottom_in, one.grade_in)) for one in self._standing(layout))
        return [demand_of(setting.owner, one, sizes, layout.attached, site) for one in stands]

    def _standing(self, layout: Layout) -> tuple[Stand, ...]:
        """Where its beams stand: sizes of joists, beams and posts change their heights alone."""
        laid, spacing_in = layout.arrangement, layout.spacing_in
        key = (laid, spacing_in, tuple(row.posts_in for row in layout.rows))
        if key not in self._stands:
            if (laid, spacing_in) not in self._shares:
                self._shares[laid, spacing_in] = carried(layout, placed_joists(layout))
            shares = self._shares[laid, spacing_in]
            self._stands[key] = stands_of(self._case.setting(), layout, shares)
        return self._stands[key]


def _alike(likenesses: Iterable[tuple[object, ...]]) -> Likeness:
    return frozenset(Counter(likenesses).items())


def _without_height(demand: Demand) -> tuple[object, ...]:
    return demand.likeness_on_top


def _asked(load_lb: float, post_size: str, attached: bool) -> Demand:
    """A footing that has least to do for a load."""
    return Demand(
        "least", "F", "least", "least", 0.0, FAR_FT, load_lb, load_lb, post_size, 0.0, attached,
        wall_distance_ft=FAR_FT, post_height_in=SHORTEST_POST_IN, beam_plies=1,
    )  # fmt: skip


def standing_of(method: MethodResult | None) -> int:
    """Return how a method stands beside others, less is better: what it is chosen by before its cost."""
    if method is None:
        return WORST
    unserved, rank, on_fill, lesser, grave = method.verdict_key
    return UNSERVED * unserved + 8 * rank + 4 * on_fill + 2 * lesser + grave


def _may_be_saddled(case: Case) -> bool:
    """Whether any beam of the level might lie too low over the ground for a post, whatever its size."""
    deepest = stack(case.level.surface_height_in, case.level.decking.thickness_in, "2x12", "2x12", "dropped")
    corners = [side.edge.start_ft for side in case.outline.sides]
    measured = [height_in for _, _, height_in in case.ground.points]
    highest = max(measured or heights_over(case.ground, corners))
    return foot(deepest.beam_bottom_in, highest).standing != "post"

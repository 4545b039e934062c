"""What the footings under a frame cost: by the same comparison the answer shows, each worked out once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from service.choice.case import Case
from service.choice.deck_facts import deck_facts
from service.choice.demands import demand_of
from service.choice.list_prices import whole
from service.comparison.compare import compared, job_of
from service.comparison.recommend import choose_method
from service.comparison.result import MethodResult
from service.foundations.demand import Demand
from service.framing.heights import SHORTEST_POST_IN, foot
from service.framing.layout import Arrangement, Layout
from service.framing.members import placed_joists, stands_of
from service.framing.stands import Stand
from service.framing.statics import Shares, carried
from service.takeoff.framing_parts import BURIED_METHODS

FAR_FT = 1e6  # from the house: no footing there is dug any deeper for it
WORST = 48
Posts = tuple[tuple[float, ...], ...]
Likeness = frozenset[tuple[tuple[object, ...], int]]


@dataclass(frozen=True)
class FootingPrice:
    """What footings cost, 1/10000 of the currency, and their method; null where no price or no method is known.

    ``standing`` is how the method stands, less is better; ``any_height`` says that longer posts would change nothing.
    """

    cost: int | None
    method: str | None
    standing: int = 0
    any_height: bool = False


class FootingPrices:
    """What the footings of one case cost.

    It is the whole likely cost of the method: bases, anchors, saddles and pile caps among it, which
    ``FramePrices`` therefore leaves out. Footings of stairs and heavy objects are not in it.
    """

    def __init__(self, case: Case) -> None:
        self._case, context = case, case.context
        self._job = job_of(case.criteria, case.spec, context.prices, context.facts, deck_facts([case]))
        self._known: dict[Likeness, FootingPrice] = {}
        self._whatever_height: dict[Likeness, FootingPrice] = {}
        self._shares: dict[tuple[Arrangement, float], Shares] = {}
        self._stands: dict[tuple[Arrangement, float, Posts], tuple[Stand, ...]] = {}

    @property
    def worked_out(self) -> int:
        """How many sets of footings were worked out."""
        return len(self._known)

    def least(self, count: int, lightest_lb: float, attached: bool) -> int:
        """Return what no footings of this number cost less than, 1/10000 of the currency; 0 where that is not known.

        It is what so many cost that are all alike and have least to do: each under the lightest load that any of them
        carries, on level ground far from the house. More load, a slope or the house only make footings larger,
        deeper or longer in the making, and methods stand no better for it.
        """
        lightest_lb = max(0.0, lightest_lb)  # joists that overhang far lift the beam at their other end
        asked = Demand(
            "least", "F", "least", "least", 0.0, FAR_FT, lightest_lb, lightest_lb, self._case.space.post_sizes[0], 0.0,
            attached, wall_distance_ft=FAR_FT, post_height_in=SHORTEST_POST_IN, beam_plies=1,
        )  # fmt: skip
        return self._priced([asked] * count).cost or 0

    def _priced(self, demands: Sequence[Demand]) -> FootingPrice:
        return _price(choose_method(compared(demands, self._job), self._case.spec.foundation.method))

    def of(self, layout: Layout) -> FootingPrice:
        """Return what the footings of a layout cost, by the method the comparison chooses."""
        demands = self.demands(layout)
        short = _alike(map(_without_height, demands))
        if short in self._whatever_height:
            return self._whatever_height[short]
        key = _alike(one.likeness for one in demands)
        if key not in self._known:
            self._known[key] = self._priced(demands)
            if self._known[key].any_height:
                self._whatever_height[short] = self._known[key]
        return self._known[key]

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
    return replace(demand, post_height_in=0.0, beam_plies=0).likeness


def _price(method: MethodResult | None) -> FootingPrice:
    if method is None or method.cost is None:
        return FootingPrice(None, method.method if method else None, standing_of(method))
    return FootingPrice(whole(method.cost.likely), method.method, standing_of(method), _any_height(method))


def standing_of(method: MethodResult | None) -> int:
    """Return how a method stands beside others, less is better: what it is chosen by before its cost."""
    if method is None:
        return WORST
    unserved, rank, on_fill, lesser, grave = method.verdict_key
    return 24 * unserved + 8 * rank + 4 * on_fill + 2 * lesser + grave


def _any_height(method: MethodResult) -> bool:
    """Whether a longer or shorter post would not change the choice.

    Only a post that goes down to its pad is longer or shorter for it. That method serves less well than others, so
    where another is chosen that is feasible, within the tables and off the fill, it has no say.
    """
    return method.method not in BURIED_METHODS and standing_of(method) <= 1

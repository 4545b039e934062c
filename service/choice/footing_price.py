"""What the footings under a frame cost: by the same comparison the answer shows, each worked out once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from service.choice.case import Case
from service.choice.deck_facts import deck_facts
from service.choice.demands import demand_of
from service.choice.footing_bound import FootingBound
from service.choice.list_prices import whole
from service.comparison.compare import compared, job_of
from service.comparison.recommend import choose_method
from service.comparison.result import MethodResult
from service.foundations.demand import Demand
from service.framing.ground import heights_over
from service.framing.heights import foot, stack
from service.framing.layout import Arrangement, Layout
from service.framing.members import placed_joists, stands_of
from service.framing.stands import Stand
from service.framing.statics import Shares, carried
from service.takeoff.framing_parts import BURIED_METHODS

Posts = tuple[tuple[float, ...], ...]
Likeness = frozenset[tuple[tuple[object, ...], int]]


@dataclass(frozen=True)
class FootingPrice:
    """What footings cost, 1/10000 of the currency, and their method; null where no price or no method is known."""

    cost: int | None
    method: str | None


class FootingPrices:
    """What the footings of one case cost.

    It is the whole likely cost of the method: bases, anchors, saddles and pile caps among it, which
    ``FramePrices`` therefore leaves out. Footings of stairs and heavy objects are not in it.
    """

    def __init__(self, case: Case) -> None:
        self._case, self._setting, context = case, case.setting(), case.context
        self._job = job_of(case.criteria, case.spec, context.prices, context.facts, deck_facts([case]))
        self._bound = FootingBound(self._job, case.space.post_sizes, _may_be_saddled(case))
        self._known: dict[Likeness, FootingPrice] = {}
        self._whatever_height: dict[Likeness, FootingPrice] = {}
        self._on_posts: dict[tuple[Arrangement, float, Posts, str], FootingPrice] = {}
        self._shares: dict[tuple[Arrangement, float], Shares] = {}
        self._stands: dict[tuple[Arrangement, float, Posts], tuple[Stand, ...]] = {}

    def least(self, loads_lb: Sequence[float], attached: bool) -> int:
        """Return what no footings under such loads, or greater ones, cost less than: see ``FootingBound``."""
        return self._bound.least(loads_lb, attached)

    def of(self, layout: Layout) -> FootingPrice:
        """Return what the footings of a layout cost, by the method the comparison chooses."""
        place = (layout.arrangement, layout.spacing_in, _posts(layout), layout.post_size)
        if place in self._on_posts and self._all_on_posts(layout):
            return self._on_posts[place]
        price, whatever_height = self._of(layout)
        if whatever_height and self._all_on_posts(layout):
            self._on_posts[place] = price
        return price

    def _of(self, layout: Layout) -> tuple[FootingPrice, bool]:
        """The price, and whether it is the same whatever the heights of the posts."""
        demands = self.demands(layout)
        short = _alike(map(_without_height, demands))
        if short in self._whatever_height:
            return self._whatever_height[short], True
        key = _alike(one.likeness for one in demands)
        if key not in self._known:
            method = choose_method(compared(demands, self._job), self._case.spec.foundation.method)
            self._known[key] = _price(method)
            if self._height_is_nothing(method):
                self._whatever_height[short] = self._known[key]
        return self._known[key], short in self._whatever_height

    def _all_on_posts(self, layout: Layout) -> bool:
        """Whether every place the beams stand at has room for a post."""
        bottom_in = self._setting.stack(layout).beam_bottom_in
        highest = max(one.grade_in for one in self._standing(layout))
        return foot(bottom_in, highest).standing == "post"

    def demands(self, layout: Layout) -> list[Demand]:
        """Return what the footings under the beams of a layout have to carry."""
        case, setting = self._case, self._setting
        sizes, site = (layout.post_size, layout.beam_plies), (case.ground, case.walls)
        bottom_in = setting.stack(layout).beam_bottom_in
        stands = (replace(one, foot=foot(bottom_in, one.grade_in)) for one in self._standing(layout))
        return [demand_of(setting.owner, one, sizes, layout.attached, site) for one in stands]

    def _standing(self, layout: Layout) -> tuple[Stand, ...]:
        """Where its beams stand: sizes of joists, beams and posts change their heights alone."""
        laid, spacing_in = layout.arrangement, layout.spacing_in
        key = (laid, spacing_in, _posts(layout))
        if key not in self._stands:
            if (laid, spacing_in) not in self._shares:
                self._shares[laid, spacing_in] = carried(layout, placed_joists(layout))
            shares = self._shares[laid, spacing_in]
            self._stands[key] = stands_of(self._setting, layout, shares)
        return self._stands[key]

    def _height_is_nothing(self, method: MethodResult | None) -> bool:
        """Whether a longer or shorter post would not change the choice.

        Only a post that goes down to its pad is longer or shorter for it. That method serves less well than others,
        so where another is chosen that is feasible, within the tables and off the fill, it has no say.
        """
        if method is None or method.method in BURIED_METHODS:
            return False
        pinned = method.method == self._case.spec.foundation.method
        return pinned or method.verdict_key[:4] == (False, 0, False, False)


def _posts(layout: Layout) -> Posts:
    return tuple(row.posts_in for row in layout.rows)


def _alike(likenesses: Iterable[tuple[object, ...]]) -> Likeness:
    return frozenset(Counter(likenesses).items())


def _without_height(demand: Demand) -> tuple[object, ...]:
    return replace(demand, post_height_in=0.0, beam_plies=0).likeness


def _price(method: MethodResult | None) -> FootingPrice:
    if method is None or method.cost is None:
        return FootingPrice(None, method.method if method else None)
    return FootingPrice(whole(method.cost.likely), method.method)


def _may_be_saddled(case: Case) -> bool:
    """Whether any beam of the level might lie too low over the ground for a post, whatever its size."""
    deepest = stack(case.level.surface_height_in, case.level.decking.thickness_in, "2x12", "2x12", "dropped")
    corners = [side.edge.start_ft for side in case.outline.sides]
    highest = (
        max(heights_over(case.ground, corners))
        if case.ground.mesh is None
        else max(p[2] for p in case.ground.points)
    )
    return foot(deepest.beam_bottom_in, highest).standing != "post"

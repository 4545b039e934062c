"""What the footings under a frame cost: by the same comparison the answer shows, remembered; and a lower bound."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from service.choice.case import Case
from service.choice.deck_facts import deck_facts
from service.choice.demands import demand_of
from service.choice.list_prices import whole
from service.comparison.compare import compare
from service.comparison.recommend import choose_method
from service.foundations.demand import Demand
from service.framing.layout import Layout
from service.framing.members import build, numbered


@dataclass(frozen=True)
class FootingPrice:
    """What footings cost, 1/10000 of the currency, and their method; null where no price or no method is known."""

    cost: int | None
    method: str | None


class FootingPrices:
    """What the footings of one case cost.

    It is the whole likely cost of the method: bases, anchors, saddles and pile caps among it, which
    ``FramePrices`` therefore leaves out.
    """

    def __init__(self, case: Case) -> None:
        self._case = case
        self._known: dict[frozenset[tuple[tuple[object, ...], int]], FootingPrice] = {}

    def least(self, count: int) -> int:  # noqa: ARG002 - to come
        """Return what no footings of this number cost less than, 1/10000 of the currency."""
        return 0

    def of(self, layout: Layout) -> FootingPrice:
        """Return what the footings of a layout cost, by the method the comparison chooses."""
        demands = self._demands(layout)
        key = frozenset(Counter(one.likeness for one in demands).items())
        if key not in self._known:
            self._known[key] = self._compared(demands)
        return self._known[key]

    def _demands(self, layout: Layout) -> list[Demand]:
        case = self._case
        setting = case.setting()
        members = build(setting, layout, numbered([layout])[0])
        sizes, site = (layout.post_size, layout.beam_plies), (case.ground, case.walls)
        return [demand_of(setting.owner, one, sizes, layout.attached, site) for one in members.stands]

    def _compared(self, demands: list[Demand]) -> FootingPrice:
        case, context = self._case, self._case.context
        found = compare(demands, case.criteria, case.spec, context.prices, context.facts, deck_facts([case]))
        method = choose_method(found, case.spec.foundation.method)
        if method is None or method.cost is None:
            return FootingPrice(None, method.method if method else None)
        return FootingPrice(whole(method.cost.likely), method.method)

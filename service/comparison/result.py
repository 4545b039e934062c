"""One footing method worked out, and all of them together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

from service.comparison.bought import Bought
from service.comparison.cost import Cost
from service.comparison.schedule import Timetable
from service.contract.report import Caution, Reason
from service.contract.report_comparison import CodedText, Risk, Status
from service.foundations.demand import Demand
from service.foundations.ground_risks import grave_in_holes, ground_risks_of
from service.foundations.method import FootingMethod, Sized
from service.foundations.site import Site

STATUS_RANK: dict[Status, int] = {"prescriptive": 0, "engineer_required": 1, "not_permitted": 2}
VerdictKey = tuple[bool, int, bool, bool, bool]
USUAL_METHOD = "tube_form_pier"
# Methods that do not serve as well or as long for their price, and why: never taken for being cheaper alone.
LESSER_SERVICE: Mapping[str, str] = {
    "post_on_buried_pad": "wood in the ground decays and can't be changed without digging",
    "pier_block_on_grade": "blocks on the ground have no hold against frost and lifting wind",
}


@dataclass(frozen=True)
class Supplied:
    """What a method comes to with its concrete from one supply; ``supply`` is empty where it needs none."""

    supply: str
    lines: tuple[Bought, ...]
    table: Timetable | None
    cost: Cost | None


class Pricing(Protocol):
    """What works out the supplies, the days and the order of a method's footings."""

    def ways(self, method: FootingMethod, sized: Sequence[Sized]) -> tuple[Supplied, ...]:
        """Return the method with every supply of concrete it may have, the one taken first."""

    def usual_days(self, method: FootingMethod, sized: Sequence[Sized]) -> float | None:
        """Return the likely days of as many footings of the usual size."""

    def order_risks(self, way: Supplied) -> tuple[Risk, ...]:
        """Return what can go wrong with the order and its dates."""


@dataclass(frozen=True)
class MethodResult:
    """A method with its footings, checks, verdict, cost and schedule.

    ``kinds`` are the footings worked out, ``alike`` one of them for each of ``demands``; both are empty where none
    could be worked out. What only the answer tells is worked out when it is asked for. ``stands_on_fill`` says that
    a footing would bear on ground that was dug up. Its supplies, its days and what can go wrong with its order are
    worked out by ``pricing`` when they are asked for: a method that no price could put first is never priced.
    """

    method: str
    maker: FootingMethod
    site: Site
    kinds: tuple[Sized, ...]
    alike: tuple[Sized, ...]
    demands: tuple[Demand, ...]
    why_not: tuple[CodedText, ...]
    status: Status
    refusals: tuple[Reason, ...]
    stands_on_fill: bool
    pricing: Pricing = field(repr=False, compare=False)

    @cached_property
    def ways(self) -> tuple[Supplied, ...]:
        """Its supplies of concrete, the one taken first."""
        return self.pricing.ways(self.maker, self.alike)

    @cached_property
    def usual_days(self) -> float | None:
        """The likely days to framing with holes of the usual size and concrete from bags; null where none are known.

        So that of two methods the one that takes longer hangs on their number alone.
        """
        return self.pricing.usual_days(self.maker, self.alike)

    @cached_property
    def order_risks(self) -> tuple[Risk, ...]:
        """What can go wrong with the order and its dates."""
        return self.pricing.order_risks(self.ways[0]) if self.ways else ()

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """What has to be said of its footings, each thing once."""
        if not self.kinds:
            return ()
        said = (caution for one in self.kinds for caution in one.cautions)
        return tuple(dict.fromkeys((*said, *self.maker.cautions(self.kinds, self.site))))

    @cached_property
    def risks(self) -> tuple[Risk, ...]:
        """What can go wrong with it on this ground and with this order."""
        own = self.maker.risks(self.alike, self.site) if self.alike else ()
        return (*ground_risks_of(self.alike, self.site), *own, *self.order_risks)

    @cached_property
    def sized(self) -> tuple[Sized, ...]:
        """Its footings, each by its own name; empty where none could be worked out."""
        return tuple(one.renamed(demand) for one, demand in zip(self.alike, self.demands, strict=False))

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """Every reason the verdict of a design drawn with this method is not better."""
        return (*self.refusals, *(reason for one in self.sized for reason in one.engineer))

    @property
    def feasible(self) -> bool:
        """Whether every post can be served this way here."""
        return not self.why_not

    @property
    def usable(self) -> bool:
        """Whether it may be built: one that serves every post and is not permitted wins nothing."""
        return self.feasible and self.status != "not_permitted"

    @property
    def supply(self) -> str:
        """How its concrete comes; empty where it needs none."""
        return self.ways[0].supply if self.ways else ""

    @property
    def lines(self) -> tuple[Bought, ...]:
        """What is bought."""
        return self.ways[0].lines if self.ways else ()

    @property
    def cost(self) -> Cost | None:
        """What it costs; null where a price is missing."""
        return self.ways[0].cost if self.ways else None

    @property
    def table(self) -> Timetable | None:
        """When framing can start; null where no durations are known."""
        return self.ways[0].table if self.ways else None

    @cached_property
    def grave(self) -> tuple[Risk, ...]:
        """What may stop its holes from being made at all: water, caving or rock, each a high risk."""
        return grave_in_holes(self.kinds, self.site)

    @cached_property
    def verdict_key(self) -> VerdictKey:
        """Better first: feasible, better verdict, off the fill, of lasting service, no grave risk of its holes."""
        return (
            not self.feasible,
            STATUS_RANK[self.status],
            self.stands_on_fill,
            self.method in LESSER_SERVICE,
            bool(self.grave),
        )

    @property
    def likely_days(self) -> float:
        """Likely days to framing; a method without a schedule comes last."""
        return self.table.elapsed_days[1] if self.table else float("inf")


@dataclass(frozen=True)
class Comparison:
    """Every method that was worked out, best first."""

    results: tuple[MethodResult, ...]

    def result(self, method: str) -> MethodResult | None:
        """Return one method's result."""
        return next((one for one in self.results if one.method == method), None)


def volume_cuft(sized: Sequence[Sized]) -> float:
    """Return the concrete of all footings in place."""
    return sum(one.footing.concrete.volume_cuft for one in sized if one.footing.concrete)

"""How guard posts are held: the members that carry each, the blocking behind it and its hardware."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from service.contract.ids import item, member
from service.contract.report_frame import Blocking, GuardPost
from service.framing.guard_edges import Edge
from service.framing.guards import GuardRun, PostSpot
from service.sizing.lumber import PLY_IN
from service.units.rounding import cut_length

# A post this near a joist has its connector on the joist itself (convention of this service).
BESIDE_JOIST_IN: Final = 2.25
# A stub runs from the rim to a block one usual joist bay behind it (convention of this service).
STUB_IN: Final = 14.5
SIDE_BOLTS: Final = 2
SURFACE_BOLTS: Final = 4
BETWEEN: Final = "guard post: block between two joists, fastened to both"
STUB: Final = "guard post: stub from the rim to the block behind it, for the connector"


@dataclass(frozen=True)
class Carriers:
    """What guard posts may be fixed to. ``joist_lines_ft`` are x where joists run away from the house, else y.

    ``rims`` are rim ids by edge; blocking is numbered from ``first_blocking``.
    """

    joists: str
    direction: str
    joist_lines_ft: tuple[float, ...]
    size: str
    rims: Mapping[int, str]
    first_blocking: int = 1

    def across(self, edge: Edge) -> bool:
        """Return whether joists run into this edge, so that it has a rim."""
        along = edge.along[0] if self.direction == "away_from_house" else edge.along[1]
        return abs(along) > 1e-6

    def place_ft(self, spot: PostSpot) -> float:
        """Return where a post stands across the joists, ft."""
        return spot.at_ft[0] if self.direction == "away_from_house" else spot.at_ft[1]


@dataclass
class BlockingOrder:
    """Blocking asked for so far, like pieces together."""

    level: str
    first: int
    size: str
    counts: dict[tuple[str, float], int] = field(default_factory=dict)

    def ask(self, because: str, length_in: float) -> str:
        """Return the id of the group one more piece belongs to."""
        key = (because, cut_length(length_in))
        self.counts[key] = self.counts.get(key, 0) + 1
        return self._id(list(self.counts).index(key))

    def _id(self, place: int) -> str:
        return member(self.level, "blocking", self.first + place)

    def pieces(self) -> tuple[Blocking, ...]:
        """Return the groups in the order first asked for."""
        return tuple(
            Blocking(id=self._id(i), size=self.size, length_in=length, count=count, because=because)
            for i, ((because, length), count) in enumerate(self.counts.items())
        )


def bay_at(lines_ft: Sequence[float], at_ft: float) -> tuple[float, float]:
    """Return the two neighbouring joist lines a place lies between, ft; the end bay if it lies outside.

    Source: geometry of the frame.

    Args:
        lines_ft: joist centre lines, rising, ft.
        at_ft: place across the joists, ft.

    >>> bay_at((0.0625, 1.0, 2.0), 1.5), bay_at((0.0625, 1.0, 2.0), -0.1)
    ((1.0, 2.0), (0.0625, 1.0))
    """
    pairs = list(itertools.pairwise(lines_ft))
    return next((pair for pair in pairs if at_ft <= pair[1]), pairs[-1])


def connector_item(mount: str, coating: str) -> str:
    """Return the item code of the tested connector a post of this mount needs (capacity in lb in the code).

    Source: AWC DCA 6 for 1,800 lb at a side mount; a surface mount goes by its maker's tests.

    Args:
        mount: side or surface.
        coating: fastener coating the place asks for.

    >>> connector_item("side", "stainless_steel")
    'guard_post_connector.tension_1800lb.stainless_steel'
    """
    return item("guard_post_connector", "tension_1800lb" if mount == "side" else "surface_base", coating)


def post_hardware(mount: str, coating: str) -> tuple[str, ...]:
    """Return the hardware of one post, one code a piece: bolts (lengths in in), two washers each, connector.

    Source: two 1/2 in through-bolts and a connector at a side mount, AWC DCA 6; four through-bolts in a base:
    common practice, no source.

    Args:
        mount: side or surface.
        coating: fastener coating the place asks for.

    >>> len(post_hardware("side", "hot_dip_galvanized"))
    7
    """
    bolts = SIDE_BOLTS if mount == "side" else SURFACE_BOLTS
    bolt, washer = item("bolt", "1-2in", "8in", coating), item("washer", "1-2in", coating)
    return (bolt,) * bolts + (washer,) * (2 * bolts) + (connector_item(mount, coating),)


def _clear_in(bay: tuple[float, float]) -> float:
    return (bay[1] - bay[0]) * 12 - PLY_IN


def _held_by(
    run: GuardRun, spot: PostSpot, mount: str, carriers: Carriers, order: BlockingOrder
) -> tuple[str, ...]:
    at = carriers.place_ft(spot)
    between = _clear_in(bay_at(carriers.joist_lines_ft, at))
    if mount == "surface":
        return (order.ask(BETWEEN, between), carriers.joists)
    if not carriers.across(run.edge):
        return (carriers.joists, order.ask(BETWEEN, between))
    rim = carriers.rims.get(run.edge.number, carriers.joists)
    if min(abs(at - line) for line in carriers.joist_lines_ft) * 12 <= BESIDE_JOIST_IN:
        return (rim, carriers.joists)
    return (rim, order.ask(STUB, STUB_IN), order.ask(BETWEEN, between))


def anchor_posts(
    number: int, run: GuardRun, mount: str, coating: str, carriers: Carriers, order: BlockingOrder
) -> tuple[GuardPost, ...]:
    """Return the posts of guard ``number`` with the members that carry them; positions in ft.

    Source: IRC R507.10.1 (2021 on): the load goes on into the joists, and end-grain fasteners do not count.

    Args:
        number: number of the guard on its level.
        run: the run of guard.
        mount: side or surface.
        coating: fastener coating the place asks for.
        carriers: members a post may be fixed to.
        order: blocking asked for so far; added to.
    """
    return tuple(
        GuardPost(
            id=member(order.level, "guard-post", number, place),
            x_ft=spot.at_ft[0],
            y_ft=spot.at_ft[1],
            mount="side" if mount == "side" else "surface",
            carried_by=_held_by(run, spot, mount, carriers, order),
            hardware=post_hardware(mount, coating),
        )
        for place, spot in enumerate(run.spots, start=1)
    )

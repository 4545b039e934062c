"""What the ground takes and gives: stone, precast blocks, bars, hired machines, and the soil that is left over."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.contract.ids import item
from service.contract.report_frame import Concrete, Footing, Post
from service.contract.report_order import GroundworkLine, Unpriced
from service.foundations.bars import bar_item
from service.foundations.hardware import STONE_BAG, stone_bags
from service.framing.frame import Frame
from service.rules.price_book import PriceBook
from service.sizing.lumber import post_sides_in
from service.takeoff.concrete import CUFT_PER_CUYD
from service.takeoff.framing_parts import BURIED_METHODS
from service.takeoff.items import inches
from service.takeoff.needs import Need
from service.takeoff.parts import Part
from service.takeoff.pricing import priced, unpriced

SPOIL = "spoil.soil"  # soil to take away: a quantity, nothing to buy
SWELL = 1.25  # common practice: dug soil takes up so much more room than it did in the ground
BLOCK_METHOD = "pier_block_on_grade"
CUIN_PER_CUFT = 1728.0


@dataclass(frozen=True)
class Groundwork:
    """How the method that was chosen is carried out: its concrete supply, and item and days of each hired machine.

    An empty ``supply``: as the spec asks, or the cheaper.
    """

    supply: str = ""
    rentals: tuple[tuple[str, float], ...] = ()


def ground_needs(footings: Sequence[Footing]) -> Iterator[Need]:
    """Yield the stone and the precast blocks of every footing; bags are made whole over the job, not each hole."""
    stone_cuft, bought = 0.0, 0
    for footing in footings:
        base = footing.concrete.base_size_in if footing.concrete else None
        if footing.method == BLOCK_METHOD and base:
            yield Need(item("pier_block", inches(base), "precast"), 1, footing.id)
        stone_cuft += footing.concrete.stone_cuft if footing.concrete else 0.0
        yield Need(STONE_BAG, stone_bags(stone_cuft) - bought, footing.id)
        bought = stone_bags(stone_cuft)


def bar_parts(footings: Sequence[Footing]) -> Iterator[Part]:
    """Yield the bars that stand in piers, cut from stock lengths."""
    for footing in footings:
        bars = footing.concrete.reinforcement if footing.concrete else None
        if bars:
            yield Part(bar_item(bars.size), bars.length_in, footing.id, bars.bars)


def displaced_cuft(footing: Footing, post: Post | None = None) -> float:
    """Return the soil a footing displaces, cu ft: its concrete, stone, block and buried post as far as below grade.

    A pile displaces what it is screwed into and leaves nothing over.
    """
    concrete = footing.concrete
    if concrete is None:
        return 0.0
    below = max(
        0.0, concrete.volume_cuft - _area_sqin(concrete) * max(0.0, footing.exposed_in) / CUIN_PER_CUFT
    )
    return below + concrete.stone_cuft + _buried_cuft(footing, post) + _block_cuft(footing, concrete)


def _area_sqin(concrete: Concrete) -> float:
    """The section of what stands out of the ground."""
    if concrete.shaft_diameter_in is not None:
        round_share = math.pi / 4 if concrete.shape == "round" else 1.0
        return round_share * concrete.shaft_diameter_in**2
    return (concrete.width_in or 0.0) * (concrete.length_in or 0.0)


def _buried_cuft(footing: Footing, post: Post | None) -> float:
    if post is None or footing.method not in BURIED_METHODS:
        return 0.0
    deep_in = max(0.0, footing.grade_height_in - footing.top_height_in)
    return math.prod(post_sides_in(post.size)) * deep_in / CUIN_PER_CUFT


def _block_cuft(footing: Footing, concrete: Concrete) -> float:
    """What of a precast block is let into the ground; nothing of it is poured."""
    if footing.method != BLOCK_METHOD:
        return 0.0
    deep_in = max(0.0, footing.grade_height_in - footing.bottom_height_in)
    return (concrete.base_size_in or 0.0) ** 2 * deep_in / CUIN_PER_CUFT


def groundwork_lines(
    frame: Frame, rentals: Iterable[tuple[str, float]], prices: PriceBook | None
) -> tuple[tuple[GroundworkLine, ...], tuple[Unpriced, ...]]:
    """Return the machines hired, priced, and the spoil; and what of it has no price."""
    hired = [_hired(code, days, frame.footings, prices) for code, days in rentals]
    missing = (unpriced(prices, x.item, x.quantity, x.unit) for x in hired if x.extended is None)
    posts = {post.id: post for post in frame.posts}
    return (*hired, *_spoil(frame.footings, posts)), tuple(one for one in missing if one)


def _hired(code: str, days: float, footings: Sequence[Footing], prices: PriceBook | None) -> GroundworkLine:
    cost = priced(prices, code, days, "day")
    return GroundworkLine(
        item=code,
        quantity=cost.quantity,
        unit=cost.unit,
        sku=cost.sku,
        unit_price=cost.unit_price,
        extended=cost.extended,
        members=tuple(footing.id for footing in footings),
        because="whole days, as long as its task of the schedule likely takes",
        availability=cost.availability,
    )


def _spoil(footings: Sequence[Footing], posts: Mapping[str, Post]) -> Iterator[GroundworkLine]:
    found = {one.id: displaced_cuft(one, posts.get(one.post or "")) for one in footings}
    dug_cuft = math.fsum(found.values())
    if dug_cuft > 0:
        yield GroundworkLine(
            item=SPOIL,
            quantity=dug_cuft * SWELL / CUFT_PER_CUYD,
            unit="cuyd",
            sku=None,
            unit_price=None,
            extended=None,
            members=tuple(name for name, volume in found.items() if volume > 0),
            because=f"{dug_cuft:.3g} cu ft of soil make room for the footings, times {SWELL:g} once dug "
            "(common practice)",
        )

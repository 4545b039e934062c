"""Frames that share an arrangement: the joists that may lie in it, and the beams on posts that may be under it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby, product
from typing import cast

from service.choice.level.ask import Ask
from service.choice.level.beam_rows import Wish, wishes
from service.choice.level.frame_price import FramePrices, Part
from service.choice.level.score import (
    FAILS,
    allowed_level,
    beam_limits,
    joist_standing,
    settled_by_engineer,
    stands_off,
)
from service.choice.search.arranging import Arranging
from service.choice.search.post_rows import MORE, OVERHANGS_IN, Way, on_posts, post_ways
from service.framing.edge_loads import at_ends, stands_alone
from service.framing.layout import Arrangement, Layout, Placement
from service.framing.region import Region
from service.sizing.lumber import nominal, width_in

BOARD_FOOT_IN3 = 144.0
WAYS_OF_POSTS = (len(OVERHANGS_IN) + 1) * (MORE + 1)


@dataclass(frozen=True, eq=False)
class JoistChoice:
    """One size and spacing of joists in an arrangement. ``level`` is how they stand, ``ratio`` their utilisation."""

    size: str
    spacing_in: float
    level: int
    ratio: float
    part: Part
    board_feet: float
    laid: Arrangement


@dataclass(frozen=True, eq=False)
class BeamChoice:
    """One size of beams in an arrangement, with every way they may stand on posts.

    ``levels`` says how each way stands, ``parts`` what its boards cost; ``beside`` counts footings of stairs beside.
    """

    draft: Layout
    ways: tuple[Way, ...]
    levels: tuple[int, ...]
    parts: tuple[Part, ...]
    board_feet: float
    beside: int


@dataclass(eq=False)
class Block:
    """One arrangement with every choice of joists and beams; each of these goes with each of those."""

    laid: Arrangement
    sizes: int
    joists: list[JoistChoice] = field(default_factory=list)
    beams: list[BeamChoice] = field(default_factory=list)
    seen: set[tuple[str, float]] = field(default_factory=set)

    @property
    def tried(self) -> int:
        """The frames it holds before any limit is looked at: joists by beam sizes by the ways posts are tried."""
        return len(self.seen) * self.sizes * WAYS_OF_POSTS


@dataclass(frozen=True)
class Trying:
    """What blocks are made from; with ``keep_failing`` joists that do not stand are kept, for pins that can't."""

    arranging: Arranging
    prices: FramePrices
    inner: int
    keep_failing: bool

    @property
    def ask(self) -> Ask:
        """What is to be framed."""
        return self.arranging.ask


def may_be_flush(region: Region) -> bool:
    """Return whether flush beams are offered: joists meet every edge squarely and none ends at another direction."""
    return all(bound.square and bound.meets != "change" for bound in region.bounds)


def blocks_of(trying: Trying) -> list[Block]:
    """Return the arrangements with so many rows between the ends, each once, with what may lie in them."""
    found: dict[int, Block] = {}
    space = trying.ask.space
    for placement in space.placements:
        if placement == "flush" and (trying.inner > 0 or not may_be_flush(trying.ask.region)):
            continue  # joists would hang on both faces of the beams between: no rule covers that
        for plies in space.plies:
            beams = [size for size in space.beam_sizes if nominal(size)[0] == 2 or plies == 1]
            for wide, alike in groupby(sorted(beams, key=width_in), key=width_in):
                _of_width(trying, cast(Placement, placement), tuple(alike), (wide, plies), found)
    return list(found.values())


def _of_width(
    trying: Trying,
    placement: Placement,
    sizes: tuple[str, ...],
    width: tuple[float, int],
    found: dict[int, Block],
) -> None:
    """Blocks under beams of one width, whatever their depth: joists and rows lie alike."""
    ask, (wide, plies) = trying.ask, width
    for wish in wishes(ask.region, wide * plies, placement, ask.clear_of_house_in):
        ask.watch.go_on()
        for laid, joists in _laid(trying, wish, wide * plies, placement):
            block = found.setdefault(id(laid), Block(laid, len(sizes)))
            block.joists += _joists(trying, block, joists)
            if block.joists and not block.beams:
                block.beams += _beams(trying, block, sizes, plies)


def _laid(
    trying: Trying, wish: Wish, width_in: float, placement: Placement
) -> Iterator[tuple[Arrangement, list[tuple[str, float]]]]:
    """The arrangements a wish comes to, with the joists each is for: in one section all joists lie alike."""
    arranging, space = trying.arranging, trying.ask.space
    found: dict[int, tuple[Arrangement, list[tuple[str, float]]]] = {}
    for joist, spacing in product(space.joist_sizes, space.spacings_in):
        laid = arranging.settled(wish, trying.inner, width_in, placement, joist, spacing)
        laid = None if laid is None else arranging.fitted(laid, spacing)
        if laid is not None:
            found.setdefault(id(laid), (laid, []))[1].append((joist, spacing))
    yield from found.values()


def _joists(trying: Trying, block: Block, wanted: Sequence[tuple[str, float]]) -> Iterator[JoistChoice]:
    ask, laid = trying.ask, block.laid
    for size, spacing in wanted:
        if (size, spacing) in block.seen:
            continue
        block.seen.add((size, spacing))
        standing = joist_standing(laid, size, spacing, trying.arranging.limits)
        if standing.level < FAILS or (trying.keep_failing and math.isfinite(standing.ratio)):
            yield JoistChoice(
                size=size,
                spacing_in=spacing,
                level=max(standing.level, ask.landings.get(size, 0)),
                ratio=standing.ratio,
                part=trying.prices.joists(laid, size, ask.joists_in[spacing]),
                board_feet=_joist_feet(ask, size, spacing),
                laid=laid,
            )


def _joist_feet(ask: Ask, size: str, spacing_in: float) -> float:
    length = sum(count * each for count, each in ask.joist_lengths[spacing_in])
    return _board_feet(size, length + ask.region.bounds_in)


def _board_feet(size: str, length_in: float) -> float:
    thickness, depth = nominal(size)
    return thickness * depth * length_in / BOARD_FOOT_IN3


def _beams(trying: Trying, block: Block, sizes: Sequence[str], plies: int) -> Iterator[BeamChoice]:
    joist, post, ask = block.joists[0], trying.ask.space.post_sizes[0], trying.ask
    drafts = [
        Layout(block.laid, joist.size, joist.spacing_in, block.laid.rows, size, plies, post) for size in sizes
    ]
    asked = None if _by_posts(block.laid) else settled_by_engineer(drafts[0], ask)
    beside = sum(one.load.alone or 0 for one in at_ends(drafts[0], ask.loads) if stands_alone(drafts[0], one))
    for draft in drafts:
        found = _on_posts(trying, draft, asked, beside)
        if found is not None:
            yield found


def _on_posts(trying: Trying, draft: Layout, asked: bool | None, beside: int) -> BeamChoice | None:
    """The ways beams of a size stand: posts are placed within what their spans and overhangs allow.

    ``asked`` says whether an engineer has to look whatever the sizes; null where that hangs on where posts stand.
    """
    ask, arranging = trying.ask, trying.arranging
    allowed = beam_limits(draft, ask, arranging.limits)
    reach = [one.value_in for one in allowed if one.value_in is not None]
    if len(reach) < len(allowed):
        return None
    ways = post_ways(arranging.posts, draft, reach)
    if ask.clear_of_house_in:
        ways = [way for way in ways if stands_off(on_posts(draft, way), ask.clear_of_house_in)]
    if not ways:
        return None
    level = max(map(allowed_level, allowed))
    return BeamChoice(
        draft=draft,
        ways=tuple(ways),
        levels=(max(level, int(asked)),) * len(ways)
        if asked is not None
        else _levels(draft, ways, level, ask),
        parts=_parts(trying, draft, ways),
        board_feet=draft.beam_plies * _board_feet(draft.beam_size, sum(row.length_in for row in draft.rows)),
        beside=beside,
    )


def _levels(draft: Layout, ways: Sequence[Way], level: int, ask: Ask) -> tuple[int, ...]:
    return tuple(max(level, int(settled_by_engineer(on_posts(draft, way), ask))) for way in ways)


def _by_posts(laid: Arrangement) -> bool:
    """Whether it matters to an engineer where the posts stand: one may be too near a wall that a row ends at."""
    return any(end == "wall" for row in laid.rows for end in row.ends)


def _parts(trying: Trying, draft: Layout, ways: Sequence[Way]) -> tuple[Part, ...]:
    """What the boards cost at least: where one holds the whole row, wherever its posts stand."""
    lengths = [row.length_in for row in draft.rows]
    size, plies, prices = draft.beam_size, draft.beam_plies, trying.prices
    if max(lengths) <= trying.ask.boards.beam(size):
        return (prices.least_beams(lengths, ways[0].posts, size, plies),) * len(ways)
    return tuple(prices.least_beams(lengths, way.posts, size, plies) for way in ways)

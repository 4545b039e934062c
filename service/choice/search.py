"""Every frame of the space that is worth a look, and a short list of the best by verdict and objective."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, product
from typing import cast

from service.choice.arranging import Arranging
from service.choice.ask import Ask
from service.choice.beam_rows import (
    MOST_INNER,
    wishes,
)
from service.choice.limits import Limits
from service.choice.post_rows import post_count, with_posts
from service.choice.score import (
    FAILS,
    Standing,
    beam_limits,
    beam_standing,
    crowds_house,
    flush_fits,
    joist_standing,
    may_clear,
    post_standing,
    stands_off,
    worst,
)
from service.framing.edge_loads import at_ends, stands_alone
from service.framing.layout import Layout, Placement
from service.framing.region import Region
from service.sizing.lumber import nominal, width_in

BOARD_FOOT_IN3 = 144.0
Price = Callable[["Layout"], float | None]


@dataclass(frozen=True)
class Scored:
    """A layout with how it stands and what the objective sees of it. ``cost`` is null without prices."""

    layout: Layout
    standing: Standing
    footings: int
    board_feet: float
    cost: float | None


def _drafts(
    ask: Ask, arranging: Arranging, placement: Placement, inner: int, keep_failing: bool
) -> Iterator[tuple[Layout, Standing]]:
    """Every joist and beam of the space over every way rows may run, with how the joists stand."""
    limits, post = arranging.limits, ask.space.post_sizes[0]
    for joist, spacing, plies in product(ask.space.joist_sizes, ask.space.spacings_in, ask.space.plies):
        beams = [b for b in ask.space.beams_for(joist) if nominal(b)[0] == 2 or plies == 1]
        for wide, alike_sizes in groupby(beams, key=width_in):
            sizes = [size for size in alike_sizes if may_clear(ask, joist, size, placement)]
            seen = set[int]()
            for wish in wishes(ask.region, wide * plies, placement, ask.clear_of_house_in) if sizes else ():
                laid = arranging.settled(wish, inner, wide * plies, placement, joist, spacing)
                laid = None if laid is None else arranging.fitted(laid, spacing)
                if laid is None or id(laid) in seen:
                    continue
                seen.add(id(laid))
                made = [Layout(laid, joist, spacing, laid.rows, s, plies, post) for s in sizes]
                fitting = [one for one in made if flush_fits(one) and arranging.clears(one)]
                if not fitting:
                    continue
                standing = joist_standing(laid, joist, spacing, limits)
                if standing.level < FAILS or keep_failing:
                    yield from ((one, standing) for one in fitting)


def _settled(
    ask: Ask, arranging: Arranging, draft: Layout, joists: Standing
) -> Iterator[tuple[Layout, Standing]]:
    allowed = beam_limits(draft, ask, arranging.limits)
    reach = [one.value_in for one in allowed if one.value_in is not None]
    if len(reach) < len(allowed):
        return
    for layout in with_posts(arranging.posts, draft, reach):
        yield layout, worst(joists, beam_standing(layout, ask, allowed))


def on_posts(ask: Ask, limits: Limits, one: Scored) -> Scored:
    """Return a scored frame on the first post size that stands; its standing is then whole."""
    best: Scored | None = None
    for size in ask.space.post_sizes:
        tried = replace(one.layout, post_size=size)
        standing = worst(one.standing, post_standing(tried, ask, limits))
        if best is None or standing.level < best.standing.level:
            best = replace(one, layout=tried, standing=standing)
        if standing.level <= one.standing.level:
            break
    return cast(Scored, best)


def _volume_in3(size: str, length_in: float) -> float:
    thickness, depth = nominal(size)
    return thickness * depth * length_in


def board_feet(layout: Layout, ask: Ask) -> float:
    """Return the nominal lumber in joists, rims or ledger, and beams, board feet."""
    joists = sum(count * length for count, length in ask.joist_lengths[layout.spacing_in])
    total = _volume_in3(layout.joist_size, joists + layout.region.bounds_in)
    total += layout.beam_plies * _volume_in3(layout.beam_size, sum(row.length_in for row in layout.rows))
    return total / BOARD_FOOT_IN3


def _scored(layout: Layout, ask: Ask, standing: Standing, price: Price) -> Scored:
    beside = sum(one.load.alone or 0 for one in at_ends(layout, ask.loads) if stands_alone(layout, one))
    return Scored(layout, standing, post_count(layout.rows) + beside, board_feet(layout, ask), price(layout))


def candidates(ask: Ask, limits: Limits, price: Price, keep_failing: bool = False) -> list[Scored]:
    """Return the frames whose joists and beams stand, for the fewest beams and the first placement that has any.

    With ``keep_failing`` those that do not stand are kept too, for pins that can't. Posts are looked at only
    for the frames worth it (`shortlist`).
    """
    arranging = Arranging(ask, limits)
    for inner in range(MOST_INNER + 1):
        for placement in ask.space.placements:
            if placement == "flush" and (inner > 0 or not _may_be_flush(ask.region)):
                continue  # joists would hang on both faces of the beams between: no rule covers that
            drafts = _drafts(ask, arranging, cast(Placement, placement), inner, keep_failing)
            found = [
                _scored(layout, ask, standing, price)
                for draft, joists in drafts
                for layout, standing in _settled(ask, arranging, draft, joists)
                if standing.level < FAILS or (keep_failing and math.isfinite(standing.ratio))
                if stands_off(layout, ask.clear_of_house_in)
            ]
            if found:
                return [one for one in found if not crowds_house(one.layout)] or found
    return []


def has_rows(ask: Ask) -> bool:
    """Return whether beams can be laid under the edges of a region at all, whatever their size."""
    arranging = Arranging(ask, Limits(ask.criteria))
    return any(arranging.ends(wish, "dropped") is not None for wish in wishes(ask.region, 3.0, "dropped"))


def _may_be_flush(region: Region) -> bool:
    """Flush beams are offered where every joist meets its edge squarely and none ends at another direction."""
    return all(bound.square and bound.meets != "change" for bound in region.bounds)


def _places(layout: Layout) -> tuple[object, ...]:
    """Where beams stand, told so that a deck mirrored along the house is told alike."""
    if layout.region.axes.away:
        return tuple(sorted(min(row.start_in[1], row.end_in[1]) for row in layout.rows))
    return tuple(sorted((-use.cantilever_in, use.near_in) for use in layout.arrangement.uses))


def _posts(layout: Layout) -> tuple[object, ...]:
    return tuple(sorted((sorted(row.overhangs_in), sorted(row.spans_in)) for row in layout.rows))


def _order(objective: str) -> Callable[[Scored], tuple[object, ...]]:
    def key(one: Scored) -> tuple[object, ...]:
        layout = one.layout
        failing = one.standing.ratio if one.standing.level == FAILS else 0.0
        money = one.cost if one.cost is not None else math.inf
        first: tuple[object, ...] = (one.footings, money) if objective != "cost" else (money, one.footings)
        ids = (layout.joist_size, layout.spacing_in, layout.beam_size, layout.beam_plies)
        depth = nominal(layout.joist_size)[1] + nominal(layout.beam_size)[1]
        return (
            one.standing.level,
            failing,
            *first,
            one.board_feet,
            depth,
            ids,
            _places(layout),
            _posts(layout),
        )

    return key


def shortlist(
    found: Iterable[Scored], objective: str, per_count: int, settle: Callable[[Scored], Scored]
) -> list[Scored]:
    """Return the best few frames of the best verdict for each number of footings, best first.

    ``settle`` puts a frame on its posts; one that stands worse for it waits behind those that do not.
    """
    ordered = sorted(found, key=_order(objective))
    best, worse = list[Scored](), list[Scored]()
    for one in ordered:
        if one.standing.level > ordered[0].standing.level or _enough(best, one, per_count):
            continue
        settled = settle(one)
        (best if settled.standing.level == one.standing.level else worse).append(settled)
    return best or _eachpost_count(sorted(worse, key=_order(objective)), per_count)


def _enough(taken: Sequence[Scored], one: Scored, per_count: int) -> bool:
    return sum(other.footings == one.footings for other in taken) >= per_count


def _eachpost_count(ordered: Sequence[Scored], per_count: int) -> list[Scored]:
    out: list[Scored] = []
    for one in ordered:
        if one.standing.level == ordered[0].standing.level and not _enough(out, one, per_count):
            out.append(one)
    return out

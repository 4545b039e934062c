"""Every frame of the space that is worth a look, and a short list of the best by verdict and objective."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal, cast

from service.choice.ask import Ask
from service.choice.beam_rows import MOST_BEAMS, SHORTEST_SPAN_IN, beam_rows
from service.choice.limits import Limits
from service.choice.score import (
    FAILS,
    Standing,
    beam_limits,
    beam_standing,
    flush_fits,
    joist_standing,
    post_standing,
    rising,
)
from service.framing.beam_lines import ply_splices, post_positions, spans
from service.framing.layout import Layout
from service.sizing.beams import overhang_limit_in
from service.sizing.lumber import nominal, post_side_in, width_in

OVERHANGS_IN = (12.0, 18.0, 24.0, 30.0)
MOST_POSTS = 25
BOARD_FOOT_IN3 = 144.0
Placement = Literal["dropped", "flush"]
Attachment = Literal["ledger", "freestanding"]
Price = Callable[["Layout"], float | None]


@dataclass(frozen=True)
class Scored:
    """A layout with how it stands and what the objective sees of it. ``cost`` is null without prices."""

    layout: Layout
    standing: Standing
    footings: int
    board_feet: float
    cost: float | None


def _joist_laps(joist_in: float, beams: int, attached: bool, stock_in: float) -> tuple[int, ...]:
    """Joists longer than any board lap over every interior beam: the last bay keeps its cantilever unbroken."""
    if joist_in <= stock_in:
        return ()
    return tuple(range(0 if attached else 1, beams - 1))


def _with_posts(ask: Ask, draft: Layout, allowed_in: float) -> Iterator[Layout]:
    """The fewest posts for each overhang: flush with the beam's end, or a whole number of half feet."""
    flush_end = float(math.ceil(post_side_in(draft.post_size) / 2))
    for overhang in (flush_end, *OVERHANGS_IN):
        for count in range(2, MOST_POSTS + 1):
            if ask.width_in - 2 * overhang <= 0:
                break
            xs = post_positions(ask.width_in, count, overhang)
            between = spans(xs)
            if overhang > overhang_limit_in(ask.criteria, min(between[0], between[-1])):
                break
            if (
                max(between) <= allowed_in + 1e-6
                and ply_splices(ask.width_in, xs, draft.beam_plies, ask.stock_in) is not None
            ):
                yield replace(draft, post_xs_in=xs)
                break


def _drafts(ask: Ask, attachment: Attachment, placement: Placement, count: int) -> Iterator[Layout]:
    space = ask.space
    for joist in space.joist_sizes:
        for spacing in space.spacings_in:
            for plies in space.plies:
                for beam in space.beams_for(joist):
                    if nominal(beam)[0] > 2 and plies > 1:
                        continue
                    wide = width_in(beam) * plies
                    for ys in beam_rows(ask, attachment == "ledger", placement, wide, count):
                        if rising(ys, SHORTEST_SPAN_IN):
                            yield _draft(ask, attachment, placement, joist, spacing, ys, beam, plies)


def _draft(
    ask: Ask,
    attachment: Attachment,
    placement: Placement,
    joist: str,
    spacing: float,
    ys: tuple[float, ...],
    beam: str,
    plies: int,
) -> Layout:
    joist_in = ask.projection_in - 3.0
    laps = _joist_laps(joist_in, len(ys), attachment == "ledger", ask.stock_in)
    return Layout(
        ask.width_in, ask.projection_in, attachment, joist, spacing, ys, beam, plies, placement,
        ask.space.post_sizes[0], (0.0, ask.width_in), laps, ask.gap_in,
    )  # fmt: skip


def _worst(*standings: Standing) -> Standing:
    return Standing(max(s.level for s in standings), max(s.ratio for s in standings))


def _settled(
    ask: Ask, limits: Limits, draft: Layout, keep_failing: bool
) -> Iterator[tuple[Layout, Standing]]:
    joists = joist_standing(draft, limits)
    if not flush_fits(draft) or (joists.level == FAILS and not keep_failing):
        return
    allowed = beam_limits(draft, ask, limits)
    reach = [one.value_in for one in allowed if one.value_in is not None]
    if len(reach) < len(allowed):
        return
    for layout in _with_posts(ask, draft, min(reach)):
        yield _on_posts(ask, limits, layout, _worst(joists, beam_standing(layout, ask, allowed)))


def _on_posts(ask: Ask, limits: Limits, layout: Layout, so_far: Standing) -> tuple[Layout, Standing]:
    """Take the first post size that stands."""
    best: tuple[Layout, Standing] | None = None
    for size in ask.space.post_sizes:
        tried = replace(layout, post_size=size)
        standing = _worst(so_far, post_standing(tried, ask, limits))
        if best is None or standing.level < best[1].level:
            best = (tried, standing)
        if standing.level <= so_far.level:
            break
    return cast("tuple[Layout, Standing]", best)


def _volume_in3(size: str, length_in: float) -> float:
    thickness, depth = nominal(size)
    return thickness * depth * length_in


def board_feet(layout: Layout) -> float:
    """Return the nominal lumber in joists, rims or ledger, and beams, board feet."""
    joists = (math.ceil(layout.width_in / layout.spacing_in) + 1) * (layout.projection_in - 3)
    total = _volume_in3(layout.joist_size, joists + 2 * layout.width_in)
    total += len(layout.beam_ys_in) * layout.beam_plies * _volume_in3(layout.beam_size, layout.width_in)
    return total / BOARD_FOOT_IN3


def _scored(layout: Layout, standing: Standing, price: Price) -> Scored:
    footings = len(layout.beam_ys_in) * len(layout.post_xs_in)
    return Scored(layout, standing, footings, board_feet(layout), price(layout))


def candidates(
    ask: Ask, limits: Limits, attachment: Attachment, price: Price, keep_failing: bool = False
) -> list[Scored]:
    """Return the frames that stand, for the fewest beams and the first placement that has any.

    With ``keep_failing`` frames whose joists or posts fail are kept too, for pins that can't stand.
    """
    fewest = 1 if attachment == "ledger" else 2
    for count in range(fewest, MOST_BEAMS + 1):
        for placement in ask.space.placements:
            drafts = _drafts(ask, attachment, cast(Placement, placement), count)
            found = [
                _scored(layout, standing, price)
                for draft in drafts
                for layout, standing in _settled(ask, limits, draft, keep_failing)
                if standing.level < FAILS or (keep_failing and math.isfinite(standing.ratio))
            ]
            if found:
                return found
    return []


def _order(objective: str) -> Callable[[Scored], tuple[object, ...]]:
    def key(one: Scored) -> tuple[object, ...]:
        layout = one.layout
        failing = one.standing.ratio if one.standing.level == FAILS else 0.0
        money = one.cost if one.cost is not None else math.inf
        first: tuple[object, ...] = (one.footings, money) if objective != "cost" else (money, one.footings)
        ids = (layout.joist_size, layout.spacing_in, layout.beam_size, layout.beam_plies, layout.beam_ys_in)
        depth = nominal(layout.joist_size)[1] + nominal(layout.beam_size)[1]
        return (one.standing.level, failing, *first, one.board_feet, depth, ids, layout.post_xs_in)

    return key


def shortlist(found: Iterable[Scored], objective: str, per_count: int) -> list[Scored]:
    """Return the best few frames of the best verdict for each number of footings, best first."""
    ordered = sorted(found, key=_order(objective))
    if not ordered:
        return []
    top = ordered[0].standing.level
    taken: dict[int, int] = {}
    out = []
    for one in ordered:
        if one.standing.level > top or taken.get(one.footings, 0) >= per_count:
            continue
        taken[one.footings] = taken.get(one.footings, 0) + 1
        out.append(one)
    return out

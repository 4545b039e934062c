"""Every frame of the space that is worth a look, and a short list of the best by verdict and objective."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, product
from typing import Literal, cast

from service.choice.ask import Ask
from service.choice.beam_rows import MOST_BEAMS, SHORTEST_SPAN_IN, beam_rows
from service.choice.limits import Limits
from service.choice.score import (
    FAILS,
    Standing,
    beam_limits,
    beam_standing,
    crowds_house,
    flush_fits,
    has_room,
    joist_standing,
    post_standing,
    rising,
)
from service.framing.beam_lines import ply_splices, post_positions, spans
from service.framing.layout import Layout
from service.framing.members import LAP_IN
from service.sizing.beams import overhang_limit_in
from service.sizing.lumber import nominal, post_side_in, width_in

OVERHANGS_IN = (12.0, 18.0, 24.0, 30.0)
MOST_POSTS = 25
SAME_IN = 1e-6
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


def _with_posts(ask: Ask, draft: Layout, allowed_in: float) -> list[Layout]:
    """The draft on the fewest posts it can stand on, once for each overhang that needs no more."""
    flush_end = float(math.ceil(post_side_in(draft.post_size) / 2))
    found = [_posts_at(ask, draft, allowed_in, overhang) for overhang in (flush_end, *OVERHANGS_IN)]
    rows = [xs for xs in found if xs is not None]
    fewest = min(map(len, rows), default=0)
    return [replace(draft, post_xs_in=xs) for xs in rows if len(xs) == fewest]


def _posts_at(ask: Ask, draft: Layout, allowed_in: float, overhang_in: float) -> tuple[float, ...] | None:
    between_ends = ask.width_in - 2 * overhang_in
    if between_ends <= 0:
        return None
    fewest = max(2, math.ceil(between_ends / (allowed_in + 1)) + 1)
    for count in range(fewest, MOST_POSTS + 1):
        xs = post_positions(ask.width_in, count, overhang_in)
        between = spans(xs)
        if overhang_in > overhang_limit_in(ask.criteria, min(between[0], between[-1])):
            return None
        if max(between) <= allowed_in + SAME_IN and _joined(ask, draft, xs):
            return xs
    return None


def _joined(ask: Ask, draft: Layout, xs: tuple[float, ...]) -> bool:
    return ply_splices(ask.width_in, xs, draft.beam_plies, ask.stock_in) is not None


def _drafts(
    ask: Ask, limits: Limits, attachment: Attachment, placement: Placement, count: int, keep_failing: bool
) -> Iterator[tuple[Layout, Standing]]:
    """Every joist and beam of the space over every row of beam lines, with how the joists stand."""
    for joist, spacing, plies in product(ask.space.joist_sizes, ask.space.spacings_in, ask.space.plies):
        beams = [b for b in ask.space.beams_for(joist) if nominal(b)[0] == 2 or plies == 1]
        for wide, alike in groupby(beams, key=width_in):
            sizes = list(alike)
            for ys in beam_rows(ask, attachment == "ledger", placement, wide * plies, count):
                first = _draft(ask, attachment, placement, joist, spacing, ys, sizes[0], plies)
                if not rising(ys, SHORTEST_SPAN_IN) or not _boards_reach(first, ask.stock_in):
                    continue
                standing = joist_standing(first, limits)
                if standing.level < FAILS or keep_failing:
                    yield from ((replace(first, beam_size=size), standing) for size in sizes)


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


def _boards_reach(layout: Layout, stock_in: float) -> bool:
    """Whether every joist between its laps comes out of one board."""
    cuts = [layout.joist_start_in, *(layout.beam_ys_in[i] for i in layout.lap_at), layout.joist_end_in]
    return max(spans(cuts)) + (LAP_IN if layout.lap_at else 0.0) <= stock_in


def _worst(*standings: Standing) -> Standing:
    return Standing(max(s.level for s in standings), max(s.ratio for s in standings))


def _settled(ask: Ask, limits: Limits, draft: Layout, joists: Standing) -> Iterator[tuple[Layout, Standing]]:
    if not flush_fits(draft) or not has_room(draft, ask):
        return
    allowed = beam_limits(draft, ask, limits)
    reach = [one.value_in for one in allowed if one.value_in is not None]
    if len(reach) < len(allowed):
        return
    for layout in _with_posts(ask, draft, min(reach)):
        yield layout, _worst(joists, beam_standing(layout, ask, allowed))


def on_posts(ask: Ask, limits: Limits, one: Scored) -> Scored:
    """Return a scored frame on the first post size that stands; its standing is then whole."""
    best: Scored | None = None
    for size in ask.space.post_sizes:
        tried = replace(one.layout, post_size=size)
        standing = _worst(one.standing, post_standing(tried, ask, limits))
        if best is None or standing.level < best.standing.level:
            best = replace(one, layout=tried, standing=standing)
        if standing.level <= one.standing.level:
            break
    return cast(Scored, best)


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
    """Return the frames whose joists and beams stand, for the fewest beams and the first placement that has any.

    With ``keep_failing`` those that do not stand are kept too, for pins that can't. Posts are looked at only
    for the frames worth it (`shortlist`).
    """
    fewest = 1 if attachment == "ledger" else 2
    for count in range(fewest, MOST_BEAMS + 1):
        for placement in ask.space.placements:
            if placement == "flush" and count > fewest:
                continue  # joists would hang on both faces of the beams between: no rule covers that
            drafts = _drafts(ask, limits, attachment, cast(Placement, placement), count, keep_failing)
            found = [
                _scored(layout, standing, price)
                for draft, joists in drafts
                for layout, standing in _settled(ask, limits, draft, joists)
                if standing.level < FAILS or (keep_failing and math.isfinite(standing.ratio))
            ]
            if found:
                return [one for one in found if not crowds_house(one.layout)] or found
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
    return best or _each_count(sorted(worse, key=_order(objective)), per_count)


def _enough(taken: Sequence[Scored], one: Scored, per_count: int) -> bool:
    return sum(other.footings == one.footings for other in taken) >= per_count


def _each_count(ordered: Sequence[Scored], per_count: int) -> list[Scored]:
    out: list[Scored] = []
    for one in ordered:
        if one.standing.level == ordered[0].standing.level and not _enough(out, one, per_count):
            out.append(one)
    return out

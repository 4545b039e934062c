"""Every frame of the space that is worth a look, and a short list of the best by verdict and objective."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, product
from typing import cast

from service.choice.ask import Ask
from service.choice.beam_rows import (
    MOST_INNER,
    EndRows,
    Wish,
    end_rows,
    open_groups,
    rising,
    wishes,
)
from service.choice.limits import Limits
from service.choice.score import (
    FAILS,
    Standing,
    beam_limits,
    beam_standing,
    crowds_house,
    flush_fits,
    has_room,
    highest_ground_in,
    joist_standing,
    line_standing,
    may_clear,
    post_standing,
    worst,
)
from service.framing.beam_lines import ply_splices, post_positions, spans
from service.framing.beam_row import BeamRow, alike
from service.framing.edge_loads import EdgeLoad, at_ends, stands_alone
from service.framing.layout import Arrangement, Layout, Placement
from service.framing.members import LAP_IN
from service.framing.region import Region
from service.sizing.beams import overhang_limit_in
from service.sizing.lumber import nominal, post_side_in, width_in

OVERHANGS_IN = (12.0, 18.0, 24.0, 30.0)
# Overhangs where a row meets another, so that two footings have room, and where it ends at a wall of the house
# (conventions of this service); the later ones only where spans are too short for the first, and then the answer
# says what stands too near.
END_OVERHANGS_IN = ((18.0, 18.0), (15.0, 18.0), (12.0, 18.0), (0.0, 18.0), (12.0, 0.0), (0.0, 0.0))
MOST_POSTS = 25
SAME_IN = 1e-6
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


def _with_posts(ask: Ask, draft: Layout, allowed: Sequence[float]) -> list[Layout]:
    """The draft on the fewest posts it can stand on, once for each overhang that needs no more."""
    flush_end = float(math.ceil(post_side_in(draft.post_size) / 2))
    overhangs = (flush_end, *OVERHANGS_IN)
    groups = alike(draft.rows)
    found = [
        {over: posts for over in overhangs
         if (posts := _posts_at(ask, draft.beam_plies, draft.rows[group[0]], min(allowed[n] for n in group), over))}
        for group in groups
    ]  # fmt: skip
    if not all(found):
        return []
    rows = [placed for over in overhangs if (placed := _placed(draft.rows, groups, found, over))]
    fewest = min((_count(placed) for placed in rows), default=0)
    return [replace(draft, rows=placed) for placed in rows if _count(placed) == fewest]


def _count(rows: Sequence[BeamRow]) -> int:
    return sum(len(row.posts_in) for row in rows)


def _placed(
    rows: Sequence[BeamRow],
    groups: Sequence[tuple[int, ...]],
    found: Sequence[dict[float, tuple[float, ...]]],
    overhang_in: float,
) -> tuple[BeamRow, ...] | None:
    """Rows on posts with one overhang; one of several that can't have it takes the one that needs fewest posts."""
    placed: dict[int, BeamRow] = {}
    for group, ways in zip(groups, found, strict=True):
        posts = ways.get(overhang_in)
        if posts is None:
            if len(groups) == 1:
                return None
            posts = min(ways.values(), key=len)
        placed |= {n: replace(rows[n], posts_in=posts) for n in group}
    return tuple(placed[n] for n in range(len(rows)))


def _posts_at(
    ask: Ask, plies: int, row: BeamRow, allowed_in: float, overhang_in: float
) -> tuple[float, ...] | None:
    """Posts at one overhang; where a row meets another or a wall, with as much more as its spans allow."""
    for joint, wall in END_OVERHANGS_IN if set(row.ends) != {"free"} else END_OVERHANGS_IN[:1]:
        least = {"free": 0.0, "joint": joint, "wall": wall}
        near, far = (max(overhang_in, least[end]) for end in row.ends)
        found = _posts_between(ask, plies, row.length_in, allowed_in, near, far)
        if found is not None:
            return found
    return None


def _posts_between(
    ask: Ask, plies: int, length_in: float, allowed_in: float, near: float, far: float
) -> tuple[float, ...] | None:
    between_ends = length_in - near - far
    if between_ends <= 0:
        return None
    fewest = max(2, math.ceil(between_ends / (allowed_in + 1)) + 1)
    for count in range(fewest, MOST_POSTS + 1):
        xs = post_positions(length_in, count, near, far)
        between = spans(xs)
        if min(between) <= 0 or any(
            over > overhang_limit_in(ask.criteria, span) + SAME_IN
            for over, span in ((near, between[0]), (far, between[-1]))
        ):
            return None
        if max(between) <= allowed_in + SAME_IN and _joined(length_in, xs, plies, ask.stock_in):
            return xs
    return None


def _joined(length_in: float, xs: tuple[float, ...], plies: int, stock_in: float) -> bool:
    return length_in <= stock_in or ply_splices(length_in, xs, plies, stock_in) is not None


class _Arranging:
    """The arrangements of a region, each worked out once: joists and beams of many sizes go with each."""

    def __init__(self, ask: Ask, limits: Limits) -> None:
        self.ask, self.limits = ask, limits
        self._ends: dict[tuple[Wish, Placement], EndRows | None] = {}
        self._known: dict[tuple[Wish, tuple[int, ...], float, Placement], Arrangement | None] = {}
        self._by_rows: dict[tuple[tuple[BeamRow, ...], float, Placement], Arrangement | None] = {}
        self._ground: dict[int, float] = {}
        self._fitted: dict[tuple[int, float], Arrangement | None] = {}

    def ends(self, wish: Wish, placement: Placement) -> EndRows | None:
        """The rows joists end over, where each can stand on posts at all."""
        key = (wish, placement)
        if key not in self._ends:
            found = end_rows(self.ask.region, wish)
            able = found is not None and rising(found.rows) and all(map(self._able, found.rows))
            self._ends[key] = found if able else None
        return self._ends[key]

    def _able(self, row: BeamRow) -> bool:
        return any(_posts_at(self.ask, 1, row, row.length_in, over) is not None or row.length_in > self.ask.stock_in
                   for over in (3.0, 4.0, *OVERHANGS_IN))  # fmt: skip

    def of(self, wish: Wish, bays: Bays, width: float, placement: Placement) -> Arrangement | None:
        ends = self.ends(wish, placement)
        if ends is None:
            return None
        counted = ends.bays(*bays)
        key = (wish, counted, width, placement)
        if key not in self._known:
            rows = ends.with_inner(counted)
            self._known[key] = self._laid(rows, width, placement) if rising(rows) else None
        return self._known[key]

    def _laid(self, rows: tuple[BeamRow, ...], width: float, placement: Placement) -> Arrangement | None:
        key = (rows, width, placement)
        if key not in self._by_rows:
            laid = Arrangement(self.ask.region, rows, width, placement, self.ask.stock_in)
            self._by_rows[key] = laid if self._possible(laid) else None
        return self._by_rows[key]

    def fitted(self, laid: Arrangement, spacing_in: float) -> Arrangement | None:
        """The arrangement less rows that no joist at this spacing rests on; null where a joist is not held.

        Beside an edge nearly along the joists the rim is the end joist, and a beam under it would carry nothing.
        """
        key = (id(laid), spacing_in)
        if key not in self._fitted:
            self._fitted[key] = self._with_used(laid, self.ask.joists_in[spacing_in])
        return self._fitted[key]

    def _with_used(self, laid: Arrangement, joists: Sequence[tuple[int, float]]) -> Arrangement | None:
        lines = [(s, u, laid.line_at(s, u)) for s, u in joists]
        if not all(line.stands or laid.blocked(s, u) for s, u, line in lines):
            return None
        used = {rest.row for _, _, line in lines if line.stands for rest in line.rests}
        rows = tuple(row for number, row in enumerate(laid.rows) if number in used)
        if len(rows) == len(laid.rows):
            return laid
        return self._laid(rows, laid.beam_width_in, laid.placement) if rows else None

    def clears(self, layout: Layout) -> bool:
        """Whether beams of this depth clear the ground."""
        laid = layout.arrangement
        if id(laid) not in self._ground:
            self._ground[id(laid)] = highest_ground_in(laid, self.ask)
        return has_room(layout, self.ask, self._ground[id(laid)])

    def _possible(self, laid: Arrangement) -> bool:
        lap_in = LAP_IN if laid.lapped else 0.0
        return laid.stands and laid.longest_piece_in + lap_in <= self.ask.stock_in

    def settled(
        self, wish: Wish, inner: int, width: float, placement: Placement, joist: str, spacing: float
    ) -> Arrangement | None:
        """The arrangement wished; where some groups can't have the cantilever wished, they get none."""
        ask, several = self.ask, len(self.ask.region.sections) > 1
        if not several:
            return self.of(wish, (inner, 0.0), width, placement)
        bays = (inner, self.limits.joist_span(joist, spacing, 0.0).value_in or 0.0 if inner else 0.0)
        wish = replace(wish, plain=_under_stairs(ask, wish))
        laid = self.of(wish, bays, width, placement)
        if laid is None:
            return None
        failing = _failing_groups(laid, wish, joist, spacing, self.limits)
        if failing and len(failing) < len(_groups(ask.region, wish)):
            return self.of(replace(wish, plain=wish.plain | failing), bays, width, placement)
        return laid


Bays = tuple[int, float]  # rows between at most, and how far joists reach, in


def _drafts(
    ask: Ask, arranging: _Arranging, placement: Placement, inner: int, keep_failing: bool
) -> Iterator[tuple[Layout, Standing]]:
    """Every joist and beam of the space over every way rows may run, with how the joists stand."""
    limits, post = arranging.limits, ask.space.post_sizes[0]
    for joist, spacing, plies in product(ask.space.joist_sizes, ask.space.spacings_in, ask.space.plies):
        beams = [b for b in ask.space.beams_for(joist) if nominal(b)[0] == 2 or plies == 1]
        for wide, alike_sizes in groupby(beams, key=width_in):
            sizes = [size for size in alike_sizes if may_clear(ask, joist, size, placement)]
            seen = set[int]()
            for wish in wishes(ask.region, wide * plies, placement) if sizes else ():
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


Group = tuple[int, ...]
Side = tuple[Group, bool]  # sections, and whether their joists end there or begin


def _groups(region: Region, wish: Wish) -> list[Side]:
    return [(g, high) for high in (False, True) for g in open_groups(region, high, wish.merge_in)]


def _under_stairs(ask: Ask, wish: Wish) -> frozenset[Side]:
    """The groups a stair hangs on, where there are others: their beam stands under the edge."""
    if not ask.loads:
        return frozenset()
    groups = _groups(ask.region, wish)
    if len(groups) < 2:
        return frozenset()
    return frozenset(one for one in groups for load in ask.loads if _hangs_on(ask.region, *one, load))


def _hangs_on(region: Region, group: Group, high: bool, load: EdgeLoad) -> bool:
    parts = (region.sections[n] for n in group)
    return any((part.high if high else part.low).number == load.number for part in parts)


def _failing_groups(
    laid: Arrangement, wish: Wish, joist: str, spacing_in: float, limits: Limits
) -> frozenset[Side]:
    """The groups of joist ends whose cantilever does not stand."""
    reaching = ((n, line) for n, _, line in laid.lines if line.longest_cantilever_in > 0)
    failing = [
        (n, line) for n, line in reaching if line_standing(line, joist, spacing_in, limits).level >= FAILS
    ]
    if not failing:
        return frozenset()
    found = set[Side]()
    for group, high in _groups(laid.region, wish):
        over = [
            line.high_cantilever_in if high else line.low_cantilever_in for n, line in failing if n in group
        ]
        if any(reach > 0 for reach in over):
            found.add((group, high))
    return frozenset(found)


def _settled(ask: Ask, limits: Limits, draft: Layout, joists: Standing) -> Iterator[tuple[Layout, Standing]]:
    allowed = beam_limits(draft, ask, limits)
    reach = [one.value_in for one in allowed if one.value_in is not None]
    if len(reach) < len(allowed):
        return
    for layout in _with_posts(ask, draft, reach):
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


def joist_lengths(layout: Layout, ask: Ask) -> list[tuple[int, float]]:
    """Return how many joists each section has, and their length in its middle less rims, in."""
    counts: dict[int, int] = {}
    for section, _ in ask.joists_in[layout.spacing_in]:
        counts[section] = counts.get(section, 0) + 1
    parts = layout.region.sections
    return [(n, max(0.0, parts[i].length_in(parts[i].middle_in) - 3.0)) for i, n in counts.items()]


def board_feet(layout: Layout, ask: Ask) -> float:
    """Return the nominal lumber in joists, rims or ledger, and beams, board feet."""
    joists = sum(count * length for count, length in joist_lengths(layout, ask))
    rims = sum((b.to_in[0] - b.from_in[0]) * b.stretch for b in layout.region.bounds)
    total = _volume_in3(layout.joist_size, joists + rims)
    total += layout.beam_plies * _volume_in3(layout.beam_size, sum(row.length_in for row in layout.rows))
    return total / BOARD_FOOT_IN3


def _scored(layout: Layout, ask: Ask, standing: Standing, price: Price) -> Scored:
    beside = sum(one.load.alone or 0 for one in at_ends(layout, ask.loads) if stands_alone(layout, one))
    return Scored(layout, standing, _count(layout.rows) + beside, board_feet(layout, ask), price(layout))


def candidates(ask: Ask, limits: Limits, price: Price, keep_failing: bool = False) -> list[Scored]:
    """Return the frames whose joists and beams stand, for the fewest beams and the first placement that has any.

    With ``keep_failing`` those that do not stand are kept too, for pins that can't. Posts are looked at only
    for the frames worth it (`shortlist`).
    """
    arranging = _Arranging(ask, limits)
    for inner in range(MOST_INNER + 1):
        for placement in ask.space.placements:
            if placement == "flush" and (inner > 0 or not _may_be_flush(ask.region)):
                continue  # joists would hang on both faces of the beams between: no rule covers that
            drafts = _drafts(ask, arranging, cast(Placement, placement), inner, keep_failing)
            found = [
                _scored(layout, ask, standing, price)
                for draft, joists in drafts
                for layout, standing in _settled(ask, limits, draft, joists)
                if standing.level < FAILS or (keep_failing and math.isfinite(standing.ratio))
            ]
            if found:
                return [one for one in found if not crowds_house(one.layout)] or found
    return []


def has_rows(ask: Ask) -> bool:
    """Return whether beams can be laid under the edges of a region at all, whatever their size."""
    arranging = _Arranging(ask, Limits(ask.criteria))
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
    return best or _each_count(sorted(worse, key=_order(objective)), per_count)


def _enough(taken: Sequence[Scored], one: Scored, per_count: int) -> bool:
    return sum(other.footings == one.footings for other in taken) >= per_count


def _each_count(ordered: Sequence[Scored], per_count: int) -> list[Scored]:
    out: list[Scored] = []
    for one in ordered:
        if one.standing.level == ordered[0].standing.level and not _enough(out, one, per_count):
            out.append(one)
    return out

"""How a layout stands against the limits, quickly: the search's view of the same rules the checks use."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from service.choice.level.ask import Ask
from service.choice.level.beam_rows import CLEAR_OF_HOUSE_IN
from service.choice.level.limits import Limits
from service.framing.edge_loads import taken
from service.framing.heights import foot, stack
from service.framing.layout import Arrangement, Layout, RowUse
from service.framing.line import LineLayout
from service.framing.region import SAME_IN
from service.framing.statics import Share, row_reactions_lb, shares
from service.sizing.allowed import Allowed

BY_TABLES, ENGINEER, FAILS = 0, 1, 2
OVER = 1 + 1e-9
LARGEST_FOOTING_SQFT = 160.0  # last tributary row of the footing and post tables
FAILED = float("inf")
SAME_LB = 1e-6
MOST_OF_STAIR = 2.0  # of its load on one post, at the end of an overhang


@dataclass(frozen=True)
class Standing:
    """``level`` 0: by tables; 1: an engineer must look; 2: a check fails. ``ratio`` is the worst utilisation."""

    level: int
    ratio: float


def worst(*standings: Standing) -> Standing:
    """Return the worst of several standings."""
    return Standing(max(s.level for s in standings), max(s.ratio for s in standings))


def _ratio(demand: float, whole: Allowed) -> float:
    allowed = whole.for_demand(demand)
    if allowed.value_in is None:
        return FAILED
    return demand / allowed.value_in if allowed.value_in > 0 else FAILED


def _level(demand: float, allowed: Allowed) -> int:
    return BY_TABLES if allowed.for_demand(demand).basis == "table" else ENGINEER


def allowed_level(allowed: Allowed) -> int:
    """Return how a member stands that is within an allowable length: by tables, or an engineer has to look."""
    return BY_TABLES if allowed.basis == "table" else ENGINEER


def _measured(demand: float, allowed: Allowed) -> Standing:
    ratio = _ratio(demand, allowed)
    return Standing(FAILS if ratio > OVER else _level(demand, allowed), ratio)


def joist_standing(arrangement: Arrangement, joist: str, spacing_in: float, limits: Limits) -> Standing:
    """Return how joists of a size stand in an arrangement: every span and every cantilever."""
    return worst(*(line_standing(line, joist, spacing_in, limits) for _, _, line in arrangement.lines))


def line_standing(line: LineLayout, size: str, spacing_in: float, limits: Limits) -> Standing:
    """Return how the joists of one place stand."""
    if not line.stands:
        return Standing(FAILS, FAILED)
    span = limits.joist_span(size, spacing_in, line.longest_cantilever_in)
    found = [_measured(max(line.spans_in), span)]
    found += [_measured(reach, limits.cantilever(size, spacing_in, back)) for reach, back in line.cantilevers]
    return worst(*found)


def beam_limits(layout: Layout, ask: Ask, limits: Limits) -> list[Allowed]:
    """Return the allowable span of each row of a layout, in order."""
    extra = stair_spans_in(layout, ask)
    return [
        _beam_limit(layout, limits, use, more)
        for use, more in zip(layout.arrangement.uses, extra, strict=True)
    ]


def _beam_limit(layout: Layout, limits: Limits, use: RowUse, extra_in: float) -> Allowed:
    size, plies = layout.beam_size, layout.beam_plies
    if use.interior:
        return limits.interior_beam_span(
            size, plies, use.near_in + extra_in, use.far_in, use.broken, use.share_ft
        )
    return limits.beam_span(size, plies, use.near_in + extra_in, use.cantilever_in)


def stair_spans_in(layout: Layout, ask: Ask) -> list[float]:
    """Return the joist span that would load each row as the stairs on it do, in; 0 where none is."""
    found = [0.0] * len(layout.rows)
    for one in taken(layout, ask.loads):
        found[one.row] = max(found[one.row], 24 * one.load_plf / ask.criteria.design_psf)
    return found


def settled_by_engineer(layout: Layout, ask: Ask) -> bool:
    """Return whether joists on both sides, a stair, or a row at the house ask for an engineer whatever the sizes."""
    accepted = ask.criteria.rulebook.in_force_settings.accept_tributary_interior_beams
    interior = layout.arrangement.interior
    hung_on_both = layout.placement == "flush" and interior
    flush = layout.placement == "flush"
    stair_hangs_badly = any(flush or one.cantilever_in > 0 for one in taken(layout, ask.loads))
    return (interior and not accepted) or hung_on_both or stair_hangs_badly or crowds_house(layout)


def crowds_house(layout: Layout) -> bool:
    """Return whether a row along a wall, or a post of one that ends at it, stands at the house footing."""
    at_walls = (row for row in layout.rows if "wall" in row.ends)
    ends = ((end, over) for row in at_walls for end, over in zip(row.ends, row.overhangs_in, strict=True))
    if any(end == "wall" and over < CLEAR_OF_HOUSE_IN for end, over in ends):
        return True
    return any(distance < CLEAR_OF_HOUSE_IN for _, distance in layout.arrangement.rows_at_walls)


def stands_off(layout: Layout, clear_in: float) -> bool:
    """Return whether every post stands at least so far from the walls of the house, in."""
    region = layout.region
    return clear_in <= 0 or all(
        region.from_house_in(*row.point(at)) >= clear_in - SAME_IN
        for row in layout.rows
        for at in row.posts_in
    )


def heights_of(layout: Layout, ask: Ask) -> float:
    """Return the height of the beams' bottom above the datum, in."""
    sizes = (layout.joist_size, layout.beam_size, layout.placement)
    return stack(ask.surface_in, ask.decking_in, *sizes).beam_bottom_in


def post_standing(layout: Layout, ask: Ask, limits: Limits, loads: PostLoads) -> Standing:
    """Return how posts stand: the heaviest and the tallest taken together, and the footing tables' last row."""
    load, lifts = loads.of(layout)
    bottom = heights_of(layout, ask)
    axes = layout.region.axes
    places = [
        foot(bottom, ask.ground(*axes.deck_ft(*row.point(at)))) for row in layout.rows for at in row.posts_in
    ]
    if lifts or any(place.standing == "no_room" for place in places):
        return Standing(FAILS, FAILED)
    tallest = max((place.height_in for place in places), default=0.0)
    too_wide = load / ask.criteria.design_psf > LARGEST_FOOTING_SQFT
    level = ENGINEER if too_wide else BY_TABLES
    if tallest == 0:
        return Standing(level, 0.0)
    allowed = limits.post_height(layout.post_size, layout.beam_plies, load, tallest)
    return worst(Standing(level, 0.0), _measured(tallest, allowed))


class RowLoads(NamedTuple):
    """What a row puts on its posts of the floor, lb: whole over them, and broken over every post between the ends."""

    whole: tuple[float, ...]
    broken: tuple[float, ...]

    @property
    def most(self) -> float:
        """The largest of them."""
        return max(*self.whole, *self.broken)

    @property
    def lifts(self) -> bool:
        """Whether the floor alone would lift a post."""
        return min(self.whole) < -SAME_LB


class PostLoads:
    """What posts carry in one region: for each row of an arrangement on its posts worked out once for all sizes."""

    def __init__(self, ask: Ask) -> None:
        self._ask = ask
        self._floor: dict[Arrangement, tuple[tuple[Share, ...], ...]] = {}
        self._known: dict[tuple[Arrangement, int, tuple[float, ...]], RowLoads] = {}

    def of(self, layout: Layout) -> tuple[float, bool]:
        """Return the largest load on a post, lb, beams whole or broken over their posts, and whether any lifts."""
        rows = self._rows(layout)
        most = max(
            (row.most + more for row, more in zip(rows, self._stairs(layout), strict=True)), default=0.0
        )
        return most, any(row.lifts for row in rows)

    def lifts(self, layout: Layout) -> bool:
        """Return whether the floor alone would lift a post: no frame is taken that stands so, whatever its sizes."""
        return any(row.lifts for row in self._rows(layout))

    def sized_for(self, layout: Layout) -> tuple[list[float], list[float]] | None:
        """Return what footings are sized for at least and at most, post by post, lb.

        Only where that is the same as joist by joist, on a rectangle; null elsewhere. Under a stair each post is
        counted with all of it at least; at most one carries it at the end of an overhang, a quarter of a span long.
        """
        sections = layout.region.sections
        if len(sections) > 1 or not sections[0].square:
            return None
        least, most = list[float](), list[float]()
        for row, more in zip(self._rows(layout), self._stairs(layout), strict=True):
            either = list(map(max, row.whole, row.broken))
            least += (one + more for one in row.broken) if more else either
            most += (one + MOST_OF_STAIR * more for one in either)
        return least, most

    def _stairs(self, layout: Layout) -> list[float]:
        """What is added to each post of every row for the stairs on it, lb."""
        found = [0.0] * len(layout.rows)
        for one in taken(layout, self._ask.loads):
            found[one.row] += one.load.load_lb
        return found

    def _rows(self, layout: Layout) -> list[RowLoads]:
        return [self._row(layout, number) for number in range(len(layout.rows))]

    def _row(self, layout: Layout, number: int) -> RowLoads:
        laid, row = layout.arrangement, layout.rows[number]
        key = (laid, number, row.posts_in)
        if key not in self._known:
            if laid not in self._floor:
                self._floor[laid] = shares(layout).rows
            found = row_reactions_lb(row, self._floor[laid][number], self._ask.criteria.design_psf)
            self._known[key] = RowLoads(*found)
        return self._known[key]

"""The best frame of a region by rule: frames are looked at in the order of what they could cost at least."""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Literal, NamedTuple

import numpy as np
import numpy.typing as npt

from service.checks.stair_way import posts_in_way
from service.choice.level.frame_price import FramePrice, added
from service.choice.level.score import FAILS, Standing, post_standing, worst
from service.choice.search.field import Field, Floats, Ints
from service.framing.heights import foot, stack
from service.framing.layout import Layout

ObjectiveWord = Literal["cost", "fewest_footings", "stiffness", "no_prices"]
CHUNK = 64
MOST_FOOTINGS = 100  # sets of footings worked out before the search says that it is not proven
SHAPED = 3  # so many times fewer sets of footings for a region of several sections
PRICED_A_SET = 2  # frames priced exactly for each set there may be, before it says so
MOST_IN_HOPE = 40  # frames priced of which none stands on footings as good as hoped for
TRIED_IN_HOPE = 6  # of them before it is asked how footings stand where those of each frame are
SMALL = 2000  # frames: a space that is looked through to the end, however many footings that takes
FOOTINGS, FIRST, SECOND = 2, 4, 5  # places in a key: how footings stand, and the two columns of an order
BOUNDED, LAID, PRICED = range(3)  # how much of a frame in turn is worked out
Mask = npt.NDArray[np.bool_]
Key = tuple[float, ...]


@dataclass(frozen=True)
class Candidate:
    """A frame with its exact price, not yet judged to the last check; ``key`` says how good it is, less is better.

    ``goods`` is what of its price an order has in it, 1/10000 of the currency; ``footings`` those its field counts.
    """

    key: Key
    tie: tuple[object, ...]
    layout: Layout
    level: int
    price: FramePrice
    deflection_in: float
    head_room_in: float
    goods: int
    footings: int
    proven: bool = True


class Order(NamedTuple):
    """What is wished of a frame, which frames may be taken at all, and the most one may cost.

    ``sets`` is how many sets of footings may be worked out for it. ``footings_stand`` is how footings stand at best,
    as far as is known: frames on better ones than that may come out late. With ``by_place`` that is asked of each
    frame, by where its posts stand. With ``thorough`` a small space is looked through to its end.
    """

    objective: ObjectiveWord
    where: Callable[[Field], Mask] | None = None
    most: int | None = None
    sets: int = MOST_FOOTINGS
    footings_stand: int = 0
    by_place: bool = False
    thorough: bool = False

    def keys(self, field: Field, standing: int) -> tuple[Floats, Floats]:
        """Return the two columns that frames are sorted by whose footings stand so, the smallest first."""
        least, footings = field.least_on(standing).astype(float), field.footings.astype(float)
        if field.keep_failing:
            return field.ratio, least
        if self.objective == "cost":
            return least, footings
        if self.objective == "fewest_footings":
            return footings, least
        if self.objective == "no_prices":
            return footings, field.board_feet
        return np.round(field.deflection_in, 6), least

    def exact(self, bound: Key, price: FramePrice, keep_failing: bool) -> tuple[float, float]:
        """Return the two of one frame at its exact price, for those at its bound."""
        first, second = bound
        if self.objective == "no_prices":
            return first, second
        if self.objective == "cost" and not keep_failing:
            return float(price.total), second
        return first, float(price.total)


def _classes(field: Field, order: Order) -> Iterator[tuple[Key, Ints]]:
    """The frames that may be taken, by their best standing: level, rows with joists on both sides, that of the
    footings, prices missing.
    """
    allowed = np.ones(len(field), dtype=bool) if order.where is None else order.where(field)
    rows = np.flatnonzero(allowed)
    best = _standings(field, order, rows)
    standing = np.stack([field.level[rows], field.interior[rows], best, field.unpriced[rows] > 0], axis=1)
    for one in _each_once(standing):
        alike = rows[(standing == one).all(axis=1)]
        if order.most is not None:
            alike = alike[field.least_on(int(one[FOOTINGS]))[alike] <= order.most]
        yield tuple(map(float, one)), alike


def _each_once(standing: Ints) -> Ints:
    """The different rows of a table of small whole numbers, sorted."""
    if not len(standing):
        return standing
    span = int(standing.max()) + 1
    codes = standing @ (span ** np.arange(standing.shape[1])[::-1])
    _, first = np.unique(codes, return_index=True)
    return standing[first]


def _standings(field: Field, order: Order, rows: Ints) -> Ints:
    """How footings stand at best, as far as is known."""
    found = np.full(len(rows), order.footings_stand, dtype=np.int64)
    if not order.by_place:
        return found
    return np.maximum(found, np.array([field.least_standing(row) for row in rows.tolist()], dtype=np.int64))


def _rising(keys: tuple[Floats, Floats], rows: Ints) -> Iterator[int]:
    """Rows by their two keys, sorted a chunk at a time: mostly few are asked for."""
    first, second = keys[0][rows], keys[1][rows]
    taken = np.zeros(len(rows), dtype=bool)
    size = CHUNK
    while not taken.all():
        left = np.flatnonzero(~taken)
        if len(left) > size:
            worst_key = np.partition(first[left], size)[size]
            left = left[first[left] <= worst_key]
        taken[left] = True
        yield from rows[left[np.lexsort((second[left], first[left]))]].tolist()
        size *= 4


def candidates(field: Field, order: Order) -> Iterator[Candidate]:
    """Yield the frames from the best on, each with its exact price.

    A frame is yielded when no other can be better any more: those not yet looked at cost at least as much as
    their lower bound says, first one by the number of footings, then one by where they stand. Where the first few
    stand on footings worse than hoped for, it is asked how they stand at best where those of each frame are. Where
    it takes too many frames, those looked at so far are yielded, and say that they are not proven; where all of these
    stand on footings worse than hoped for, no better is hoped for any more.
    """
    limits = _Limits(field, order)
    stream, waiting, told = _in_order(field, order), list[_Waiting](), 0
    following = next(stream, None)
    while waiting or following is not None:
        if following is not None and (not waiting or following[0] <= waiting[0].key):
            bounded = _bounded(field, order, *following)
            if not _too_dear(bounded, field, order):
                heapq.heappush(waiting, bounded)
            following = next(stream, None)
            continue
        first = heapq.heappop(waiting)
        if first.stage == BOUNDED:
            laid = _laid(field, order, first)
            if laid is not None and not _too_dear(laid, field, order):
                heapq.heappush(waiting, laid)
            continue
        if not order.by_place and (limits.disappointed or _worse_than_hoped(first, order)):
            yield from islice(candidates(field, order._replace(by_place=True)), told, None)
            return
        if first.found is not None:
            told += 1
            yield first.found
        elif limits.reached:
            yield from _unproven(field, order, waiting, limits.best_standing)
            return
        else:
            found = _exact(field, order, first.row, first.key[-2:])
            if found is not None and (order.most is None or found.price.total <= order.most):
                limits.count(found.key[FOOTINGS], first.key[FOOTINGS])
                heapq.heappush(waiting, _Waiting(found.key, PRICED, found.tie, first.row, found))


def _worse_than_hoped(one: _Waiting, order: Order) -> bool:
    """Whether a frame that is next stands on worse footings than hoped for: dearer ones were left out by that."""
    return one.found is not None and one.key[FOOTINGS] > order.footings_stand and order.most is not None


class _Limits:
    """How many frames were priced, and whether that is enough.

    Under many edges few posts stand alike, and each set of footings is dear: fewer are worked out there.
    """

    def __init__(self, field: Field, order: Order) -> None:
        one_section = len(field.desk.arranging.ask.region.sections) == 1
        self._sets = order.sets if one_section else max(1, order.sets // SHAPED)
        self._footings = field.desk.footings
        self._budget = self._footings.worked_out + self._sets
        self._endless = order.thorough and len(field) <= SMALL
        self._priced, self._as_hoped = 0, False
        self.best_standing = math.inf

    def count(self, standing: float, hoped: float) -> None:
        """Count a frame by how its footings stand, and how they were hoped to."""
        self._priced += 1
        self._as_hoped = self._as_hoped or standing <= hoped
        self.best_standing = min(self.best_standing, standing)

    @property
    def disappointed(self) -> bool:
        """Whether none of the first few stands on footings as good as hoped for."""
        return self._priced >= TRIED_IN_HOPE and not self._as_hoped

    @property
    def reached(self) -> bool:
        """Whether enough frames were priced: sooner where none stands on footings as good as hoped for."""
        if self._endless or not self._priced:
            return False
        if self._priced >= MOST_IN_HOPE and not self._as_hoped:
            return True
        return self._priced >= PRICED_A_SET * self._sets or self._footings.worked_out > self._budget


def _unproven(field: Field, order: Order, waiting: Sequence[_Waiting], stand: float) -> Iterator[Candidate]:
    """The frames looked at, or where their footings stand worse than hoped for, all frames with less hope."""
    if stand > order.footings_stand:
        again = candidates(field, order._replace(footings_stand=int(stand)))
    else:
        again = iter([one.found for one in sorted(waiting) if one.found])
    yield from (replace(one, proven=False) for one in again)


class _Waiting(NamedTuple):
    """A frame in turn: by a lower bound, then by that with what decides between equals, then with its exact price.

    Of frames with one key all are laid out before any is priced, and all are priced before any is taken.
    """

    key: Key
    stage: int
    tie: tuple[object, ...]
    row: int
    found: Candidate | None


def _bounded(field: Field, order: Order, key: Key, row: int) -> _Waiting:
    """A frame by the bound of where its posts stand."""
    if order.objective != "no_prices":
        key = _raised(field, order, key, field.least_of_way(row, int(key[FOOTINGS])))
    return _Waiting(key, BOUNDED, (), row, None)


def _raised(field: Field, order: Order, key: Key, least: int) -> Key:
    """A key of a frame that costs at least so much."""
    *standing, first, second = key
    if order.objective == "cost" and not field.keep_failing:
        return (*standing, max(first, float(least)), second)
    return (*standing, first, max(second, float(least)))


def _laid(field: Field, order: Order, bounded: _Waiting) -> _Waiting | None:
    """A frame by the bound of its own loads; null where a post would be lifted, as no frame may be.

    Of frames with one bound not all may be priced: what decides between equal ones says which, not where they stand
    in the field, or else a deck and its mirror image had others priced.
    """
    row, key = bounded.row, bounded.key
    layout = field.layout(row)
    if not field.keep_failing and field.desk.arranging.post_loads.lifts(layout):
        return None
    if order.objective != "no_prices":
        key = _raised(field, order, key, field.least_laid(row, layout, int(key[FOOTINGS])))
    return _Waiting(key, LAID, _tie(field, row, layout), row, None)


def _too_dear(one: _Waiting, field: Field, order: Order) -> bool:
    """Whether a frame costs more than it may by the bound of where its posts stand: pricing it would be in vain."""
    if order.most is None or order.objective == "no_prices" or field.keep_failing:
        return False
    return one.key[-2 if order.objective == "cost" else -1] > order.most


def _in_order(field: Field, order: Order) -> Iterator[tuple[Key, int]]:
    """The rows of a field with the best key they may have, by that."""
    for standing, rows in _classes(field, order):
        keys = order.keys(field, int(standing[FOOTINGS]))
        for row in _rising(keys, rows):
            yield (*standing, float(keys[0][row]), float(keys[1][row])), row


def _exact(field: Field, order: Order, row: int, bound: Key) -> Candidate | None:
    """A frame on the first post size that stands, priced to the last part; None where no post does.

    Nor is a frame taken whose posts stand in the way of a stair.
    """
    level = int(field.level[row])
    standing, layout = _on_posts(field, row, level)
    in_way = posts_in_way(field.desk.arranging.ask.level, layout, field.desk.stairs)
    if (standing.level >= FAILS or in_way) and not field.keep_failing:
        return None
    footings = field.desk.footings.of(layout)
    price = price_of(field, row, layout, footings.cost)
    key = (
        float(standing.level),
        float(field.interior[row]),
        float(footings.standing),
        float(not price.complete),
    )
    return Candidate(
        key=(*key, *order.exact(bound, price, field.keep_failing)),
        tie=_tie(field, row, layout),
        layout=layout,
        level=standing.level,
        price=price,
        deflection_in=float(field.deflection_in[row]),
        head_room_in=float(field.head_room_in[row]),
        goods=price.lumber + price.hardware + footings.ordered,
        footings=int(field.footings[row]),
    )


def _on_posts(field: Field, row: int, level: int) -> tuple[Standing, Layout]:
    arranging = field.desk.arranging
    ask, limits, loads = arranging.ask, arranging.limits, arranging.post_loads
    found = []
    for size in ask.space.post_sizes:
        tried = replace(field.layout(row), post_size=size)
        found.append((worst(Standing(level, 0.0), post_standing(tried, ask, limits, loads)), tried))
        if found[-1][0].level <= level:
            break
    return min(found, key=lambda one: one[0].level)


def price_of(field: Field, row: int, layout: Layout, footings: int | None) -> FramePrice:
    """Return the exact price of a frame of the field, with that of its footings."""
    desk, ask, axes = field.desk, field.desk.arranging.ask, layout.region.axes
    sizes = (layout.joist_size, layout.beam_size, layout.placement)
    bottom = stack(ask.surface_in, ask.decking_in, *sizes).beam_bottom_in
    feet = [foot(bottom, ask.ground(*axes.deck_ft(*at.point(x)))) for at in layout.rows for x in at.posts_in]
    frame = added([
        field.joists[field.joist[row]].part,
        desk.frames.beams(layout.arrangement, layout.rows, layout.beam_size, layout.beam_plies, bottom),
        desk.frames.posts(layout.post_size, layout.beam_size, layout.beam_plies, feet),
    ])  # fmt: skip
    return FramePrice(
        lumber=frame.lumber,
        hardware=frame.hardware,
        footings=footings or 0,
        labour=desk.frames.labour(frame.minutes),
        minutes=frame.minutes,
        complete=not frame.unpriced and footings is not None,
    )


def _tie(field: Field, row: int, layout: Layout) -> tuple[object, ...]:
    """What decides between frames that are equal in all that was asked for: at one price the stiffer is better."""
    ids = (layout.joist_size, layout.spacing_in, layout.beam_size, layout.beam_plies, layout.placement)
    feet, depth = round(float(field.board_feet[row]), 6), int(field.depth_in[row])
    gives = round(float(field.deflection_in[row]), 6)
    return (int(field.footings[row]), gives, feet, depth, ids, _places(layout), _posts(layout))


def _places(layout: Layout) -> tuple[object, ...]:
    """Where beams stand, told so that a deck mirrored along the house is told alike."""
    if layout.region.axes.away:
        return tuple(sorted(min(row.start_in[1], row.end_in[1]) for row in layout.rows))
    return tuple(sorted((-use.cantilever_in, use.near_in) for use in layout.arrangement.uses))


def _posts(layout: Layout) -> tuple[object, ...]:
    return tuple(sorted((sorted(row.overhangs_in), sorted(row.spans_in)) for row in layout.rows))

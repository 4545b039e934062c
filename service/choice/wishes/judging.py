"""Other frames of one level, found in the fields already there and judged to the last check, each once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import islice, product
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from service.choice.level.case import Case
from service.choice.level.space import Space
from service.choice.level.worked import Worked, best_of
from service.choice.search.best_first import FOOTINGS, Candidate, Key, Mask, Order
from service.choice.search.decide import Decision, Option, search_of, unproven
from service.choice.search.effort import Effort, looked_at
from service.choice.search.field import Field
from service.choice.search.footing_price import FootingPrices, standing_of
from service.choice.search.found import MOST_JUDGED, OF_A_PART, work
from service.choice.search.in_turn import Tried, in_turn, may_precede
from service.choice.search.plans import Attachment, plans
from service.choice.search.search import Search
from service.comparison.result import STATUS_RANK, Comparison
from service.connections.posts import seat_width_in
from service.contract.report import Verdict
from service.framing.layout import Layout
from service.sizing.lumber import width_in

MOST_SETS = 40  # of footings worked out for one wish, before what it leads to is no longer proven the best
WITHIN_TABLES = 8  # from which standing on footings ask for more
MOST_BESIDE = 8  # frames of a level with a wish that are tried beside those of the other levels
Where = Callable[[Field], Mask]


@dataclass(frozen=True)
class Way:
    """One way of support at the house: a search for each region of its plan, and the best verdict found for it.

    ``comparison`` is that of its best frame; ``footings_stand`` how footings made as wished stand there: elsewhere
    they hardly stand better.
    """

    case: Case
    kind: Attachment
    searches: tuple[Search, ...]
    verdict: Verdict
    comparison: Comparison
    footings_stand: int = 0

    def asked_again(self, case: Case) -> Way:
        """Return the same plan searched for another case."""
        regions = (search.desk.arranging.ask.region for search in self.searches)
        return replace(self, case=case, searches=tuple(search_of(case, region) for region in regions))

    def on_footings(self, case: Case) -> Way:
        """Return the same frames on the footings another case asks for."""
        searches = (one.on_footings(FootingPrices(case, one.desk.footings.sets)) for one in self.searches)
        wished = self.comparison.result(case.spec.foundation.method)
        stand = 0 if wished is None or wished.why_not else standing_of(wished)
        return replace(self, case=case, searches=tuple(searches), footings_stand=stand)


class Framed(NamedTuple):
    """A frame of one level judged to the last check, as a deck by itself; whether none that is allowed is better."""

    worked: Worked
    candidates: tuple[Candidate, ...]
    proven: bool


def layout_key(layout: Layout) -> tuple[object, ...]:
    """Return what tells one frame of a level from another."""
    return (
        layout.region.axes.direction,
        layout.attachment,
        layout.placement,
        layout.joist_size,
        layout.spacing_in,
        layout.beam_size,
        layout.beam_plies,
        layout.post_size,
        layout.rows,
    )


def _key(case: Case, layouts: Sequence[Layout]) -> tuple[object, ...]:
    """What the verdict of a frame hangs on."""
    wish = case.spec.framing
    asked = (case.level.id, case.spec.foundation.method, wish.species, wish.grade, wish.attachment)
    return (*asked, *map(layout_key, layouts))


@dataclass(frozen=True)
class Judge:
    """Works frames out; one that several wishes lead to is worked out once. ``effort`` counts what that takes."""

    known: dict[tuple[object, ...], Worked] = field(default_factory=dict)
    effort: Effort = field(default_factory=Effort)

    def knows(self, case: Case, worked: Worked) -> None:
        """Remember a frame that was worked out elsewhere."""
        self.known[_key(case, [one for level in worked.levels for one in level.layouts])] = worked

    def __call__(self, case: Case, candidates: Sequence[Candidate]) -> Worked:
        """Return a frame worked out to the last check."""
        key = _key(case, [one.layout for one in candidates])
        if key not in self.known:
            self.known[key] = work(case, candidates)
            self.effort.judged(self.known[key].footings)
        return self.known[key]


def case_of(worked: Worked) -> Case:
    """Return the case of a level as it was before the joints of its beams were settled."""
    return replace(worked.levels[0].case, joints={})


def ways_of(decision: Decision) -> tuple[Way, ...]:
    """Return the ways of support a frame may be taken from: those as good as the one answered."""
    ours = decision.chosen
    if ours is None:
        return ()
    pinned = case_of(ours).spec.framing.attachment
    most = STATUS_RANK[ours.verdict.status]
    return tuple(
        way
        for option in decision.options
        if (way := way_of(option)) is not None
        if option.worked is ours
        or (pinned == "auto" and STATUS_RANK[way.verdict.status] <= most and not _unproven(option))
    )


def _unproven(option: Option) -> bool:
    return option.worked is not None and unproven(option.worked)


def way_of(option: Option) -> Way | None:
    """Return the way of an option of the decision."""
    if option.found is None:
        return None
    worked = option.found.worked
    return Way(case_of(worked), option.kind, option.found.searches, worked.verdict, worked.comparison)


def best_within(ways: Sequence[Way], order: Order, judge: Judge, *, widen: bool) -> Framed | None:
    """Return the best frame of several ways that an order allows; with ``widen`` beyond the fields looked at, too.

    They are widened only where no way has one: rows that joists lie on both sides of are worse than none.
    """
    order, before = order._replace(sets=MOST_SETS), _looked_at(ways)
    found = _best_of(ways, order, judge, wide=False)
    if found is None and widen:
        found = _best_of(ways, order, judge, wide=True)
    judge.effort.spent += _looked_at(ways) - before
    return found


def _looked_at(ways: Sequence[Way]) -> int:
    return looked_at(search for way in ways for search in way.searches)


def _best_of(ways: Sequence[Way], order: Order, judge: Judge, *, wide: bool) -> Framed | None:
    judged: list[Framed] = []
    streams = [_Stream(way, order._replace(footings_stand=way.footings_stand), wide) for way in ways]
    for number, candidates in islice(in_turn(streams), MOST_JUDGED):
        way = ways[number]
        alone = len(candidates) == 1 and candidates[0].proven and not way.footings_stand
        framed = Framed(judge(way.case, candidates), candidates, alone)
        if _as_well_as_hoped(way, framed):
            return framed
        judged.append(framed)
    best = best_of([one.worked for one in judged], order.objective)
    found = next((one for one in judged if one.worked is best), None)
    return found and found._replace(proven=found.proven and len(judged) < MOST_JUDGED)


def next_best(ways: Sequence[Way], order: Order, judge: Judge) -> Iterator[Worked]:
    """Yield the frames after the best one that an order allows and that stand no worse, for a level beside others."""
    if order.objective == "stiffness":
        return
    order = order._replace(sets=MOST_SETS)
    streams = [_Stream(way, order._replace(footings_stand=way.footings_stand), wide=False) for way in ways]
    first: Worked | None = None
    for number, candidates in islice(in_turn(streams), MOST_BESIDE):
        worked = judge(ways[number].case, candidates)
        first = first or worked
        if worked is not first and STATUS_RANK[worked.verdict.status] <= STATUS_RANK[first.verdict.status]:
            yield worked


def _as_well_as_hoped(way: Way, framed: Framed) -> bool:
    """Whether a frame's verdict is no worse than that of the way's best, or than its members' limits said."""
    told, hoped = framed.worked.verdict, way.verdict
    if any(one.level > 0 or one.key[FOOTINGS] >= WITHIN_TABLES for one in framed.candidates):
        return told.status != "not_permitted" or hoped.status == "not_permitted"
    if STATUS_RANK[told.status] < STATUS_RANK[hoped.status]:
        return True
    return told.status == hoped.status and {r.code for r in told.reasons} <= {r.code for r in hoped.reasons}


@dataclass(frozen=True)
class _Stream:
    """The frames of a way in an order; of several regions the best few of each part with those of the others.

    They are those of the fields there are, at least of those without rows between; ``wide``: of every field.
    """

    way: Way
    order: Order
    wide: bool

    @cached_property
    def frames(self) -> Iterator[Tried]:
        """Its frames, the best first."""
        streams = [self._of_search(search) for search in self.way.searches]
        if len(streams) == 1:
            return ((candidate,) for candidate in streams[0])
        return product(*(islice(stream, OF_A_PART) for stream in streams))

    def _of_search(self, search: Search) -> Iterator[Candidate]:
        if self._every_field(search):
            return search.best_first(self.order)
        search.field(0)
        return search.best_known(self.order)

    def _every_field(self, search: Search) -> bool:
        return self.wide or (search.takes_interior and not search.fields)

    def may_precede(self, key: Key) -> bool:
        """Return whether a frame of it may come before a key, or beside it."""
        if len(self.way.searches) > 1 or self._every_field(self.way.searches[0]):
            return True
        (search,) = self.way.searches
        search.field(0)
        return any(may_precede(field, self.order, key) for field in search.fields)


def elsewhere(way: Way, case: Case) -> Iterator[Way]:
    """Yield the other plans of a way for a case, for what no frame of its own plan can have."""
    ours = [search.desk.arranging.ask.region for search in way.searches]
    for plan in plans(case, way.kind):
        if (way.kind == "freestanding" or plan.attached) and list(plan.regions) != ours:
            yield replace(way, case=case, searches=tuple(search_of(case, region) for region in plan.regions))


def by_objective(
    ways: Sequence[Way], order: Order, judge: Judge, most_of: Callable[[Worked], int], *, widen: bool
) -> Framed | None:
    """Return the best frame of several ways by any objective; the stiffest by what the cheapest lets it cost."""
    if order.objective != "stiffness":
        return best_within(ways, order, judge, widen=widen)
    cheapest = best_within(ways, order._replace(objective="cost"), judge, widen=widen)
    if cheapest is None or len(cheapest.candidates) > 1:
        return cheapest  # parts are not weighed together by how stiff they are
    dearest = order._replace(most=most_of(cheapest.worked))
    return best_within(ways, dearest, judge, widen=widen) or cheapest


def within(inner: Space, outer: Space) -> bool:
    """Return whether every frame of one space is in another's fields."""
    pairs = (
        (inner.joist_sizes, outer.joist_sizes),
        (inner.spacings_in, outer.spacings_in),
        (inner.beam_sizes, outer.beam_sizes),
        (inner.plies, outer.plies),
        (inner.placements, outer.placements),
    )
    held = all(set(ours) <= set(theirs) for ours, theirs in pairs)
    return held and inner.post_sizes == outer.post_sizes and (inner.one_size or not outer.one_size)


def mask_of(inner: Space, outer: Space) -> Where:
    """Return which frames of the fields of one space are of another within it, by the columns that differ."""

    def mask(field: Field) -> Mask:
        allowed = np.ones(len(field), dtype=bool)
        for name, ours, theirs in (
            ("joist_size", inner.joist_sizes, outer.joist_sizes),
            ("spacing_in", inner.spacings_in, outer.spacings_in),
            ("beam_size", inner.beam_sizes, outer.beam_sizes),
            ("plies", inner.plies, outer.plies),
            ("placement", inner.placements, outer.placements),
        ):
            if set(ours) != set(theirs):
                allowed &= _is_any(getattr(field, name), ours)
        return allowed & _of_one_depth(field, inner) if inner.one_size and not outer.one_size else allowed

    return mask


def _is_any(column: npt.NDArray[np.generic], values: Sequence[object]) -> Mask:
    found = np.zeros(len(column), dtype=bool)
    for value in values:
        found |= column == value
    return found


def _of_one_depth(field: Field, space: Space) -> Mask:
    """Frames whose beams are as deep as their joists, by their nominal sizes."""
    found = np.zeros(len(field), dtype=bool)
    for joist in space.joist_sizes:
        found |= (field.joist_size == joist) & _is_any(field.beam_size, space.beams_for(joist))
    return found


def seated(space: Space) -> Where:
    """Return which frames have beams that every post size of a space can seat with all their plies."""
    widest_in = min(seat_width_in(size) for size in space.post_sizes)

    def mask(field: Field) -> Mask:
        found = np.zeros(len(field), dtype=bool)
        for size in space.beam_sizes:
            found |= (field.beam_size == size) & (field.plies * width_in(size) <= widest_in)
        return found

    return mask

"""Runs of guard: where they begin and end, where their posts stand, and what is left open between them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product

from shapely import Polygon

from service.contract.report_frame import Point, Stair
from service.framing.guard_corners import GuardWish, Ring
from service.framing.guard_edges import Edge, edges_of
from service.framing.guard_falls import SAME, GuardedLevel, Interval, OpenEdge, strip, without
from service.framing.guard_places import POST_IN, Room, Stretch, out_ft, square


@dataclass(frozen=True)
class PostSpot:
    """Where a guard post stands: along its edge, and its centre in the deck frame."""

    along_ft: float
    at_ft: Point


@dataclass(frozen=True)
class GuardRun:
    """A run of guard along one side, its posts, and their widest spacing.

    ``gap_in`` is the widest opening from its end posts to the next post round a corner, or to where the run ends.
    A run shorter than a post is wide may have none: then it is the opening between the posts beside it.
    """

    edge: Edge
    from_ft: float
    to_ft: float
    spots: tuple[PostSpot, ...]
    widest_in: float
    gap_in: float


def stretches(length_ft: float, openings: Sequence[Interval]) -> list[Interval]:
    """Return what is left of an edge beside openings; slivers narrower than a post are left out.

    >>> stretches(16, [(6, 10)])
    [(0.0, 6), (10, 16)]
    """
    left = without([(0.0, length_ft)], openings)
    return [(a, b) for a, b in left if (b - a) * 12 >= POST_IN - SAME]


def guard_runs(
    level: GuardedLevel, edges: Sequence[OpenEdge], stairs: Sequence[Stair], wish: GuardWish
) -> tuple[GuardRun, ...]:
    """Return the runs along these stretches, in order round the outline, split where a stair of the level leaves.

    Every run has posts at its ends: beside a stair flush with its opening, at a corner a little off it, so that
    bolts clear the member that crosses there. Where posts of two runs would stand in each other, the run that is
    more nearly along the house keeps its place. Where that leaves a ball a way out, posts beside small sides go up
    to the corner, or small sides are served first; what leaves least open is taken.
    """
    gaps = _openings(level, stairs)
    whole = _stretches(level, edges, gaps)
    ring = Ring(level.outline.sides, whole)
    tried = []
    for small_first, flush in product((False, True), repeat=2):
        room = _room(level, gaps, wish.mount)
        runs = _attempt(ring, room, replace(wish, flush=flush), small_first)
        widest = max((run.gap_in for run in runs), default=0.0)
        tried.append((widest, runs))
        if widest < wish.ball_in:
            break
    return min(tried, key=lambda pair: pair[0])[1]


class KnownRuns:
    """The runs of one level found so far: frames whose members begin alike along its edges have the same ones.

    For one level, its stairs and one wish: what else `guard_runs` is asked with never changes.
    """

    def __init__(self) -> None:
        self._known: dict[tuple[tuple[int, tuple[float, float]], ...], tuple[GuardRun, ...]] = {}

    def runs(
        self, level: GuardedLevel, edges: Sequence[OpenEdge], stairs: Sequence[Stair], wish: GuardWish
    ) -> tuple[GuardRun, ...]:
        """Return what `guard_runs` does."""
        begins = tuple(sorted(wish.begins_in.items()))
        if begins not in self._known:
            self._known[begins] = guard_runs(level, edges, stairs, wish)
        return self._known[begins]


def _attempt(ring: Ring, room: Room, wish: GuardWish, small_first: bool) -> tuple[GuardRun, ...]:
    """One way to place the posts of all stretches."""
    kept = [ring.set_back(place, wish) for place in range(len(ring.stretches))]
    places = _places(kept, room, wish.most_ft, small_first)
    posts = [[square(one.edge, at, wish.mount) for at in places[i]] for i, one in enumerate(kept)]
    return tuple(_run(one, places[i], wish.mount, ring.gap_in(i, posts)) for i, one in enumerate(kept))


def _openings(level: GuardedLevel, stairs: Sequence[Stair]) -> dict[int, list[Interval]]:
    found: dict[int, list[Interval]] = {}
    for stair in stairs:
        if stair.level == level.id:
            width = stair.width_in / 12
            side, start = level.outline.place(stair.edge, stair.offset_ft, width)
            found.setdefault(side.edge.number, []).append((start, start + width))
    return found


def _stretches(
    level: GuardedLevel, edges: Sequence[OpenEdge], gaps: Mapping[int, Sequence[Interval]]
) -> list[Stretch]:
    order = {side.edge.number: place for place, side in enumerate(level.outline.sides)}
    found = [
        Stretch(one.edge, *span)
        for one in edges
        for span in without([(one.from_ft, one.to_ft)], gaps.get(one.edge.number, ()))
    ]
    return sorted(found, key=lambda one: (order[one.edge.number], one.from_ft))


def _room(level: GuardedLevel, gaps: Mapping[int, Sequence[Interval]], mount: str) -> Room:
    edges = {side.edge.number: side.edge for side in level.outline.sides}
    shut = [_doorway(edges[number], gap) for number, found in gaps.items() for gap in found]
    for other in level.others:
        if other.surface_height_in > level.surface_height_in + SAME:
            shut += [other.polygon, *_post_strips(other.polygon)]
    return Room(mount, level.outline.polygon, shut)


def _post_strips(floor: Polygon) -> list[Polygon]:
    """Where posts of a higher level may stand beside it."""
    corners = tuple((float(x), float(y)) for x, y in floor.exterior.coords[:-1])
    return [strip(edge, POST_IN) for edge in edges_of(corners)]


def _doorway(edge: Edge, gap: Interval) -> Polygon:
    """A stair's opening, as deep as a post on both sides of the edge."""
    deep = POST_IN / 12
    (a, b), outs = gap, (-deep, -deep, deep, deep)
    return Polygon([edge.point(at, out) for at, out in zip((a, b, b, a), outs, strict=True)])


def _places(
    stretches: Sequence[Stretch], room: Room, most_ft: float, small_first: bool
) -> dict[int, tuple[float, ...]]:
    """Posts by stretch; each takes its places before the next, in an order that a mirrored deck shares."""
    order = sorted(range(len(stretches)), key=lambda i: _rank(stretches[i]))
    if small_first:
        order.sort(key=lambda i: not stretches[i].small)
    return {i: room.place(stretches[i], most_ft) for i in order}


def _rank(one: Stretch) -> tuple[bool, float, float, float]:
    middle = one.edge.point((one.from_ft + one.to_ft) / 2)
    return one.short, -round(abs(one.edge.along[0]), 6), round(middle[1], 6), round(one.length_ft, 6)


def _run(one: Stretch, places: Sequence[float], mount: str, gap_in: float) -> GuardRun:
    spots = tuple(PostSpot(at, one.edge.point(at, out_ft(mount))) for at in places)
    widest = max((b - a for a, b in pairwise(places)), default=0.0) * 12
    return GuardRun(one.edge, one.from_ft, one.to_ft, spots, widest, gap_in)

"""Round the corners of an outline: which guarded stretches meet, how far posts keep off, and what stays open."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from service.framing.guard_edges import Edge
from service.framing.guard_places import POST_IN, Stretch
from service.framing.sides import Side

# What crosses the end of a member at a corner is a rim, 1.5 in thick, where nothing else is said.
RIM_IN = 1.5
# Bolts stand this far past what crosses the end, three diameters (convention of this service).
BOLT_PAST_IN = 1.5
# So much less than the ball is left open at a corner (convention of this service).
SPARE_IN = 0.1
SAME = 1e-9


@dataclass(frozen=True)
class GuardWish:
    """How posts are to stand: mount, ft between them at most, and the ball that must not pass.

    ``begins_in`` says for an edge by its number how far from its corners the member begins that posts are bolted
    to; 1.5 in, a rim's thickness, where nothing is said. ``flush`` posts beside small sides go up to the corner.
    """

    mount: str
    most_ft: float
    ball_in: float
    begins_in: Mapping[int, tuple[float, float]]
    flush: bool = False

    @property
    def widest_in(self) -> float:
        """The widest opening left at a corner."""
        return self.ball_in - SPARE_IN

    def clear_in(self, edge: Edge, at_end: bool) -> float:
        """Return how far from a corner the near face of a post is wanted, so that its bolts find their member."""
        begins = self.begins_in.get(edge.number, (RIM_IN, RIM_IN))[at_end]
        return min(max(0.0, begins + BOLT_PAST_IN - POST_IN / 2), self.widest_in)


@dataclass(frozen=True)
class Ring:
    """The stretches to be guarded in order round the outline."""

    sides: Sequence[Side]
    stretches: Sequence[Stretch]

    def beside(self, place: int, way: int) -> int | None:
        """Return the stretch that meets this one round the corner, forward (1) or backward (-1)."""
        other = (place + way) % len(self.stretches)
        before, after = (place, other) if way > 0 else (other, place)
        a, b = self.stretches[before], self.stretches[after]
        meet = self._place(b) == (self._place(a) + 1) % len(self.sides)
        return other if meet and _at_end(a) and _at_start(b) else None

    def _place(self, one: Stretch) -> int:
        return next(i for i, side in enumerate(self.sides) if side.edge.number == one.edge.number)

    def set_back(self, place: int, wish: GuardWish) -> Stretch:
        """Return a stretch with what its posts keep clear of its ends: nothing beside a stair."""
        one = self.stretches[place]
        return replace(
            one,
            start_in=self._clear_in(place, -1, wish) if _at_start(one) else 0.0,
            end_in=self._clear_in(place, 1, wish) if _at_end(one) else 0.0,
        )

    def _clear_in(self, place: int, way: int, wish: GuardWish) -> float:
        edge = self.stretches[place].edge
        side = self.sides[(self._place(self.stretches[place]) + way) % len(self.sides)]
        before, after = (side.edge, edge) if way < 0 else (edge, side.edge)
        own = wish.clear_in(edge, way > 0)
        other = self.beside(place, way)
        if side.on_house:
            return max(own, _off_wall_in(before, after, wish))
        if other is None:
            return own
        if wish.flush and (self.stretches[place].small or self.stretches[other].small):
            return 0.0
        return _shared_in(own, wish.clear_in(side.edge, way < 0), _cosine(before, after), wish.widest_in)

    def gap_in(self, place: int, posts: Sequence[Sequence[Polygon]]) -> float:
        """Return the widest opening from the end posts of a stretch to the next post, or to where guards end.

        Without a post of its own it is the opening between the posts on both sides of it.
        """
        before, after = self._next(place, -1, posts), self._next(place, 1, posts)
        own = posts[place]
        if not own:
            return before.distance(after) * 12
        return max(before.distance(own[0]), own[-1].distance(after)) * 12

    def _next(self, place: int, way: int, posts: Sequence[Sequence[Polygon]]) -> BaseGeometry:
        for _ in self.stretches:
            other = self.beside(place, way)
            if other is None:
                break
            if posts[other]:
                return posts[other][0 if way > 0 else -1]
            place = other
        one = self.stretches[place]
        return Point(one.edge.point(one.to_ft if way > 0 else one.from_ft))


def _at_start(one: Stretch) -> bool:
    return one.from_ft < SAME


def _at_end(one: Stretch) -> bool:
    return one.to_ft > one.edge.length_ft - SAME


def _cosine(before: Edge, after: Edge) -> float:
    """Of the corner's inner angle: 0 where it is square, -1 where the edges go straight on."""
    return -(before.along[0] * after.along[0] + before.along[1] * after.along[1])


def _shared_in(own_in: float, other_in: float, cosine: float, widest_in: float) -> float:
    """What a post keeps clear where another does round the corner: the nearer one goes up to it if it must."""
    if math.sqrt(own_in**2 + other_in**2 - 2 * own_in * other_in * cosine) <= widest_in:
        return own_in
    if abs(own_in - other_in) < SAME:
        return min(own_in, widest_in / 2)
    return 0.0 if own_in < other_in else min(own_in, widest_in)


def _off_wall_in(before: Edge, after: Edge, wish: GuardWish) -> float:
    """A post outside an edge that splays from the wall keeps clear of the wall, should that go straight on."""
    cosine = _cosine(before, after)
    turn = before.along[0] * after.along[1] - before.along[1] * after.along[0]
    if wish.mount != "side" or cosine > -SAME or turn < SAME:
        return 0.0
    return min(wish.widest_in, POST_IN * -cosine / turn)

"""Where guard posts can stand: on their edge, clear of the floor, of stair openings and of each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, area, difference, intersection, polygons, prepare, unary_union
from shapely.geometry.base import BaseGeometry

from service.contract.report_frame import Point
from service.framing.guard_edges import Edge

Booleans = NDArray[np.bool_]

POST_IN = 3.5
# Posts that clash are moved along their edge by steps of this (convention of this service).
STEP_IN = 0.25
# A run whose posts clash is divided into up to so many parts more (convention of this service).
MORE_PARTS = 6
SLIVER_SQFT = 1e-6
SAME = 1e-9
HALF_FT = POST_IN / 24
ACROSS_FT = 2 * math.sqrt(2) * HALF_FT  # posts whose centres are farther apart touch nowhere
# On a side shorter than this, posts of both corners crowd each other (convention of this service).
SMALL_FT = 2.0


def out_ft(mount: str) -> float:
    """Return how far outside its edge the centre of a post stands, ft.

    >>> round(12 * out_ft("side"), 2), round(12 * out_ft("surface"), 2)
    (1.75, -1.75)
    """
    return HALF_FT if mount == "side" else -HALF_FT


def square(edge: Edge, at_ft: float, mount: str) -> Polygon:
    """Return a post in plan, ft, turned with its edge.

    >>> from service.framing.guard_edges import edge_between
    >>> [round(12 * side, 2) for side in square(edge_between(1, (0.0, 0.0), (0.0, 9.0), 1.0), 1.0, "side").bounds]
    [0.0, 10.25, 3.5, 13.75]
    """
    return Polygon(_corners(edge, at_ft, mount))


def _corners(edge: Edge, at_ft: float, mount: str) -> list[Point]:
    near, far = out_ft(mount) - HALF_FT, out_ft(mount) + HALF_FT
    corners = ((-HALF_FT, near), (HALF_FT, near), (HALF_FT, far), (-HALF_FT, far))
    return [edge.point(at_ft + along, out) for along, out in corners]


@dataclass(frozen=True)
class Stretch:
    """A stretch of edge that is to be guarded; posts keep ``start_in`` and ``end_in`` clear of its ends."""

    edge: Edge
    from_ft: float
    to_ft: float
    start_in: float = 0.0
    end_in: float = 0.0

    @property
    def length_ft(self) -> float:
        """Its length."""
        return self.to_ft - self.from_ft

    @property
    def short(self) -> bool:
        """Whether it has room for one post at most."""
        return self.length_ft < 4 * HALF_FT - SAME

    @property
    def small(self) -> bool:
        """Whether posts at its two ends may be in the way of those round the corners."""
        return self.length_ft < SMALL_FT

    @property
    def ends_ft(self) -> tuple[float, float]:
        """Where the centres of its end posts are wanted; where room is short both come nearer the ends."""
        spare = max(0.0, self.length_ft * 12 - 2 * POST_IN)
        wanted = self.start_in + self.end_in
        share = min(1.0, spare / wanted) if wanted else 1.0
        return (
            self.from_ft + HALF_FT + share * self.start_in / 12,
            self.to_ft - HALF_FT - share * self.end_in / 12,
        )


@dataclass
class Room:
    """What posts must stand clear of. Side-mounted posts stand outside the floor, surface-mounted ones on it.

    ``taken`` are the posts that stand already, each with its centre; ``shut`` are stair openings and, outside,
    higher floors.
    """

    mount: str
    floor: Polygon
    shut: Sequence[Polygon]
    taken: list[tuple[Point, Polygon]] = field(default_factory=list)

    @cached_property
    def _solid(self) -> BaseGeometry:
        solid = unary_union([self.floor, *self.shut] if self.mount == "side" else list(self.shut))
        prepare(solid)
        return solid

    @cached_property
    def _nothing_outside(self) -> bool:
        """Whether a post outside an edge stands in no floor or opening: nothing turns back round a convex floor."""
        if self.mount != "side" or self.shut:
            return False
        ring = self.floor.exterior.coords[:-1]
        corners = zip(ring[-2:] + ring[:-2], ring[-1:] + ring[:-1], ring, strict=True)
        turns = [(bx - ax) * (cy - by) - (by - ay) * (cx - bx) for (ax, ay), (bx, by), (cx, cy) in corners]
        return min(turns) >= 0 or max(turns) <= 0

    def _clear(self, post: Polygon, beside: Sequence[Polygon]) -> bool:
        """Whether a post stands in nothing, and a surface-mounted one wholly on the floor."""
        if self._solid.intersects(post) and self._solid.intersection(post).area > SLIVER_SQFT:
            return False
        if self.mount != "side" and post.difference(self.floor).area > SLIVER_SQFT:
            return False
        return all(post.intersection(other).area <= SLIVER_SQFT for other in beside)

    def stands(self, edge: Edge, at_ft: float) -> bool:
        """Return whether a post can stand there."""
        centre = edge.point(at_ft, out_ft(self.mount))
        beside = [post for at, post in self.taken if math.dist(at, centre) <= ACROSS_FT]
        if not beside and self._nothing_outside:
            return True
        return self._clear(square(edge, at_ft, self.mount), beside)

    def first(self, edge: Edge, places: Sequence[float]) -> float | None:
        """Return the first of places where a post can stand; null where there is none.

        Mostly it is the very first. The others are judged together: one by one it is slow where none will do.
        """
        if not places or self.stands(edge, places[0]):
            return places[0] if places else None
        stand = self._standing(edge, places[1:])
        return next((at for at, clear in zip(places[1:], stand, strict=True) if clear), None)

    def _standing(self, edge: Edge, places: Sequence[float]) -> Booleans:
        """Whether a post can stand at each of places, as `stands` says of one."""
        centres = np.array([edge.point(at, out_ft(self.mount)) for at in places]).reshape(-1, 2)
        posts = polygons([_corners(edge, at, self.mount) for at in places]) if places else np.array([])
        clear = np.ones(len(places), dtype=bool)
        if not self._nothing_outside:
            clear &= area(intersection(posts, self._solid)) <= SLIVER_SQFT
        if self.mount != "side":
            clear &= area(difference(posts, self.floor)) <= SLIVER_SQFT
        for at, other in self.taken:
            beside = np.hypot(*(centres - np.array(at)).T) <= ACROSS_FT
            clear[beside] &= area(intersection(posts[beside], other)) <= SLIVER_SQFT
        return clear

    def place(self, stretch: Stretch, most_ft: float) -> tuple[float, ...]:
        """Return where the posts of a stretch stand along its edge, and take those places."""
        ends = self._ends(stretch)
        if ends is not None and ends[1] - ends[0] >= 2 * HALF_FT - SAME:
            places = self._between(stretch.edge, *ends, most_ft)
        else:
            places = self._one(stretch, ends or (stretch.from_ft, stretch.to_ft))
        for at in places:
            self.take(stretch.edge, at)
        return places

    def take(self, edge: Edge, at_ft: float) -> None:
        """Let a post stand there."""
        self.taken.append((edge.point(at_ft, out_ft(self.mount)), square(edge, at_ft, self.mount)))

    def _ends(self, stretch: Stretch) -> tuple[float, float] | None:
        """The end posts, each moved inward until it stands clear; null where one finds no place."""
        first, last = stretch.ends_ft
        if last < first:
            return None
        a = self.first(stretch.edge, list(_steps(first, last)))
        b = None if a is None else self.first(stretch.edge, list(_steps(last, first)))
        return None if a is None or b is None else (a, b)

    def _between(self, edge: Edge, first: float, last: float, most_ft: float) -> tuple[float, ...]:
        least = parts_of(last - first, most_ft)
        room = max(least, math.floor((last - first) / (2 * HALF_FT)))
        for parts in range(least, min(least + MORE_PARTS, room) + 1):
            places = spaced(first, last, parts)
            if all(self.stands(edge, at) for at in places):
                return places
        return tuple(at for at in spaced(first, last, least) if self.stands(edge, at))

    def _one(self, stretch: Stretch, ends: tuple[float, float]) -> tuple[float, ...]:
        """A single post as near the middle of what is free as it can stand; none where it would stand in another."""
        middle = sum(ends) / 2
        room = max(0.0, min(middle - stretch.from_ft, stretch.to_ft - middle) - HALF_FT)
        both = zip(_steps(middle, middle - room), _steps(middle, middle + room), strict=True)
        found = self.first(stretch.edge, [at for pair in both for at in pair])
        return () if found is None else (found,)


def _steps(start_ft: float, end_ft: float) -> Iterator[float]:
    """Places from one towards another, step by step."""
    count = math.floor(abs(end_ft - start_ft) * 12 / STEP_IN + SAME)
    step = math.copysign(STEP_IN / 12, end_ft - start_ft)
    yield from (start_ft + step * i for i in range(count + 1))


def parts_of(length_ft: float, most_ft: float) -> int:
    """Return into how many parts a length is divided so that none is longer than asked.

    >>> parts_of(11.7, 6), parts_of(12.0, 6), parts_of(12.1, 6)
    (2, 2, 3)
    """
    return max(1, math.ceil(length_ft / most_ft - SAME))


def spaced(first_ft: float, last_ft: float, parts: int) -> tuple[float, ...]:
    """Return places in equal parts, both ends included.

    >>> spaced(1, 4, 2)
    (1.0, 2.5, 4.0)
    """
    return tuple(first_ft + (last_ft - first_ft) * i / parts for i in range(parts + 1))

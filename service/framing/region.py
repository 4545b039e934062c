"""A part of a level whose joists run one way, cut into sections between the edges its joists end at."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Literal

from service.contract.report_frame import Point
from service.framing.axes import Axes, Direction
from service.framing.walls import Walls, wall_distance_ft

# "level": another level of the deck begins there; "change": joists of another direction do
Meets = Literal["ledger", "wall", "open", "change", "level"]
SAME_IN = 1e-6
SQUARE = 1e-6  # an edge that rises less than this share of its length is square to the joists
WALL_GAP_IN = 1.0


@dataclass(frozen=True)
class Border:
    """One straight edge of a region, ft, and what stands there; ``number`` is the caller's edge, or null."""

    number: int | None
    start_ft: Point
    end_ft: Point
    meets: Meets


@dataclass(frozen=True)
class Bound:
    """A border that joists end at: from its lower to its higher ``u``, in. ``place`` counts the region's borders."""

    place: int
    number: int | None
    meets: Meets
    from_in: Point
    to_in: Point

    def at(self, u_in: float) -> float:
        """Return ``v`` at a ``u``; beyond its ends the line goes on."""
        return self.from_in[1] + self.slope * (u_in - self.from_in[0])

    @cached_property
    def slope(self) -> float:
        """Rise of ``v`` for each in of ``u``."""
        return (self.to_in[1] - self.from_in[1]) / (self.to_in[0] - self.from_in[0])

    @property
    def square(self) -> bool:
        """Whether joists meet it at a right angle."""
        return abs(self.slope) < SQUARE

    @cached_property
    def stretch(self) -> float:
        """What a thickness square to the border measures along the joists: 1 where they meet it squarely."""
        return 1.0 if self.square else math.hypot(1.0, self.slope)

    @property
    def cut_deg(self) -> float:
        """The angle off square at which joists are cut there."""
        return 0.0 if self.square else math.degrees(math.atan(self.slope))

    @property
    def gap_in(self) -> float:
        """What is kept clear of it, along the joists."""
        return WALL_GAP_IN * self.stretch if self.meets == "wall" else 0.0


@dataclass(frozen=True)
class Flank:
    """A border along the joists. ``inward`` is 1 where the floor lies on the side of greater ``u``, else -1."""

    number: int | None
    meets: Meets
    at_in: float
    low_in: float
    high_in: float
    inward: int

    @property
    def face_in(self) -> float:
        """Where the frame ends: at the border, or clear of a wall."""
        return self.at_in + (self.inward * WALL_GAP_IN if self.meets == "wall" else 0.0)


@dataclass(frozen=True)
class Section:
    """A stretch of a region all of whose joist lines run from one bound to another."""

    low: Bound
    high: Bound
    from_in: float
    to_in: float

    @property
    def square(self) -> bool:
        """Whether every joist line in it is alike."""
        return self.low.square and self.high.square

    def length_in(self, u_in: float) -> float:
        """Return the length of the floor along the joists at a place."""
        return self.high.at(u_in) - self.low.at(u_in)

    @property
    def middle_in(self) -> float:
        """The middle of it across the joists."""
        return (self.from_in + self.to_in) / 2

    def overlap_in(self, other: Section, u_in: float) -> float:
        """Return how far the joists of two sections would run beside each other at a place; under 0, how far apart."""
        return min(self.high.at(u_in), other.high.at(u_in)) - max(self.low.at(u_in), other.low.at(u_in))

    def opens_at(self, other: Section) -> float | None:
        """Return where floor goes on between two sections, or None where it does not."""
        for a, b in ((self, other), (other, self)):
            if abs(a.to_in - b.from_in) < SAME_IN and a.overlap_in(b, a.to_in) > SAME_IN:
                return a.to_in
        return None


@dataclass(frozen=True)
class Region:
    """A part of a level framed one way. Sections rise with ``u``, then ``v``."""

    axes: Axes
    borders: tuple[Border, ...]
    sections: tuple[Section, ...]
    flanks: tuple[Flank, ...]

    @cached_property
    def width_in(self) -> float:
        """Its extent across the joists."""
        return max(section.to_in for section in self.sections)

    @cached_property
    def depth_in(self) -> float:
        """Its extent along the joists."""
        return max(p[1] for s in self.sections for p in (s.high.from_in, s.high.to_in))

    @cached_property
    def area_sqft(self) -> float:
        """Its floor."""
        return sum((s.to_in - s.from_in) * s.length_in(s.middle_in) for s in self.sections) / 144

    def from_house_in(self, u_in: float, v_in: float) -> float:
        """Return how far a place is from the nearest wall of the house beside the region, in."""
        return 12 * wall_distance_ft(self.house_walls, *self.axes.deck_ft(u_in, v_in))

    @cached_property
    def house_walls(self) -> Walls:
        """The walls of the house beside it, ft."""
        return tuple((b.start_ft, b.end_ft) for b in self.borders if b.meets in ("ledger", "wall"))

    @property
    def attached(self) -> bool:
        """Whether joists hang on a ledger anywhere."""
        return any(s.low.meets == "ledger" or s.high.meets == "ledger" for s in self.sections)

    @property
    def hung_all_along(self) -> bool:
        """Whether every joist hangs on the house at one end: only then the house holds all of the region sideways."""
        return all(s.low.meets == "ledger" or s.high.meets == "ledger" for s in self.sections)

    @cached_property
    def bounds(self) -> tuple[Bound, ...]:
        """The borders joists end at, each once, by rising ``v`` then ``u`` of their middles."""
        found = dict.fromkeys(bound for s in self.sections for bound in (s.low, s.high))
        return tuple(sorted(found, key=lambda b: (b.from_in[1] + b.to_in[1], b.from_in[0] + b.to_in[0])))

    @cached_property
    def bounds_in(self) -> float:
        """The length of all borders joists end at."""
        return sum((bound.to_in[0] - bound.from_in[0]) * bound.stretch for bound in self.bounds)

    def of_low(self, bound: Bound) -> bool:
        """Return whether joists begin at a bound rather than end there."""
        return any(section.low is bound or section.low == bound for section in self.sections)

    def flank_at(self, u_in: float, v_in: float) -> Flank | None:
        """Return the border along the joists at a place, if one is there."""
        for flank in self.flanks:
            if (
                abs(flank.at_in - u_in) < SAME_IN
                and flank.low_in - SAME_IN <= v_in <= flank.high_in + SAME_IN
            ):
                return flank
        return None


def region_of(borders: Sequence[Border], direction: Direction) -> Region:
    """Return a region by its borders, counter-clockwise in the deck frame.

    >>> points = [(0.0, 0.0), (16.0, 0.0), (16.0, 12.0), (0.0, 12.0)]
    >>> ways = ("ledger", "open", "open", "open")
    >>> sides = [Border(i, points[i], points[(i + 1) % 4], ways[i]) for i in range(4)]
    >>> found = region_of(sides, "away_from_house")
    >>> found.width_in, found.depth_in, found.area_sqft, len(found.flanks)
    (192.0, 144.0, 192.0, 2)
    """
    xs, ys = [b.start_ft[0] for b in borders], [b.start_ft[1] for b in borders]
    axes = Axes(direction, (min(xs), min(ys)))
    bounds, flanks = list[Bound](), list[Flank]()
    for place, border in enumerate(borders):
        start, end = axes.local_in(border.start_ft), axes.local_in(border.end_ft)
        if abs(end[0] - start[0]) < SAME_IN * math.dist(start, end) + SAME_IN:
            flanks.append(_flank(axes, border, start, end))
        else:
            bounds.append(_bound(place, border, *sorted((start, end))))
    sections = sorted(_sections(bounds), key=lambda s: (s.from_in, s.low.at(s.middle_in)))
    return Region(axes, tuple(borders), tuple(sections), tuple(sorted(flanks, key=_flank_order)))


def _bound(place: int, border: Border, start: Point, end: Point) -> Bound:
    """A ledger carries joists that meet it squarely; at any other angle the deck stands free of that wall."""
    bound = Bound(place, border.number, border.meets, start, end)
    return bound if bound.square or border.meets != "ledger" else replace(bound, meets="wall")


def _flank(axes: Axes, border: Border, start: Point, end: Point) -> Flank:
    # Counter-clockwise with y up the floor lies left of a border; swapping the axes turns that round.
    left = -1 if end[1] > start[1] else 1
    low, high = sorted((start[1], end[1]))
    meets: Meets = "wall" if border.meets == "ledger" else border.meets
    return Flank(border.number, meets, start[0], low, high, left if axes.away else -left)


def _flank_order(flank: Flank) -> tuple[float, float]:
    return flank.at_in, flank.low_in


def _sections(bounds: Sequence[Bound]) -> Iterator[Section]:
    """Sections from left to right: cut at every corner, joined again where both bounds go on."""
    places = sorted({u for bound in bounds for u in (bound.from_in[0], bound.to_in[0])})
    cuts = [u for i, u in enumerate(places) if i == 0 or u - places[i - 1] > SAME_IN]
    open_now: list[Section] = []
    for a, b in pairwise(cuts):
        middle = (a + b) / 2
        over = [bound for bound in bounds if bound.from_in[0] <= middle <= bound.to_in[0]]
        over.sort(key=lambda bound: bound.at(middle))
        here = []
        for low, high in zip(over[::2], over[1::2], strict=True):
            before = next((s for s in open_now if s.low is low and s.high is high), None)
            here.append(Section(low, high, before.from_in if before else a, b))
        yield from (s for s in open_now if not any(s.low is h.low and s.high is h.high for h in here))
        open_now = here
    yield from open_now

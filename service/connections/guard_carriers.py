"""The members guard posts can be fixed to, found by where they lie."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from service.contract.report_frame import Beam, JoistLine, Joists, Point, Rim
from service.framing.guard_corners import RIM_IN
from service.framing.guard_edges import Edge
from service.sizing.lumber import PLY_IN, depth_in, width_in

# An edge so little off the joists, or off square to them, counts as along or square (convention of this service).
SQUARE_DEG: Final = 3.0
# A member so near an edge runs along it: three plies, or a rim behind a gap (convention of this service).
ALONG_EDGE_IN: Final = 6.0
# The centre of an end joist is so near its edge, a ply more than its own half (convention of this service).
END_JOIST_IN: Final = 2.25
# Joists are at most 24 in apart; farther off is another part of the frame (convention of this service).
NEXT_IN: Final = 26.0
# So far inside an edge the joists that reach it are looked for: past a beam of three plies (convention).
INSIDE_FT: Final = 0.5
SAME_IN: Final = 1e-6


@dataclass(frozen=True)
class Strand:
    """A member along the joists: its centre across them, its ends along them and half its thickness, in."""

    id: str
    size: str
    across_in: float
    from_in: float
    to_in: float
    half_in: float

    def reaches(self, along_in: float, past_in: float) -> bool:
        """Return whether it goes so far past a place."""
        return self.from_in + past_in - SAME_IN <= along_in <= self.to_in - past_in + SAME_IN


@dataclass(frozen=True)
class Bay:
    """The nearest members on the two sides of a place; null where there is none."""

    left: Strand | None
    right: Strand | None


@dataclass(frozen=True)
class Carriers:
    """What guard posts may be fixed to: joists of one or both directions, and what runs along open edges.

    ``outer`` are rims, and flush beams that stand in their place; where an edge has neither, its end joist is
    meant. Blocking is numbered from ``first_blocking``.
    """

    groups: tuple[Joists, ...]
    outer: tuple[Rim | Beam, ...] = ()
    first_blocking: int = 1

    @cached_property
    def strands(self) -> Mapping[str, tuple[Strand, ...]]:
        """Members along the joists of each direction, rims and beams that run the same way with them."""
        found: dict[str, list[Strand]] = {group.direction: [] for group in self.groups}
        for group in self.groups:
            found[group.direction] += [_of_line(group, line) for line in group.lines]
        for direction, strands in found.items():
            strands += [
                _of_outer(direction, one)
                for one in self.outer
                if _angle_deg(direction, one.start_ft, one.end_ft) < SAME_IN
            ]
        return {direction: tuple(strands) for direction, strands in found.items()}

    @cached_property
    def size(self) -> str:
        """The shallowest joist."""
        return min((group.size for group in self.groups), key=depth_in)

    def bay(self, direction: str, at_in: Point, past_in: float) -> Bay:
        """Return the members on both sides of a place that reach it."""
        u, v = at_in
        near = [one for one in self.strands[direction] if abs(one.across_in - u) <= NEXT_IN]
        near = [one for one in near if one.reaches(v, past_in)]
        return Bay(
            max((one for one in near if one.across_in <= u), key=lambda one: one.across_in, default=None),
            min((one for one in near if one.across_in > u), key=lambda one: one.across_in, default=None),
        )

    def direction_at(self, edge: Edge, along_ft: float) -> str:
        """Return the direction of the joists inside an edge: those that lie on both sides of the place."""

        def rank(direction: str) -> tuple[int, float]:
            at = local_in(direction, edge.point(along_ft, -INSIDE_FT))
            bay = self.bay(direction, at, 0.0)
            found = (bay.left is not None) + (bay.right is not None)
            return -found, min((_off_in(one, at) for one in self.strands[direction]), default=math.inf)

        return min(self.strands, key=rank)

    def outer_at(self, edge: Edge, along_ft: float) -> Rim | Beam | None:
        """Return the rim or flush beam that runs along an edge there."""
        found = [(off, one) for one in self.outer if (off := _beside_in(one, edge, along_ft)) is not None]
        return min(found, key=lambda pair: pair[0])[1] if found else None

    def along(self, edge: Edge, along_ft: float) -> str:
        """Return the id of the member along an edge: its rim or beam, else the joists there."""
        outer = self.outer_at(edge, along_ft)
        if outer is not None:
            return outer.id
        direction = self.direction_at(edge, along_ft)
        at = local_in(direction, edge.point(along_ft, -INSIDE_FT))
        return min(self.strands[direction], key=lambda one: _off_in(one, at)).id

    def begins_in(self, edge: Edge) -> tuple[float, float]:
        """Return how far from the corners of an edge its end joist begins and ends, in; a rim's thickness if unknown.

        Joists stop behind a rim of 1.5 in, or behind a flush beam of several plies.
        """
        for direction, strands in self.strands.items():
            if _angle_deg(direction, edge.start_ft, edge.end_ft) < SAME_IN:
                (u, start), (_, end) = (local_in(direction, at) for at in (edge.start_ft, edge.end_ft))
                low, high = sorted((start, end))
                here = [
                    one
                    for one in strands
                    if abs(one.across_in - u) <= END_JOIST_IN and one.from_in < high and one.to_in > low
                ]
                if here:
                    gaps = min(o.from_in for o in here) - low, high - max(o.to_in for o in here)
                    a, b = (gap if 0 <= gap <= ALONG_EDGE_IN else RIM_IN for gap in gaps)
                    return (a, b) if start < end else (b, a)
        return RIM_IN, RIM_IN


def local_in(direction: str, point_ft: Point) -> Point:
    """Return a point across and along joists of a direction, in.

    Source: geometry of the frame.

    >>> local_in("along_house", (1.0, 2.0))
    (24.0, 12.0)
    """
    x, y = point_ft[0] * 12, point_ft[1] * 12
    return (x, y) if direction == "away_from_house" else (y, x)


def deck_ft(direction: str, at_in: Point) -> Point:
    """Return the place in the deck frame, ft, of one across and along joists of a direction, in.

    Source: geometry of the frame, ``local_in`` turned round.

    >>> deck_ft("along_house", (24.0, 12.0))
    (1.0, 2.0)
    """
    u, v = at_in[0] / 12, at_in[1] / 12
    return (u, v) if direction == "away_from_house" else (v, u)


def edge_angle_deg(direction: str, edge: Edge) -> float:
    """Return the angle between an edge and joists of a direction, 0 to 90 deg.

    Source: geometry of the frame.

    >>> from service.framing.guard_edges import edge_between
    >>> edge_angle_deg("away_from_house", edge_between(2, (16.0, 12.0), (0.0, 12.0), 1.0))
    90.0
    """
    return _angle_deg(direction, edge.start_ft, edge.end_ft)


def _angle_deg(direction: str, start: Point, end: Point) -> float:
    (u0, v0), (u1, v1) = local_in(direction, start), local_in(direction, end)
    return math.degrees(math.atan2(abs(u1 - u0), abs(v1 - v0)))


def _of_line(group: Joists, line: JoistLine) -> Strand:
    across, start, end = line.x_ft, line.y_start_ft, line.y_end_ft
    if group.direction == "along_house":
        across, start, end = line.y_ft, line.x_start_ft, line.x_end_ft
    low, high = sorted((12 * (start or 0.0), 12 * (end or 0.0)))
    return Strand(group.id, group.size, 12 * (across or 0.0), low, high, PLY_IN * group.plies / 2)


def thickness_in(outer: Rim | Beam) -> float:
    """Return the thickness of a rim or built-up beam, in.

    Source: dressed sizes of the American Softwood Lumber Standard, see ``lumber``.

    Args:
        outer: the rim or beam.

    >>> thickness_in(Rim(id="main.rim-1", mark="R1", edge=2, size="2x8", species="southern_pine", grade="no_2",
    ...     start_ft=(0.0, 12.0), end_ft=(16.0, 12.0), length_in=192.0))
    1.5
    """
    return width_in(outer.size) * (outer.plies if isinstance(outer, Beam) else 1)


def _of_outer(direction: str, outer: Rim | Beam) -> Strand:
    (u, a), (_, b) = (local_in(direction, at) for at in (outer.start_ft, outer.end_ft))
    return Strand(outer.id, outer.size, u, min(a, b), max(a, b), thickness_in(outer) / 2)


def _off_in(one: Strand, at_in: Point) -> float:
    past = max(one.from_in - at_in[1], at_in[1] - one.to_in, 0.0)
    return math.hypot(one.across_in - at_in[0], past)


def _beside_in(one: Rim | Beam, edge: Edge, along_ft: float) -> float | None:
    """How far inside an edge a member runs along it, in; null if it does not."""
    length = math.dist(one.start_ft, one.end_ft)
    ux, uy = ((b - a) / length for a, b in zip(one.start_ft, one.end_ft, strict=True))
    if abs(ux * edge.along[1] - uy * edge.along[0]) > math.sin(math.radians(SQUARE_DEG)):
        return None
    x, y = (b - a for a, b in zip(one.start_ft, edge.point(along_ft), strict=True))
    off, past = abs(x * uy - y * ux) * 12, x * ux + y * uy
    along = off <= ALONG_EDGE_IN and -ALONG_EDGE_IN / 12 <= past <= length + ALONG_EDGE_IN / 12
    return off if along else None

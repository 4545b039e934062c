"""Where guards run and where their posts stand."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from service.contract.report_frame import Point, Stair
from service.framing.ground import Grade
from service.framing.guard_edges import Edge, edges_of, greatest_drop_in

POST_IN = 3.5
SAME = 1e-9


@dataclass(frozen=True)
class GuardedLevel:
    """A level as its guards see it: corners in the deck frame, edges on the house, surface and ground."""

    id: str
    outline_ft: tuple[Point, ...]
    house_edges: tuple[int, ...]
    surface_height_in: float
    decking_thickness_in: float
    grade: Grade


@dataclass(frozen=True)
class OpenEdge:
    """An edge off the house, how far the surface lies over the ground beside it, and if a guard must be there."""

    edge: Edge
    drop_in: float
    required: bool


@dataclass(frozen=True)
class PostSpot:
    """Where a guard post stands: along its edge, and its centre in the deck frame."""

    along_ft: float
    at_ft: Point


@dataclass(frozen=True)
class GuardRun:
    """A run of guard without a gap, its posts and their widest spacing."""

    edge: Edge
    from_ft: float
    to_ft: float
    spots: tuple[PostSpot, ...]
    widest_in: float


def open_edges(level: GuardedLevel, above_in: float, reach_in: float) -> tuple[OpenEdge, ...]:
    """Return the edges off the house; one over ``above_in`` over ground within ``reach_in`` must be guarded."""
    found = []
    for edge in edges_of(level.outline_ft):
        if edge.number not in level.house_edges:
            drop = greatest_drop_in(edge, level.surface_height_in, level.grade, reach_in)
            found.append(OpenEdge(edge, drop, drop > above_in + SAME))
    return tuple(found)


def stretches(length_ft: float, openings: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return what is left of an edge beside its stairs; slivers narrower than a post are left out.

    >>> stretches(16, [(6, 10)])
    [(0.0, 6), (10, 16)]
    """
    found, at = [], 0.0
    for start, end in sorted(openings):
        found.append((at, start))
        at = max(at, end)
    return [(a, b) for a, b in [*found, (at, length_ft)] if (b - a) * 12 >= POST_IN - SAME]


def post_places(from_ft: float, to_ft: float, most_ft: float) -> tuple[float, ...]:
    """Return post centres along a run: half a post inside each end, evenly spaced, never farther than asked.

    >>> [round(at, 3) for at in post_places(0, 12, 6)]
    [0.146, 6.0, 11.854]
    """
    half = POST_IN / 24
    first, last = from_ft + half, to_ft - half
    if last - first < 2 * half:
        return ((first + last) / 2,)
    parts = max(1, math.ceil((last - first) / most_ft - SAME))
    return tuple(first + (last - first) * i / parts for i in range(parts + 1))


def guard_runs(
    edges: Sequence[OpenEdge], stairs: Sequence[Stair], mount: str, most_ft: float
) -> tuple[GuardRun, ...]:
    """Return the runs along these edges by edge number, split where a stair leaves.

    Each run ends on its own posts. Side-mounted ones stand outside the rim, so that a corner has one on each
    side; where a post already stands in the corner, the next run begins or ends beside it.
    """
    runs: list[GuardRun] = []
    taken: list[Point] = []
    out_ft = (POST_IN if mount == "side" else -POST_IN) / 24
    for opened in edges:
        edge = opened.edge
        gaps = [(s.offset_ft, s.offset_ft + s.width_in / 12) for s in stairs if s.edge == edge.number]
        for stretch in stretches(edge.length_ft, gaps):
            start, end = _clear_of(taken, edge, stretch, out_ft)
            places = post_places(start, end, most_ft)
            spots = tuple(PostSpot(at, edge.point(at, out_ft)) for at in places)
            taken += [spot.at_ft for spot in spots]
            runs.append(GuardRun(edge, start, end, spots, _widest_in(places)))
    return tuple(runs)


def _clear_of(
    taken: Sequence[Point], edge: Edge, stretch: tuple[float, float], out_ft: float
) -> tuple[float, float]:
    start, end = stretch
    half = POST_IN / 24
    if _stands(edge.point(start + half, out_ft), taken):
        start += 2 * half
    if _stands(edge.point(end - half, out_ft), taken):
        end -= 2 * half
    return start, end


def _stands(at: Point, taken: Sequence[Point]) -> bool:
    apart = POST_IN / 12 - 1e-6
    return any(abs(at[0] - x) < apart and abs(at[1] - y) < apart for x, y in taken)


def _widest_in(places: Sequence[float]) -> float:
    return max((b - a for a, b in itertools.pairwise(places)), default=0.0) * 12

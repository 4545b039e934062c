"""What lies beside the open sides of a level, and how far one would fall there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal, NamedTuple

from shapely import Polygon, get_coordinates, get_parts, unary_union
from shapely.geometry.base import BaseGeometry

from service.framing.ground import Grade
from service.framing.guard_edges import Edge, greatest_drop_in
from service.framing.sides import Outline

SAME = 1e-9
SLIVER_SQFT = 1e-6
# A joint this wide between two floors is a joint, not a fall (convention of this service).
JOINT_IN = 1.0
# The shallowest frame there is: 1/2 in boards on 2x6 joists.
LEAST_FRAME_IN = 6.0

Interval = tuple[float, float]


class Floor(NamedTuple):
    """Another level: its floor in the deck frame, ft, its surface, and how deep its frame is under that, in."""

    polygon: Polygon
    surface_height_in: float
    frame_depth_in: float = LEAST_FRAME_IN


@dataclass(frozen=True)
class GuardedLevel:
    """A level as its guards see it: outline in the deck frame, surface, ground and the levels beside it."""

    id: str
    outline: Outline
    surface_height_in: float
    decking_thickness_in: float
    grade: Grade
    others: tuple[Floor, ...] = ()


@dataclass(frozen=True)
class OpenEdge:
    """A stretch of an open side, how far the surface lies over what is beside it, and if a guard must be there.

    ``over`` is what one would fall on. All stretches of one side over the ground are judged as one, by the
    greatest drop: a guard that is needed along part of a side goes along the whole of it.
    """

    edge: Edge
    drop_in: float
    required: bool
    from_ft: float
    to_ft: float
    over: Literal["ground", "floor"] = "ground"


@dataclass(frozen=True)
class UnderLevel:
    """A stretch of an open side along a higher level: the opening left under that frame, and the drop beyond."""

    edge: Edge
    from_ft: float
    to_ft: float
    step_in: float
    opening_in: float
    drop_in: float


@dataclass(frozen=True)
class Limits:
    """Where a guard is required: over what height, within what reach of the edge; and what ball must not pass."""

    above_in: float
    reach_in: float
    ball_in: float


def part_of(edge: Edge, from_ft: float, to_ft: float) -> Edge:
    """Return a stretch of an edge as an edge of its own.

    >>> from service.framing.guard_edges import edge_between
    >>> part_of(edge_between(2, (16.0, 12.0), (0.0, 12.0), 1.0), 4, 10).end_ft
    (6.0, 12.0)
    """
    return replace(edge, start_ft=edge.point(from_ft), end_ft=edge.point(to_ft), length_ft=to_ft - from_ft)


def open_edges(level: GuardedLevel, limits: Limits) -> tuple[OpenEdge, ...]:
    """Return the open sides in stretches: over the ground, or over a lower level that reaches far enough out.

    Sides at the house and stretches along a higher level have nothing to fall from.
    """
    return tuple(
        found
        for side in level.outline.sides
        if not side.on_house
        for found in _stretches_of(side.edge, level, limits)
    )


def under_levels(level: GuardedLevel, limits: Limits) -> tuple[UnderLevel, ...]:
    """Return the stretches of open sides that lie along a higher level."""
    return tuple(
        _under(side.edge, span, level, limits)
        for side in level.outline.sides
        if not side.on_house
        for span in _along_higher(side.edge, level, limits)
    )


def _stretches_of(edge: Edge, level: GuardedLevel, limits: Limits) -> Iterator[OpenEdge]:
    free = without([(0.0, edge.length_ft)], _along_higher(edge, level, limits))
    ground = _over_ground(edge, free, level, limits)
    drops = [
        greatest_drop_in(edge, level.surface_height_in, level.grade, limits.reach_in, *span)
        for span in ground
    ]
    worst = max(drops, default=0.0)
    found = [OpenEdge(edge, worst, worst > limits.above_in + SAME, *span) for span in ground]
    covered = without(free, ground)
    for span in without(covered, narrow(covered, JOINT_IN)):
        drop = level.surface_height_in - _lowest_floor_in(part_of(edge, *span), level, limits)
        found.append(OpenEdge(edge, drop, drop > limits.above_in + SAME, *span, "floor"))
    yield from sorted(found, key=lambda one: one.from_ft)


def strip(edge: Edge, out_in: float) -> Polygon:
    """Return what lies beside an edge, so far out of it.

    >>> from service.framing.guard_edges import edge_between
    >>> strip(edge_between(1, (16.0, 0.0), (16.0, 12.0), 1.0), 36).bounds
    (16.0, 0.0, 19.0, 12.0)
    """
    out = out_in / 12
    ends = (0.0, edge.length_ft)
    return Polygon([*(edge.point(at) for at in ends), *(edge.point(at, out) for at in reversed(ends))])


def _higher(level: GuardedLevel) -> list[Floor]:
    return [other for other in level.others if other.surface_height_in > level.surface_height_in + SAME]


def _along_higher(edge: Edge, level: GuardedLevel, limits: Limits) -> list[Interval]:
    """Where no ball passes between this floor and a higher one."""
    return _along(edge, [strip(edge, limits.ball_in).intersection(one.polygon) for one in _higher(level)])


def _over_ground(edge: Edge, free: Sequence[Interval], level: GuardedLevel, limits: Limits) -> list[Interval]:
    """Where, square out from the edge, other floors do not cover the whole reach; a slot no ball enters is none."""
    if not level.others:
        return list(free)
    bare = _along(edge, [strip(edge, limits.reach_in).difference(_floors(level))])
    held_apart = [span for span in bare if span[0] > SAME and span[1] < edge.length_ft - SAME]
    return overlaps(free, without(bare, narrow(held_apart, limits.ball_in)))


def _floors(level: GuardedLevel) -> BaseGeometry:
    """All floors as one, joints between them closed."""
    half = JOINT_IN / 24
    floors = unary_union([level.outline.polygon, *(other.polygon for other in level.others)])
    return floors.buffer(half, join_style="mitre").buffer(-half, join_style="mitre")


def _lowest_floor_in(part: Edge, level: GuardedLevel, limits: Limits) -> float:
    beside = strip(part, limits.reach_in)
    return min(
        (o.surface_height_in for o in level.others if o.polygon.intersection(beside).area > SLIVER_SQFT),
        default=level.surface_height_in,
    )


def _under(edge: Edge, span: Interval, level: GuardedLevel, limits: Limits) -> UnderLevel:
    """The worst of the higher levels beside it counts."""
    beside = strip(part_of(edge, *span), limits.ball_in)
    along = [one for one in _higher(level) if one.polygon.intersection(beside).area > SLIVER_SQFT]
    top = max(along, key=lambda one: one.surface_height_in - one.frame_depth_in)
    step = top.surface_height_in - level.surface_height_in
    drop = greatest_drop_in(edge, level.surface_height_in, level.grade, limits.reach_in, *span)
    return UnderLevel(edge, *span, step, max(0.0, step - top.frame_depth_in), drop)


def _along(edge: Edge, areas: Sequence[BaseGeometry]) -> list[Interval]:
    """Where along an edge areas beside it begin and end, one interval for what hangs together."""
    spans = []
    for piece in get_parts(areas):
        if piece.area > SLIVER_SQFT:
            x0, y0 = edge.start_ft
            ats = [
                (x - x0) * edge.along[0] + (y - y0) * edge.along[1]
                for x, y in get_coordinates(piece).tolist()
            ]
            spans.append((max(0.0, min(ats)), min(edge.length_ft, max(ats))))
    return joined(spans)


def joined(spans: Sequence[Interval]) -> list[Interval]:
    """Return intervals with those that touch made one.

    >>> joined([(4, 6), (0, 3), (3, 4.5)])
    [(0, 6)]
    """
    found: list[Interval] = []
    for start, end in sorted(spans):
        if found and start <= found[-1][1] + SAME:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((start, end))
    return found


def without(spans: Sequence[Interval], gaps: Sequence[Interval]) -> list[Interval]:
    """Return what is left of intervals beside gaps.

    >>> without([(0, 16)], [(6, 10)])
    [(0, 6), (10, 16)]
    """
    found = []
    for start, end in spans:
        cuts = [start, *(at for gap in joined(gaps) for at in gap), end]
        inside = [min(max(at, start), end) for at in cuts]
        found += [(a, b) for a, b in list(pairwise(inside))[::2] if b - a > SAME]
    return found


def overlaps(spans: Sequence[Interval], others: Sequence[Interval]) -> list[Interval]:
    """Return where two sets of intervals overlap.

    >>> overlaps([(0, 6), (10, 16)], [(4, 12)])
    [(4, 6), (10, 12)]
    """
    both = [(max(a, c), min(b, d)) for a, b in spans for c, d in others]
    return [(a, b) for a, b in sorted(both) if b - a > SAME]


def narrow(spans: Sequence[Interval], ball_in: float) -> list[Interval]:
    """Return the intervals, ft, that a ball does not pass.

    >>> narrow([(0, 0.25), (1, 2)], 4)
    [(0, 0.25)]
    """
    return [(a, b) for a, b in spans if (b - a) * 12 < ball_in - SAME]

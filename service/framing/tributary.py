"""What floor each joist carries: every place of the floor lies on the joist nearest to it across the joists."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.framing.line import LineLayout
from service.framing.region import SAME_IN, Region
from service.mechanics.beam import Beam, Load, Uniform
from service.mechanics.three_moment import reactions_lb, support_moments_lb_ft

STEP_IN = 12.0
# Floor on a joist: between two places along it, in, so much across it, in.
Widths = tuple[tuple[float, float, float], ...]


@dataclass(frozen=True)
class Placed:
    """A joist: its section, where it stands across the joists, in, and how it lies."""

    section: int
    u_in: float
    line: LineLayout


@dataclass(frozen=True)
class Strip:
    """Floor on one joist between two places along it, in: from ``left_in`` to ``right_in`` across it, at the middle."""

    low_in: float
    high_in: float
    left_in: float
    right_in: float

    @property
    def area_sqft(self) -> float:
        """The floor."""
        return (self.high_in - self.low_in) * (self.right_in - self.left_in) / 144


@dataclass(frozen=True)
class OnRest:
    """What 1 psf of floor puts on one rest of a joist, lb, spread across the joists between two places, in."""

    rest: int
    area_sqft: float
    left_in: float
    right_in: float


def strips(region: Region, joists: Sequence[Placed]) -> tuple[tuple[Strip, ...], ...]:
    """Return the floor each joist carries, in the order of the joists; together they are all of it.

    Between corners of the floor and ends of joists widths change in straight lines: the middle of a stretch is exact
    for its area.
    """
    found: list[list[Strip]] = [[] for _ in joists]
    for low, high in _bands(region, joists):
        middle = (low + high) / 2
        for start, end in _floor_at(region, middle):
            for number, left, right in _shared(joists, start, end, middle):
                found[number].append(Strip(low, high, left, right))
    return tuple(tuple(_joined(one)) for one in found)


def _joined(found: Sequence[Strip]) -> Iterator[Strip]:
    held: Strip | None = None
    for strip in found:
        same = (
            held
            and abs(held.left_in - strip.left_in) < SAME_IN
            and abs(held.right_in - strip.right_in) < SAME_IN
        )
        if held and same and abs(held.high_in - strip.low_in) < SAME_IN:
            held = Strip(held.low_in, strip.high_in, held.left_in, held.right_in)
            continue
        if held:
            yield held
        held = strip
    if held:
        yield held


def _bands(region: Region, joists: Sequence[Placed]) -> Iterator[tuple[float, float]]:
    corners = [region.axes.local_in(border.start_ft)[1] for border in region.borders]
    ends = [end.line_in for one in joists for end in (one.line.low, one.line.high)]
    cuts = sorted({round(v, 6) for v in (*corners, *ends)})
    slanted = any(not bound.square for bound in region.bounds)
    for a, b in pairwise(cuts):
        parts = max(1, math.ceil((b - a) / STEP_IN)) if slanted else 1
        yield from ((a + (b - a) * i / parts, a + (b - a) * (i + 1) / parts) for i in range(parts))


def _floor_at(region: Region, v_in: float) -> Iterator[tuple[float, float]]:
    """Where the floor lies across the joists at a place along them."""
    cuts = []
    for border in region.borders:
        (ua, va), (ub, vb) = region.axes.local_in(border.start_ft), region.axes.local_in(border.end_ft)
        if (va <= v_in) != (vb <= v_in):
            cuts.append(ua + (v_in - va) * (ub - ua) / (vb - va))
    cuts.sort()
    yield from zip(cuts[::2], cuts[1::2], strict=True)


def _shared(
    joists: Sequence[Placed], start_in: float, end_in: float, v_in: float
) -> Iterator[tuple[int, float, float]]:
    """The joists a stretch of floor lies on, each with its part; where none runs under it, the nearest."""
    under = [
        number
        for number, one in enumerate(joists)
        if start_in - SAME_IN <= one.u_in <= end_in + SAME_IN
        and one.line.low.line_in - 1e-3 <= v_in <= one.line.high.line_in + 1e-3
    ]
    if not under:
        middle = (start_in + end_in) / 2
        nearest = min(range(len(joists)), key=lambda n: _away(joists[n], middle, v_in))
        yield nearest, start_in, end_in
        return
    under.sort(key=lambda number: joists[number].u_in)
    places = [joists[number].u_in for number in under]
    edges = [start_in, *((a + b) / 2 for a, b in pairwise(places)), end_in]
    for number, left, right in zip(under, edges, edges[1:], strict=False):
        if right > left:
            yield number, left, right


def _away(one: Placed, u_in: float, v_in: float) -> float:
    past = max(one.line.low.line_in - v_in, v_in - one.line.high.line_in, 0.0)
    return abs(one.u_in - u_in) + past


def on_rests(
    one: Placed, carried: Sequence[Strip], areas: Callable[[LineLayout, Widths], tuple[float, ...]]
) -> Iterator[OnRest]:
    """Yield what a joist's floor puts on each of its rests at 1 psf; ``areas`` is ``rest_areas``, or remembers it."""
    widths = tuple((strip.low_in, strip.high_in, strip.right_in - strip.left_in) for strip in carried)
    for number, area in enumerate(areas(one.line, widths)):
        left, right = _beside(carried, one.line.supports_in[number])
        yield OnRest(number, area, left, right)


def rest_areas(line: LineLayout, widths: Widths) -> tuple[float, ...]:
    """Return the floor that comes on each rest of a joist; laps break it, a ledger takes what lies on it.

    ``widths`` say between which places along the joist how much floor lies across it, in.
    """
    rests = line.rests
    totals = [0.0] * len(rests)
    begin = (
        line.supports_in[0] if line.low.ledger else min([line.low.line_in, *(low for low, _, _ in widths)])
    )
    end = (
        line.supports_in[-1]
        if line.high.ledger
        else max([line.high.line_in, *(high for _, high, _ in widths)])
    )
    for low, high, wide in widths:
        if line.low.ledger and low < begin:
            totals[0] += (min(begin, high) - low) * wide / 144
        if line.high.ledger and high > end:
            totals[-1] += (high - max(end, low)) * wide / 144
    cuts = [0, *line.lap_at, len(rests) - 1]
    for first, last in pairwise(cuts):
        a = begin if first == 0 else line.supports_in[first]
        b = end if last == len(rests) - 1 else line.supports_in[last]
        for offset, reaction in enumerate(_reactions(line.supports_in[first : last + 1], a, b, widths)):
            totals[first + offset] += reaction
    return tuple(totals)


def _reactions(supports_in: Sequence[float], a_in: float, b_in: float, widths: Widths) -> tuple[float, ...]:
    beam = Beam((b_in - a_in) / 12, tuple((v - a_in) / 12 for v in supports_in))
    loads: list[Load] = []
    for from_in, to_in, wide_in in widths:
        low, high = max(from_in, a_in), min(to_in, b_in)
        if high - low > 1e-6:
            loads.append(Uniform((low - a_in) / 12, (high - a_in) / 12, wide_in / 12))
    return reactions_lb(beam, loads, support_moments_lb_ft(beam, loads))


def _beside(carried: Sequence[Strip], v_in: float) -> tuple[float, float]:
    """How far across the joists what rests there is spread: the floor of the joist nearest to the rest."""
    nearest = min(carried, key=lambda s: max(s.low_in - v_in, v_in - s.high_in, 0.0))
    return nearest.left_in, nearest.right_in

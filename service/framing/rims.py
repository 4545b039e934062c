"""Rims: boards across the ends of joists, along every edge that has no ledger and no flush beam."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.contract.report_frame import Point
from service.framing.layout import Layout
from service.framing.line import RIM_IN
from service.framing.region import Bound, Region


@dataclass(frozen=True)
class RimMade:
    """A rim's centre line, its length to the longer points, and how its ends are cut, degrees off square.

    A cut is positive where the rim is longer on its right, looking from its start to its end.
    """

    number: int | None
    start_ft: Point
    end_ft: Point
    length_in: float
    start_cut_deg: float
    end_cut_deg: float


def rims_of(layout: Layout) -> tuple[RimMade, ...]:
    """Return the rims of a layout, by rising distance from the low side; none where beams are flush."""
    if layout.placement == "flush":
        return ()
    return region_rims(layout.region)


def region_rims(region: Region) -> tuple[RimMade, ...]:
    """Return the rims of a region whose beams are dropped, by rising distance from the low side."""
    return tuple(_rim(region, bound) for bound in region.bounds if bound.meets != "ledger")


def _rim(region: Region, bound: Bound) -> RimMade:
    """A rim runs along ``u``: at the low side its outer face is on its right, at the high side on its left."""
    inward = 1.0 if region.of_low(bound) else -1.0
    off = inward * (bound.gap_in + RIM_IN / 2 * bound.stretch)
    cuts = _cut_deg(region, bound, bound.from_in), -_cut_deg(region, bound, bound.to_in)
    leans = [RIM_IN / 2 * math.tan(math.radians(cut)) for cut in cuts]
    # Straight in along v is where a rim is cut over the side of an end joist; any other cut ends elsewhere.
    over_joist = RIM_IN / 2 * bound.slope
    first = _clear_of_wall(region, bound, *bound.from_in) + inward * (leans[0] - over_joist) / bound.stretch
    last = _clear_of_wall(region, bound, *bound.to_in) - inward * (leans[1] + over_joist) / bound.stretch
    start, end = (region.axes.deck_ft(u, bound.at(u) + off) for u in (first, last))
    length = (last - first) * bound.stretch + sum(map(abs, leans))
    turn = 1.0 if region.axes.away else -1.0  # axes that are swapped mirror the rim
    return RimMade(bound.number, start, end, length, turn * cuts[0] + 0.0, turn * cuts[1] + 0.0)


def _clear_of_wall(region: Region, bound: Bound, u_in: float, v_in: float) -> float:
    """Where a rim ends: at the edge's corner, or clear of a wall that stands there."""
    flank = region.flank_at(u_in, v_in)
    if flank is None or not bound.from_in[0] - 2 <= flank.face_in <= bound.to_in[0] + 2:
        return u_in
    inside = bound.from_in[0] <= flank.face_in <= bound.to_in[0]
    return flank.face_in if inside else u_in


def _cut_deg(region: Region, bound: Bound, corner: Point) -> float:
    """Half the turn where two rims meet; over the side of an end joist, the angle of the edge."""
    if region.flank_at(*corner) is not None:
        return bound.cut_deg
    other = next(
        (b for b in region.bounds if b.place != bound.place and corner in (b.from_in, b.to_in)), None
    )
    if other is None:
        return bound.cut_deg
    half = (bound.cut_deg - other.cut_deg) / 2
    if region.of_low(bound) == region.of_low(other):
        return half
    # The low side turns back into the high one.
    return half - 90.0 if half > 0 else half + 90.0

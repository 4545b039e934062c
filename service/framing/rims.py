"""Rims: boards across the ends of joists, along every edge that has no ledger and no flush beam."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.report_frame import Point
from service.framing.layout import Layout
from service.framing.line import RIM_IN
from service.framing.region import Bound, Region


@dataclass(frozen=True)
class RimMade:
    """A rim's centre line, the length of its outer face, and how its ends are cut, degrees off square."""

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
    region = layout.region
    return tuple(_rim(region, bound) for bound in region.bounds if bound.meets != "ledger")


def _rim(region: Region, bound: Bound) -> RimMade:
    inward = 1.0 if region.of_low(bound) else -1.0
    off = inward * (bound.gap_in + RIM_IN / 2 * bound.stretch)
    ends = [_clear_of_wall(region, bound, *bound.from_in), _clear_of_wall(region, bound, *bound.to_in)]
    start, end = (region.axes.deck_ft(u, bound.at(u) + off) for u in ends)
    cuts = [abs(_cut_deg(region, bound, place)) for place in (bound.from_in, bound.to_in)]
    return RimMade(bound.number, start, end, (ends[1] - ends[0]) * bound.stretch, cuts[0], cuts[1])


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
    return bound.cut_deg if other is None else (bound.cut_deg - other.cut_deg) / 2

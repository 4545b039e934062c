"""Riser count, stringers and throat of a stair, by arithmetic and by the guide's spans."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from service.rules.rulebook import Rulebook
from service.sizing.lumber import PLY_IN, depth_in
from service.sizing.stair_limits import figure

STRINGER_SIZE: Final = "2x12"
# Composite treads usually want stringers at 12 in: common practice, no source; the label governs.
COMPOSITE_SPACING_IN: Final = 12.0
FLEXIBLE_TREADS: Final = ("composite", "pvc")
SAME: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Stringer:
    """A kind of stringer, how many bays it is held in, the bay's horizontal span and the throat, in."""

    kind: str
    bays: int
    span_in: float
    span_limit_in: float
    throat_in: float | None


@dataclass(frozen=True, slots=True)
class StringerRow:
    """How many stringers stand side by side and their centres, in."""

    count: int
    spacing_in: float
    limit_in: float


def riser_count(rise_in: float, max_riser_in: float) -> int:
    """Return the fewest equal risers that climb a rise.

    Source: arithmetic on the riser limit of the code (IRC stairways section, riser height).

    Args:
        rise_in: foot to surface, in.
        max_riser_in: tallest riser, in.

    >>> riser_count(36, 7.75), riser_count(31, 7.75), riser_count(23.25, 7.75)
    (5, 4, 3)
    """
    return max(1, math.ceil(rise_in / max_riser_in - SAME))


def throat_in(riser_in: float, tread_in: float, stock_in: float = depth_in(STRINGER_SIZE)) -> float:
    """Return the wood left under the notches of a cut stringer, in, square to its lower edge.

    Source: geometry: a right-angled notch with legs r and t is r t / sqrt(r^2 + t^2) deep.

    Args:
        riser_in: riser, in.
        tread_in: tread, in.
        stock_in: dressed depth of the board, in.

    >>> round(throat_in(7.75, 11), 2), round(throat_in(7.75, 10), 2)
    (4.91, 5.12)
    """
    return stock_in - riser_in * tread_in / math.hypot(riser_in, tread_in)


def stringer_length_in(risers: int, riser_in: float, tread_in: float, drop_in: float, kind: str) -> float:
    """Return the length of board a stringer takes along its slope, in.

    A cut one ends under the top tread; a solid one runs on to the header, one riser farther.

    Source: geometry, from the foot to the top plumb cut.

    Args:
        risers: risers of the flight.
        riser_in: riser, in.
        tread_in: tread, in.
        drop_in: cut off the bottom, in.
        kind: cut or solid.

    >>> round(stringer_length_in(5, 7.2, 10.5, 1.0, "cut"), 2)
    50.36
    """
    slope = math.hypot(riser_in, tread_in)
    if kind == "cut":
        return (risers - 1) * slope - drop_in * riser_in / slope
    return risers * slope


def _bays(run_in: float, limit_in: float) -> int:
    return max(1, math.ceil(run_in / limit_in - SAME))


def choose_stringer(
    wanted: str, run_in: float, riser_in: float, tread_in: float, guide: Rulebook
) -> Stringer:
    """Return the stringer of a flight: cut where it may stand in one bay, else solid; mid supports if too long.

    Source: AWC DCA 6, stringer spans and throat, as the guide's rows give them.

    Args:
        wanted: auto, cut or solid.
        run_in: horizontal run of the flight, in.
        riser_in: riser, in.
        tread_in: tread, in.
        guide: the guide's rows, in in.

    Limits: sawn 2x12 only.
    """
    throat = throat_in(riser_in, tread_in)
    cut_limit = figure(guide, "guide_cut_stringer_span").value
    may_cut = run_in <= cut_limit + SAME and throat >= figure(guide, "guide_cut_stringer_throat").value - SAME
    kind = ("cut" if may_cut else "solid") if wanted == "auto" else wanted
    limit = cut_limit if kind == "cut" else figure(guide, "guide_solid_stringer_span").value
    bays = _bays(run_in, limit)
    return Stringer(kind, bays, run_in / bays, limit, throat if kind == "cut" else None)


def stringer_row(width_in: float, tread_material: str, guide: Rulebook) -> StringerRow:
    """Return how many stringers a stair takes and their spacing, in on centre.

    Source: AWC DCA 6 for the 18 in; 12 in under composite treads is common practice, no source.

    Args:
        width_in: stair width, in.
        tread_material: what the treads are made of.
        guide: the guide's rows, in in.
    """
    limit = figure(guide, "guide_stringer_spacing").value
    if tread_material in FLEXIBLE_TREADS:
        limit = min(limit, COMPOSITE_SPACING_IN)
    between = width_in - PLY_IN
    spaces = max(1, math.ceil(between / limit - SAME))
    return StringerRow(spaces + 1, between / spaces, limit)


def drop_in(tread_thickness_in: float, landing_finish_in: float = 0.0) -> float:
    """Return what is cut off the bottom of a stringer against the nominal riser, in.

    The first notch is then riser - tread thickness + landing finish above the ground it stands on.

    Source: geometry: every riser equal once treads and landing are finished.

    Args:
        tread_thickness_in: tread thickness, in.
        landing_finish_in: finish still to come on the landing, in.

    >>> drop_in(1.0), drop_in(1.5, 2.0)
    (1.0, -0.5)
    """
    return tread_thickness_in - landing_finish_in


def first_notch_in(riser_in: float, tread_thickness_in: float, landing_finish_in: float = 0.0) -> float:
    """Return the height of the first notch above the unfinished landing, in.

    Source: geometry: riser - tread thickness + landing finish to come.

    Args:
        riser_in: riser, in.
        tread_thickness_in: tread thickness, in.
        landing_finish_in: finish still to come on the landing, in.

    >>> first_notch_in(7.25, 1.0), first_notch_in(7.25, 1.0, 1.5)
    (6.25, 7.75)
    """
    return riser_in - drop_in(tread_thickness_in, landing_finish_in)


def top_notch_below_surface_in(riser_in: float, tread_thickness_in: float) -> float:
    """Return how far the top notch lies below the deck surface, in.

    Source: geometry: riser + tread thickness.

    Args:
        riser_in: riser, in.
        tread_thickness_in: tread thickness, in.

    >>> top_notch_below_surface_in(7.25, 1.0)
    8.25
    """
    return riser_in + tread_thickness_in


def underside_in(
    riser_in: float,
    tread_in: float,
    tread_thickness_in: float,
    out_in: float,
    stock_in: float = depth_in(STRINGER_SIZE),
) -> float:
    """Return how far a stringer's lower edge lies below the floor it comes down from, in.

    Source: geometry. The outer corners of the notches lie on the upper edge of the board, a tread's thickness under
    the treads; a solid stringer's treads are held at the same height (convention of this service).

    Args:
        riser_in: riser, in.
        tread_in: tread, in.
        tread_thickness_in: tread thickness, in.
        out_in: from the face of the top riser, in.
        stock_in: dressed depth of the board, in.

    >>> round(underside_in(7.2, 10.5, 1.0, 0.0), 2), round(underside_in(7.2, 10.5, 1.0, 21.0), 2)
    (14.64, 29.04)
    """
    slope = math.hypot(riser_in, tread_in)
    return riser_in * out_in / tread_in + tread_thickness_in + stock_in * slope / tread_in


def seat_in(riser_in: float, tread_in: float, tread_thickness_in: float, run_in: float) -> float:
    """Return how far the level cut at a stringer's foot reaches back from the face of the lowest riser, in.

    Source: geometry, where the lower edge meets the ground; a heel longer than one tread is cut off (common
    practice).

    Args:
        riser_in: riser, in.
        tread_in: tread, in.
        tread_thickness_in: tread thickness, in.
        run_in: horizontal run of the flight, in.

    >>> seat_in(7.2, 10.5, 1.0, 42.0), round(seat_in(7.75, 10.0, 1.0, 40.0), 2), seat_in(7.0, 10.5, 1.0, 0.0)
    (10.5, 9.66, 0.0)
    """
    whole = tread_in * (underside_in(riser_in, tread_in, tread_thickness_in, 0.0) / riser_in - 1)
    return min(whole, tread_in, run_in)

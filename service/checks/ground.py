"""What the ground under a deck means for its footings: steep banks, slopes, places nobody measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shapely import MultiPoint
from shapely import Point as Place

from service.checks.judged import Judged, caution, reason
from service.contract.report import Caution, Reason
from service.contract.report_frame import Footing
from service.framing.banks import Bank, banks
from service.framing.ground import Terrain, downhill_in_per_ft
from service.units.citation import from_memory

# From memory, IRC R403.1.7: steeper than 1 in 3; clear of its foot by half its height, at most 15 ft, and of its top
# by a third, at most 40 ft. Which of the two a footing stands at is not asked: the larger counts.
STEEP_IN_PER_FT = 4.0
OF_FOOT, FOOT_FT = 1 / 2, 15.0
OF_TOP, TOP_FT = 1 / 3, 40.0
# Conventions of this service.
LEAST_CLEAR_FT = 5.0
LOWEST_BANK_FT = 1.0
SLOPE_IN_PER_FT = 1.0
MEASURED_WITHIN_FT = 0.5
DATUM_OFF_IN = 1.0
NAMED = 8
RULE = from_memory("IRC", "R403.1.7")


def clear_of_bank_ft(height_ft: float) -> float:
    """Return how far a footing has to stand from a bank, ft.

    >>> clear_of_bank_ft(6.0), clear_of_bank_ft(24.0), clear_of_bank_ft(90.0)
    (5.0, 12.0, 30.0)
    """
    return max(LEAST_CLEAR_FT, min(height_ft * OF_FOOT, FOOT_FT), min(height_ft * OF_TOP, TOP_FT))


def judge_slope(footings: Sequence[Footing], ground: Terrain) -> Judged:
    """Return what slopes mean for the footings of a design: on or near a steep bank they are an engineer's."""
    steep = [one for one in banks(ground, STEEP_IN_PER_FT) if one.height_ft >= LOWEST_BANK_FT]
    met = [bank for bank in steep if any(_near(one, bank) for one in footings)]
    near = [one for one in footings if any(_near(one, bank) for bank in met)]
    falls = {one.id: downhill_in_per_ft(ground, one.x_ft, one.y_ft) for one in footings}
    sloping = [one for one in footings if falls[one.id] > SLOPE_IN_PER_FT]
    return Judged(
        (),
        tuple(_steep(near, max((bank.fall_in_per_ft for bank in met), default=0.0))),
        tuple(_slope(sloping, max(falls.values(), default=0.0))),
    )


def _near(one: Footing, bank: Bank) -> bool:
    return bank.distance_ft(one.x_ft, one.y_ft) - one.width_in / 24 < clear_of_bank_ft(bank.height_ft)


def _steep(near: Sequence[Footing], fall_in_per_ft: float) -> Iterator[Reason]:
    if near:
        text = (
            f"The ground at or near {_names(near)} falls by up to {fall_in_per_ft:.3g} in per ft, more than 4 (1 in 3; "
            "a remembered limit, as are the distances from such a bank): their footings are an engineer's."
        )
        yield reason("slope_needs_engineer", text, None, RULE)


def _slope(sloping: Sequence[Footing], fall_in_per_ft: float) -> Iterator[Caution]:
    if sloping:
        yield caution(
            "footing_on_slope",
            f"The ground falls by up to {fall_in_per_ft:.3g} in per ft at {_names(sloping)}: each depth is counted "
            "from the lower side of the footing, and the ground stands higher on the upper side of its pier.",
            "Measure the depth of each hole on its lower side, keep soil 3 in below the pier's top on the upper side, "
            "and lead water round it.",
        )


def judge_measured(footings: Sequence[Footing], ground: Terrain) -> Judged:
    """Return what measured ground leaves open: footings outside the points, and another datum than the frame's."""
    if ground.mesh is None:
        return Judged()
    area = MultiPoint([point[:2] for point in ground.points]).convex_hull
    outside = [one for one in footings if area.distance(Place(one.x_ft, one.y_ft)) > MEASURED_WITHIN_FT]
    return Judged((), (), (*_outside(outside), *_datum(ground(0, 0) if area.covers(Place(0, 0)) else 0.0)))


def _outside(footings: Sequence[Footing]) -> Iterator[Caution]:
    if footings:
        yield caution(
            "ground_not_measured",
            f"{_names(footings)} stand outside the measured ground points: the height at their nearest edge is used.",
            "Measure the ground there, and past every edge of the deck, and send those points too.",
        )


def _datum(height_in: float) -> Iterator[Caution]:
    if abs(height_in) > DATUM_OFF_IN:
        yield caution(
            "datum_differs",
            f"The measured points put the ground at the frame's origin at {height_in:.3g} in; heights are counted from "
            "the ground there.",
            "Count the heights of surfaces, door sills and ground points from one place, the ground at the origin.",
        )


def _names(footings: Sequence[Footing]) -> str:
    names = [one.post or one.id for one in footings]
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more

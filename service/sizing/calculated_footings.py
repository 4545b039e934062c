"""Footing sizes as the 2018 and 2021 tables have them: gross bearing, nearest inch."""

from __future__ import annotations

import math
from typing import Final

import msgspec

from service.sizing.calculated_result import nearest
from service.timber.refusal import NoRule
from service.units.working import Step, step

DEAD_PSF: Final = 10.0
LEAST_THICKNESS_IN: Final = 6.0
BASE_IN: Final = 6.0
# Least square side and round diameter printed, in.
FLOORS_IN: Final = {"2018": (12.0, 14.0), "2021": (7.0, 8.0), "2024": (7.0, 8.0)}
# Sizes under the least of 2018 came with the 2021 edition, and those are rounded up.
NEAREST_FROM_IN: Final = FLOORS_IN["2018"]


class FootingCell(msgspec.Struct, frozen=True):
    """Square side, round diameter and thickness of a footing, in, as a table prints them.

    Source: `footing_cell`.

    >>> FootingCell(14.0, 16.0, 6.0, 14.0, ()).square_side_in
    14.0
    """

    square_side_in: float
    round_diameter_in: float
    thickness_in: float
    exact_side_in: float
    steps: tuple[Step, ...]


def footing_cell(
    edition: str, tributary_sqft: float, varying_psf: float, bearing_psf: float
) -> FootingCell | NoRule:
    """Return the footing size of a table cell, in.

    Source: fit of IRC Table R507.3.1: side 12 sqrt(A (L + 10) / q), diameter of the same area, thickness
    (side - 6) / 2 and at least 6, to the nearest inch, but up where under the least of 2018. 2018: side and
    thickness 128 of 128 exact, diameter 126 and all within 1 in; 2021 and 2024: sides 108 of 108, diameters 105 and
    all within 1 in, thickness all but one that looks like a misprint.

    Args:
        edition: ``2018``, ``2021`` or ``2024``.
        tributary_sqft: tributary area, sq ft.
        varying_psf: live or snow load, psf.
        bearing_psf: soil bearing, psf.

    Returns:
        Sizes, in, or a refusal for an edition without the table (2015).

    Limits of validity: gross bearing, no weight of footing or post; nearest inch can be 3 percent light on area.

    >>> cell = footing_cell("2018", 40.0, 40.0, 1500.0)
    >>> cell.square_side_in, cell.round_diameter_in, cell.thickness_in
    (14.0, 16.0, 6.0)
    """
    if edition not in FLOORS_IN:
        return NoRule(f"the {edition} edition has no deck footing table")
    if tributary_sqft <= 0 or bearing_psf <= 0:
        return NoRule("a footing needs an area and a bearing above zero")
    square_floor, round_floor = FLOORS_IN[edition]
    load_lb = tributary_sqft * (varying_psf + DEAD_PSF)
    side = 12 * math.sqrt(load_lb / bearing_psf)
    across = side * math.sqrt(4 / math.pi)
    thick = max(LEAST_THICKNESS_IN, nearest((side - BASE_IN) / 2))
    steps = (
        step("P", load_lb, "lb", "tributary area x (varying + dead 10 psf)"),
        step("s", side, "in", "12 sqrt(P / bearing): fit of IRC Table R507.3.1"),
    )
    square, circle = _printed(side, NEAREST_FROM_IN[0]), _printed(across, NEAREST_FROM_IN[1])
    return FootingCell(max(square_floor, square), max(round_floor, circle), thick, side, steps)


def _printed(size_in: float, nearest_from_in: float) -> float:
    return nearest(size_in) if size_in >= nearest_from_in else float(math.ceil(size_in))

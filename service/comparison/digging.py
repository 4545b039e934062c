"""How much there is to dig for a footing, against the hole the hours of digging were collected for."""

from __future__ import annotations

from collections.abc import Sequence

from service.contract.report_frame import Concrete, Footing
from service.foundations.facts import DUG, FoundationFacts


def dig_share(footings: Sequence[Footing], method: str, facts: FoundationFacts) -> float:
    """Return one hole of these footings, in the mean, against the usual one of the method; 1 where nothing is dug.

    A hole goes by its depth, and by its volume where that is more: one wider than usual, for tube piers wider than an
    auger bores, is shovelled out. Hundredths, so that schedules of holes nearly alike are one and the same.
    """
    holes = [one.concrete for one in footings if one.concrete is not None]
    if method not in DUG or not holes:
        return 1.0
    depth_in, width_in, least = (
        facts.value(key) for key in (f"dig_depth_{method}", f"dig_width_{method}", "dig_share_least")
    )
    shares = [max(least, one.depth_below_grade_in / depth_in * _wider(one, width_in)) for one in holes]
    return round(sum(shares) / len(shares), 2)


def _wider(hole: Concrete, usual_in: float) -> float:
    """The plan of a hole against the usual one, at least as large: a narrow hole is no quicker than its depth."""
    width_in = max(hole.base_size_in or 0.0, hole.shaft_diameter_in or 0.0)
    return max(1.0, (width_in / usual_in) ** 2)

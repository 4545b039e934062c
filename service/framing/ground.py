"""The height of the ground anywhere in the deck frame."""

from __future__ import annotations

from collections.abc import Callable

from service.contract.spec import SiteSpec

Grade = Callable[[float, float], float]


def grade_of(site: SiteSpec) -> Grade:
    """Return the ground height in inches above the datum as a function of x and y in feet.

    >>> grade_of(SiteSpec(grade_fall_y_in_per_ft=1.0))(0.0, 6.0)
    -6.0
    """
    fall_x, fall_y = site.grade_fall_x_in_per_ft, site.grade_fall_y_in_per_ft
    return lambda x_ft, y_ft: -(fall_x * x_ft + fall_y * y_ft)

"""What a helical pile carries: torque, bearing of its helices, strength of its shaft."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.foundations.facts import FoundationFacts, Layout, Shaft


@dataclass(frozen=True)
class Choice:
    """A shaft with its helices and what they carry, lb, allowable.

    ``by_bearing_lb`` holds in clay alone; in other soil it only chooses the helices, and nothing is proven by it.
    """

    shaft: Shaft
    layout: Layout
    by_torque_lb: float
    by_bearing_lb: float
    in_clay: bool = True

    @property
    def capacity_lb(self) -> float:
        """The least of torque rating, strength of the shaft and, in clay, bearing of the helices, lb."""
        steel_lb = min(self.by_torque_lb, self.shaft.allowable_lb)
        return min(steel_lb, self.by_bearing_lb) if self.in_clay else steel_lb

    @property
    def chosen_by_lb(self) -> float:
        """What shaft and helices are chosen by, lb: all three, whatever the soil."""
        return min(self.by_torque_lb, self.by_bearing_lb, self.shaft.allowable_lb)


def torque_factor_limit_per_ft(outside_in: float) -> float:
    """Return the highest torque factor of a shaft without an assigned one, 1/ft.

    Source: ICC-ES AC358, October 2016: Kt = 22.285 d^-0.9195; round shafts 2.375 to 4.5 in.

    Args:
        outside_in: outside diameter of the shaft, in.

    >>> round(torque_factor_limit_per_ft(3.5), 2)
    7.04
    """
    return 22.285 * math.pow(outside_in, -0.9195)


def required_torque_ft_lb(load_lb: float, safety: float, kt_per_ft: float) -> float:
    """Return the final torque that proves a pile for a load, ft-lb.

    Source: Q = Kt T with the safety factor of IBC 1810.3.3.1.9.

    Args:
        load_lb: load on the pile, lb.
        safety: factor of safety, ratio.
        kt_per_ft: torque factor, 1/ft.

    >>> required_torque_ft_lb(4000, 2, 10)
    800.0
    """
    return safety * load_lb / kt_per_ft


def helix_bearing_lb(areas_sqft: Sequence[float], cohesion_psf: float, factor: float) -> float:
    """Return the ultimate bearing of helices in clay, each by itself, lb.

    Source: individual bearing, Q = sum of 9 c A; holds where helices stand three diameters apart.

    Args:
        areas_sqft: net area of each helix, sq ft.
        cohesion_psf: undrained strength of the clay, psf.
        factor: bearing factor, 9 for a deep helix.

    >>> round(helix_bearing_lb([0.5003, 0.7403], 1500, 9))
    16748
    """
    return factor * cohesion_psf * sum(areas_sqft)


def choices(bearing_psf: float, facts: FoundationFacts, in_clay: bool = True) -> Iterator[Choice]:
    """Yield every shaft with every layout, in the order offered.

    Source: as the functions above; the clay's strength is taken as half the presumptive bearing (from memory).

    Args:
        bearing_psf: presumptive bearing of the soil, psf.
        facts: shafts, layouts and figures.
        in_clay: whether 9 c A is what helices bear here.

    >>> first = next(choices(1500.0, facts))
    >>> first.layout.layout, round(first.capacity_lb)
    ('helix_8in', 1026)
    """
    safety, factor = facts.value("pile_safety"), facts.value("helix_bearing_factor")
    cohesion_psf = bearing_psf * facts.value("cohesion_of_bearing")
    # Lighter shafts and fewer helices stand first in the tables, so the first that serves is the cheapest.
    for shaft in facts.shafts:
        for layout in facts.layouts:
            areas = [facts.helix_areas[shaft.shaft, helix] for helix in layout.helices]
            yield Choice(
                shaft=shaft,
                layout=layout,
                by_torque_lb=shaft.torque_rating_ft_lb * shaft.kt_per_ft / safety,
                by_bearing_lb=helix_bearing_lb(areas, cohesion_psf, factor) / safety,
                in_clay=in_clay,
            )

"""What can go wrong with holes that stand open until something is poured or stood in them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.contract.report_comparison import Risk
from service.foundations.ground_words import ground_risks, risk
from service.foundations.method import Sized
from service.foundations.site import Site

COHESIONLESS = ("sand", "sandy_gravel")


def hole_risks(sized: Sequence[Sized], site: Site) -> tuple[Risk, ...]:
    """Return what can go wrong with open holes and a pour on this ground.

    Source: rules of this service on the site values; texts are common practice.

    Args:
        sized: the footings; depths in in.
        site: the ground.

    >>> [one.code for one in hole_risks((), Site(criteria, facts))]
    ['utilities', 'inspection_delay', 'cold_weather']
    """
    depths = (one.footing.concrete.depth_below_grade_in for one in sized if one.footing.concrete)
    return (*ground_risks(sized), *_of_ground(site, max(depths, default=0.0)), *_of_pour(site))


def _of_ground(site: Site, deepest_in: float) -> Iterator[Risk]:
    ground = site.criteria.ground
    if ground.water_table_depth_in is not None and ground.water_table_depth_in < deepest_in:
        yield risk("hole_floods", "high", "ground water stands above the bottom of the holes")
    if ground.soil_class in COHESIONLESS:
        yield risk("hole_caves", "moderate", "sand and gravel run into an open hole")
    if ground.rock_depth_in is not None and ground.rock_depth_in < deepest_in:
        yield risk("buried_obstruction", "high", "rock lies above the footing bottoms")


def _of_pour(site: Site) -> Iterator[Risk]:
    yield risk("inspection_delay", "low", "the open holes wait for an inspector before the pour")
    if site.frost_in >= site.value("cold_frost_depth"):
        yield risk("cold_weather", "moderate", "a winter pour has to be kept from freezing for days")

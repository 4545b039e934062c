"""What can go wrong with holes that stand open until something is poured or stood in them, whatever the ground."""

from __future__ import annotations

from service.contract.report_comparison import Risk
from service.foundations.ground_words import risk
from service.foundations.site import Site


def hole_risks(site: Site) -> tuple[Risk, ...]:
    """Return what can go wrong with open holes and a pour; what the ground does to them is ``ground_risks_of``.

    Source: rules of this service on the site values; texts are common practice.

    Args:
        site: its frost depth, in.

    >>> [one.code for one in hole_risks(Site(criteria, facts))]
    ['inspection_delay', 'cold_weather']
    """
    waits = risk("inspection_delay", "low", "the open holes wait for an inspector before the pour")
    if site.frost_in < site.value("cold_frost_depth"):
        return (waits,)
    cold = risk("cold_weather", "moderate", "a winter pour has to be kept from freezing for days")
    return (waits, cold)

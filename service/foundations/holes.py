"""What can go wrong with holes that stand open until something is poured or stood in them, whatever the ground."""

from __future__ import annotations

from service.contract.report_comparison import Risk
from service.foundations.ground_words import risk
from service.foundations.site import Site


def hole_risks() -> tuple[Risk, ...]:
    """Return what can go wrong with open holes; what the ground does to them is ``ground_risks_of``; no unit.

    Source: texts are common practice.

    >>> [one.code for one in hole_risks()]
    ['inspection_delay']
    """
    return (risk("inspection_delay", "low", "the open holes wait for an inspector before the pour"),)


def cold_risks(site: Site, may_freeze: bool | None) -> tuple[Risk, ...]:
    """Return what cold may do to a pour.

    Source: by the schedule's rule where it knows the dates; without a date, the depth of frost tells how cold the
    place gets (convention of this service).

    Args:
        site: its frost depth, in.
        may_freeze: whether the pour may freeze on its dates; None where no date is given.

    >>> [one.text for one in cold_risks(Site(criteria, facts), None)]
    ['a winter pour has to be kept from freezing for days']
    >>> cold_risks(Site(criteria, facts), False)
    ()
    """
    cold = site.frost_in >= site.value("cold_frost_depth") if may_freeze is None else may_freeze
    if not cold:
        return ()
    when = "a winter pour" if may_freeze is None else "the pour comes when it may freeze, and"
    return (risk("cold_weather", "moderate", f"{when} has to be kept from freezing for days"),)

"""A footing as the report carries it, whatever its kind."""

from __future__ import annotations

from service.contract.report_frame import Concrete, Footing, Pile
from service.foundations.demand import Demand, tributary_sqft
from service.foundations.site import Site


def drawn(
    method: str,
    demand: Demand,
    site: Site,
    heights_in: tuple[float, float],
    in_zone: bool | None,
    made: Concrete | Pile,
) -> Footing:
    """Return the footing of a demand.

    Source: convention of this service.

    Args:
        method: the method's word.
        demand: its place, and what it carries, lb.
        site: the design load.
        heights_in: how far its top stands out of the ground, under 0 where it lies below, and how deep its bottom is.
        in_zone: whether it stands in the backfill of the house, null where that is not known.
        made: what it is made of.

    >>> asked = Demand("main.footing-1-1", "F1-1", None, "main.beam-1", 4, 10, 2000, 2000, "6x6", -5.0, True)
    >>> pile = Pile(shaft="round_2-7-8in", helices=(10.0,), length_ft=8, kt_per_ft=9, torque_ft_lb=444)
    >>> found = drawn("helical_pile", asked, Site(criteria, facts), (3.0, 93.0), None, pile)
    >>> found.top_height_in, found.bottom_height_in, found.concrete
    (-2.0, -98.0, None)
    """
    stand_in, depth_in = heights_in
    return Footing(
        id=demand.footing_id,
        mark=demand.mark,
        post=demand.post,
        serves=demand.serves,
        method=method,
        x_ft=demand.x_ft,
        y_ft=demand.y_ft,
        load_lb=demand.load_lb,
        tributary_sqft=tributary_sqft(demand.load_lb, site.criteria.design_psf),
        grade_height_in=demand.grade_height_in,
        top_height_in=demand.grade_height_in + stand_in,
        bottom_height_in=demand.grade_height_in - depth_in,
        exposed_in=max(0.0, stand_in),
        in_backfill_zone=in_zone,
        concrete=made if isinstance(made, Concrete) else None,
        pile=made if isinstance(made, Pile) else None,
    )

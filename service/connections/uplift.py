"""Uplift of joists at the support behind a cantilever, and the ties it asks for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.contract.ids import item
from service.sizing.criteria import Criteria
from service.units.finding import SLACK, Finding, at_most
from service.units.working import step

TIP_LOAD_LB = 220.0  # note of the joist span tables
DEAD_SHARE = 0.6  # dead load counted against uplift, ASCE 7 load combinations (from memory)
STEP_LB = 50.0


@dataclass(frozen=True)
class JoistEnd:
    """A joist by its lengths, ft, and spacing, in: back span, its cantilever, and the one at the other end."""

    back_span_ft: float
    cantilever_ft: float
    other_cantilever_ft: float
    spacing_in: float


@dataclass(frozen=True)
class Tie:
    """An uplift tie at each joist: item, uplift to hold down, lb, capacity to order, lb, and the check."""

    item: str
    uplift_lb: float
    capacity_lb: float
    finding: Finding


def dead_hold_down_lb(joist: JoistEnd, dead_psf: float) -> float:
    """Return the reaction 0.6 of the dead load leaves at the support behind a cantilever, lb.

    Source: statics, moments about the support beside the cantilever; 0.6 D of ASCE 7 from memory.

    Args:
        joist: lengths in ft, spacing in in.
        dead_psf: dead load, psf.

    Returns:
        Reaction in lb, downward positive.

    >>> round(dead_hold_down_lb(JoistEnd(16, 4, 0, 16), 10), 1)
    60.0
    """
    w_plf = DEAD_SHARE * dead_psf * joist.spacing_in / 12
    behind_ft = joist.back_span_ft + joist.other_cantilever_ft
    return w_plf * (behind_ft**2 - joist.cantilever_ft**2) / (2 * joist.back_span_ft)


def live_uplift_lb(joist: JoistEnd, live_psf: float) -> float:
    """Return the uplift of full live load on the cantilever only, lb.

    Source: IRC R507.8 (2015: R507.1), full live load on the cantilever; statics.

    Args:
        joist: lengths in ft, spacing in in.
        live_psf: live load, psf.

    >>> round(live_uplift_lb(JoistEnd(16, 4, 0, 16), 40), 2)
    26.67
    """
    return live_psf * joist.spacing_in / 12 * joist.cantilever_ft**2 / (2 * joist.back_span_ft)


def tip_uplift_lb(joist: JoistEnd) -> float:
    """Return the uplift of 220 lb at the tip of the cantilever, lb.

    Source: IRC joist table note (220 lb at the tip); statics.

    Args:
        joist: lengths in ft.

    >>> tip_uplift_lb(JoistEnd(16, 4, 0, 16))
    55.0
    """
    return TIP_LOAD_LB * joist.cantilever_ft / joist.back_span_ft


def net_uplift_lb(joist: JoistEnd, live_psf: float, dead_psf: float) -> float:
    """Return the net uplift at the support behind a cantilever, 0 where the joist stays down, lb.

    Source: IRC R507.8 and the joist table's 220 lb tip load, each alone, less 0.6 of the dead load.

    Args:
        joist: lengths in ft, spacing in in.
        live_psf: live load, psf (the greater of live and snow where snow lies on the cantilever alone).
        dead_psf: dead load, psf.

    >>> net_uplift_lb(JoistEnd(16, 4, 0, 16), 40, 10), round(net_uplift_lb(JoistEnd(10, 2.5, 0, 16), 40, 10), 1)
    (0.0, 17.5)
    """
    if joist.cantilever_ft <= 0:
        return 0.0
    lift = max(live_uplift_lb(joist, live_psf), tip_uplift_lb(joist))
    return max(0.0, lift - dead_hold_down_lb(joist, dead_psf))


def tie_capacity_lb(uplift_lb: float) -> float:
    """Return the capacity to order of an uplift tie, lb.

    Source: the uplift to the next 50 lb, at least 50 lb, convention of this service.

    >>> tie_capacity_lb(0), tie_capacity_lb(17.5), tie_capacity_lb(120)
    (50.0, 50.0, 150.0)
    """
    return max(STEP_LB, math.ceil(uplift_lb / STEP_LB - SLACK) * STEP_LB)


def tie_item(coating: str) -> str:
    """Return the item code of an uplift tie of one joist ply (1.5 in).

    Source: item grammar of this service.

    >>> tie_item("hot_dip_galvanized")
    'uplift_tie.1ply.hot_dip_galvanized'
    """
    return item("uplift_tie", "1ply", coating)


def uplift_tie(criteria: Criteria, member: str, joist: JoistEnd) -> Tie:
    """Return the tie at the support behind a cantilever: the ledger, or the beam at the other end.

    Source: IRC R507.8 (2015: R507.1): uplift at the house connection by full live load on the cantilever.

    Args:
        criteria: rules and loads.
        member: id of the ledger or beam the joists are tied to.
        joist: lengths in ft, spacing in in.

    Returns:
        Tie with uplift and capacity in lb a joist.
    """
    uplift_lb = net_uplift_lb(joist, criteria.variable_psf, criteria.dead_psf)
    capacity_lb = tie_capacity_lb(uplift_lb)
    rule = criteria.rulebook.limit("attachment_uplift_of_cantilever")
    steps = (
        step(
            "live_uplift", live_uplift_lb(joist, criteria.variable_psf), "lb", "load on the cantilever only"
        ),
        step("tip_uplift", tip_uplift_lb(joist), "lb", "220 lb at the tip"),
        step("dead_hold_down", dead_hold_down_lb(joist, criteria.dead_psf), "lb", "0.6 of the dead load"),
        step("net_uplift", uplift_lb, "lb", "the larger uplift less the hold-down"),
    )
    finding = at_most(
        member, "ledger_uplift", "calculated", uplift_lb, capacity_lb, "lb", rule.citation, steps
    )
    return Tie(tie_item(criteria.coating), uplift_lb, capacity_lb, finding)

"""Joist hangers: by joist size and plies, and by the reaction they carry."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.contract.ids import item
from service.contract.report import Caution
from service.rules.lookups import Reading
from service.sizing.criteria import Criteria
from service.units.citation import Citation, own_convention
from service.units.finding import SLACK, Finding, at_most
from service.units.working import step

STEP_LB = 50.0
SIZES = ("2x6", "2x8", "2x10", "2x12")  # in the order the guide's row prints its capacities


@dataclass(frozen=True)
class Hanger:
    """A hanger to order: item code, the capacity its listing has to show, lb, the check, and a caution."""

    item: str
    capacity_lb: float
    finding: Finding
    caution: Caution | None


def hanger_item(size: str, plies: int, coating: str, concealed: bool = False, skew_deg: float = 0.0) -> str:
    """Return the item code of a hanger (sizes nominal, in; skew in degrees off square).

    Source: item grammar of this service; concealed flanges at the end joists are common practice.

    Args:
        size: nominal joist size.
        plies: plies of the joist in it.
        coating: fastener coating.
        concealed: flanges turned in, where there is no room beside the joist.
        skew_deg: how far off square the joist runs away, to the right of who faces what it hangs on; to the whole
            degree. A skewed hanger is ordered as that, whatever its flanges.

    >>> hanger_item("2x10", 1, "hot_dip_galvanized")
    'joist_hanger.2x10.1ply.hot_dip_galvanized'
    >>> hanger_item("2x10", 1, "stainless_steel", concealed=True)
    'joist_hanger.2x10.1ply.stainless_steel.concealed_flange'
    >>> hanger_item("2x10", 1, "stainless_steel", skew_deg=-45)
    'joist_hanger.2x10.1ply.stainless_steel.skewed_left_45'
    """
    form = ("concealed_flange",) if concealed else ()
    if round(skew_deg):
        form = (f"skewed_{'right' if skew_deg > 0 else 'left'}_{round(abs(skew_deg))}",)
    return item("joist_hanger", size, f"{plies}ply", coating, *form)


def printed_capacity_lb(row_text: str, size: str) -> float:
    """Return a joist size's figure in the guide's row of four, lb.

    Source: DCA 6 (2012), joist hanger table, from memory.

    >>> printed_capacity_lb("400 / 500 / 600 / 700", "2x10")
    600.0
    """
    return float(row_text.split(" / ")[SIZES.index(size)])


def asked_capacity_lb(reaction_lb: float, least_lb: float) -> float:
    """Return the capacity a hanger has to be listed for: the guide's least, or the reaction to the next 50 lb.

    Source: DCA 6 (2012) joist hanger table, from memory; steps of 50 lb are a convention of this service.

    Args:
        reaction_lb: joist reaction at the hanger, lb.
        least_lb: the guide's least capacity for the joist size, lb.

    >>> asked_capacity_lb(430, 600), asked_capacity_lb(610, 600)
    (600, 650.0)
    """
    return max(least_lb, math.ceil(reaction_lb / STEP_LB - SLACK) * STEP_LB)


def choose_hanger(
    criteria: Criteria, member: str, size: str, plies: int, reaction_lb: float, concealed: bool = False
) -> Hanger:
    """Return the hanger of a joist end.

    Source: IRC R507.6.1 asks for an approved hanger; DCA 6 (2012) gives least capacities by joist size, from
    memory.

    Args:
        criteria: guide and coating.
        member: id of the joists.
        size: nominal joist size.
        plies: plies of the joist in the hanger.
        reaction_lb: reaction at that end, lb.
        concealed: flanges turned in, for an end joist.
    """
    row = criteria.guide.limit("guide_hanger_capacities")
    least_lb = printed_capacity_lb(row.text, size)
    capacity_lb = asked_capacity_lb(reaction_lb, least_lb)
    over = capacity_lb > least_lb
    finding = at_most(
        member, "hanger_reaction", "calculated", reaction_lb, capacity_lb, "lb", _cited(row, over),
        (
            step("reaction", reaction_lb, "lb", "statics"),
            step("guide_least", least_lb, "lb", f"guide, {size}"),
            step("listed_at_least", capacity_lb, "lb", "larger of the two, to the next 50 lb"),
        ),
    )  # fmt: skip
    code = hanger_item(size, plies, criteria.coating, concealed)
    return Hanger(code, capacity_lb, finding, _caution(size, reaction_lb, capacity_lb) if over else None)


def _cited(row: Reading, over: bool) -> Citation:
    return own_convention("hanger listed for the reaction, to the next 50 lb") if over else row.citation


def _caution(size: str, reaction_lb: float, capacity_lb: float) -> Caution:
    return Caution(
        code="maker_listing_governs",
        text=f"Hangers of the {size} joists carry {reaction_lb:.0f} lb, more than the guide counts on for that size",
        action=f"Order hangers whose listing shows at least {capacity_lb:.0f} lb with the nails they are hung by",
    )

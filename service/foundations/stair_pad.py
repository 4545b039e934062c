"""The slab on the ground that the foot of a stair stands on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from service.contract.report import Caution
from service.contract.report_frame import Concrete, Footing, Point
from service.foundations.demand import tributary_sqft
from service.sizing.criteria import Criteria
from service.sizing.footings import net_bearing_psf
from service.sizing.stair_checks import or_else
from service.units.citation import common_practice
from service.units.finding import Finding, at_most
from service.units.working import step

THICK_IN: Final = 4.0  # common practice, no source
METHOD: Final = "pad_on_grade"


@dataclass(frozen=True)
class PadAsk:
    """The pad asked for: its stair, mark and middle, ground there, in, load, lb, and sides, in.

    ``bearing_in`` is how much of ``length_in`` the stringers stand on.
    """

    stair: str
    mark: str
    at_ft: Point
    grade_in: float
    load_lb: float
    width_in: float
    length_in: float
    bearing_in: float


@dataclass(frozen=True)
class StairPad:
    """A pad with its check and cautions."""

    footing: Footing
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]


def stair_pad(ask: PadAsk, criteria: Criteria) -> StairPad:
    """Return the pad under the foot of a stair, its top level with the ground.

    Source: 4 in thick by common practice, no source; pressure by load over the area the stringers stand on, against
    the soil's bearing less the concrete's weight by the rulebook's own rule.

    Args:
        ask: load in lb, sides and ground in in, place in ft.
        criteria: soil bearing in psf, frost depth in in, design load in psf.

    Returns:
        The pad with its concrete in cu ft, the check of its pressure in lb, and a caution where it lies above frost.

    >>> ask = PadAsk("deck.stair-1", "S1-F", (8.0, 15.0), 0.0, 350.0, 48.0, 46.5, 10.5)
    >>> pad = stair_pad(ask, criteria)
    >>> pad.footing.concrete.volume_cuft, pad.findings[0].passes, [one.code for one in pad.cautions]
    (5.166666666666667, True, ['pad_above_frost'])
    """
    return StairPad(_footing(ask, criteria), (_pressure(ask, criteria),), _frost(ask, criteria))


def _footing(ask: PadAsk, criteria: Criteria) -> Footing:
    return Footing(
        id=f"{ask.stair}.pad-1",
        mark=ask.mark,
        post=None,
        serves=ask.stair,
        method=METHOD,
        x_ft=ask.at_ft[0],
        y_ft=ask.at_ft[1],
        load_lb=ask.load_lb,
        tributary_sqft=tributary_sqft(ask.load_lb, criteria.design_psf),
        grade_height_in=ask.grade_in,
        top_height_in=ask.grade_in,
        bottom_height_in=ask.grade_in - THICK_IN,
        exposed_in=0.0,
        in_backfill_zone=None,
        concrete=Concrete(
            shape="rectangle",
            shaft_diameter_in=None,
            base_shape=None,
            base_size_in=None,
            thickness_in=THICK_IN,
            depth_below_grade_in=THICK_IN,
            volume_cuft=ask.width_in * ask.length_in * THICK_IN / 1728,
            width_in=ask.width_in,
            length_in=ask.length_in,
        ),
        pile=None,
    )


def _pressure(ask: PadAsk, criteria: Criteria) -> Finding:
    rule = criteria.rulebook.in_force_settings.own_weight_rule
    net = net_bearing_psf(rule, criteria.ground.soil_bearing_psf, THICK_IN, THICK_IN)
    area = ask.width_in * ask.bearing_in / 144
    steps = (
        step("q", net, "psf", "soil bearing by the own-weight rule in force"),
        step("A", area, "sqft", "stair width times what the stringers stand on"),
        step("R", net * area, "lb", "q A"),
    )
    cited = common_practice("pressure under a stair's pad where its stringers stand")
    found = at_most(
        f"{ask.stair}.pad-1", "footing_size", "calculated", ask.load_lb, net * area, "lb", cited, steps
    )
    return or_else(found, "a footing of its own")


def _frost(ask: PadAsk, criteria: Criteria) -> tuple[Caution, ...]:
    frost_in = criteria.ground.frost_depth_in
    if frost_in <= THICK_IN:
        return ()
    text = (
        f"{ask.stair}: the pad at its foot lies on the ground, frost goes to {frost_in:g} in: it may rise and settle, "
        "which changes the lowest riser"
    )
    action = "Drain the ground under it, and ask whether the place wants stairs on footings below frost."
    return (Caution(code="pad_above_frost", text=text, action=action),)

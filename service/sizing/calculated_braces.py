"""Knee braces by calculation: the force in one, the bolts at its ends, and the post it bends."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import msgspec

from service.sizing.calculated_result import Allowable, Bound, least
from service.sizing.calculated_species import all_on_deck
from service.sizing.lumber import depth_in, post_side_in
from service.timber.adjust import Adjusted
from service.timber.columns import column_value_psi, combined_ratio, critical_compression_psi
from service.timber.dowels import Dowel, Part, adjusted_lateral_lb, lateral_value_lb
from service.timber.members import bending_stress_psi
from service.timber.placement import placement
from service.timber.refusal import NoRule
from service.timber.sections import section
from service.timber.values import TimberData
from service.units.working import Step, step

BOLT_YIELD_PSI: Final = 45_000.0  # NDS Appendix I, from memory
DIAMETERS_IN: Final = (0.5, 0.375)
DIAGONAL_DEG: Final = 45.0
SWAY_KE: Final = 2.4  # NDS Appendix G, pinned foot under a head that moves but does not turn; from memory
# No duration is printed for a nominal sideways load: the ten years of occupancy, CD 1.0, are on the safe side.
LOAD_KIND: Final = "live"
GRADE: Final = "no_2"  # better grades only carry more
NO_REPETITION: Final = "NDS 4.3.9: a single member"
AXIAL: Final = "NDS 4.3.9: not a bending member"


class Knee(msgspec.Struct, frozen=True):
    """A post with its brace: height beam bottom to pier top, leg of the brace, in; sideways force, lb.

    Source: the frame; the force is the share of one post.

    >>> Knee(60.0, 24.0, 120.0).below_in
    36.0
    """

    height_in: float
    leg_in: float
    shear_lb: float

    @property
    def below_in(self) -> float:
        """The post below its brace, in."""
        return self.height_in - self.leg_in


def brace_force_lb(knee: Knee) -> float:
    """Return the force along a 45-degree knee brace, lb.

    Source: statics: the post is pinned at its foot and at the beam, so the brace's level part is V h / b and not
    V alone; h is the post's height and b the brace's leg.

    Args:
        knee: post and brace, in and lb.

    Limits of validity: pinned post bases; beam and deck stiff beside the post.

    >>> round(brace_force_lb(Knee(60.0, 24.0, 120.0)), 1)
    424.3
    """
    level_lb = knee.shear_lb * knee.height_in / knee.leg_in
    return level_lb / math.cos(math.radians(DIAGONAL_DEG))


def drift_in(knee: Knee, e_psi: float, inertia_in4: float) -> float:
    """Return how far the deck moves sideways as its posts bend, in.

    Source: statics: the post below the brace is the overhang of a beam held at the brace and at the deck, loaded
    at its end: V a2 h / (3 E I), with a the post below the brace.

    Args:
        knee: post and brace, in and lb.
        e_psi: modulus of elasticity, psi.
        inertia_in4: moment of inertia, in4.

    Limits of validity: an estimate: slip of bolts, and bending of the beam, are left out.

    >>> round(drift_in(Knee(72.0, 24.0, 175.0), 1.2e6, 76.3), 3)
    0.106
    """
    return knee.shear_lb * knee.below_in**2 * knee.height_in / (3 * e_psi * inertia_in4)


def bolt_diameter_in(post_size: str) -> float | NoRule:
    """Return the larger bolt that fits up the middle of a post's face, in.

    Source: NDS 12.5.1 (from memory): four diameters to an edge the load may push toward, on either side.

    Args:
        post_size: nominal size.

    >>> bolt_diameter_in("6x6"), bolt_diameter_in("4x4")
    (0.5, 0.375)
    """
    middle = post_side_in(post_size) / 2
    for diameter in DIAMETERS_IN:
        rule = placement(diameter, 1.5, "across")
        if not isinstance(rule, NoRule) and rule.loaded_edge_in <= middle:
            return diameter
    return NoRule(f"no bolt of these sizes keeps its edge distance in a {post_size}")


def most_bolts(brace_size: str, diameter_in: float) -> int:
    """Return how many bolts fit where a 45-degree brace crosses the middle of a post or beam; a count, no unit.

    Source: NDS 12.5.1 (from memory): 1.5 diameters to the brace's edges, four from bolt to bolt. No two stand in
    one row along the force, so the group action factor is 1.0.

    Args:
        brace_size: nominal size.
        diameter_in: bolt diameter, in.

    >>> most_bolts("2x6", 0.5), most_bolts("2x6", 0.375)
    (3, 5)
    """
    rule = placement(diameter_in, 1.5, "along_tension")
    if isinstance(rule, NoRule):
        return 0
    clear = (depth_in(brace_size) - 2 * rule.unloaded_edge_in) / math.cos(math.radians(DIAGONAL_DEG))
    return 1 + math.floor(clear / rule.in_row_full_in)


@lru_cache(maxsize=512)
def bolt_value(
    data: TimberData, species: str, diameter_in: float, brace_in: float, main_in: float
) -> Allowable | NoRule:
    """Return what one bolt carries from a brace into the wood behind it, lb.

    Source: NDS 12.3 yield modes, single shear, the brace along its grain and the other part at 45 degrees; CD 1.0,
    wet in service (NDS Table 11.3.3, from memory).

    Args:
        data: design values and factors.
        species: species or group; a group takes its weakest member.
        diameter_in: bolt diameter, in.
        brace_in: thickness of the brace, in.
        main_in: thickness of the post, beam or joist, in.

    Returns:
        Load of one bolt, lb, or a refusal.

    Limits of validity: faces in contact; full end, edge and bolt distances.

    >>> from service.timber.values import DesignValues, Factors
    >>> bolt_value(TimberData(DesignValues({}), Factors({})), "teak", 0.5, 1.5, 5.5).why
    'no design values for species teak'
    """
    values = all_on_deck(data, species, GRADE, section("2x6"), LOAD_KIND, 1.0, AXIAL)
    if isinstance(values, NoRule):
        return values
    bolt = Dowel("bolt", diameter_in, BOLT_YIELD_PSI, diameter_in)
    bounds = [_bolt(data, one, bolt, brace_in, main_in) for one in values]
    refused = next((one for one in bounds if isinstance(one, NoRule)), None)
    return refused or least([one for one in bounds if isinstance(one, Bound)], printed_down=True, unit="lb")


def _bolt(data: TimberData, values: Adjusted, bolt: Dowel, brace_in: float, main_in: float) -> Bound | NoRule:
    gravity = values.specific_gravity
    found = lateral_value_lb(bolt, Part(main_in, gravity, DIAGONAL_DEG), Part(brace_in, gravity, 0.0))
    if isinstance(found, NoRule):
        return found
    whole = adjusted_lateral_lb(data, found.value_lb, "ten_years", wet=True)
    if isinstance(whole, NoRule):
        return whole
    return Bound(f"mode {found.mode}", values.species, whole[0], "memory", (*found.steps, *whole[1]))


def sway_ratio(data: TimberData, species: str, size: str, knee: Knee, axial_lb: float) -> Allowable | NoRule:
    """Return how far a post is used by its load and the bending below its brace together, a ratio.

    Source: NDS 3.9.2, combined compression and bending; M = V a below the brace (statics); le = 2.4 a, at least
    the post's height (NDS Appendix G, from memory); CD 1.0, wet service.

    Args:
        data: design values and factors.
        species: species or group; a group takes its weakest member.
        size: nominal post size.
        knee: post and brace, in and lb.
        axial_lb: load down the post, lb, that of its brace included.

    Returns:
        The ratio (1 or less stands), with the drift in its working, or a refusal when the post is too slender.

    Limits of validity: the foot pinned, no notch, a square post bent about one side at a time.

    >>> from service.timber.values import DesignValues, Factors
    >>> sway_ratio(TimberData(DesignValues({}), Factors({})), "hem_fir", "5x9", Knee(60, 24, 100), 1.0).why
    'no dressed size for 5x9'
    """
    values = all_on_deck(data, species, GRADE, section(size), LOAD_KIND, 1.0, NO_REPETITION)
    if isinstance(values, NoRule):
        return values
    bounds = [_sway(one, knee, axial_lb) for one in values]
    refused = next((one for one in bounds if isinstance(one, NoRule)), None)
    if refused is not None:
        return refused
    worst = max((one for one in bounds if isinstance(one, Bound)), key=lambda one: one.value)
    return least([worst], unit="ratio")


def _sway(values: Adjusted, knee: Knee, axial_lb: float) -> Bound | NoRule:
    piece = values.section
    side = min(piece.width_in, piece.depth_in)
    length = max(knee.height_in, SWAY_KE * knee.below_in)
    fc, fce = axial_lb / piece.area_sqin, critical_compression_psi(values.emin_psi, length / side)
    allowed = column_value_psi(values.fc_psi, values.emin_psi, length / side)
    if isinstance(allowed, NoRule):
        return allowed
    # A post of two sides is bent about its weaker one.
    fb = bending_stress_psi(knee.shear_lb * knee.below_in, piece) * piece.depth_in / side
    ratio = combined_ratio(fc, allowed, fb, values.fb_psi, fce)
    if isinstance(ratio, NoRule):
        return ratio
    inertia = piece.area_sqin * side**2 / 12
    steps = (
        *_sway_steps(knee, axial_lb, length),
        step("fc", fc, "psi", "P / A"),
        step("Fc'", allowed, "psi", "NDS 3.7.1"),
        step("FcE", fce, "psi", "NDS 3.7.1.5"),
        step("fb", fb, "psi", "M / S about the weaker side"),
        *values.steps["Fb"],
        step(
            "drift",
            drift_in(knee, values.e_psi, inertia),
            "in",
            "V a2 h / (3 E I), an estimate without a limit",
        ),
    )
    return Bound("combined compression and bending", values.species, ratio, "memory", steps)


def _sway_steps(knee: Knee, axial_lb: float, length_in: float) -> tuple[Step, ...]:
    return (
        step("h", knee.height_in, "in", "beam bottom to pier top"),
        step("a", knee.below_in, "in", "post below its brace"),
        step("P", axial_lb, "lb", "load of the post with the upright part of its brace's force"),
        step("M", knee.shear_lb * knee.below_in / 12, "lb_ft", "V a, post pinned at its foot"),
        step("le", length_in, "in", "2.4 a, at least h (NDS Appendix G, from memory)"),
    )

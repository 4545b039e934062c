"""Dowel fasteners loaded sideways: the six yield modes, and the factors on the result."""

from __future__ import annotations

import math
from typing import Final

import msgspec

from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.working import Step, step

SMALL_BELOW_IN: Final = 0.25
LARGEST_IN: Final = 1.0
# NDS 12.1.4 to 12.1.6 (from memory): least penetration into the part that holds the point, in diameters.
LEAST_PENETRATION: Final[dict[str, float]] = {"bolt": 0.0, "lag_screw": 4.0, "wood_screw": 6.0, "nail": 6.0}


class Dowel(msgspec.Struct, frozen=True):
    """A fastener: kind, diameter at the shear plane (root where threaded), bending yield strength.

    Source: NDS 12.3; diameters in in, ``yield_psi`` of NDS Appendix I (from memory: 45,000 for bolts and for
    lag screws of 3/8 in and more). ``shank_in`` is the nominal diameter that bears on the wood.

    >>> Dowel("lag_screw", 0.371, 45000.0, 0.5).shank_in
    0.5
    """

    kind: str
    diameter_in: float
    yield_psi: float
    shank_in: float


class Part(msgspec.Struct, frozen=True):
    """A wood part: bearing length in it (in), specific gravity, angle of load to grain (deg).

    Source: NDS 12.3.

    >>> Part(1.5, 0.42, 90.0).angle_deg
    90.0
    """

    bearing_in: float
    specific_gravity: float
    angle_deg: float


class Lateral(msgspec.Struct, frozen=True):
    """Reference value Z of one fastener, lb: the least of the yield modes, which one, and the working.

    Source: NDS 12.3.1.

    >>> Lateral(100.0, "II", {"II": 100.0}, ()).mode
    'II'
    """

    value_lb: float
    mode: str
    modes_lb: dict[str, float]
    steps: tuple[Step, ...]


def _to_fifty(value: float) -> float:
    return 50.0 * math.floor(value / 50 + 0.5)


def bearing_strength_psi(part: Part, shank_in: float) -> float:
    """Return the dowel bearing strength Fe of a part, psi.

    Source: NDS Table 12.3.3 and 12.3.4 (from memory, confirmed by the values of Table 12A): 11200 G along,
    6100 G^1.45 / sqrt(D) across, to the nearest 50 psi, between by Hankinson; 16600 G^1.84 under 1/4 in.

    Args:
        part: the wood part.
        shank_in: nominal diameter, in.

    Returns:
        Fe, psi.

    >>> bearing_strength_psi(Part(1.5, 0.55, 0.0), 0.5), bearing_strength_psi(Part(1.5, 0.55, 90.0), 0.5)
    (6150.0, 3650.0)
    """
    g = part.specific_gravity
    if shank_in < SMALL_BELOW_IN:
        return _to_fifty(16600 * g**1.84)
    along = _to_fifty(11200 * g)
    across = _to_fifty(6100 * g**1.45 / math.sqrt(shank_in))
    if part.angle_deg in (0.0, 90.0):
        return along if part.angle_deg == 0 else across
    sine, cosine = math.sin(math.radians(part.angle_deg)), math.cos(math.radians(part.angle_deg))
    return along * across / (along * sine**2 + across * cosine**2)


def reduction_terms(diameter_in: float, angle_deg: float) -> tuple[float, float, float]:
    """Return the reduction terms Rd for modes I, II and III-IV, ratios.

    Source: NDS Table 12.3.1B (from memory): 4, 3.6, 3.2 times 1 + angle/360; KD under 1/4 in.

    Args:
        diameter_in: diameter at the shear plane, in.
        angle_deg: the larger angle of load to grain of the two parts, deg.

    Returns:
        Rd for Im and Is, for II, for the others.

    >>> reduction_terms(0.5, 90.0), reduction_terms(0.162, 0.0)
    ((5.0, 4.5, 4.0), (2.2, 2.2, 2.2))
    """
    if diameter_in < SMALL_BELOW_IN:
        kd = 2.2 if diameter_in <= 0.17 else 10 * diameter_in + 0.5
        return kd, kd, kd
    turn = 1 + 0.25 * angle_deg / 90
    return 4 * turn, 3.6 * turn, 3.2 * turn


def _k_factors(dowel: Dowel, main: Part, side: Part, fem: float, fes: float) -> tuple[float, float, float]:
    re, rt = fem / fes, main.bearing_in / side.bearing_in
    # Re and Rt are the ratios of bearing strength and bearing length, main over side.
    bend = 2 * dowel.yield_psi * dowel.diameter_in**2
    under = re + 2 * re**2 * (1 + rt + rt**2) + rt**2 * re**3
    k1 = (math.sqrt(under) - re * (1 + rt)) / (1 + re)
    k2 = -1 + math.sqrt(2 * (1 + re) + bend * (1 + 2 * re) / (3 * fem * main.bearing_in**2))
    k3 = -1 + math.sqrt(2 * (1 + re) / re + bend * (2 + re) / (3 * fem * side.bearing_in**2))
    return k1, k2, k3


def yield_modes_lb(dowel: Dowel, main: Part, side: Part) -> dict[str, float]:
    """Return the single-shear value of each yield mode, lb.

    Source: NDS 12.3.1, equations 12.3-1 to 12.3-6.

    Args:
        dowel: the fastener.
        main: the main part (of bolts the thicker, else the one that holds the point).
        side: the side part.

    Returns:
        Im, Is, II, IIIm, IIIs and IV, lb.

    >>> g = Part(1.5, 0.55, 0.0)
    >>> round(yield_modes_lb(Dowel("bolt", 0.5, 45000.0, 0.5), g, g)["II"])
    531
    """
    fem, fes = bearing_strength_psi(main, dowel.shank_in), bearing_strength_psi(side, dowel.shank_in)
    rd1, rd2, rd3 = reduction_terms(dowel.diameter_in, max(main.angle_deg, side.angle_deg))
    k1, k2, k3 = _k_factors(dowel, main, side, fem, fes)
    d, re = dowel.diameter_in, fem / fes
    return {
        "Im": d * main.bearing_in * fem / rd1,
        "Is": d * side.bearing_in * fes / rd1,
        "II": k1 * d * side.bearing_in * fes / rd2,
        "IIIm": k2 * d * main.bearing_in * fem / ((1 + 2 * re) * rd3),
        "IIIs": k3 * d * side.bearing_in * fem / ((2 + re) * rd3),
        "IV": d**2 / rd3 * math.sqrt(2 * fem * dowel.yield_psi / (3 * (1 + re))),
    }


def double_shear_modes_lb(dowel: Dowel, main: Part, side: Part) -> dict[str, float]:
    """Return the double-shear value of each yield mode, lb, for two like side parts.

    Source: NDS 12.3.1, equations 12.3-7 to 12.3-10.

    Args:
        dowel: the fastener.
        main: the part in the middle.
        side: one of the two side parts.

    Returns:
        Im, Is, IIIs and IV, lb.

    >>> g = Part(1.5, 0.55, 0.0)
    >>> sorted(double_shear_modes_lb(Dowel("bolt", 0.5, 45000.0, 0.5), g, g))
    ['IIIs', 'IV', 'Im', 'Is']
    """
    single = yield_modes_lb(dowel, main, side)
    return {"Im": single["Im"], **{mode: 2 * single[mode] for mode in ("Is", "IIIs", "IV")}}


def lateral_value_lb(dowel: Dowel, main: Part, side: Part, double: bool = False) -> Lateral | NoRule:
    """Return the reference lateral value Z of one fastener, lb, with its mode and working.

    Source: NDS 12.3.1; least penetration of NDS 12.1.4 to 12.1.6. A short penetration lowers the value through
    the main part's bearing length; the p/8D and p/10D of the tables' footnotes are not applied on top.

    Args:
        dowel: the fastener.
        main: the main part.
        side: the side part.
        double: whether there are two like side parts.

    Returns:
        Z, lb, or a refusal for an unknown kind, a diameter over 1 in, or too little penetration.

    Limits of validity: wood to wood, parts in contact, no gap, softwood or hardwood by specific gravity.

    >>> g = Part(1.5, 0.43, 90.0)
    >>> found = lateral_value_lb(Dowel("bolt", 0.5, 45000.0, 0.5), g, g)
    >>> found.mode, round(found.value_lb)
    ('II', 176)
    """
    if dowel.kind not in LEAST_PENETRATION or not 0 < dowel.diameter_in <= LARGEST_IN:
        return NoRule(f"no yield equation for a {dowel.kind} of {dowel.diameter_in} in")
    least_in = LEAST_PENETRATION[dowel.kind] * dowel.shank_in
    if main.bearing_in < least_in:
        return NoRule(f"a {dowel.kind} must enter the main part by {least_in:.2f} in (NDS 12.1)")
    modes = double_shear_modes_lb(dowel, main, side) if double else yield_modes_lb(dowel, main, side)
    mode = min(modes, key=lambda name: modes[name])
    steps = (
        step("Fem", bearing_strength_psi(main, dowel.shank_in), "psi", "NDS Table 12.3.3 (memory)"),
        step("Fes", bearing_strength_psi(side, dowel.shank_in), "psi", "NDS Table 12.3.3 (memory)"),
        step("Fyb", dowel.yield_psi, "psi", "NDS Appendix I (memory)"),
        *(step(f"Z {name}", value, "lb", "NDS 12.3.1") for name, value in modes.items()),
    )
    return Lateral(modes[mode], mode, modes, steps)


def adjusted_lateral_lb(
    data: TimberData, reference_lb: float, duration: str, wet: bool
) -> tuple[float, tuple[Step, ...]] | NoRule:
    """Return the adjusted lateral value Z' of one fastener, lb.

    Source: NDS Table 11.3.1: CD and CM here; group action, geometry and end grain are the caller's.

    Args:
        data: values and factors.
        reference_lb: reference value Z, lb.
        duration: key of the CD rows.
        wet: whether the joint is wet in service.

    Returns:
        Z' in lb and the steps, or a refusal naming the missing factor.

    >>> from service.timber.values import DesignValues, Factors
    >>> adjusted_lateral_lb(TimberData(DesignValues({}), Factors({})), 100.0, "impact", True).why
    'no factor CD for strength, impact'
    """
    cd = data.factors.find("CD", "strength", duration)
    if isinstance(cd, NoRule):
        return cd
    value, steps = reference_lb * cd.value, [step("CD", cd.value, "ratio", f"{cd.nds_section} ({cd.status})")]
    if wet:
        cm = data.factors.find("CM_connection", "Z", "wet_in_service")
        if isinstance(cm, NoRule):
            return cm
        value *= cm.value
        steps.append(step("CM", cm.value, "ratio", f"{cm.nds_section} ({cm.status})"))
    return value, tuple(steps)

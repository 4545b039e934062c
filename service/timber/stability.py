"""Lateral stability of bending members: effective length, slenderness and the factor CL."""

from __future__ import annotations

import math
from typing import Final

from service.timber.refusal import NoRule
from service.timber.sections import Section

# NDS Table 3.3.3: below lu/d = 7 a multiple of lu; from there another multiple plus 3 d.
SHORT_BELOW: Final = 7.0
LENGTHS: Final[dict[str, tuple[float, float]]] = {
    "uniform": (2.06, 1.63),
    "midspan_point": (1.80, 1.37),
    "cantilever_uniform": (1.33, 0.90),
    "cantilever_end_point": (1.87, 1.44),
}
LIMIT_RATIO: Final = 50.0


def effective_length_in(unbraced_in: float, depth_in: float, case: str) -> float:
    """Return the effective length le of a bending member, in.

    Source: NDS Table 3.3.3 (from memory; the midspan point row is confirmed by AWC example E1.2a).

    Args:
        unbraced_in: distance between points held sideways, in.
        depth_in: depth, in.
        case: ``uniform``, ``midspan_point``, ``cantilever_uniform`` or ``cantilever_end_point``.

    Returns:
        le, in.

    >>> round(effective_length_in(240.0, 15.25, "midspan_point"), 1)
    374.6
    """
    short, long = LENGTHS[case]
    if unbraced_in / depth_in < SHORT_BELOW:
        return short * unbraced_in
    return long * unbraced_in + 3 * depth_in


def slenderness_ratio(effective_in: float, piece: Section) -> float | NoRule:
    """Return the slenderness RB = sqrt(le d / b2), a ratio.

    Source: NDS 3.3.3.6 and 3.3.3.7: not over 50.

    Args:
        effective_in: effective length, in.
        piece: the section, in.

    Returns:
        RB, or a refusal over 50.

    >>> round(slenderness_ratio(374.6, Section("4x16", 1, 3.5, 15.25)), 2)
    21.59
    """
    ratio = math.sqrt(effective_in * piece.depth_in / piece.width_in**2)
    if ratio > LIMIT_RATIO:
        return NoRule(f"slenderness {ratio:.1f} is over 50 (NDS 3.3.3.7)")
    return ratio


def critical_bending_psi(emin_psi: float, ratio: float) -> float:
    """Return the critical buckling value FbE = 1.20 Emin' / RB2, psi.

    Source: NDS 3.3.3.8.

    Args:
        emin_psi: adjusted Emin, psi.
        ratio: slenderness RB.

    Returns:
        FbE, psi.

    >>> round(critical_bending_psi(690000.0, 21.593), 1)
    1775.8
    """
    return 1.20 * emin_psi / ratio**2


def beam_stability_factor(fb_star_psi: float, fbe_psi: float) -> float:
    """Return the beam stability factor CL, a ratio.

    Source: NDS 3.3.3.8, equation 3.3-6.

    Args:
        fb_star_psi: bending value with all factors but CL and Cfu, psi.
        fbe_psi: critical buckling value, psi.

    Returns:
        CL, 1.0 or less.

    Limits of validity: where the compression edge is held throughout CL is 1.0 without this (NDS 3.3.3.3).

    >>> round(beam_stability_factor(1500.0, 1775.8), 4)
    0.8756
    """
    ratio = fbe_psi / fb_star_psi
    middle = (1 + ratio) / 1.9
    return middle - math.sqrt(middle**2 - ratio / 0.95)

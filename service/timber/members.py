"""Stresses of bending members, bearing, and the spans each check allows under uniform load."""

from __future__ import annotations

import math
from typing import Final

from service.timber.sections import Section

BEARING_ADDED_IN: Final = 0.375
BEARING_CB_BELOW_IN: Final = 6.0
BEARING_END_IN: Final = 3.0


def bending_stress_psi(moment_lb_in: float, piece: Section) -> float:
    """Return the bending stress fb = M / S, psi.

    Source: NDS 3.3.2.

    Args:
        moment_lb_in: moment, lb-in.
        piece: the section, in.

    Returns:
        Stress, psi.

    >>> from service.timber.sections import Section
    >>> round(bending_stress_psi(21390.625, Section("2x10", 1, 1.5, 9.25)), 6)
    1000.0
    """
    return moment_lb_in / piece.modulus_in3


def shear_stress_psi(shear_lb: float, piece: Section) -> float:
    """Return the shear stress fv = 3 V / 2 A, psi.

    Source: NDS 3.4.2; V may be taken at the member's depth from the face of a support (NDS 3.4.3.1).

    Args:
        shear_lb: shear, lb.
        piece: the section, in.

    Returns:
        Stress, psi.

    >>> from service.timber.sections import Section
    >>> shear_stress_psi(925.0, Section("2x10", 1, 1.5, 9.25))
    100.0
    """
    return 1.5 * shear_lb / piece.area_sqin


def bearing_stress_psi(reaction_lb: float, width_in: float, length_in: float) -> float:
    """Return the stress across the grain of a bearing, psi.

    Source: NDS 3.10.2.

    Args:
        reaction_lb: reaction, lb.
        width_in: width of the bearing, in.
        length_in: length along the grain, in.

    Returns:
        Stress, psi.

    >>> bearing_stress_psi(900.0, 1.5, 1.5)
    400.0
    """
    return reaction_lb / (width_in * length_in)


def bearing_area_factor(length_in: float, from_end_in: float) -> float:
    """Return the bearing area factor Cb, a ratio.

    Source: NDS 3.10.4 (from memory): (lb + 0.375) / lb, for bearings under 6 in long at least 3 in from an end.

    Args:
        length_in: bearing length along the grain, in.
        from_end_in: distance to the member's end, in.

    Returns:
        Cb, 1.0 where it does not apply.

    >>> bearing_area_factor(1.5, 12.0), bearing_area_factor(1.5, 0.0)
    (1.25, 1.0)
    """
    if from_end_in < BEARING_END_IN or length_in >= BEARING_CB_BELOW_IN:
        return 1.0
    return (length_in + BEARING_ADDED_IN) / length_in


def bending_span_in(fb_psi: float, piece: Section, load_lb_in: float) -> float:
    """Return the simple span at which bending is full, in.

    Source: NDS 3.3.2 with M = w L2 / 8.

    Args:
        fb_psi: adjusted bending value, psi.
        piece: the section, in.
        load_lb_in: uniform load, lb/in.

    Returns:
        Span, in.

    >>> from service.timber.sections import Section
    >>> round(bending_span_in(1000.0, Section("2x10", 1, 1.5, 9.25), 5.0), 1)
    185.0
    """
    return math.sqrt(8 * fb_psi * piece.modulus_in3 / load_lb_in)


def deflection_span_in(e_psi: float, piece: Section, load_lb_in: float, part: float) -> float:
    """Return the simple span that bends by span / ``part``, in.

    Source: 5 w L4 / 384 E I (NDS 3.5), bending only.

    Args:
        e_psi: adjusted modulus of elasticity, psi.
        piece: the section, in.
        load_lb_in: the load that counts, lb/in.
        part: 360 for L/360.

    Returns:
        Span, in.

    >>> from service.timber.sections import Section
    >>> round(deflection_span_in(1.3e6, Section("2x10", 1, 1.5, 9.25), 4.0, 360.0), 1)
    190.0
    """
    return float((384 * e_psi * piece.inertia_in4 / (5 * part * load_lb_in)) ** (1 / 3))


def shear_span_in(
    fv_psi: float, piece: Section, load_lb_in: float, away_in: float = 0.0, multiple: float = 1.0
) -> float:
    """Return the simple span at which shear is full, in.

    Source: NDS 3.4.2 and 3.4.3.1, V = w (L/2 - away) times ``multiple``.

    Args:
        fv_psi: adjusted shear value, psi.
        piece: the section, in.
        load_lb_in: uniform load, lb/in.
        away_in: distance from the support within which load is left out, in.
        multiple: factor on the shear, a ratio.

    Returns:
        Span, in.

    >>> from service.timber.sections import Section
    >>> shear_span_in(108.0, Section("2x10", 1, 1.5, 9.25), 10.0)
    199.8
    """
    return 2 * (fv_psi * piece.area_sqin / 1.5 / (multiple * load_lb_in) + away_in)


def bearing_span_in(fc_perp_psi: float, width_in: float, length_in: float, load_lb_in: float) -> float:
    """Return the simple span at which the end bearings are full, in.

    Source: NDS 3.10.2 with R = w L / 2.

    Args:
        fc_perp_psi: adjusted value across the grain, psi.
        width_in: bearing width, in.
        length_in: bearing length, in.
        load_lb_in: uniform load, lb/in.

    Returns:
        Span, in.

    >>> bearing_span_in(400.0, 1.5, 1.5, 5.0)
    360.0
    """
    return 2 * fc_perp_psi * width_in * length_in / load_lb_in

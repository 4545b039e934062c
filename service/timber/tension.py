"""Tension along the grain, alone and with bending."""

from __future__ import annotations

import msgspec


class Pulled(msgspec.Struct, frozen=True):
    """Stresses of a member pulled and bent, and the values that hold them, psi.

    Source: NDS 3.9.1. ``fb_star_psi`` lacks CL, ``fb_stable_psi`` has it.

    >>> Pulled(100.0, 500.0, 400.0, 1000.0, 900.0).ft_psi
    100.0
    """

    ft_psi: float
    ft_allowed_psi: float
    fb_psi: float
    fb_star_psi: float
    fb_stable_psi: float


def bending_with_tension_ratio(pulled: Pulled) -> float:
    """Return the greater use of a member in tension and bending, a ratio: 1 or less stands.

    Source: NDS 3.9.1, equations 3.9-1 and 3.9-2 (from memory): ft/Ft' + fb/Fb*, and (fb - ft)/Fb** on the side
    that tension relieves.

    Args:
        pulled: stresses and values, psi.

    Returns:
        The greater of the two sums.

    Limits of validity: bending about one axis.

    >>> round(bending_with_tension_ratio(Pulled(100.0, 500.0, 400.0, 1000.0, 900.0)), 3)
    0.6
    """
    pulled_edge = pulled.ft_psi / pulled.ft_allowed_psi + pulled.fb_psi / pulled.fb_star_psi
    pressed_edge = (pulled.fb_psi - pulled.ft_psi) / pulled.fb_stable_psi
    return max(pulled_edge, pressed_edge)

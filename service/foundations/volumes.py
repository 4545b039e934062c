"""Volumes of concrete shapes."""

from __future__ import annotations

import math

IN3_PER_CUFT = 1728.0


def cylinder_cuft(diameter_in: float, length_in: float) -> float:
    """Return the volume of a round pier or pad, cu ft.

    Source: geometry, V = pi D^2 L / 4.

    Args:
        diameter_in: diameter, in.
        length_in: length, in.

    >>> round(cylinder_cuft(12, 32), 3)
    2.094
    """
    return math.pi * diameter_in**2 * length_in / 4.0 / IN3_PER_CUFT


def bell_cuft(shaft_in: float, bell_in: float, slope_deg: float) -> float:
    """Return the volume of a bell, the frustum between shaft and bell, cu ft.

    Source: Estimating in Building Construction, chapter 10, Example 10-3: V = pi h (S^2 + B^2 + S B) / 12.

    Args:
        shaft_in: shaft diameter, in.
        bell_in: bell diameter, in.
        slope_deg: angle of the bell's side from level, over 0 and under 90 deg.

    >>> round(bell_cuft(18, 42, 60), 2)
    8.96
    """
    height_in = math.tan(math.radians(slope_deg)) * (bell_in - shaft_in) / 2.0
    squares = shaft_in**2 + bell_in**2 + shaft_in * bell_in
    return math.pi * height_in / 12.0 * squares / IN3_PER_CUFT

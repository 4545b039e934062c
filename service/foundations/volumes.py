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


def square_cuft(side_in: float, thickness_in: float) -> float:
    """Return the volume of a square pad, cu ft.

    Source: geometry.

    Args:
        side_in: side, in.
        thickness_in: thickness, in.

    >>> square_cuft(24, 12)
    4.0
    """
    return side_in**2 * thickness_in / IN3_PER_CUFT


def bell_height_in(shaft_in: float, bell_in: float, slope_deg: float) -> float:
    """Return how high a bell's cone is, in.

    Source: geometry, h = tan(a) (B - S) / 2.

    Args:
        shaft_in: shaft diameter, in.
        bell_in: bell diameter, in.
        slope_deg: angle of the bell's side from level, over 0 and under 90 deg.

    >>> round(bell_height_in(18, 42, 60) / 12, 3)
    1.732
    """
    return math.tan(math.radians(slope_deg)) * (bell_in - shaft_in) / 2.0


def frustum_cuft(top_in: float, bottom_in: float, height_in: float) -> float:
    """Return the volume of a cone cut off, cu ft.

    Source: geometry, V = pi h (S^2 + B^2 + S B) / 12.

    Args:
        top_in: upper diameter, in.
        bottom_in: lower diameter, in.
        height_in: height, in.

    >>> round(frustum_cuft(12, 12, 32), 3)
    2.094
    """
    return math.pi * height_in / 12.0 * (top_in**2 + bottom_in**2 + top_in * bottom_in) / IN3_PER_CUFT


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
    return frustum_cuft(shaft_in, bell_in, bell_height_in(shaft_in, bell_in, slope_deg))

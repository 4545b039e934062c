"""Columns: stability factor CP, the height a load allows, and compression with bending."""

from __future__ import annotations

import math
from typing import Final

from service.timber.refusal import NoRule

SAWN_C: Final = 0.8
LIMIT_RATIO: Final = 50.0
EULER: Final = 0.822


def critical_compression_psi(emin_psi: float, ratio: float) -> float:
    """Return the critical buckling value FcE = 0.822 Emin' / (le/d)2, psi.

    Source: NDS 3.7.1.5.

    Args:
        emin_psi: adjusted Emin, psi.
        ratio: le / d.

    Returns:
        FcE, psi.

    >>> round(critical_compression_psi(510000.0, 87.6 / 3.5), 1)
    669.2
    """
    return EULER * emin_psi / ratio**2


def column_stability_factor(fc_star_psi: float, fce_psi: float, c: float = SAWN_C) -> float:
    """Return the column stability factor CP, a ratio.

    Source: NDS 3.7.1.5, equation 3.7-1.

    Args:
        fc_star_psi: compression value with all factors but CP, psi.
        fce_psi: critical buckling value, psi.
        c: 0.8 for sawn lumber, a ratio.

    Returns:
        CP, 1.0 or less.

    >>> round(column_stability_factor(1322.5, 669.2), 4)
    0.4378
    """
    ratio = fce_psi / fc_star_psi
    middle = (1 + ratio) / (2 * c)
    return middle - math.sqrt(middle**2 - ratio / c)


def column_value_psi(fc_star_psi: float, emin_psi: float, ratio: float) -> float | NoRule:
    """Return the adjusted compression value Fc' = Fc* CP of a column, psi.

    Source: NDS 3.7.1; le/d is not over 50 (NDS 3.7.1.4).

    Args:
        fc_star_psi: compression value with all factors but CP, psi.
        emin_psi: adjusted Emin, psi.
        ratio: le / d, the larger of the two axes.

    Returns:
        Fc', psi, or a refusal over le/d 50.

    >>> round(column_value_psi(1322.5, 510000.0, 87.6 / 3.5))
    579
    """
    if ratio > LIMIT_RATIO:
        return NoRule(f"slenderness {ratio:.1f} is over 50 (NDS 3.7.1.4)")
    if ratio <= 0:
        return fc_star_psi
    return fc_star_psi * column_stability_factor(fc_star_psi, critical_compression_psi(emin_psi, ratio))


def column_height_in(stress_psi: float, fc_star_psi: float, emin_psi: float, least_in: float) -> float:
    """Return the greatest effective length of a column under a stress, in: 0 when it crushes.

    Source: NDS 3.7.1.5 solved for le (c = 0.8): le = d sqrt(0.822 Emin' (1 - x) / (fc (1 - 0.8 x))), x = fc/Fc*;
    le/d is not over 50 (NDS 3.7.1.4).

    Args:
        stress_psi: compression stress, psi.
        fc_star_psi: compression value with all factors but CP, psi.
        emin_psi: adjusted Emin, psi.
        least_in: least side of the section, in.

    Returns:
        Length, in.

    Limits of validity: pinned ends held sideways (Ke 1.0), load in the middle.

    >>> round(column_height_in(579.0, 1322.5, 510000.0, 3.5), 1)
    87.6
    """
    x = stress_psi / fc_star_psi
    if x >= 1:
        return 0.0
    # CP = x turns the quadratic of CP into a line in FcE; that gives le without iteration.
    reach = EULER * emin_psi * (1 - x) / (stress_psi * (1 - SAWN_C * x))
    return least_in * min(math.sqrt(reach), LIMIT_RATIO)


def combined_ratio(
    fc_psi: float, fc_allowed_psi: float, fb_psi: float, fb_allowed_psi: float, fce_psi: float
) -> float | NoRule:
    """Return the interaction of compression with bending about one axis, a ratio: 1 or less stands.

    Source: NDS 3.9.2, equation 3.9-3: (fc/Fc')2 + fb / (Fb' (1 - fc/FcE)).

    Args:
        fc_psi: compression stress, psi.
        fc_allowed_psi: Fc', psi.
        fb_psi: bending stress, psi.
        fb_allowed_psi: Fb', psi.
        fce_psi: critical buckling value in the plane of bending, psi.

    Returns:
        The sum, or a refusal when fc reaches FcE.

    >>> round(combined_ratio(300.0, 600.0, 200.0, 1000.0, 900.0), 3)
    0.55
    """
    if fc_psi >= fce_psi:
        return NoRule("the compression stress reaches the buckling value FcE (NDS 3.9.2)")
    return (fc_psi / fc_allowed_psi) ** 2 + fb_psi / (fb_allowed_psi * (1 - fc_psi / fce_psi))


def combined_two_axes_ratio(
    fc_psi: float,
    fc_allowed_psi: float,
    strong: tuple[float, float, float],
    weak: tuple[float, float, float],
    fbe_psi: float,
) -> float | NoRule:
    """Return the interaction of compression with bending about both axes, a ratio.

    Source: NDS 3.9.2, equation 3.9-3 whole, with its limits fc < FcE1, fc < FcE2, fb1 < FbE.

    Args:
        fc_psi: compression stress, psi.
        fc_allowed_psi: Fc', psi.
        strong: fb1, Fb1' and FcE1 about the strong axis, psi.
        weak: fb2, Fb2' and FcE2 about the weak axis, psi.
        fbe_psi: critical buckling value of bending FbE, psi.

    Returns:
        The sum, or a refusal when a stress reaches its buckling value.

    >>> round(combined_two_axes_ratio(300.0, 600.0, (200.0, 1000.0, 900.0), (0.0, 900.0, 900.0), 5000.0), 3)
    0.55
    """
    first = combined_ratio(fc_psi, fc_allowed_psi, strong[0], strong[1], strong[2])
    if isinstance(first, NoRule) or fc_psi >= weak[2] or strong[0] >= fbe_psi:
        return NoRule("a stress reaches its buckling value (NDS 3.9.2)")
    room = 1 - fc_psi / weak[2] - (strong[0] / fbe_psi) ** 2
    if room <= 0:
        return NoRule("compression and bending leave no room about the weak axis (NDS 3.9.2)")
    return first + weak[0] / (weak[1] * room)

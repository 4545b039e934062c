"""Fasteners pulled straight out of side grain."""

from __future__ import annotations

from typing import Final

from service.timber.refusal import NoRule

# NDS 12.2.1 to 12.2.3 (from memory): constant, power of G, power of D.
FORMULAS: Final[dict[str, tuple[float, float, float]]] = {
    "lag_screw": (1800.0, 1.5, 0.75),
    "wood_screw": (2850.0, 2.0, 1.0),
    "nail": (1380.0, 2.5, 1.0),
}


def withdrawal_lb_per_in(kind: str, diameter_in: float, specific_gravity: float) -> float | NoRule:
    """Return the reference withdrawal value W, lb per inch of thread (lag, screw) or penetration (nail).

    Source: NDS 12.2.1, 12.2.2, 12.2.3 (from memory): 1800 G^1.5 D^0.75, 2850 G^2 D, 1380 G^2.5 D.

    Args:
        kind: ``lag_screw``, ``wood_screw`` or ``nail`` (smooth shank).
        diameter_in: nominal diameter, in.
        specific_gravity: oven-dry specific gravity of the wood, a ratio.

    Returns:
        W, lb/in, or a refusal for other fasteners.

    Limits of validity: side grain; nails and screws in end grain have no value (NDS 12.2.2.3, 12.2.3.3).

    >>> round(withdrawal_lb_per_in("lag_screw", 0.5, 0.50)), round(withdrawal_lb_per_in("nail", 0.162, 0.55))
    (378, 50)
    """
    if kind not in FORMULAS:
        return NoRule(f"no withdrawal value for a {kind}")
    constant, on_gravity, on_diameter = FORMULAS[kind]
    return float(constant * specific_gravity**on_gravity * diameter_in**on_diameter)

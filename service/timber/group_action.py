"""Several fasteners in a row share a load unevenly: the group action factor."""

from __future__ import annotations

import math
from typing import Final

import msgspec

from service.timber.refusal import NoRule

# NDS 11.3.6 (from memory): load and slip of one dowel, lb/in, is this times D to the power 1.5.
WOOD_TO_WOOD: Final = 180_000.0
SMALL_BELOW_IN: Final = 0.25


class Row(msgspec.Struct, frozen=True):
    """A row of dowels along the load: how many, their diameter and spacing, in.

    Source: NDS 11.3.6.

    >>> Row(2, 0.5, 4.0).count
    2
    """

    count: int
    diameter_in: float
    spacing_in: float


def group_action_factor(row: Row, main_lb: float, side_lb: float) -> float | NoRule:
    """Return the group action factor Cg of a row of dowels, a ratio.

    Source: NDS 11.3.6, equation 11.3-1, with the slip of wood on wood (from memory; the rows of Table 11.3.6A that
    are remembered agree).

    Args:
        row: the dowels in one row along the load.
        main_lb: E times area of the main part, lb (psi times in2).
        side_lb: E times area of the side part or parts together, lb.

    Returns:
        Cg, 1.0 for one dowel and for dowels under 1/4 in, or a refusal where a figure is not above zero.

    Limits of validity: wood to wood; dowels of one diameter, evenly spaced.

    >>> stiff = 1.4e6 * 10.0
    >>> round(group_action_factor(Row(4, 1.0, 4.0), stiff, stiff / 2), 2)
    0.84
    """
    if min(row.count, row.diameter_in, row.spacing_in, main_lb, side_lb) <= 0:
        return NoRule("a row of fasteners needs a count, diameter, spacing and two parts above zero")
    if row.count == 1 or row.diameter_in < SMALL_BELOW_IN:
        return 1.0
    slip = WOOD_TO_WOOD * row.diameter_in**1.5
    u = 1 + slip * row.spacing_in / 2 * (1 / main_lb + 1 / side_lb)
    m = u - math.sqrt(u**2 - 1)
    share = min(main_lb / side_lb, side_lb / main_lb)
    n = row.count
    under = n * ((1 + share * m**n) * (1 + m) - 1 + m ** (2 * n))
    return float(m * (1 - m ** (2 * n)) / under * (1 + share) / (1 - m))

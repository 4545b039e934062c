"""Footings that stand too near each other press on the same ground twice: no table is for that."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import combinations

from service.checks.judged import Judged, reason
from service.contract.report_frame import Footing
from service.units.citation import own_convention

LEAST_GROUND_BETWEEN_IN = 6.0  # convention of this service
PILE_DIAMETERS_APART = 3.0


def judge_apart(footings: Iterable[Footing]) -> Judged:
    """Judge whether every two footings stand far enough apart; what carries a heavy object says it itself."""
    plain = [one for one in footings if not one.serves.startswith("deck.heavy-")]
    found = []
    for a, b in combinations(plain, 2):
        apart = 12 * math.dist((a.x_ft, a.y_ft), (b.x_ft, b.y_ft))
        if apart < _least_apart_in(a, b):
            text = (
                f"{a.id} and {b.id} stand {apart:.3g} in apart, too near for {_why_apart(a, b)}: one footing has to "
                "carry both posts, or one of them has to move."
            )
            cited = own_convention("bearing areas do not overlap")
            found.append(reason("footings_overlap", text, b.id, cited))
    return Judged((), tuple(found))


def _least_apart_in(a: Footing, b: Footing) -> float:
    """Piers with ground between them; piles three diameters of the larger helix apart, as their capacity is counted."""
    if a.pile and b.pile:
        return PILE_DIAMETERS_APART * max(*a.pile.helices, *b.pile.helices)
    return (a.width_in + b.width_in) / 2 + LEAST_GROUND_BETWEEN_IN


def _why_apart(a: Footing, b: Footing) -> str:
    if a.pile and b.pile:
        return "helices that count as single ones, three diameters apart"
    return "6 in of ground to stand between two holes"

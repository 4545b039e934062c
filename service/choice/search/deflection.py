"""How much a frame gives under the load that comes and goes: what the objective ``stiffness`` compares.

The deflection of a frame is that of its joists at the middle of the span that gives most, and what their beams give:
half of the greatest beam deflection where joists hang on a ledger at one end, all of it where both ends stand on
beams, and behind a ledger with beams between the mean of the two that give most (convention of this service). Every
span is taken as a simple one under the uniform variable load, live or snow, the greater: 5 w L^4 / (384 E I). E is
that of NDS for wet service, of the least stiff species behind the name, as the calculated checks take it; I that of
the dressed section.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from service.framing.layout import Arrangement
from service.sizing.allowed import TABLE_GRADE
from service.sizing.calculated_species import all_on_deck
from service.sizing.criteria import Criteria
from service.timber.refusal import NoRule
from service.timber.sections import section
from service.timber.values import TimberData

IN_PER_FT = 12.0
SQIN_PER_SQFT = 144.0


def simple_span_in(load_lb_in: float, span_in: float, stiffness_lb_in2: float) -> float:
    """Return the deflection of a simple span at its middle under a uniform load, in: 5 w L^4 / (384 E I).

    >>> round(simple_span_in(4.444, 144.0, 1.26e6 * 98.93), 4)
    0.1996
    """
    return 5.0 * load_lb_in * span_in**4 / (384.0 * stiffness_lb_in2) if stiffness_lb_in2 else 0.0


def stiffness_lb_in2(criteria: Criteria, size: str, plies: int = 1) -> float:
    """Return E I of a member of these sizes, lb-in2; 0 where no design value is known."""
    if criteria.timber is None:
        return 0.0
    kind = "snow" if criteria.snow_psf > criteria.live_psf else "live"
    return _stiffness_lb_in2(criteria.timber, criteria.species, criteria.grade, kind, size, plies)


# Asked for every frame of a search; the answer follows from the arguments alone.
@lru_cache(maxsize=1024)
def _stiffness_lb_in2(
    data: TimberData, species: str, grade: str, load_kind: str, size: str, plies: int
) -> float:
    piece = section(size, plies)
    if isinstance(piece, NoRule):
        return 0.0
    for tried in (grade, TABLE_GRADE):
        values = all_on_deck(data, species, tried, piece, load_kind, 1.0, "")
        if not isinstance(values, NoRule):
            return min(one.e_psi for one in values) * piece.inertia_in4
    return 0.0


@dataclass(frozen=True)
class Deflections:
    """Deflections of many frames of one place; E I of a size is looked up once."""

    criteria: Criteria
    _known: dict[tuple[str, int], float] = field(default_factory=dict)

    def _stiff(self, size: str, plies: int) -> float:
        if (size, plies) not in self._known:
            self._known[size, plies] = stiffness_lb_in2(self.criteria, size, plies)
        return self._known[size, plies]

    def joists(self, laid: Arrangement, size: str, spacing_in: float) -> float:
        """Return the deflection of the longest joist span of an arrangement, in."""
        longest = max((span for _, _, line in laid.lines for span in line.spans_in), default=0.0)
        load = self.criteria.variable_psf * spacing_in / SQIN_PER_SQFT
        return simple_span_in(load, longest, self._stiff(size, 1))

    def beams(
        self, laid: Arrangement, size: str, plies: int, longest_in: Sequence[Sequence[float]]
    ) -> npt.NDArray[np.float64]:
        """Return what beams add to the deflection of the joists on them, in, for each way they stand on posts.

        ``longest_in`` is the longest span of each row, in, a line a way.
        """
        load = self.criteria.variable_psf * np.array(row_shares_ft(laid)) / IN_PER_FT
        stiff = self._stiff(size, plies)
        if not stiff:
            return np.zeros(len(longest_in))
        each = 5.0 * load * np.array(longest_in) ** 4 / (384.0 * stiff)
        most: npt.NDArray[np.float64] = each.max(axis=1)
        if not laid.region.hung_all_along:
            return most
        # the bay beyond a beam between stands on two of them
        second = np.sort(each, axis=1)[:, -2] if laid.interior else np.zeros_like(most)
        return (most + second) / 2


def row_shares_ft(laid: Arrangement, pick: Callable[[Iterable[float]], float] = max) -> tuple[float, ...]:
    """Return the floor that each row carries for each foot of it, ft: where it carries most, or least with ``min``."""
    found: list[list[float]] = [[] for _ in laid.rows]
    for _, _, line in laid.lines:
        if line.stands:
            for rest, share in zip(line.rests, line.reactions_plf(1.0), strict=True):
                if rest.row is not None:
                    found[rest.row].append(share)
    return tuple(pick(shares) if shares else 0.0 for shares in found)

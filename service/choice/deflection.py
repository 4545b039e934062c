"""How much a frame gives under the load that comes and goes: what the objective ``stiffness`` compares.

The deflection of a frame is that of its joists at the middle of the span that gives most, and what their beams give:
half of the greatest beam deflection where joists hang on a ledger at one end, all of it where both ends stand on
beams (convention of this service). Every span is taken as a simple one under the uniform variable load, live or snow,
the greater: 5 w L^4 / (384 E I). E is that of NDS for wet service, of the least stiff species behind the name, as
the calculated checks take it; I that of the dressed section.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from service.framing.beam_row import BeamRow
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


def joist_part(laid: Arrangement, size: str, spacing_in: float, criteria: Criteria) -> float:
    """Return the deflection of the longest joist span of an arrangement, in."""
    longest = max((span for _, _, line in laid.lines for span in line.spans_in), default=0.0)
    load = criteria.variable_psf * spacing_in / SQIN_PER_SQFT
    return simple_span_in(load, longest, stiffness_lb_in2(criteria, size))


def beam_part(
    rows: Sequence[BeamRow], shares_ft: Sequence[float], size: str, plies: int, criteria: Criteria, half: bool
) -> float:
    """Return what beams add to the deflection of the joists on them, in.

    ``shares_ft`` is the floor each row carries for each foot of it, ft; ``half`` says that joists hang on a ledger at
    their other end, so that the middle of the joist sinks half as far as the beam.
    """
    stiff = stiffness_lb_in2(criteria, size, plies)
    most = max(
        (
            simple_span_in(criteria.variable_psf * share / IN_PER_FT, max(row.spans_in), stiff)
            for row, share in zip(rows, shares_ft, strict=True)
        ),
        default=0.0,
    )
    return most / 2 if half else most

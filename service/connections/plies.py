"""The fasteners that make the plies of a side-loaded beam work together."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.report_frame import Beam
from service.sizing.calculated_species import all_on_deck
from service.sizing.criteria import Criteria
from service.timber.dowels import Dowel, Part, adjusted_lateral_lb, lateral_value_lb
from service.timber.refusal import NoRule
from service.timber.sections import section
from service.timber.values import TimberData
from service.units.citation import Citation
from service.units.finding import Finding, at_most, yes_no
from service.units.working import Step, step

PLY_IN = 1.5
# 10d box nail of IRC R507.5, 3 x 0.128 in; bending yield strength by NDS Appendix I, from memory.
NAIL = Dowel("nail", 0.128, 100_000.0, 0.128)
# Rows and spacing, the code's own first; the others are closer (convention of this service).
SCHEDULES = ((2, 16.0), (2, 12.0), (3, 12.0), (3, 8.0), (3, 6.0), (4, 6.0))
CITED = Citation("NDS", edition="2018", section="12.3 yield modes, 10d nails between plies", status="memory")


@dataclass(frozen=True)
class PlySchedule:
    """Rows of nails and their spacing, in; ``carries_plf`` is what they pass from ply to ply."""

    rows: int
    spacing_in: float
    carries_plf: float
    needs_plf: float
    steps: tuple[Step, ...]

    @property
    def enough(self) -> bool:
        """Whether the nails pass on what the loaded ply can't keep."""
        return self.carries_plf >= self.needs_plf


def _nail_lb(data: TimberData, species: str, size: str) -> tuple[float, tuple[Step, ...]] | NoRule:
    values = all_on_deck(data, species, "no_2", section(size), "live", 1.0, "a fastener, no bending")
    if isinstance(values, NoRule):
        return values
    ply = Part(PLY_IN, min(one.specific_gravity for one in values), 90.0)
    found = lateral_value_lb(NAIL, ply, ply)
    if isinstance(found, NoRule):
        return found
    adjusted = adjusted_lateral_lb(data, found.value_lb, "ten_years", wet=True)
    return adjusted if isinstance(adjusted, NoRule) else (adjusted[0], (*found.steps, *adjusted[1]))


def ply_schedule(beam: Beam, criteria: Criteria) -> PlySchedule | NoRule:
    """Return the nails between the plies of a beam whose joists hang on one face.

    Source: the loaded ply keeps its share and passes (n - 1) / n of the line load on; NDS 12.3 for one nail,
    wet service, live duration; the schedule of IRC R507.5 first, then closer ones.

    Args:
        beam: plies and line load, plf.
        criteria: species and design values.

    Returns:
        The first schedule that carries enough, plf, or the closest one; a refusal where a value is missing.
    """
    if criteria.timber is None:
        return NoRule("no design values were given")
    nail = _nail_lb(criteria.timber, criteria.species, beam.size)
    if isinstance(nail, NoRule):
        return nail
    needs = beam.line_load_plf * (beam.plies - 1) / beam.plies
    offered = [
        PlySchedule(rows, spacing, rows * 12 / spacing * nail[0], needs, nail[1])
        for rows, spacing in SCHEDULES
    ]
    return next((one for one in offered if one.enough), offered[-1])


def side_loaded_plies(beam: Beam, criteria: Criteria) -> tuple[Finding, ...]:
    """Return the check of a flush beam's ply fasteners, plf; nothing for one ply.

    Source: as `ply_schedule`.

    Args:
        beam: plies and line load, plf.
        criteria: species and design values.
    """
    if beam.plies == 1:
        return ()
    found = ply_schedule(beam, criteria)
    if isinstance(found, NoRule):
        return (yes_no(beam.id, "beam_ply_fasteners", "calculated", False, CITED),)
    steps = (
        *found.steps,
        step("rows", found.rows, None, "rows of 10d nails (3 x 0.128 in)"),
        step("s", found.spacing_in, "in", "spacing in each row"),
    )
    return (
        at_most(
            beam.id,
            "beam_ply_fasteners",
            "calculated",
            found.needs_plf,
            found.carries_plf,
            "plf",
            CITED,
            steps,
        ),
    )

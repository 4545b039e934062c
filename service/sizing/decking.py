"""How far apart joists may stand under the boards."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.spec import DeckingSpec
from service.rules.lookups import exact
from service.sizing.criteria import Criteria
from service.units.citation import Citation, common_practice
from service.units.working import Step, step

STEEPEST_DEG = 45.0
TWO_IN_ACTUAL_IN = 1.5
FIVE_QUARTER_ACTUAL_IN = 1.0
LABEL_DEFAULT_SQUARE_IN = 16.0
LABEL_DEFAULT_ANGLED_IN = 12.0


@dataclass(frozen=True)
class DeckingLimit:
    """The widest joist spacing; null where no rule covers the boards."""

    spacing_in: float | None
    citation: Citation
    steps: tuple[Step, ...] = ()
    by_label: bool = False


def _row(criteria: Criteria, decking: DeckingSpec) -> DeckingLimit:
    thick = decking.thickness_in >= TWO_IN_ACTUAL_IN
    table = criteria.rulebook.tables["decking_joist_spacing"]
    classes = {str(table.cell(row, "board_span_class")) for row in range(len(table.rows))}
    key = {
        "decking": "2 in thick wood" if thick else "1.25 in thick wood",
        "orientation": "perpendicular" if decking.angle_deg == 0 else "diagonal (up to 45 deg)",
        "board_span_class": "any" if "any" in classes else "multiple span",
    }
    reading = exact(table, key, "max_joist_spacing_in")
    return DeckingLimit(reading.value, reading.citation, reading.steps)


def _label(decking: DeckingSpec) -> DeckingLimit:
    if decking.max_span_in is not None:
        cited = Citation(document="label of the decking, as given by the caller", status="second_hand")
        return DeckingLimit(decking.max_span_in, cited, by_label=True)
    spacing = LABEL_DEFAULT_SQUARE_IN if decking.angle_deg == 0 else LABEL_DEFAULT_ANGLED_IN
    cited = common_practice("joist spacing under composite boards: 16 in square, 12 in at an angle")
    return DeckingLimit(spacing, cited, (step("s", spacing, "in", "until the board's label is read"),), True)


def decking_spacing_limit(criteria: Criteria, decking: DeckingSpec) -> DeckingLimit:
    """Return the widest joist spacing under the boards.

    Source: IRC Table R507.4 (2015), R507.7 (2018 on) for wood; other boards by their label. Every board is
    taken to cross three joists or more; borders get blocking.

    Args:
        criteria: rules.
        decking: the boards.

    Returns:
        The spacing in inches; null for boards thinner than the table's, or at more than 45 degrees.

    >>> decking_spacing_limit(criteria, DeckingSpec(thickness_in=1.0)).spacing_in
    16.0
    >>> decking_spacing_limit(criteria, DeckingSpec(thickness_in=1.0, angle_deg=45.0)).spacing_in
    12.0
    """
    if decking.angle_deg > STEEPEST_DEG:
        return DeckingLimit(None, common_practice("boards at over 45 degrees from square to the joists"))
    if decking.material != "wood":
        return _label(decking)
    if decking.thickness_in < FIVE_QUARTER_ACTUAL_IN:
        return DeckingLimit(None, _row(criteria, decking).citation)
    limit = _row(criteria, decking)
    if decking.max_span_in is not None and limit.spacing_in is not None:
        return DeckingLimit(min(limit.spacing_in, decking.max_span_in), limit.citation, limit.steps)
    return limit

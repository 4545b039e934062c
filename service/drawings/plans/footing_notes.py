"""What a footing plan says beside its picture: the ground, the inspections, the report's own cautions."""

from __future__ import annotations

import re
from collections.abc import Iterator

from service.contract.report import Caution, DesignReport
from service.drawings.kit.labels import Placing
from service.drawings.kit.reasons import cautions_told
from service.drawings.plans.plan import Shown
from service.units.text import feet_inches, sentence

PLACES = "Places are to centres, from the origin (circle and cross){}: x along the house, y out from it."
LINES = "Dashed: below ground. Whole: what stands out of it. Grey dashes: deck and stairs above."
UNDISTURBED = "Bottoms on undisturbed ground: no fill, loose soil, mud or standing water."
OWN_WEIGHT = "table_permits_calculation_does_not"
# what a report warns of that bears on footings, what is worst to overlook first
CAUTIONS = (
    "near_house_footing",
    OWN_WEIGHT,
    "pile_shaft_unbraced",
    "backfill_settles",
    "groundwater_over_base",
    "footing_on_slope",
    "call_before_you_dig",
    "pad_above_frost",
    "ground_falls_at_foot",
    "no_footing_table",
    "soil_value_from_caller",
    "frost_heave_grip",
)
_BY_FIGURE = ("pile_shaft_unbraced", "frost_heave_grip")
_INSPECTIONS = ("footing_holes", "pile_torque")


def notes_of(report: DesignReport, part: Shown, placing: Placing) -> list[str]:
    """Return the notes of a footing plan."""
    if not part.footings:
        return ["No frame was found, so there are no footings to show.", *_missed(placing)]
    return [
        PLACES.format(" at the house wall" if _at_house(part) else ""),
        f"{UNDISTURBED} Frost depth {feet_inches(report.ground.frost_depth_in)} below grade.",
        *_backfill(report, part),
        *_missed(placing),
        *cautions_told(report, _worst(report)),
        *_inspections(report),
        LINES,
    ]


def _at_house(part: Shown) -> bool:
    return any(level.house_lines_ft for level in part.levels)


def _missed(placing: Placing) -> Iterator[str]:
    if placing.missed:
        yield f"No room on this paper to write: {', '.join(placing.missed)}. See the schedules or larger paper."


def _backfill(report: DesignReport, part: Shown) -> Iterator[str]:
    ground = report.ground
    if ground.backfill_zones_ft:
        yield (
            "Hatched: ground dug out for the house and put back, as far as it went at the frost line; the house's "
            f"footing lies {feet_inches(ground.house_footing_depth_in or 0.0)} below grade."
        )
    inside = [one.mark for one in part.footings if one.in_backfill_zone]
    if inside:
        yield f"In that ground: {', '.join(inside)}; each has to bear below it, on ground that was never dug."


def _inspections(report: DesignReport) -> Iterator[str]:
    for one in report.permits.inspections:
        if one.kind in _INSPECTIONS:
            yield sentence(f"Inspection: {one.when}. Looked at: {', '.join(one.looks_at)}")


def _worst(report: DesignReport) -> Iterator[Caution]:
    """The cautions of footings in the order above; of one told with a figure for each footing, the greatest."""
    for code in CAUTIONS:
        found = [one for one in report.cautions if one.code == code and _of_footings(one)]
        yield from [max(found, key=_figure)] if found and code in _BY_FIGURE else found


def _of_footings(caution: Caution) -> bool:
    """Whether a caution is about footings: one of them is told of every kind of member."""
    return caution.code != OWN_WEIGHT or "footing" in caution.text


def _figure(caution: Caution) -> float:
    """The first figure of a caution's text."""
    found = re.search(r"\d[\d,]*(?:\.\d+)?", caution.text)
    return float(found[0].replace(",", "")) if found else 0.0

"""Post height by table, each edition by its own look-up rule."""

from __future__ import annotations

from service.rules.lookups import Reading, exact, linear
from service.sizing.criteria import Criteria
from service.sizing.limit import Limit, limit_of
from service.units.working import step

SMALLEST_AREA_SQFT = 20.0
TABLE = "post_heights"
# IRC 2018 Table R507.4 note c: the printed 4x4 height is for three plies on a cap; up to two plies, 8 ft.
FEW_PLIES_4X4_IN = 96.0


def _worst_case(criteria: Criteria, size: str) -> Reading:
    key = {
        "load_psf": criteria.table_load_psf,
        "species_group": "any",
        "post_size": size,
        "tributary_area_sqft": None,
    }
    return exact(criteria.rulebook.tables[TABLE], key, "max_height_in")


def _by_plies(criteria: Criteria, size: str, beam_plies: int) -> Limit:
    reading = _worst_case(criteria, size)
    if size != "4x4" or beam_plies > 2 or not reading.found:
        return limit_of(reading)
    height_in = FEW_PLIES_4X4_IN
    if reading.amended and reading.value is not None:  # the note stands beside a figure that no longer does
        height_in = min(height_in, reading.value)
    note = step("h", height_in, "in", "note c of the table: beams of one or two plies")
    return Limit(height_in, "found", (reading,), after=(note,))


def _by_area(criteria: Criteria, size: str, tributary_sqft: float) -> Limit:
    used = max(tributary_sqft, SMALLEST_AREA_SQFT)
    key = {
        "load_psf": criteria.table_load_psf,
        "species_group": criteria.species_group,
        "post_size": size,
    }
    reading = linear(criteria.rulebook.tables[TABLE], key, "max_height_in", used)
    return limit_of(reading, (step("A", used, "sqft", "tributary area, at least 20 sq ft"),))


def post_height_limit(criteria: Criteria, size: str, beam_plies: int, tributary_sqft: float) -> Limit:
    """Return the tallest post the table allows, beam bottom to pier top.

    Source: IRC Table R507.8 (2015), R507.4 (2018: by plies of the beam; 2021 on: by tributary area,
    interpolated, never past 160 sq ft).

    Args:
        criteria: rules, loads and species group.
        size: nominal post size, as "6x6".
        beam_plies: plies of the beam on the post.
        tributary_sqft: deck area on the post, sq ft.

    Returns:
        The limit in inches; ``not_permitted`` for an NP cell, ``off_table`` past the table.

    >>> [post_height_limit(of, "4x4", 2, 60.0).value_in for of in (criteria_2015, criteria_2021)]
    [96.0, 132.0]
    >>> post_height_limit(criteria, "6x6", 2, 200.0).outcome
    'off_table'
    """
    rule = criteria.rulebook.in_force_settings.post_table_rule
    if rule == "by_tributary_area":
        return _by_area(criteria, size, tributary_sqft)
    if rule == "by_plies":
        return _by_plies(criteria, size, beam_plies)
    return limit_of(_worst_case(criteria, size))

"""Beam span by table, each edition by its own look-up rule."""

from __future__ import annotations

from dataclasses import replace

from service.rules.lookups import Key, Reading, largest_covering, linear, next_row_up
from service.sizing.criteria import Criteria
from service.sizing.limit import Limit, limit_of
from service.units.working import Step, step

SHORTEST_COLUMN_FT = 6.0
LONGEST_COLUMN_FT = 18.0
TABLE = "beam_spans"


def _key(criteria: Criteria, size: str, plies: int) -> Key:
    group = criteria.rulebook.tables[TABLE].species_group(criteria.species)
    return {
        "load_psf": criteria.table_load_psf,
        "species_group": group,
        "plies": float(plies),
        "nominal_size": size,
    }


def _joist_steps(joist_span_ft: float, cantilever_ft: float) -> tuple[Step, ...]:
    return (
        step("J", joist_span_ft, "ft", "joist span carried by the beam"),
        step("C", cantilever_ft, "ft", "joist cantilever past the beam"),
    )


def _next_column(criteria: Criteria, size: str, plies: int, joist_ft: float, over_ft: float) -> Limit:
    key = {**_key(criteria, size, plies), "joist_cantilever_ft": None}
    reading = next_row_up(criteria.rulebook.tables[TABLE], key, "max_beam_span_in", joist_ft)
    return limit_of(reading, _joist_steps(joist_ft, over_ft))


def _factor(criteria: Criteria, ratio: float) -> Reading:
    return linear(criteria.rulebook.tables["beam_joist_span_factors"], {}, "joist_span_factor", ratio)


def _factored(criteria: Criteria, size: str, plies: int, joist_ft: float, over_ft: float) -> Limit:
    before = _joist_steps(joist_ft, over_ft)
    factor = _factor(criteria, over_ft / joist_ft)
    if factor.value is None:
        return limit_of(factor, before)
    effective = joist_ft * factor.value
    found = _column(criteria, size, plies, effective, before)
    return replace(found, readings=(*found.readings, factor))


def _column(
    criteria: Criteria, size: str, plies: int, effective_ft: float, before: tuple[Step, ...]
) -> Limit:
    used = max(effective_ft, SHORTEST_COLUMN_FT)
    key = {**_key(criteria, size, plies), "joist_cantilever_ft": None}
    reading = linear(criteria.rulebook.tables[TABLE], key, "max_beam_span_in", used)
    return limit_of(reading, (*before, step("J_eff", used, "ft", "effective joist span, at least 6 ft")))


def _pair(criteria: Criteria, size: str, plies: int, joist_ft: float, over_ft: float) -> Limit:
    reading = largest_covering(
        criteria.rulebook.tables[TABLE],
        _key(criteria, size, plies),
        "max_beam_span_in",
        {"joist_span_ft": joist_ft, "joist_cantilever_ft": over_ft},
    )
    return limit_of(reading, _joist_steps(joist_ft, over_ft))


def beam_span_limit(
    criteria: Criteria, size: str, plies: int, joist_span_ft: float, cantilever_ft: float
) -> Limit:
    """Return the longest beam span for joists carried from one side.

    Source: IRC Table R507.6 (2015), R507.5 (2018): next larger joist span column; Table R507.5(1)-(4) with the
    factors of R507.5(5) (2021): factored joist span, then interpolated, under 6 ft read at 6 ft; Table
    R507.5(1)-(4) (2024): the printed pair of span and cantilever that covers the case with the longest span.

    Args:
        criteria: rules, loads and species.
        size: nominal size of one ply, as "2x10".
        plies: 1 to 3.
        joist_span_ft: joist span on the beam's one side, ft.
        cantilever_ft: joist cantilever past the beam, ft.

    Returns:
        The limit in inches, post centre to post centre, or ``off_table``.

    >>> [beam_span_limit(of, "2x10", 2, 10.0, 0.0).value_in for of in (criteria_2018, criteria_2024)]
    [96.0, 116.0]
    >>> beam_span_limit(criteria, "2x10", 2, 30.0, 0.0).outcome
    'off_table'
    """
    rule = criteria.rulebook.in_force_settings.beam_lookup_rule
    read = {"next_column": _next_column, "factored_span": _factored, "span_and_cantilever_pair": _pair}[rule]
    return read(criteria, size, plies, joist_span_ft, cantilever_ft)


def interior_beam_table_limit(
    criteria: Criteria, size: str, plies: int, near_span_ft: float, far_span_ft: float
) -> Limit:
    """Return the table's reading for a beam with joists on both sides, at the sum of the two spans.

    The tables are for joists from one side: this reading is beside them (own convention) and is used only
    together with a calculation. No factor, zero cantilever.

    Args:
        criteria: rules, loads and species.
        size: nominal size of one ply.
        plies: 1 to 3.
        near_span_ft: joist span on the house side, ft.
        far_span_ft: joist span on the yard side, ft.

    Returns:
        The limit in inches, or ``off_table`` where the sum is over the last column.

    >>> interior_beam_table_limit(criteria, "2x10", 3, 8.0, 6.0).value_in
    102.0
    """
    total = near_span_ft + far_span_ft
    if criteria.rulebook.in_force_settings.beam_lookup_rule == "factored_span":
        return _column(criteria, size, plies, total, _joist_steps(total, 0.0))
    return beam_span_limit(criteria, size, plies, total, 0.0)


def overhang_limit_in(criteria: Criteria, adjacent_span_in: float) -> float:
    """Return the longest beam overhang past a post, in.

    Source: IRC R507.6 (2015), R507.5 (2018 on): a quarter of the actual adjacent span.

    Args:
        criteria: rules.
        adjacent_span_in: actual span beside the overhang, in.

    >>> overhang_limit_in(criteria, 96.0)
    24.0
    """
    return adjacent_span_in * criteria.rulebook.in_force_settings.beam_overhang_ratio

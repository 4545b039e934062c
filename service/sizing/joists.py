"""Joist span and cantilever by table, each edition by its own look-up rule."""

from __future__ import annotations

from service.rules.lookups import Reading, exact, linear
from service.sizing.criteria import Criteria
from service.sizing.limit import Limit, limit_of
from service.sizing.lumber import nominal
from service.units.working import step

QUARTER = 0.25
MIN_BACK_SPAN_IN = 48.0  # the cantilever tables of 2021 on start at 4 ft


def _span(criteria: Criteria, size: str, spacing_in: float, column: str) -> Reading:
    key = {
        "load_psf": criteria.table_load_psf,
        "species_group": criteria.species_group,
        "nominal_size": size,
        "spacing_in": spacing_in,
    }
    return exact(criteria.rulebook.tables["joist_spans"], key, column)


def needs_cantilever_column(criteria: Criteria, size: str, cantilever_in: float) -> bool:
    """Return whether the edition reads the with-cantilever span column for this cantilever.

    Source: IRC 2015 Table R507.5, note on cantilevers deeper than the nominal joist depth.

    Args:
        criteria: rules and loads.
        size: nominal joist size.
        cantilever_in: longest cantilever of the joist, in.

    >>> needs_cantilever_column(criteria_2015, "2x8", 12.0), needs_cantilever_column(criteria, "2x8", 12.0)
    (True, False)
    """
    by_column = criteria.rulebook.in_force_settings.joist_cantilever_rule == "with_cantilever_column"
    return by_column and cantilever_in > nominal(size)[1]


def joist_span_limit(criteria: Criteria, size: str, spacing_in: float, cantilever_in: float) -> Limit:
    """Return the longest joist span the table allows.

    Source: IRC Table R507.5 (2015), Table R507.6 (2018 on). Spacing is read as printed (12, 16, 24 in): another
    spacing is off the table.

    Args:
        criteria: rules, loads and species group.
        size: nominal joist size, as "2x10".
        spacing_in: centre to centre, in.
        cantilever_in: longest cantilever of the joist, in; 0 where there is none.

    Returns:
        The limit in inches, or ``off_table``.

    >>> joist_span_limit(criteria, "2x10", 16.0, 0.0).value_in
    168.0
    >>> joist_span_limit(criteria, "2x10", 19.2, 0.0).outcome
    'off_table'
    """
    with_column = needs_cantilever_column(criteria, size, cantilever_in)
    plain = _span(criteria, size, spacing_in, "max_span_in")
    if not with_column:
        return limit_of(plain)
    reading = _span(criteria, size, spacing_in, "max_span_with_cantilever_in")
    # A local amendment may have lowered the column of no cantilever alone: with one, a joist spans no farther.
    lower = plain.value is not None and reading.value is not None and plain.value < reading.value
    return limit_of(plain if lower else reading)


def _quarter(limit: Limit, back_span_in: float) -> Limit:
    quarter = back_span_in * QUARTER
    steps = (step("L/4", quarter, "in", "a quarter of the actual adjacent span"),)
    value = quarter if limit.value_in is None else min(limit.value_in, quarter)
    return Limit(value, "found", limit.readings, limit.before, steps)


def _by_back_span(criteria: Criteria, size: str, back_span_in: float) -> Limit:
    key = {
        "load_psf": criteria.table_load_psf,
        "species_group": criteria.species_group,
        "nominal_size": size,
    }
    table = criteria.rulebook.tables["joist_cantilevers"]
    reading = linear(table, key, "max_cantilever_in", back_span_in / 12)
    if not reading.found:
        return limit_of(reading)
    return _quarter(limit_of(reading), back_span_in)


def joist_cantilever_limit(criteria: Criteria, size: str, spacing_in: float, back_span_in: float) -> Limit:
    """Return the longest joist cantilever allowed beside a back span.

    Source: IRC 2015 R507.5 (a quarter of the span), IRC 2018 Table R507.6 (column, and a quarter), IRC 2021 and
    2024 Table R507.6 by back span: interpolated from 4 ft up, nothing next to a not-permitted cell.

    Args:
        criteria: rules, loads and species group.
        size: nominal joist size.
        spacing_in: centre to centre, in.
        back_span_in: actual span of the bay beside the cantilever, in.

    Returns:
        The limit in inches; ``not_permitted`` for an NP cell, ``off_table`` under a 4 ft back span.

    >>> joist_cantilever_limit(criteria, "2x10", 16.0, 120.0).value_in
    30.0
    >>> joist_cantilever_limit(criteria, "2x10", 16.0, 40.0).outcome
    'off_table'
    """
    rule = criteria.rulebook.in_force_settings.joist_cantilever_rule
    if rule == "by_back_span":
        return _by_back_span(criteria, size, back_span_in)
    if rule == "column_and_quarter":
        limit = limit_of(_span(criteria, size, spacing_in, "max_cantilever_in"))
        return _quarter(limit, back_span_in) if limit.found else limit
    covered = _span(criteria, size, spacing_in, "max_span_with_cantilever_in")
    if not covered.found:
        return limit_of(covered)
    return Limit(
        back_span_in * QUARTER,
        "found",
        (covered,),
        after=(step("L/4", back_span_in * QUARTER, "in", "a quarter of the actual adjacent span"),),
    )

"""A joist alone: span and cantilever by table and by calculation."""

from __future__ import annotations

from collections.abc import Iterator

from service.checks.calculated import HANGER_BEARING_IN, JOIST_CHECKS, TIP_LB
from service.checks.members import judging
from service.checks.members.pairs import Pair, beside_all, cautions_of, findings_of, pair_of, reasons_of
from service.checks.members.sides import (
    BY_CALCULATION,
    BY_TABLE,
    NDS,
    Said,
    Worked,
    by_rule,
    by_table,
    decides,
    load_kind,
    rule_of,
    side,
)
from service.contract.member_checks import JoistCheckSpec
from service.contract.member_checks_answer import MemberRefusal
from service.mechanics.beam import Beam, Point
from service.sizing.calculated_joists import (
    QUARTER,
    joist_cantilever_2018,
    joist_cantilever_2021,
    joist_span,
    joist_span_with_cantilever_2015,
)
from service.sizing.calculated_members import Member, MemberLine, member_lines
from service.sizing.calculated_result import Allowable, Bound, least
from service.sizing.criteria import Criteria
from service.sizing.joists import (
    MIN_BACK_SPAN_IN,
    joist_cantilever_limit,
    joist_span_limit,
    needs_cantilever_column,
)
from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.working import step

SPAN, REACH = "joist_span", "joist_cantilever"
OFF = "size_or_spacing_off_tables"
NAMES = {check: f"joist_{name}" for check, name in JOIST_CHECKS.items()}
JOISTS = judging.alone("joists")


def _group_span(spec: JoistCheckSpec, criteria: Criteria, data: TimberData) -> Allowable | NoRule:
    return joist_span(
        data, criteria.species_group, spec.size, spec.spacing_in, criteria.variable_psf, load_kind(criteria)
    )


def _span_twin(spec: JoistCheckSpec, criteria: Criteria, data: TimberData) -> Allowable | NoRule:
    found = _group_span(spec, criteria, data)
    if isinstance(found, NoRule) or not needs_cantilever_column(
        criteria, spec.size, spec.cantilever_in or 0.0
    ):
        return found
    return joist_span_with_cantilever_2015(data, criteria.species_group, spec.size, found.printed)


def span_pair(spec: JoistCheckSpec, criteria: Criteria, data: TimberData) -> Pair:
    """Return the span a joist may have, on both sides."""
    limit = joist_span_limit(criteria, spec.size, spec.spacing_in, spec.cantilever_in or 0.0)
    design = joist_span(
        data, criteria.species, spec.size, spec.spacing_in, criteria.variable_psf, load_kind(criteria),
        criteria.dead_psf, criteria.grade,
    )  # fmt: skip
    twin = by_rule(SPAN, _span_twin(spec, criteria, data), "table_rule", rule_of(limit))
    return pair_of(limit, by_table(criteria, SPAN, limit, OFF), twin, by_rule(SPAN, design, "nds", NDS))


def _reach_twin(
    spec: JoistCheckSpec, criteria: Criteria, data: TimberData, back_in: float
) -> Allowable | NoRule | None:
    rule, group = criteria.rulebook.in_force_settings.joist_cantilever_rule, criteria.species_group
    if rule == "by_back_span":
        return joist_cantilever_2021(
            data, group, spec.size, back_in, criteria.variable_psf, load_kind(criteria)
        )
    if rule != "column_and_quarter":
        return None
    # The column is for the span its own row prints.
    row = joist_span_limit(criteria, spec.size, spec.spacing_in, 0.0)
    if row.value_in is None:
        return None
    found = joist_cantilever_2018(data, group, spec.size, row.value_in)
    return found if isinstance(found, NoRule) else _within_quarter(found, back_in)


def _within_quarter(found: Allowable, back_in: float) -> Allowable:
    """The 2018 column is for a quarter of its own span; the actual span beside the cantilever counts too."""
    quarter = step("L/4", QUARTER * back_in, "in", "a quarter of the actual adjacent span")
    column = Bound(found.governing, found.species, found.value, found.status, found.steps)
    actual = Bound(
        "quarter_of_span", found.species, QUARTER * back_in, "two_sources", (*found.steps, quarter)
    )
    return least([column, actual])


def _reach_design(spec: JoistCheckSpec, criteria: Criteria, data: TimberData, back_in: float) -> Said:
    if back_in < MIN_BACK_SPAN_IN:
        text = f"A back span of {back_in:g} in: cantilevers begin at {MIN_BACK_SPAN_IN:g} in of back span."
        return MemberRefusal(REACH, "back_span_under_table", text)
    found = joist_cantilever_2021(
        data, criteria.species, spec.size, back_in, criteria.variable_psf, load_kind(criteria)
    )
    return by_rule(REACH, found, "nds", NDS)


def reach_pair(spec: JoistCheckSpec, criteria: Criteria, data: TimberData) -> Pair | None:
    """Return the cantilever a joist may have beside its back span, on both sides; None without a back span."""
    back_in = spec.back_span_in or spec.span_in
    if back_in is None:
        return None
    limit = joist_cantilever_limit(criteria, spec.size, spec.spacing_in, back_in)
    found = _reach_twin(spec, criteria, data, back_in)
    twin = None if found is None else by_rule(REACH, found, "table_rule", rule_of(limit))
    code = "back_span_under_table" if back_in < MIN_BACK_SPAN_IN else OFF
    table = by_table(criteria, REACH, limit, code)
    return pair_of(limit, table, twin, _reach_design(spec, criteria, data, back_in))


def _beams(spec: JoistCheckSpec) -> Iterator[tuple[Beam, tuple[Point, ...]]]:
    """The joist as the beams it is by statics: over its longest span, and past the bay beside its cantilever."""
    if spec.span_in is not None:
        length = spec.span_in / 12
        yield Beam(length, (0.0, length)), ()
    back_in = spec.back_span_in or spec.span_in
    if spec.cantilever_in and back_in is not None:
        end = (back_in + spec.cantilever_in) / 12
        yield Beam(end, (0.0, back_in / 12)), (Point(end, TIP_LB),)


def _lines(spec: JoistCheckSpec, criteria: Criteria, data: TimberData) -> tuple[MemberLine, ...] | NoRule:
    wood = Member(
        criteria.species, spec.size, 1, criteria.grade, load_kind(criteria), True, HANGER_BEARING_IN
    )
    strip_ft = spec.spacing_in / 12
    return judging.worst_lines(
        member_lines(
            data, wood, beam, criteria.dead_psf * strip_ft, criteria.variable_psf * strip_ft,
            varying_points=tips,
        )
        for beam, tips in _beams(spec)
    )  # fmt: skip


def _asked(spec: JoistCheckSpec, span: Pair, reach: Pair | None) -> Iterator[tuple[Pair, str, float]]:
    if spec.span_in is not None:
        yield span, SPAN, spec.span_in
    if spec.cantilever_in and reach is not None:
        yield reach, REACH, spec.cantilever_in


def check_joist(spec: JoistCheckSpec, criteria: Criteria, data: TimberData) -> Worked:
    """Return a joist worked out on both sides, and whether the lengths given hold."""
    span, reach = span_pair(spec, criteria, data), reach_pair(spec, criteria, data)
    further = [] if reach is None else [reach]
    asked = list(_asked(spec, span, reach))
    findings = [
        finding for pair, check, demand in asked for finding in findings_of(pair, JOISTS, check, demand)
    ]
    findings += judging.line_findings(_lines(spec, criteria, data), JOISTS, NAMES)
    reasons = [one for pair, _, _ in asked for one in reasons_of(pair, JOISTS)]
    allowable, governing = decides(span.table, span.main)
    return Worked(
        table=side(BY_TABLE, span.table, [one.table for one in further]),
        calculated=side(BY_CALCULATION, span.main, beside_all(span, further)),
        allowable=allowable,
        governing=governing,
        judged=judging.judged(findings, reasons, cautions_of([span, *further], JOISTS)),
        asked=bool(asked),
    )

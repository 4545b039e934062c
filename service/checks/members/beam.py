"""A beam alone: span and overhang by table and by calculation, joists on one side or on both."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import msgspec

from service.checks.calculated import BEAM_CHECKS
from service.checks.judged import reason
from service.checks.members import judging
from service.checks.members.pairs import Pair, beside_all, cautions_of, findings_of, pair_of, reasons_of
from service.checks.members.sides import (
    BY_CALCULATION,
    BY_TABLE,
    NDS,
    Said,
    Worked,
    allowable_of,
    by_rule,
    by_table,
    decides,
    load_kind,
    rule_of,
    side,
    site_refusal,
)
from service.contract.member_checks import BeamCheckSpec
from service.contract.member_checks_answer import MemberAllowable, MemberLimit, MemberRefusal
from service.contract.report import Reason
from service.mechanics.beam import Beam
from service.mechanics.quick import continuous_reactions
from service.sizing.beams import TABLE, beam_span_limit, interior_beam_table_limit, overhang_limit_in
from service.sizing.calculated_beams import beam_span_2018, beam_span_2021, beam_span_2024
from service.sizing.calculated_members import Member, MemberLine, member_lines
from service.sizing.calculated_result import Allowable
from service.sizing.criteria import Criteria
from service.sizing.limit import Limit
from service.sizing.line_load_beam import line_load_beam_span
from service.sizing.lumber import post_side_in
from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.finding import SLACK, Finding, at_most
from service.units.working import step

SPAN, OVERHANG, AT_SUM = "beam_span", "beam_overhang", "beam_span_at_sum_of_spans"
OFF = "size_or_spacing_off_tables"
QUARTER = 0.25
NO_BEARING_IN = 1.0
NAMES = {check: f"beam_{name}" for check, name in BEAM_CHECKS.items()}
BEAM = judging.alone("beam")


def share_ft(spec: BeamCheckSpec) -> float:
    """Return the joists' reaction on the beam for 1 psf, by statics, lb per foot of beam.

    >>> joists = {"joist_span_ft": 10.0, "joist_cantilever_ft": 2.5}
    >>> share_ft(BeamCheckSpec(rulebook="irc-2021", species="hem_fir", size="2x10", plies=2, **joists))
    7.8125
    """
    near_ft, far_ft = spec.joist_span_ft, spec.far_joist_span_ft
    if far_ft is None:
        return (near_ft + spec.joist_cantilever_ft) ** 2 / (2 * near_ft)
    if spec.joists_over_beam == "broken":
        return (near_ft + far_ft) / 2
    return continuous_reactions([near_ft, far_ft], 0.0, 0.0, 1.0)[1]


def _design(spec: BeamCheckSpec, criteria: Criteria, data: TimberData) -> Said:
    feet = share_ft(spec)
    found = line_load_beam_span(
        data, criteria.species, spec.size, spec.plies, criteria.dead_psf * feet, criteria.variable_psf * feet,
        load_kind(criteria), criteria.grade,
    )  # fmt: skip
    return by_rule(SPAN, found, "nds", NDS)


def _twin(spec: BeamCheckSpec, criteria: Criteria, data: TimberData, limit: Limit) -> Allowable | NoRule:
    """The calculation behind the table, chosen by how the edition's table is read."""
    rule = criteria.rulebook.in_force_settings.beam_lookup_rule
    group = criteria.rulebook.tables[TABLE].species_group(criteria.species) or ""
    size, plies, kind = spec.size, spec.plies, load_kind(criteria)
    if rule == "next_column":
        return beam_span_2018(data, group, size, plies, spec.joist_span_ft)
    if rule == "factored_span":
        effective = next((one.value for one in limit.before if one.symbol == "J_eff"), None)
        used = effective or spec.joist_span_ft
        return beam_span_2021(data, group, size, plies, used, criteria.variable_psf, kind)
    return beam_span_2024(
        data, group, size, plies, spec.joist_span_ft, spec.joist_cantilever_ft, criteria.variable_psf, kind
    )


def _too_far(spec: BeamCheckSpec) -> MemberRefusal | None:
    """The tables, and the joists, go to an overhang of a quarter: past it a cell would say too much."""
    if spec.joist_cantilever_ft <= QUARTER * spec.joist_span_ft + SLACK:
        return None
    text = f"Joists of {spec.joist_span_ft:g} ft overhang the beam by {spec.joist_cantilever_ft:g} ft, over a quarter."
    return MemberRefusal(SPAN, "joists_overhang_too_far", text)


def one_sided(spec: BeamCheckSpec, criteria: Criteria, data: TimberData) -> Pair:
    """Return the span of a beam with joists on one side, on both sides of the answer."""
    limit = beam_span_limit(criteria, spec.size, spec.plies, spec.joist_span_ft, spec.joist_cantilever_ft)
    table = _too_far(spec) or by_table(criteria, SPAN, limit, OFF)
    twin = by_rule(SPAN, _twin(spec, criteria, data, limit), "table_rule", rule_of(limit))
    return pair_of(limit, table, twin, _design(spec, criteria, data))


def two_sided(spec: BeamCheckSpec, criteria: Criteria, data: TimberData) -> Pair:
    """Return the span of a beam with joists on both sides: outside the tables, so calculated."""
    limit = _at_sum(spec, criteria)
    text = "The beam tables are for joists on one side; the true reaction is calculated."
    refused = site_refusal(criteria, SPAN) or MemberRefusal(SPAN, "joists_on_both_sides", text)
    return pair_of(limit, refused, None, _design(spec, criteria, data))


def _at_sum(spec: BeamCheckSpec, criteria: Criteria) -> Limit:
    far_ft = spec.far_joist_span_ft or 0.0
    limit = interior_beam_table_limit(criteria, spec.size, spec.plies, spec.joist_span_ft, far_ft)
    by_pair = criteria.rulebook.in_force_settings.beam_lookup_rule == "span_and_cantilever_pair"
    if by_pair and spec.joists_over_beam == "continuous":
        return replace(limit, value_in=None, outcome="off_table")
    return limit


def _at_sum_said(pair: Pair, criteria: Criteria) -> MemberLimit | None:
    said = by_table(criteria, AT_SUM, pair.limit, OFF)
    return said if isinstance(said, MemberLimit) else None


def _overhang(spec: BeamCheckSpec, criteria: Criteria) -> MemberLimit | None:
    if spec.span_in is None:
        return None
    cited = criteria.rulebook.limit("beam_overhang_limit").citation
    return MemberLimit(
        quantity=OVERHANG,
        sense="at_most",
        value=overhang_limit_in(criteria, spec.span_in),
        unit="in",
        printed=None,
        method="rule",
        governing="quarter_of_span",
        bounds=(),
        species=None,
        status=cited.status,
        citation=cited,
        working=(step("L", spec.span_in, "in", "actual adjacent span"),),
    )


def _beams(spec: BeamCheckSpec, span_in: float) -> Iterator[Beam]:
    """One span with its overhang, and two equal spans over a middle post: whichever is worse counts."""
    span, over = span_in / 12, (spec.overhang_in or 0.0) / 12
    yield Beam(span + over, (0.0, span))
    yield Beam(2 * span + over, (0.0, span, 2 * span))


def _lines(
    spec: BeamCheckSpec, criteria: Criteria, data: TimberData, span_in: float
) -> tuple[MemberLine, ...] | NoRule:
    bearing = post_side_in(spec.post_size) if spec.post_size else NO_BEARING_IN
    wood = Member(
        criteria.species, spec.size, spec.plies, criteria.grade, load_kind(criteria), False, bearing
    )
    feet = share_ft(spec)
    return judging.worst_lines(
        member_lines(data, wood, beam, criteria.dead_psf * feet, criteria.variable_psf * feet)
        for beam in _beams(spec, span_in)
    )


def _line_names(spec: BeamCheckSpec) -> dict[str, str]:
    """The checks made: bearing only where the post is known."""
    return {check: name for check, name in NAMES.items() if check != "bearing" or spec.post_size is not None}


def _rules(
    spec: BeamCheckSpec, overhang: MemberLimit | None, at_sum: MemberLimit | None
) -> Iterator[Finding]:
    if at_sum is not None and spec.span_in is not None:
        # Basis rule, not table: our reading at the sum may not excuse what the calculation refuses.
        yield at_most(BEAM, SPAN, "rule", spec.span_in, at_sum.value, "in", at_sum.citation, at_sum.working)
    if overhang is not None and spec.overhang_in:
        yield at_most(
            BEAM, OVERHANG, "rule", spec.overhang_in, overhang.value, "in", overhang.citation,
            overhang.working,
        )  # fmt: skip


def _findings(
    spec: BeamCheckSpec, pair: Pair, criteria: Criteria, data: TimberData, rules: Iterator[Finding]
) -> list[Finding]:
    if spec.span_in is None:
        return []
    lines = _lines(spec, criteria, data, spec.span_in)
    return [
        *findings_of(pair, BEAM, SPAN, spec.span_in),
        *rules,
        *judging.line_findings(lines, BEAM, _line_names(spec)),
    ]


def _reasons(spec: BeamCheckSpec, pair: Pair, criteria: Criteria) -> tuple[Reason, ...]:
    if not spec.joists_on_both_sides:
        return reasons_of(pair, BEAM)
    without = judging.without_rule(pair.table, pair.design, BEAM)
    if criteria.rulebook.in_force_settings.accept_tributary_interior_beams:
        return without
    text = (
        "It carries joists on both sides; the beam tables are for one side. Its true reaction and the table at "
        "the sum of both spans are shown, and the lesser counts."
    )
    cited = criteria.guide.limit("guide_beam_joists_one_side").citation
    return (reason("joists_on_both_sides", text, BEAM, cited), *without)


def _decides(pair: Pair, at_sum: MemberLimit | None) -> tuple[MemberAllowable | None, str | None]:
    """With joists on both sides the lesser of the calculation and the table at the sum of both spans."""
    if at_sum is None or not isinstance(pair.main, MemberLimit) or pair.main.value <= at_sum.value:
        return decides(pair.table, pair.main)
    return allowable_of(msgspec.structs.replace(at_sum, quantity=SPAN), "table"), at_sum.governing


def check_beam(spec: BeamCheckSpec, criteria: Criteria, data: TimberData) -> Worked:
    """Return a beam worked out on both sides, and whether the lengths given hold."""
    both = spec.joists_on_both_sides
    pair = two_sided(spec, criteria, data) if both else one_sided(spec, criteria, data)
    at_sum = _at_sum_said(pair, criteria) if both else None
    overhang = _overhang(spec, criteria)
    allowable, governing = _decides(pair, at_sum)
    return Worked(
        table=side(BY_TABLE, pair.table, [one for one in (at_sum, overhang) if one is not None]),
        calculated=side(BY_CALCULATION, pair.main, beside_all(pair, [])),
        allowable=allowable,
        governing=governing,
        judged=judging.judged(
            _findings(spec, pair, criteria, data, _rules(spec, overhang, at_sum)),
            _reasons(spec, pair, criteria),
            cautions_of([pair], BEAM),
        ),
        asked=spec.span_in is not None,
    )

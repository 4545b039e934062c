"""A post alone: height by table, by the rule the table is made by, and as an NDS column."""

from __future__ import annotations

from dataclasses import replace

from service.checks.members import judging
from service.checks.members.pairs import Pair, beside_all, cautions_of, findings_of, pair_of, reasons_of
from service.checks.members.sides import (
    BY_TABLE,
    Said,
    Worked,
    by_rule,
    by_table,
    decides,
    load_kind,
    rule_of,
    side,
)
from service.contract.member_checks import FootingCheckSpec, PostCheckSpec
from service.contract.member_checks_answer import MemberLimit, MemberRefusal
from service.sizing.allowed import TALLEST_POST_IN
from service.sizing.calculated_posts import post_capacity, post_height, post_height_2021
from service.sizing.calculated_result import Allowable
from service.sizing.criteria import Criteria
from service.sizing.limit import Limit
from service.sizing.posts import SMALLEST_AREA_SQFT, post_height_limit
from service.timber.values import TimberData
from service.units.citation import Citation
from service.units.finding import Finding, at_most

HEIGHT, LOAD = "post_height", "post_load"
OFF = "post_above_table"
POST = judging.alone("post")
COLUMNS = Citation("NDS", edition="2018", section="3.6 and 3.7")
BY_COLUMN = (
    "The 2021 and 2024 post tables use one stiffness for every species and a dead load that is a share of the "
    "live load, so the calculation that gives their cells back is not NDS: for tall slender posts of limber "
    "species the table allows more than NDS does. Both are shown."
)


def load_lb_of(spec: PostCheckSpec | FootingCheckSpec, criteria: Criteria) -> float:
    """Return the load on a post or footing, lb: as given, or tributary area times design load."""
    if spec.load_lb is not None:
        return spec.load_lb
    return (spec.tributary_sqft or 0.0) * criteria.design_psf


def _limit(spec: PostCheckSpec, criteria: Criteria, area_sqft: float) -> Limit:
    limit = post_height_limit(criteria, spec.size, spec.beam_plies, area_sqft)
    if (spec.height_in or 0.0) > TALLEST_POST_IN:
        return replace(limit, value_in=None, outcome="off_table")
    return limit


def _twin(
    spec: PostCheckSpec, criteria: Criteria, data: TimberData, limit: Limit, area_sqft: float
) -> Said | None:
    if criteria.rulebook.in_force_settings.post_table_rule != "by_tributary_area":
        return None
    found = post_height_2021(
        data, criteria.species_group, spec.size, max(area_sqft, SMALLEST_AREA_SQFT), criteria.variable_psf,
        load_kind(criteria),
    )  # fmt: skip
    return by_rule(HEIGHT, found, "table_rule", rule_of(limit))


def _table(spec: PostCheckSpec, criteria: Criteria, limit: Limit) -> Said:
    said = by_table(criteria, HEIGHT, limit, OFF)
    if isinstance(said, MemberRefusal) and said.code == OFF and (spec.height_in or 0.0) > TALLEST_POST_IN:
        return MemberRefusal(HEIGHT, OFF, f"No table has a post over {TALLEST_POST_IN:g} in.")
    return said


def height_pair(spec: PostCheckSpec, criteria: Criteria, data: TimberData) -> Pair:
    """Return the height a post may have under its load, on both sides."""
    load_lb = load_lb_of(spec, criteria)
    area_sqft = load_lb / criteria.design_psf
    limit = _limit(spec, criteria, area_sqft)
    twin = _twin(spec, criteria, data, limit, area_sqft)
    return pair_of(limit, _table(spec, criteria, limit), twin, _design(spec, criteria, data, load_lb))


def _design(spec: PostCheckSpec, criteria: Criteria, data: TimberData, load_lb: float) -> Said:
    found = post_height(data, criteria.species, spec.size, load_lb, load_kind(criteria), criteria.grade)
    if isinstance(found, Allowable) and found.value <= 0:
        return MemberRefusal(
            HEIGHT, "post_crushes", f"{spec.size} crushes under {load_lb:.0f} lb at any height."
        )
    return by_rule(HEIGHT, found, "nds", COLUMNS)


def capacity(spec: PostCheckSpec, criteria: Criteria, data: TimberData) -> Said | None:
    """Return the load a post carries at the height given, lb; None without a height."""
    if spec.height_in is None:
        return None
    found = post_capacity(
        data, criteria.species, spec.size, spec.height_in, load_kind(criteria), criteria.grade
    )
    return by_rule(LOAD, found, "nds", COLUMNS)


def _findings(spec: PostCheckSpec, pair: Pair, carries: Said | None, load_lb: float) -> list[Finding]:
    if spec.height_in is None:
        return []
    found = list(findings_of(pair, POST, HEIGHT, spec.height_in))
    if isinstance(carries, MemberLimit):
        found.append(
            at_most(
                POST, "post_compression", "calculated", load_lb, carries.value, "lb", carries.citation,
                carries.working,
            )
        )  # fmt: skip
    return found


def check_post(spec: PostCheckSpec, criteria: Criteria, data: TimberData) -> Worked:
    """Return a post worked out on both sides, and whether the height given holds."""
    pair = height_pair(spec, criteria, data)
    carries = capacity(spec, criteria, data)
    further = [] if carries is None else [carries]
    allowable, governing = decides(pair.table, pair.main)
    return Worked(
        table=side(BY_TABLE, pair.table),
        calculated=side(BY_COLUMN, pair.main, [*beside_all(pair, []), *further]),
        allowable=allowable,
        governing=governing,
        judged=judging.judged(
            _findings(spec, pair, carries, load_lb_of(spec, criteria)),
            reasons_of(pair, POST),
            cautions_of([pair], POST),
        ),
        asked=spec.height_in is not None,
    )

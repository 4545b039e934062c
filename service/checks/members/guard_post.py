"""A guard post alone: what the code's load at its top does to the connector that holds it."""

from __future__ import annotations

from service.checks.judged import caution
from service.checks.members import judging
from service.checks.members.sides import Said, Worked, decides, side
from service.contract.member_checks import GuardPostCheckSpec
from service.contract.member_checks_answer import MemberLimit, MemberRefusal
from service.contract.report import Caution, Reason
from service.sizing.criteria import Criteria
from service.sizing.guard_post_bending import bending_finding
from service.sizing.guard_posts import (
    BOLT_BELOW_TOP_IN,
    carrier_finding,
    moment_finding,
    moment_reason,
)
from service.sizing.lumber import depth_in
from service.sizing.stair_checks import or_else, reasons_of
from service.sizing.stair_limits import StairRules, figure, stair_rules
from service.units.finding import Finding, at_least, yes_no
from service.units.working import Step, step

HEIGHT, TENSION = "guard_height", "guard_connector_tension"
POST = judging.alone("guard-post")
BY_CODE = (
    "No edition prints a table for guard posts: the code gives a load and a height, a guide the connector."
)
BY_STATICS = (
    "The load at the top turns a side-mounted post about the lower edge of the member; the connector at the upper "
    "bolt holds it. A surface mount is proven by its maker's tests alone."
)


def _none(quantity: str) -> MemberRefusal:
    return MemberRefusal(quantity, "no_table_in_edition", BY_CODE)


def greatest_height_in(load_lb: float, capacity_lb: float, decking_in: float, carrier_in: float) -> float:
    """Return the guard height over the boards at which a side mount's connector is full, in.

    >>> round(greatest_height_in(200, 1800, 1.0, 7.25), 2)
    39.0
    """
    couple = carrier_in - BOLT_BELOW_TOP_IN
    return capacity_lb * couple / load_lb - couple - decking_in - BOLT_BELOW_TOP_IN


def _height(spec: GuardPostCheckSpec, rules: StairRules) -> Said:
    """The greatest height of a side mount; a surface mount has none that statics could give."""
    if spec.mount == "surface":
        return MemberRefusal(HEIGHT, "tests_only", "A surface mount holds by its maker's tests alone.")
    load, capacity = (
        figure(rules.code, "guard_top_load"),
        figure(rules.guide, "guide_guard_post_anchor_capacity"),
    )
    depth = depth_in(spec.carrier_size)
    height = greatest_height_in(load.value, capacity.value, spec.decking_thickness_in, depth)
    steps = (
        *load.steps,
        *capacity.steps,
        step("s", depth - BOLT_BELOW_TOP_IN, "in", "upper bolt to the lower edge of the member"),
        step("h", height, "in", "T s / P - s - boards - 2 in"),
    )
    return _limit(HEIGHT, height, "in", capacity.citation.status, steps, rules)


def _tension(rules: StairRules) -> MemberLimit:
    capacity = figure(rules.guide, "guide_guard_post_anchor_capacity")
    status = capacity.citation.status
    return _limit(TENSION, capacity.value, "lb", status, capacity.steps, rules)


def _limit(
    quantity: str, value: float, unit: str, status: str, steps: tuple[Step, ...], rules: StairRules
) -> MemberLimit:
    return MemberLimit(
        quantity=quantity,
        sense="at_most",
        value=value,
        unit=unit,
        printed=None,
        method="statics",
        governing="connector",
        bounds=(),
        species=None,
        status=status,
        citation=figure(rules.guide, "guide_guard_post_anchor_capacity").citation,
        working=steps,
    )


def _moment(spec: GuardPostCheckSpec, rules: StairRules) -> Finding:
    if spec.mount == "side":
        found = moment_finding(
            POST, spec.guard_height_in, spec.decking_thickness_in, spec.carrier_size, rules
        )
        return or_else(found, "a deeper member, or a stronger connector")
    load = figure(rules.code, "guard_top_load")
    moment = load.value * spec.guard_height_in / 12
    steps = (
        *load.steps,
        step("h", spec.guard_height_in, "in", "top of guard over the base"),
        step("M", moment, "lb_ft", "P h, which the base must be tested for"),
    )
    return yes_no(POST, "guard_post_moment", "rule", True, load.citation, steps)


def _findings(spec: GuardPostCheckSpec, rules: StairRules, criteria: Criteria) -> tuple[Finding, ...]:
    least = figure(rules.code, "guard_height")
    height = at_least(
        POST, "guard_height", "rule", spec.guard_height_in, least.value, "in", least.citation, least.steps
    )
    bent = bending_finding(POST, spec.mount, spec.guard_height_in, spec.decking_thickness_in, rules, criteria)
    return (
        or_else(height, f"at least {least.value:g} in"),
        or_else(carrier_finding(POST, spec.carrier_size, rules), "a member of 2x8 or deeper"),
        _moment(spec, rules),
        *((bent,) if bent else ()),
    )


def _reasons(findings: tuple[Finding, ...]) -> tuple[Reason, ...]:
    held = (moment_reason(one) for one in findings if one.check == "guard_post_moment")
    plain = reasons_of([one for one in findings if one.basis == "rule" and one.sense == "at_least"])
    return (*plain, *(one for one in held if one is not None))


def _cautions(spec: GuardPostCheckSpec) -> tuple[Caution, ...]:
    text = f"A {spec.mount}-mounted guard post holds by a tested connector, whose maker's listing governs."
    action = "Choose a listed connector for this post, height and member, and follow its listing."
    return (caution("maker_listing_governs", text, action),)


def check_guard_post(spec: GuardPostCheckSpec, criteria: Criteria) -> Worked:
    """Return a guard post worked out by statics, and whether height, member and connector hold."""
    rules = stair_rules(criteria)
    height = _height(spec, rules)
    further = [_tension(rules)] if spec.mount == "side" else []
    findings = _findings(spec, rules, criteria)
    allowable, governing = decides(_none(HEIGHT), height)
    return Worked(
        table=side(BY_CODE, _none(HEIGHT)),
        calculated=side(BY_STATICS, height, further),
        allowable=allowable,
        governing=governing,
        judged=judging.judged(findings, _reasons(findings), _cautions(spec)),
    )

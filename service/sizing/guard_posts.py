"""What a guard post does to the member it is fixed to."""

from __future__ import annotations

from typing import Final

from service.contract.report import Reason
from service.sizing.lumber import depth_in, nominal
from service.sizing.stair_limits import StairRules, figure
from service.units.citation import own_convention
from service.units.finding import Finding, at_least, at_most
from service.units.working import Step, step, word

# Upper bolt 2 in under the top of the member: AWC DCA 6 figure, from memory.
BOLT_BELOW_TOP_IN: Final = 2.0
SMALLEST_CARRIER: Final = "2x8"
COUPLE = own_convention(
    "guard post as a rigid lever that turns about the lower edge of the member it is bolted to"
)


def connector_tension_lb(
    load_lb: float, guard_height_in: float, decking_in: float, carrier_in: float
) -> float:
    """Return the pull in the connector at a side-mounted post's upper bolt, lb.

    Source: statics. The load at the top turns the post about the lower edge of the member; the connector holds
    it at the upper bolt, 2 in under the member's top.

    Args:
        load_lb: load at the top of the guard, lb.
        guard_height_in: guard height over the boards, in.
        decking_in: board thickness, in.
        carrier_in: dressed depth of the rim or joist the post is bolted to, in.

    Limits: whole posts that reach the lower edge of the member; wood bearing under the post is not counted.

    >>> round(connector_tension_lb(200, 36, 1.0, 7.25))
    1686
    """
    couple = carrier_in - BOLT_BELOW_TOP_IN
    arm = guard_height_in + decking_in + BOLT_BELOW_TOP_IN
    return load_lb * (arm + couple) / couple


def moment_finding(
    member: str, guard_height_in: float, decking_in: float, carrier: str, rules: StairRules
) -> Finding:
    """Return the check of the pull in a side mount's connector, lb, against what such a connector must hold.

    Source: load IRC Table R301.5 as cited in the steps; capacity AWC DCA 6 as cited; couple by statics.

    Args:
        member: id of the guard.
        guard_height_in: guard height, in.
        decking_in: board thickness, in.
        carrier: nominal size of the member the posts are bolted to.
        rules: code and guide.
    """
    load = figure(rules.code, "guard_top_load")
    capacity = figure(rules.guide, "guide_guard_post_anchor_capacity")
    depth = depth_in(carrier)
    tension = connector_tension_lb(load.value, guard_height_in, decking_in, depth)
    arm = guard_height_in + decking_in + BOLT_BELOW_TOP_IN
    steps: tuple[Step, ...] = (
        *load.steps,
        step("a", arm, "in", "guard height, boards and 2 in down to the upper bolt"),
        step("s", depth - BOLT_BELOW_TOP_IN, "in", "upper bolt to the lower edge of the member"),
        word("turns_about", "lower edge of the member", COUPLE.document),
        step("T", tension, "lb", "P (a + s) / s"),
        *capacity.steps,
    )
    return at_most(
        member, "guard_post_moment", "calculated", tension, capacity.value, "lb", capacity.citation, steps
    )


def carrier_finding(member: str, carrier: str, rules: StairRules) -> Finding:
    """Return the check that members carrying guard posts are 2x8 or deeper (nominal, in).

    Source: AWC DCA 6, note on 2x6 joists.

    Args:
        member: id of the guard.
        carrier: nominal size of the member the posts are fixed to.
        rules: code and guide.
    """
    citation = rules.guide.limit("guide_2x6_joists").citation
    given, least = nominal(carrier)[1], nominal(SMALLEST_CARRIER)[1]
    steps = (word("carrier", carrier, "rim or joist the posts are fixed to"),)
    return at_least(member, "guard_rim_size", "rule", float(given), float(least), "in", citation, steps)


def moment_reason(finding: Finding) -> Reason | None:
    """Return why an overloaded connector, lb, leaves the guard to an engineer; None where it holds.

    Source: the load path of IRC R507.10.1; a connector proven for less is not proven.

    Args:
        finding: check made by ``moment_finding``.
    """
    if finding.passes:
        return None
    text = f"the connector of a guard post is pulled with {finding.demand:.0f} lb; {finding.capacity:g} lb is proven"
    return Reason(
        code="guard_connector_unproven", text=text, member=finding.member, citation=finding.citation
    )

"""Checks of a run of guard."""

from __future__ import annotations

from collections.abc import Sequence

from service.connections.guard_anchorage import Carriers
from service.contract.report import Reason
from service.contract.report_frame import Guard
from service.framing.guard_edges import Edge
from service.framing.guards import GuardRun, OpenEdge
from service.sizing.guard_posts import carrier_finding, moment_finding
from service.sizing.stair_checks import or_else
from service.sizing.stair_limits import StairRules, figure
from service.units.finding import Finding, at_least, at_most, yes_no
from service.units.text import feet_inches
from service.units.working import step, word


def unguarded_member(edge: Edge, carriers: Carriers) -> str:
    """Return the id of the member along an edge without a guard: its rim, else the joists. No unit.

    Source: the frame's own members.

    Args:
        edge: the edge.
        carriers: joists and rims.
    """
    return carriers.rims.get(edge.number, carriers.joists)


def edge_finding(member: str, opened: OpenEdge, guarded: bool, rules: StairRules) -> Finding:
    """Return the check of whether an edge that must be guarded is; heights in in.

    Source: IRC guards section, where required, by edition as cited.

    Args:
        member: id of the guard, or of the member along an edge without one.
        opened: the edge and its drop.
        guarded: whether it has a guard.
        rules: code and guide.
    """
    above = figure(rules.code, "guard_required_above")
    reach = figure(rules.code, "guard_grade_check_distance")
    need = "required" if opened.required else "not required"
    steps = (
        step("h", opened.drop_in, "in", f"surface over the lowest ground near edge {opened.edge.number}"),
        *above.steps,
        *reach.steps,
        word("guard", need + (", given" if guarded else ", none given"), "h over the limit"),
    )
    found = yes_no(member, "guard_required", "rule", guarded or not opened.required, above.citation, steps)
    return or_else(found, "a guard along this edge")


def run_findings(
    guard: Guard, run: GuardRun, mount: str, decking_in: float, carrier: str, rules: StairRules
) -> list[Finding]:
    """Return the checks of a guard: height, opening, post spacing, carrying member and connector; in and lb.

    Source: IRC guards section by edition as cited; AWC DCA 6 for spacing, member and connector.

    Args:
        guard: the guard.
        run: its run, spacing in in.
        mount: side or surface.
        decking_in: board thickness, in.
        carrier: nominal size of rim and joists.
        rules: code and guide.
    """
    height, opening = figure(rules.code, "guard_height"), figure(rules.code, "guard_opening_sphere")
    spacing = figure(rules.guide, "guide_guard_post_spacing")
    ball = step("sphere", opening.value, "in", "ordered so that a ball this wide cannot pass")
    return [
        at_least(
            guard.id, "guard_height", "rule", guard.height_in, height.value, "in", height.citation, height.steps
        ),
        yes_no(guard.id, "guard_opening", "rule", True, opening.citation, (ball, *opening.steps)),
        or_else(
            at_most(
                guard.id, "guard_post_spacing", "rule", run.widest_in, spacing.value, "in", spacing.citation,
                spacing.steps,
            ),
            f"posts {feet_inches(spacing.value)} apart or less",
        ),
        or_else(carrier_finding(guard.id, carrier, rules), "rim and outer joists 2x8 or deeper"),
        _hold(guard, mount, decking_in, carrier, rules),
    ]  # fmt: skip


def _hold(guard: Guard, mount: str, decking_in: float, carrier: str, rules: StairRules) -> Finding:
    """A side mount is a couple; a surface mount is its maker's test, so only what it must hold is shown."""
    if mount == "side":
        found = moment_finding(guard.id, guard.height_in, decking_in, carrier, rules)
        return or_else(found, "deeper rim and outer joists, or a stronger connector")
    load = figure(rules.code, "guard_top_load")
    steps = (
        *load.steps,
        step("h", guard.height_in, "in", "top of guard over the base"),
        step("M", load.value * guard.height_in / 12, "lb_ft", "P h, which the base must be tested for"),
    )
    return yes_no(guard.id, "guard_post_moment", "rule", True, load.citation, steps)


def omitted_reason(edges: Sequence[OpenEdge], rules: StairRules) -> Reason:
    """Return why a deck whose required guards are left out may not be built; heights in in.

    Source: IRC guards section, where required.

    Args:
        edges: the open edges.
        rules: code and guide.
    """
    above = figure(rules.code, "guard_required_above")
    worst = max(edges, key=lambda edge: edge.drop_in)
    text = (
        f"edge {worst.edge.number} lies {feet_inches(worst.drop_in)} over the ground; over "
        f"{feet_inches(above.value)} a guard is required and none is wanted"
    )
    return Reason(code="guard_omitted", text=text, citation=above.citation)

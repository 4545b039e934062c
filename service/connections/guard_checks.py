"""Checks of a run of guard."""

from __future__ import annotations

from collections.abc import Sequence

from service.contract.report import Reason
from service.contract.report_frame import Guard
from service.framing.guard_falls import OpenEdge, UnderLevel
from service.framing.guards import GuardRun
from service.sizing.guard_posts import carrier_finding, moment_finding
from service.sizing.stair_checks import or_else
from service.sizing.stair_limits import StairRules, figure
from service.units.finding import Finding, at_least, at_most, yes_no
from service.units.text import feet_inches
from service.units.working import step, word

OVER = {"ground": "surface over the lowest ground near edge", "floor": "surface over the level beside edge"}
WHOLE = "h over the limit; over the ground by the greatest h, and then along the whole edge"


def edge_finding(member: str, opened: OpenEdge, guarded: bool, rules: StairRules) -> Finding:
    """Return the check of whether an edge that must be guarded is; heights in in.

    Source: IRC guards section, where required, by edition as cited.

    Args:
        member: id of the guard, or of the member along an edge without one.
        opened: the stretch of edge and its drop.
        guarded: whether it has a guard.
        rules: code and guide.
    """
    above = figure(rules.code, "guard_required_above")
    reach = figure(rules.code, "guard_grade_check_distance")
    need = "required" if opened.required else "not required"
    steps = (
        step("h", opened.drop_in, "in", f"{OVER[opened.over]} {opened.edge.number}"),
        *above.steps,
        *reach.steps,
        word("guard", need + (", given" if guarded else ", none given"), WHOLE),
    )
    found = yes_no(member, "guard_required", "rule", guarded or not opened.required, above.citation, steps)
    return or_else(found, "a guard along this edge")


def under_finding(member: str, under: UnderLevel, rules: StairRules) -> Finding:
    """Return the check of the opening under a higher level beside a floor that needs guards, in.

    Source: IRC guards section, openings, by edition as cited.

    Args:
        member: id of the member along the edge.
        under: the stretch along the higher level.
        rules: code and guide.
    """
    opening = figure(rules.code, "guard_opening_sphere")
    steps = (
        step("s", under.step_in, "in", f"step up to the level beside edge {under.edge.number}"),
        step("o", under.opening_in, "in", "what that level's boards and joists leave open over this floor"),
        step("h", under.drop_in, "in", "this floor over the lowest ground under that level"),
        *opening.steps,
    )
    passes = under.opening_in < opening.value
    found = yes_no(member, "guard_opening", "rule", passes, opening.citation, steps)
    return or_else(found, "boards or infill that close it")


def under_reason(member: str, under: UnderLevel, rules: StairRules) -> Reason:
    """Return why an opening under a higher level, heights in in, leaves the deck to an engineer.

    Source: IRC guards section, openings: what closes it is neither drawn nor ordered here.

    Args:
        member: id of the member along the edge.
        under: the stretch along the higher level.
        rules: code and guide.
    """
    opening = figure(rules.code, "guard_opening_sphere")
    text = (
        f"beside edge {under.edge.number} the higher level's frame leaves {feet_inches(under.opening_in)} open over "
        f"this floor, and the ground lies {feet_inches(under.drop_in)} below: it must be closed so that a ball of "
        f"{feet_inches(opening.value)} cannot pass, which is not designed here"
    )
    return Reason(code="opening_under_level", text=text, member=member, citation=opening.citation)


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
    openings = (
        step("sphere", opening.value, "in", "infill ordered so that a ball this wide cannot pass"),
        step("g", run.gap_in, "in", "widest opening from the run's end posts to what stands beside them"),
        *opening.steps,
    )
    closed = run.gap_in < opening.value
    return [
        at_least(
            guard.id, "guard_height", "rule", guard.height_in, height.value, "in", height.citation, height.steps
        ),
        or_else(
            yes_no(guard.id, "guard_opening", "rule", closed, opening.citation, openings),
            "infill or another post beside the run's end posts",
        ),
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


def corner_reasons(member: str, run: GuardRun, rules: StairRules) -> tuple[Reason, ...]:
    """Return why an opening left beside a run's end posts, in, leaves the deck to an engineer; none if none is.

    Source: IRC guards section, openings: at a sharp or short corner posts stand in each other's way.

    Args:
        member: id of the guard.
        run: its run.
        rules: code and guide.
    """
    opening = figure(rules.code, "guard_opening_sphere")
    if run.gap_in < opening.value:
        return ()
    text = (
        f"posts find no room at a corner of edge {run.edge.number} and leave {feet_inches(run.gap_in)} open beside "
        f"them: it must be closed so that a ball of {feet_inches(opening.value)} cannot pass"
    )
    return (Reason(code="guard_corner_open", text=text, member=member, citation=opening.citation),)


def omitted_reason(edges: Sequence[OpenEdge], rules: StairRules) -> Reason:
    """Return why a deck whose required guards are left out may not be built; heights in in.

    Source: IRC guards section, where required.

    Args:
        edges: the open edges.
        rules: code and guide.
    """
    above = figure(rules.code, "guard_required_above")
    worst = max(edges, key=lambda edge: edge.drop_in)
    below = "the ground" if worst.over == "ground" else "the level beside it"
    text = (
        f"edge {worst.edge.number} lies {feet_inches(worst.drop_in)} over {below}; over "
        f"{feet_inches(above.value)} a guard is required and none is wanted"
    )
    return Reason(code="guard_omitted", text=text, citation=above.citation)

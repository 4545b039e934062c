"""The guards of one level: runs, posts, what holds them, and whether the whole is allowed."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from service.connections.guard_anchorage import BlockingOrder, Carriers, anchor_posts, connector_item
from service.connections.guard_checks import edge_finding, omitted_reason, run_findings, unguarded_member
from service.connections.rail_advice import advice
from service.contract.ids import member
from service.contract.report import Caution, Reason
from service.contract.report_frame import Blocking, Guard, Stair
from service.contract.spec_level import GuardSpec
from service.framing.guards import GuardedLevel, GuardRun, OpenEdge, guard_runs, open_edges
from service.sizing.criteria import Criteria
from service.sizing.guard_post_bending import bending_finding
from service.sizing.guard_posts import moment_reason
from service.sizing.stair_checks import reasons_of
from service.sizing.stair_limits import StairRules, figure, stair_rules
from service.units.finding import Finding, numbered


@dataclass(frozen=True)
class GuardResult:
    """Guards of a level, the blocking they ask for, and what was found."""

    guards: tuple[Guard, ...]
    blocking: tuple[Blocking, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
    reasons: tuple[Reason, ...]


def lay_out_guards(
    level: GuardedLevel,
    stairs: Sequence[Stair],
    spec: GuardSpec,
    carriers: Carriers,
    criteria: Criteria,
    offered: Collection[str] | None,
) -> GuardResult:
    """Return the guards of a level whose posts carry the code's 200 lb into the joists.

    Source: IRC guards section by edition as cited; AWC DCA 6 for post spacing and connectors.

    Args:
        level: outline in ft, surface and ground in in.
        stairs: stairs of the whole deck; those of other levels are left aside.
        spec: extent, mount and post spacing in ft.
        carriers: joists, rims and the number blocking begins at.
        criteria: what the design is judged by.
        offered: item codes of the price book; None where there is none.

    Limits: 4x4 posts, whole; straight edges.
    """
    rules = stair_rules(criteria)
    own = [stair for stair in stairs if stair.level == level.id]
    edges = open_edges(
        level,
        figure(rules.code, "guard_required_above").value,
        figure(rules.code, "guard_grade_check_distance").value,
    )
    chosen = [edge for edge in edges if _wanted(edge, spec)]
    runs = guard_runs(chosen, own, spec.post_mount, spec.post_spacing_ft)
    order = BlockingOrder(level.id, carriers.first_blocking, carriers.size)
    guards = [_guard(n, run, spec, criteria, carriers, order, rules) for n, run in enumerate(runs, start=1)]
    findings = _findings(level, edges, chosen, guards, runs, spec, carriers, rules, criteria)
    return GuardResult(
        guards=tuple(guards),
        blocking=order.pieces(),
        findings=tuple(findings),
        cautions=_cautions(level, edges, own, guards, spec, offered, rules),
        reasons=_reasons(findings, edges, guards, spec, criteria.coating, offered, rules),
    )


def _wanted(edge: OpenEdge, spec: GuardSpec) -> bool:
    return spec.extent == "all_edges" or (spec.extent == "as_required" and edge.required)


def _guard(
    number: int, run: GuardRun, spec: GuardSpec, criteria: Criteria, carriers: Carriers, order: BlockingOrder,
    rules: StairRules,
) -> Guard:  # fmt: skip
    return Guard(
        id=member(order.level, "guard", number),
        mark=f"G{number}",
        edge=run.edge.number,
        start_ft=run.edge.point(run.from_ft),
        end_ft=run.edge.point(run.to_ft),
        height_in=figure(rules.code, "guard_height").value,
        posts=anchor_posts(number, run, spec.post_mount, criteria.coating, carriers, order),
    )


def _findings(
    level: GuardedLevel, edges: Sequence[OpenEdge], chosen: Sequence[OpenEdge], guards: Sequence[Guard],
    runs: Sequence[GuardRun], spec: GuardSpec, carriers: Carriers, rules: StairRules, criteria: Criteria,
) -> list[Finding]:  # fmt: skip
    found: list[Finding] = []
    by_edge = {opened.edge.number: opened for opened in edges}
    for guard, run in zip(guards, runs, strict=True):
        found.append(edge_finding(guard.id, by_edge[guard.edge], True, rules))
        found += run_findings(guard, run, spec.post_mount, level.decking_thickness_in, carriers.size, rules)
        bent = bending_finding(
            guard.id, spec.post_mount, guard.height_in, level.decking_thickness_in, rules, criteria
        )
        found += [bent] if bent else []
    for opened in edges:
        if opened not in chosen:
            found.append(edge_finding(unguarded_member(opened.edge, carriers), opened, False, rules))
    return numbered(found)


def _reasons(
    findings: Sequence[Finding], edges: Sequence[OpenEdge], guards: Sequence[Guard], spec: GuardSpec,
    coating: str, offered: Collection[str] | None, rules: StairRules,
) -> tuple[Reason, ...]:  # fmt: skip
    special = ("guard_required", "guard_post_moment", "guard_post_bending")
    found = list(reasons_of([finding for finding in findings if finding.check not in special]))
    found += [reason for f in findings if f.check == "guard_post_moment" and (reason := moment_reason(f))]
    if spec.extent == "none" and any(edge.required for edge in edges):
        found.append(omitted_reason(edges, rules))
    connector = connector_item(spec.post_mount, coating)
    if guards and offered is not None and connector not in offered:
        text = f"the price book has no {connector}: nothing is proven to hold the guard posts"
        found.append(Reason(code="guard_connector_unproven", text=text, member=guards[0].id))
    return tuple(found)


def _cautions(
    level: GuardedLevel, edges: Sequence[OpenEdge], stairs: Sequence[Stair], guards: Sequence[Guard],
    spec: GuardSpec, offered: Collection[str] | None, rules: StairRules,
) -> tuple[Caution, ...]:  # fmt: skip
    found = list(
        advice(level.id, max((edge.drop_in for edge in edges), default=0.0), stairs, bool(guards), rules)
    )
    if guards and (offered is None or spec.post_mount == "surface"):
        text = f"{level.id}: guard posts hold by a tested connector, whose maker's listing governs"
        action = "Choose a listed connector for this post, height and joist depth, and follow its listing."
        found.append(Caution(code="maker_listing_governs", text=text, action=action))
    return tuple(found)

"""The guards of one level: runs, posts, what holds them, and whether the whole is allowed."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from service.connections.guard_anchorage import BlockingOrder, Held, anchor_posts, connector_item, held_by
from service.connections.guard_carriers import Carriers
from service.connections.guard_checks import (
    corner_reasons,
    edge_finding,
    omitted_reason,
    run_findings,
    under_finding,
    under_reason,
)
from service.connections.rail_advice import advice
from service.contract.ids import member
from service.contract.report import Caution, Reason
from service.contract.report_frame import Blocking, Guard, Stair
from service.contract.spec_level import GuardSpec
from service.framing.guard_corners import GuardWish
from service.framing.guard_falls import GuardedLevel, Limits, OpenEdge, UnderLevel, open_edges, under_levels
from service.framing.guards import GuardRun, KnownRuns
from service.sizing.criteria import Criteria
from service.sizing.guard_post_bending import bending_finding
from service.sizing.guard_posts import moment_reason
from service.sizing.lumber import depth_in
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


@dataclass(frozen=True)
class _Built:
    """A run with its guard, what it stands along and what carries its posts."""

    opened: OpenEdge
    run: GuardRun
    guard: Guard
    held: tuple[Held, ...]

    def carrier(self, carriers: Carriers) -> str:
        """The shallowest member that carries a post of it."""
        return min((one.size for one in self.held), key=depth_in, default=carriers.size)


def guard_wanted(level: GuardedLevel, spec: GuardSpec, criteria: Criteria) -> bool:
    """Return whether a level gets any guard: heights in in, ground and levels beside it counted.

    Source: IRC guards section, where required, by edition.

    Args:
        level: outline in ft, surface, ground and levels beside it in in.
        spec: extent of the guards.
        criteria: what the design is judged by.
    """
    return any(_wanted(edge, spec) for edge in open_edges(level, _limits(stair_rules(criteria))))


def lay_out_guards(
    level: GuardedLevel,
    stairs: Sequence[Stair],
    spec: GuardSpec,
    carriers: Carriers,
    criteria: Criteria,
    offered: Collection[str] | None,
    known: KnownRuns | None = None,
) -> GuardResult:
    """Return the guards of a level whose posts carry the code's 200 lb into the joists.

    An edge over the ground is guarded whole where a guard is needed anywhere along it. A step down to another
    level is guarded only where it is itself too high; along a higher level nothing is.

    Source: IRC guards section by edition as cited; AWC DCA 6 for post spacing and connectors.

    Args:
        level: outline in ft, surface, ground and levels beside it in in.
        stairs: stairs of the whole deck; those of other levels are left aside.
        spec: extent, mount and post spacing in ft.
        carriers: joists, what runs along open edges and the number blocking begins at.
        criteria: what the design is judged by.
        offered: item codes of the price book; None where there is none.
        known: runs of other frames of this level.

    Limits: 4x4 posts, whole; straight edges.
    """
    rules = stair_rules(criteria)
    limits = _limits(rules)
    edges = open_edges(level, limits)
    chosen = [edge for edge in edges if _wanted(edge, spec)]
    under = _unclosed(level, limits)
    wish = GuardWish(
        spec.post_mount,
        spec.post_spacing_ft,
        limits.ball_in,
        {one.edge.number: carriers.begins_in(one.edge) for one in chosen},
    )
    order = BlockingOrder(level.id, carriers.first_blocking)
    runs = (known or KnownRuns()).runs(level, chosen, stairs, wish)
    built = [_built(n, run, chosen, spec, criteria, carriers, order) for n, run in enumerate(runs, start=1)]
    findings = _findings(level, edges, chosen, built, spec, carriers, criteria)
    findings += [under_finding(_member(one, carriers), one, rules) for one in under]
    own = [stair for stair in stairs if stair.level == level.id]
    return GuardResult(
        guards=tuple(one.guard for one in built),
        blocking=order.pieces(),
        findings=tuple(numbered(findings)),
        cautions=_cautions(level, edges, own, bool(built), spec, offered, rules),
        reasons=_reasons(findings, edges, built, spec, criteria.coating, offered, rules)
        + tuple(
            under_reason(_member(one, carriers), one, rules)
            for one in under
            if one.opening_in >= limits.ball_in
        ),
    )


def _limits(rules: StairRules) -> Limits:
    keys = ("guard_required_above", "guard_grade_check_distance", "guard_opening_sphere")
    return Limits(*(figure(rules.code, key).value for key in keys))


def _wanted(edge: OpenEdge, spec: GuardSpec) -> bool:
    """All edges are those over the ground: a low step between levels stays open to be walked."""
    everywhere = spec.extent == "all_edges" and edge.over == "ground"
    return everywhere or (spec.extent != "none" and edge.required)


def _unclosed(level: GuardedLevel, limits: Limits) -> list[UnderLevel]:
    """Where this floor lies along a higher level and so high that a fall under that level counts."""
    return [one for one in under_levels(level, limits) if one.drop_in > limits.above_in]


def _member(at: OpenEdge | UnderLevel, carriers: Carriers) -> str:
    return carriers.along(at.edge, (at.from_ft + at.to_ft) / 2)


def _built(
    number: int, run: GuardRun, chosen: Sequence[OpenEdge], spec: GuardSpec, criteria: Criteria,
    carriers: Carriers, order: BlockingOrder,
) -> _Built:  # fmt: skip
    held = tuple(held_by(run.edge, spot, spec.post_mount, carriers, order) for spot in run.spots)
    opened = next(
        one
        for one in chosen
        if one.edge is run.edge and one.from_ft <= run.from_ft and run.to_ft <= one.to_ft
    )
    guard = Guard(
        id=member(order.level, "guard", number),
        mark=f"G{number}",
        edge=run.edge.number,
        start_ft=run.edge.point(run.from_ft),
        end_ft=run.edge.point(run.to_ft),
        height_in=figure(criteria.rulebook, "guard_height").value,
        posts=anchor_posts(number, run, held, spec.post_mount, criteria.coating, order.level),
    )
    return _Built(opened, run, guard, held)


def _findings(
    level: GuardedLevel, edges: Sequence[OpenEdge], chosen: Sequence[OpenEdge], built: Sequence[_Built],
    spec: GuardSpec, carriers: Carriers, criteria: Criteria,
) -> list[Finding]:  # fmt: skip
    found: list[Finding] = []
    rules, thick = stair_rules(criteria), level.decking_thickness_in
    for one in built:
        guard, carrier = one.guard, one.carrier(carriers)
        found.append(edge_finding(guard.id, one.opened, True, rules))
        found += run_findings(guard, one.run, spec.post_mount, thick, carrier, rules)
        bent = bending_finding(guard.id, spec.post_mount, guard.height_in, thick, rules, criteria)
        found += [bent] if bent else []
    for opened in edges:
        if opened not in chosen:
            found.append(edge_finding(_member(opened, carriers), opened, False, rules))
    return found


def _reasons(
    findings: Sequence[Finding], edges: Sequence[OpenEdge], built: Sequence[_Built], spec: GuardSpec,
    coating: str, offered: Collection[str] | None, rules: StairRules,
) -> tuple[Reason, ...]:  # fmt: skip
    special = ("guard_required", "guard_opening", "guard_post_moment", "guard_post_bending")
    found = list(reasons_of([finding for finding in findings if finding.check not in special]))
    found += [reason for f in findings if f.check == "guard_post_moment" and (reason := moment_reason(f))]
    if spec.extent == "none" and any(edge.required for edge in edges):
        found.append(omitted_reason(edges, rules))
    connector = connector_item(spec.post_mount, coating)
    if built and offered is not None and connector not in offered:
        found.append(
            _unproven(
                f"the price book has no {connector}: nothing is proven to hold the guard posts", built[0]
            )
        )
    for one in built:
        found += corner_reasons(one.guard.id, one.run, rules)
        texts = dict.fromkeys(held.unproven for held in one.held if held.unproven)
        found += [_unproven(text, one) for text in texts]
    return tuple(found)


def _unproven(text: str, one: _Built) -> Reason:
    return Reason(code="guard_connector_unproven", text=text, member=one.guard.id)


def _cautions(
    level: GuardedLevel, edges: Sequence[OpenEdge], stairs: Sequence[Stair], guarded: bool,
    spec: GuardSpec, offered: Collection[str] | None, rules: StairRules,
) -> tuple[Caution, ...]:  # fmt: skip
    found = list(advice(level.id, max((edge.drop_in for edge in edges), default=0.0), stairs, guarded, rules))
    if guarded and (offered is None or spec.post_mount == "surface"):
        text = f"{level.id}: guard posts hold by a tested connector, whose maker's listing governs"
        action = "Choose a listed connector for this post, height and joist depth, and follow its listing."
        found.append(Caution(code="maker_listing_governs", text=text, action=action))
    return tuple(found)

"""A spec designed by two versions of a rulebook, and the two designs side by side."""

from __future__ import annotations

from dataclasses import replace

from service.choice.level.context import Context
from service.contract.report import DesignReport
from service.contract.rule_impact import CountChange, DesignIdChange, RulebookChange, RuleImpact, StatusChange
from service.contract.spec import DeckSpec
from service.impact.judged import check_changes, reason_changes
from service.impact.members import member_changes
from service.impact.ordered import order_change
from service.pipeline import design
from service.rules.rulebook import Rulebook


def rule_impact(spec: DeckSpec, context: Context, before: Rulebook, after: Rulebook) -> RuleImpact:
    """Return what changes of a design when one version of its rulebook takes the place of another.

    Args:
        spec: well formed, with known names
        context: what it is designed against, by whichever version it names or is in force
        before: the version it is designed by first, amended for the place
        after: the version it is designed by then, amended for the place

    Raises:
        Rejected: one of the two designs cannot be made
    """
    first, second = (design(spec, _ruled_by(context, book)) for book in (before, after))
    return impact_of(first, second)


def _ruled_by(context: Context, rulebook: Rulebook) -> Context:
    """The same place, day and prices under another version, which is as much in force there as the spec's own."""
    own = context.rulebook
    in_force = rulebook.id if context.in_force == own.id else context.in_force
    if own.out_of_force:
        rulebook = replace(rulebook, out_of_force=own.out_of_force)
    return replace(context, rulebook=rulebook, in_force=in_force)


def impact_of(before: DesignReport, after: DesignReport) -> RuleImpact:
    """Return what differs between two designs of one spec."""
    return RuleImpact(
        as_of=after.as_of,
        engine_version=after.engine_version,
        jurisdiction=after.jurisdiction,
        rulebooks=RulebookChange(from_=before.rulebook, to=after.rulebook),
        price_book=after.price_book,
        design_ids=DesignIdChange(from_=before.design_id, to=after.design_id),
        verdict=StatusChange(from_=before.verdict.status, to=after.verdict.status),
        reasons=reason_changes(before, after),
        members=member_changes(before, after),
        footings=CountChange(from_=len(before.footings), to=len(after.footings)),
        checks=check_changes(before, after),
        order=order_change(before, after),
    )


def is_change(impact: RuleImpact) -> bool:
    """Whether anything differs that somebody has to know: verdict, reasons, members, failing checks or the order."""
    reasons, members, checks, order = impact.reasons, impact.members, impact.checks, impact.order
    return (
        impact.verdict.from_ != impact.verdict.to
        or any((reasons.added, reasons.removed))
        or any((members.added, members.removed, members.changed))
        or any((checks.newly_failing, checks.no_longer_failing))
        or order.from_ != order.to
        or order.lines_changed > 0
    )

"""The reasons and checks of two designs, compared."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from service.contract.report import DesignReport, Reason
from service.contract.rule_impact import MOST_TOLD, CheckChange, CheckChanges, CheckFigures, ReasonChanges
from service.units.finding import Finding


def reason_changes(before: DesignReport, after: DesignReport) -> ReasonChanges:
    """Return which reasons of the verdict come and go."""
    old, new = before.verdict.reasons, after.verdict.reasons
    added, removed = tuple(_beyond(new, old)), tuple(_beyond(old, new))
    return ReasonChanges(
        added=added[:MOST_TOLD],
        removed=removed[:MOST_TOLD],
        added_left_out=len(added[MOST_TOLD:]),
        removed_left_out=len(removed[MOST_TOLD:]),
    )


def _beyond(these: Iterable[Reason], others: Iterable[Reason]) -> Iterator[Reason]:
    """Yield reasons that are not among others, nor as often there."""
    left = Counter(_meant(one) for one in others)
    for one in these:
        if left[_meant(one)]:
            left[_meant(one)] -= 1
        else:
            yield one


def _meant(one: Reason) -> tuple[str, str, bool]:
    """What makes two reasons one: figures in the text of one about a member may move, and it stays what it is."""
    return one.code, one.member or one.text, one.member is None


def check_changes(before: DesignReport, after: DesignReport) -> CheckChanges:
    """Return the checks that fail in one of the designs only."""
    old, new = ({one.id: one for one in report.checks} for report in (before, after))
    failing = tuple(_failing_only_in(new, old))
    no_longer = tuple(_failing_only_in(old, new))
    return CheckChanges(
        newly_failing=tuple(_told(one.id, old, new) for one in failing[:MOST_TOLD]),
        no_longer_failing=tuple(_told(one.id, old, new) for one in no_longer[:MOST_TOLD]),
        newly_failing_left_out=len(failing[MOST_TOLD:]),
        no_longer_failing_left_out=len(no_longer[MOST_TOLD:]),
    )


def _failing_only_in(these: dict[str, Finding], others: dict[str, Finding]) -> Iterator[Finding]:
    for id, one in these.items():
        if not one.passes and (id not in others or others[id].passes):
            yield one


def _told(id: str, old: dict[str, Finding], new: dict[str, Finding]) -> CheckChange:
    either = new.get(id) or old[id]
    return CheckChange(
        id=id,
        member=either.member,
        check=either.check,
        basis=either.basis,
        unit=either.unit,
        from_=_figures(old.get(id)),
        to=_figures(new.get(id)),
    )


def _figures(found: Finding | None) -> CheckFigures | None:
    if found is None:
        return None
    return CheckFigures(demand=found.demand, capacity=found.capacity, ratio=found.ratio, passes=found.passes)

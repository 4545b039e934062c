"""Every check with its source and its working, failing ones first; what several members share is printed once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from service.contract.report import DesignReport
from service.drawings.package.blocks import (
    CheckGroup,
    CheckRow,
    Checks,
    Column,
    Listing,
    Section,
    listing,
    soft,
)
from service.drawings.package.marks import Marks
from service.drawings.package.words import NOTHING, cited, figure, number, words, worked
from service.units.finding import Finding

COLUMNS = (
    Column("check", 2.4), Column("basis", 1), Column("found", 1.2, "right"), Column("limit", 1.4, "right"),
    Column("used", 0.7, "right"), Column("result", 0.8),
)  # fmt: skip
_LIMIT = {"at_most": "at most", "at_least": "at least"}
READING = (
    "Found is what the member has or is asked for; limit is what the source allows. Used is the share of the limit "
    "that is taken: 1 or less passes. A check that several members share in every figure is printed once."
)


def checks(report: DesignReport, marks: Marks) -> Section:
    """Return the section with every check of a report: those that fail, then the others by kind of member."""
    failing = [one for one in report.checks if not one.passes]
    blocks: list[Listing | Checks] = [*listing("", [f"{_counted(report.checks, failing)} {READING}"])]
    if failing:
        blocks.append(_block("Checks that fail", failing, marks))
    by_kind: dict[str, list[Finding]] = {}
    for one in report.checks:
        if one.passes:
            by_kind.setdefault(_kind(one.member), []).append(one)
    blocks += [_block(kind, found, marks) for kind, found in by_kind.items()]
    return Section(title="Checks", blocks=tuple(blocks), new_page=True)


def _counted(all_: Sequence[Finding], failing: Sequence[Finding]) -> str:
    return (
        f"{len(all_):,} checks, of which {len(failing):,} fail."
        if failing
        else f"{len(all_):,} checks, none fails."
    )


def _kind(member: str) -> str:
    """The kind of a member is the word its id numbers: `deck.stair-1.post-2-1` is a post."""
    kind = member.rpartition(".")[2].rstrip("-0123456789")
    return words(kind.replace("-", " ")).capitalize()


def _block(title: str, findings: Iterable[Finding], marks: Marks) -> Checks:
    return Checks(title=title, columns=COLUMNS, groups=tuple(_groups(findings, marks)))


def _groups(findings: Iterable[Finding], marks: Marks) -> Iterator[CheckGroup]:
    alike: dict[object, list[Finding]] = {}
    for one in findings:
        alike.setdefault(_figures(one), []).append(one)
    shared: dict[tuple[str, ...], list[list[Finding]]] = {}
    for found in alike.values():
        shared.setdefault(tuple(dict.fromkeys(one.member for one in found)), []).append(found)
    for members, rows in shared.items():
        yield CheckGroup(members=soft(marks.all_of(members)), rows=tuple(map(_row, rows)))


def _figures(one: Finding) -> tuple[object, ...]:
    """All of a finding but whose it is."""
    return (
        one.check, one.basis, one.sense, one.demand, one.capacity, one.unit, one.passes, one.would_pass,
        one.citation, one.working,
    )  # fmt: skip


def _row(found: Sequence[Finding]) -> CheckRow:
    one = found[0]
    wanted = f". Would pass: {one.would_pass}." if one.would_pass else ""
    return CheckRow(
        ids=tuple(finding.id for finding in found),
        cells=(
            words(one.check),
            one.basis,
            figure(one.demand, one.unit),
            _limit(one),
            _used(one),
            _result(one),
        ),
        citation=soft(cited(one.citation) + wanted),
        working=tuple(soft(worked(step)) for step in one.working),
        passes=one.passes,
    )


def _limit(one: Finding) -> str:
    if one.sense == "yes_no":
        return "yes"
    return (
        "not permitted" if one.capacity is None else f"{_LIMIT[one.sense]} {figure(one.capacity, one.unit)}"
    )


def _used(one: Finding) -> str:
    return NOTHING if one.ratio is None else number(one.ratio)


def _result(one: Finding) -> str:
    return "passes" if one.passes else "FAILS"

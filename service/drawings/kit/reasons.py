"""Why the verdict is not better, and what is to be known besides, by the marks of the sheets."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.contract.report import Caution, DesignReport
from service.drawings.package.marks import Marks, marks_of
from service.units.text import sentence


def reasons_of(report: DesignReport) -> list[str]:
    """Return why the verdict is not better, each reason once, with the marks of those it is true of."""
    found: dict[str, list[str]] = {}
    for reason in report.verdict.reasons:
        found.setdefault(reason.text, []).append(reason.member or "")
    marks = marks_of(report)
    return [_told(text, members, marks) for text, members in found.items()]


def _told(text: str, members: Sequence[str], marks: Marks) -> str:
    named = (member for member in members if member in marks.marks and member not in text)
    # a heavy object has no mark: its reasons say in words what it is
    marked = [member for member in named if not member.startswith("deck.heavy")]
    of = f"{marks.all_of(marked)}: " if marked else ""
    return of + marks.told(sentence(text))


def cautions_told(report: DesignReport, cautions: Iterable[Caution]) -> list[str]:
    """Return cautions with what to do, each once: those that members share with the marks of all of them."""
    marks = marks_of(report)
    found: dict[str, list[str]] = {}
    for one in cautions:
        member, colon, rest = one.text.partition(": ")
        of_one = bool(colon) and member in marks.marks
        said = (rest if of_one else one.text, one.action)
        text = marks.told(" ".join(sentence(part) for part in said))
        found.setdefault(text, []).extend([member] * of_one)
    return [(f"{marks.all_of(of)}: " if of else "") + text for text, of in found.items()]

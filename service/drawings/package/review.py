"""What the building department does: permits, questions, inspections; cautions; and the engineer's lines."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.report import DesignReport, Reason
from service.drawings.package.blocks import (
    AnyBlock,
    Column,
    Paragraph,
    Section,
    Signature,
    Statement,
    listing,
    soft,
    table,
)
from service.drawings.package.marks import Marks, marks_of
from service.drawings.package.words import cited, words
from service.units.text import sentence

INSPECTIONS = (
    Column("no.", 0.3, "right"),
    Column("inspection", 1.2),
    Column("when", 2),
    Column("looked at", 3.5),
)
CAUTIONS = (Column("caution", 1.2), Column("what it is", 3), Column("what to do", 2.6))
PERMITS = (Column("permit", 0.8), Column("what it covers", 4))
ENGINEER = "For the engineer's use. An engineer licensed where the deck is built has to look at:"
LINES = ("name", "licence number and place", "signature and seal", "date")
ENGINEER_TITLE = "For the engineer"


def permits(report: DesignReport) -> Section:
    """Return permits, what to hand in, and the reviewer's questions with boxes to tick."""
    given = report.permits
    blocks: list[AnyBlock] = [
        *table("Permits", PERMITS, ((words(one.kind), one.text) for one in given.permits))
    ]
    blocks += listing("Drawings to hand in", given.drawings_needed, boxes=True)
    blocks += listing("What the reviewer may ask", given.reviewer_questions, boxes=True)
    return Section(title="Permits and questions", blocks=tuple(blocks), new_page=True)


def inspections(report: DesignReport) -> Section:
    """Return the inspections in their order, with what is looked at."""
    rows = (
        (str(number), words(one.kind), one.when, "; ".join(one.looks_at))
        for number, one in enumerate(report.permits.inspections, start=1)
    )
    return Section(title="Inspections", blocks=table("", INSPECTIONS, rows))


def cautions(report: DesignReport, marks: Marks) -> Section:
    """Return every caution with what to do about it."""
    rows = (
        (words(one.code), *(marks.told(sentence(text)) for text in (one.text, one.action)))
        for one in report.cautions
    )
    return Section(title="Cautions", blocks=table("", CAUTIONS, rows))


def reason_texts(report: DesignReport) -> tuple[str, ...]:
    """Return the reasons of the verdict, each with its member and citation."""
    marks = marks_of(report)
    return tuple(_reason(one, marks) for one in report.verdict.reasons)


def _reason(reason: Reason, marks: Marks) -> str:
    member = f" ({marks.told(reason.member)})" if reason.member else ""
    source = f" Source: {cited(reason.citation)}." if reason.citation else ""
    return soft(f"{words(reason.code).capitalize()}{member}: {marks.told(sentence(reason.text))}{source}")


def engineer(report: DesignReport) -> Iterator[Section]:
    """Yield the lines an engineer signs on, only where one is required."""
    if report.verdict.status != "engineer_required":
        return
    reasons = listing("", reason_texts(report))
    blocks: tuple[AnyBlock, ...] = (Paragraph(text=ENGINEER), *reasons, Signature(lines=LINES))
    yield Section(title=ENGINEER_TITLE, blocks=blocks, new_page=True)


def not_permitted(report: DesignReport) -> Iterator[Section]:
    """Yield a page that says so, where the deck may not be built as it is drawn."""
    if report.verdict.status != "not_permitted":
        return
    said = Statement(words="Not permitted", because=reason_texts(report), whole_page=True)
    yield Section(title="Not permitted", blocks=(said,), new_page=True)

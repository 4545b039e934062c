"""The whole package, from a report, the caller's words about the job, and sheets that are drawn already."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from service.contract.ids import pinned_text
from service.contract.permit_package import Job
from service.contract.report import DesignReport
from service.drawings.apart import told_apart
from service.drawings.package.blocks import Section, Sheet
from service.drawings.package.checks import checks
from service.drawings.package.comparison import footing_comparison
from service.drawings.package.connections import connection_schedule
from service.drawings.package.cover import cover, sheet_list, values_used
from service.drawings.package.footings import footing_schedule
from service.drawings.package.limits import limits
from service.drawings.package.load_path import load_path
from service.drawings.package.marks import Marks, marks_of
from service.drawings.package.members import member_schedule
from service.drawings.package.order import order
from service.drawings.package.review import cautions, engineer, inspections, not_permitted, permits
from service.drawings.package.words import words

SHORT_DIGEST = 12
PAPER_PT = {"letter": (792.0, 612.0), "tabloid": (1224.0, 792.0)}


class Package(msgspec.Struct, frozen=True, kw_only=True):
    """A permit package; ``warning`` is printed across every page of a design that is not prescriptive."""

    title: str
    language: str
    footer: tuple[str, ...]
    warning: str | None
    cover: tuple[Section, ...]
    contents: Section
    sheets: tuple[Sheet, ...]
    sections: tuple[Section, ...]


def package_of(report: DesignReport, job: Job | None, sheets: Sequence[Sheet] = ()) -> Package:
    """Return all a permit package says.

    Args:
        report: the design, as it is answered
        job: what the caller wants printed of the job; null: nothing
        sheets: the drawings, in order
    """
    report = told_apart(report)
    return Package(
        title=f"Permit package, design {report.design_id}",
        language="en",
        footer=_footer(report),
        warning=_warning(report),
        cover=(cover(report, job), *not_permitted(report)),
        contents=sheet_list(sheets),
        sheets=tuple(sheets),
        sections=_sections(report, marks_of(report)),
    )


def _sections(report: DesignReport, marks: Marks) -> tuple[Section, ...]:
    return (
        *engineer(report),
        values_used(report),
        member_schedule(report, marks),
        connection_schedule(report, marks),
        footing_schedule(report, marks),
        load_path(report, marks),
        checks(report, marks),
        footing_comparison(report.footing_comparison),
        order(report),
        permits(report),
        inspections(report),
        cautions(report, marks),
        limits(),
    )


def _footer(report: DesignReport) -> tuple[str, ...]:
    book = report.rulebook
    return (
        f"Prepared with the deck framing service {report.engine_version}",
        f"rulebook {pinned_text(book.id, book.version)} {book.digest[:SHORT_DIGEST]}",
        f"design {report.design_id}",
    )


def _warning(report: DesignReport) -> str | None:
    status = report.verdict.status
    return None if status == "prescriptive" else words(status).upper()

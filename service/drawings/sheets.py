"""Every sheet by its name: which ones a design has, and each one as SVG."""

from __future__ import annotations

from collections.abc import Callable

from service.contract.report import DesignReport
from service.drawings.apart import told_apart
from service.drawings.details.bracing_detail import bracing_detail
from service.drawings.details.ledger_detail import ledger_detail
from service.drawings.details.stair_detail import stair_detail
from service.drawings.kit.paper import PAPERS, Paper
from service.drawings.kit.sheet import Content, framed
from service.drawings.package.blocks import Sheet
from service.drawings.plans.footing_plan import footing_plan
from service.drawings.plans.framing_plan import framing_plan
from service.drawings.section.section import section

Draw = Callable[[DesignReport, Paper, str | None], Content]
_DRAWN: dict[str, Draw] = {
    "framing_plan": framing_plan,
    "footing_plan": footing_plan,
    "section": section,
    "stair_detail": stair_detail,
    "ledger_detail": ledger_detail,
    "bracing_detail": bracing_detail,
}
# the others every design has
_ONLY_WHERE: dict[str, Callable[[DesignReport], bool]] = {
    "stair_detail": lambda report: bool(report.stairs),
}


def sheets_of(report: DesignReport) -> tuple[str, ...]:
    """Return the names of the sheets a design has, in the order they are bound."""
    absent = {name for name, has in _ONLY_WHERE.items() if not has(report)}
    return tuple(name for name in _DRAWN if name not in absent)


def drawn_sheets(
    report: DesignReport, paper: str, level: str | None = None, only: str | None = None
) -> tuple[Sheet, ...]:
    """Return the sheets a design has, drawn; or the one asked for, whether the design has it or not.

    A sheet of a thing the deck does not have says so.
    """
    names, report = sheets_of(report), told_apart(report)
    return tuple(_sheet(report, name, PAPERS[paper], level, names) for name in ((only,) if only else names))


def sheet_svg(report: DesignReport, sheet: str, paper: str, level: str | None = None) -> str:
    """Return one sheet as SVG, drawn from the report alone; ``level`` shows one level of several."""
    return drawn_sheets(report, paper, level, sheet)[0].svg


def _sheet(report: DesignReport, name: str, paper: Paper, level: str | None, names: tuple[str, ...]) -> Sheet:
    content = _DRAWN[name](report, paper, level)
    place = f"Sheet {names.index(name) + 1} of {len(names)}" if name in names else "Not among the sheets"
    return Sheet(
        name=name,
        title=content.title,
        alt=content.said,
        svg=framed(report, content, paper, place),
        width_pt=paper.width_pt,
        height_pt=paper.height_pt,
    )

"""Every sheet by its name: which ones a design has, and each one as SVG."""

from __future__ import annotations

from collections.abc import Callable

from service.contract.report import DesignReport
from service.drawings.bracing_detail import bracing_detail
from service.drawings.framing_plan import framing_plan
from service.drawings.ledger_detail import ledger_detail
from service.drawings.paper import PAPERS, Paper
from service.drawings.sheet import Content, framed
from service.drawings.stair_detail import stair_detail

Draw = Callable[[DesignReport, Paper, str | None], Content]
_DRAWN: dict[str, Draw] = {
    "framing_plan": framing_plan,
    "stair_detail": stair_detail,
    "ledger_detail": ledger_detail,
    "bracing_detail": bracing_detail,
}


def sheets_of(report: DesignReport) -> tuple[str, ...]:
    """Return the names of the sheets a design has, in the order they are bound."""
    del report
    return tuple(_DRAWN)


def sheet_svg(report: DesignReport, sheet: str, paper: str, level: str | None = None) -> str:
    """Return one sheet as SVG, drawn from the report alone; ``level`` shows one level of several.

    A sheet of a thing the deck does not have says so.
    """
    names = sheets_of(report)
    place = f"Sheet {names.index(sheet) + 1} of {len(names)}" if sheet in names else "Sheet"
    size = PAPERS[paper]
    return framed(report, _DRAWN[sheet](report, size, level), size, place)

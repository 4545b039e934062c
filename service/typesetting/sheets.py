"""Sheets as PDF, one a page."""

from __future__ import annotations

import msgspec

from service.contract.report import DesignReport
from service.drawings.sheets import drawn_sheets
from service.typesetting.typeset import typeset


def set_sheets(report: DesignReport, sheet: str, paper: str, level: str | None = None) -> bytes:
    """Return one sheet of a design as PDF, or with ``all`` every sheet it has, the same bytes each time."""
    drawn = drawn_sheets(report, paper, level, None if sheet == "all" else sheet)
    told = [msgspec.structs.replace(one, svg="") for one in drawn]
    data = {"title": f"Drawings, design {report.design_id}", "language": "en", "sheets": told}
    return typeset("sheets", data, {one.name: one.svg for one in drawn})

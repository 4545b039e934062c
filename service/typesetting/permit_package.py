"""The permit package as one PDF."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from service.contract.permit_package import Job
from service.contract.report import DesignReport
from service.drawings.package.blocks import Sheet
from service.drawings.package.package import package_of
from service.typesetting.typeset import typeset


def set_package(report: DesignReport, job: Job | None, sheets: Sequence[Sheet]) -> bytes:
    """Return a permit package as PDF, the same bytes for the same arguments.

    Args:
        report: the design, as it is answered
        job: what the caller wants printed of the job; null: nothing
        sheets: the drawings, in order
    """
    pictures = {sheet.name: sheet.svg for sheet in sheets}
    told = [msgspec.structs.replace(sheet, svg="") for sheet in sheets]
    return typeset("permit_package", package_of(report, job, told), pictures)

"""POST /v1/permit-packages: a deck's permit package as one PDF."""

from __future__ import annotations

from typing import Any

from litestar import Request, Response, post
from litestar.params import JSONBody

from service.contract.permit_package import Job, PermitPackageRequest
from service.contract.report import DesignReport
from service.drawings.sheets import drawn_sheets
from service.typesetting.permit_package import set_package
from service.web.body import StrictJSON
from service.web.caller import GivenCaller
from service.web.desk import GivenDesk
from service.web.negotiate import PDF, best_type
from service.web.provenance import file_from_design


def package_pdf(report: DesignReport, job: Job | None, paper: str) -> bytes:
    """Return the permit package of a design, with its drawings on the paper named."""
    return set_package(report, job, drawn_sheets(report, paper))


@post(
    "/v1/permit-packages",
    operation_id="createPermitPackage",
    summary="Print a deck's permit package",
    tags=["designs"],
    dto=StrictJSON[PermitPackageRequest],
    return_dto=None,
    status_code=200,
)
async def create_permit_package(
    data: JSONBody[PermitPackageRequest],
    request: Request[Any, Any, Any],
    desk: GivenDesk,
    caller: GivenCaller,
) -> Response[bytes]:
    """Design a deck and answer with one PDF for the building department.

    Cover, drawings, schedules, every check with its source and working, load path, footing comparison, order,
    inspections, cautions, and what the design does not cover. What `job` says is printed and not kept; it is no
    part of the design's id. A design that is not `prescriptive` says so on every page. It is never an approval.
    """
    best_type(request, [PDF])

    def write(report: DesignReport) -> bytes:
        return package_pdf(report, data.job, data.paper)

    return await file_from_design(data.spec, desk, caller, write, PDF, "permit-package")

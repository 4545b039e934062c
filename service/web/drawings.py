"""POST /v1/drawings: a sheet of a deck as SVG or PDF, or all of them as one PDF."""

from __future__ import annotations

from typing import Any

from litestar import Request, Response, post
from litestar.params import JSONBody

from service.contract.drawing import DrawingRequest
from service.contract.report import DesignReport
from service.drawings.sheets import sheet_svg
from service.typesetting.sheets import set_sheets
from service.web.body import StrictJSON
from service.web.caller import GivenCaller
from service.web.desk import GivenDesk
from service.web.negotiate import PDF, SVG, best_type
from service.web.provenance import file_from_design


@post(
    "/v1/drawings",
    operation_id="drawSheet",
    summary="Draw a deck",
    tags=["designs"],
    dto=StrictJSON[DrawingRequest],
    return_dto=None,
    status_code=200,
)
async def draw_sheet(
    data: JSONBody[DrawingRequest],
    request: Request[Any, Any, Any],
    desk: GivenDesk,
    caller: GivenCaller,
) -> Response[bytes]:
    """Design a deck and answer with one sheet, true to scale, or with all of them.

    One sheet is SVG or PDF, as `Accept` asks; `all` is one PDF. A sheet of something the deck does not have says
    so. A design that is not `prescriptive` has its verdict across every sheet. A drawing is never an approval.
    """
    media_type = best_type(request, [PDF] if data.sheet == "all" else [SVG, PDF])

    def write(report: DesignReport) -> bytes:
        if media_type == PDF:
            return set_sheets(report, data.sheet, data.paper, data.level)
        return sheet_svg(report, data.sheet, data.paper, data.level).encode()

    named = "drawings" if data.sheet == "all" else data.sheet.replace("_", "-")
    return await file_from_design(data.spec, desk, caller, write, media_type, named)

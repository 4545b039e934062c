"""POST /v1/designs: a whole deck."""

from __future__ import annotations

from typing import Any

import msgspec
from litestar import Request, Response, post
from litestar.params import JSONBody

from service.contract.report import DesignReport
from service.contract.spec import DeckSpec
from service.web.body import StrictJSON
from service.web.caller import GivenCaller
from service.web.desk import GivenDesk
from service.web.negotiate import JSON, best_type
from service.web.provenance import answer_from_design


@post(
    "/v1/designs",
    operation_id="createDesign",
    summary="Design a deck",
    tags=["designs"],
    dto=StrictJSON[DeckSpec],
    return_dto=None,
    status_code=200,
)
async def create_design(
    data: JSONBody[DeckSpec], request: Request[Any, Any, Any], desk: GivenDesk, caller: GivenCaller
) -> Response[DesignReport]:
    """Find a frame for a deck and answer with every member, check, the order and the footing comparison.

    A deck that may not be built is an answer with a verdict, not an error. `prescriptive` means within the
    tables that were read; it never means approved.
    """
    best_type(request, [JSON])
    return await answer_from_design(data, desk, caller, msgspec.json.encode, with_wishes=True)

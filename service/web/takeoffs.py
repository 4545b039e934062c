"""POST /v1/takeoffs: what to order, as JSON or CSV."""

from __future__ import annotations

from typing import Any

import msgspec
from litestar import Request, Response, post
from litestar.params import JSONBody

from service.contract.report import DesignReport
from service.contract.spec import DeckSpec
from service.takeoff.csv_form import as_csv
from service.web.body import StrictJSON
from service.web.caller import GivenCaller
from service.web.desk import GivenDesk
from service.web.negotiate import CSV, JSON, best_type
from service.web.provenance import TakeoffAnswer, answer_from_design, takeoff_of


def _as_json(report: DesignReport) -> bytes:
    return msgspec.json.encode(takeoff_of(report))


def _as_csv(report: DesignReport) -> bytes:
    return as_csv(report.takeoff, report.verdict.status, report.cautions).encode()


@post(
    "/v1/takeoffs",
    operation_id="createTakeoff",
    summary="List what to order for a deck",
    tags=["designs"],
    dto=StrictJSON[DeckSpec],
    return_dto=None,
    status_code=200,
)
async def create_takeoff(
    data: JSONBody[DeckSpec], request: Request[Any, Any, Any], desk: GivenDesk, caller: GivenCaller
) -> Response[TakeoffAnswer]:
    """Design a deck and answer with its takeoff alone: pieces, boards, cutting plan, hardware, concrete.

    As `text/csv` each line has a `line_kind`: item, quantity, unpriced or caution. Lines without a price are named,
    never guessed.
    """
    media_type = best_type(request, [JSON, CSV])
    return await answer_from_design(
        data, desk, caller, _as_csv if media_type == CSV else _as_json, media_type
    )

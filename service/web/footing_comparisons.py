"""POST /v1/footing-comparisons: the ways to carry a deck, side by side."""

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
from service.web.provenance import FootingComparisonAnswer, answer_from_design, comparison_of


def _as_json(report: DesignReport) -> bytes:
    return msgspec.json.encode(comparison_of(report))


@post(
    "/v1/footing-comparisons",
    operation_id="compareFootings",
    summary="Compare footing methods for a deck",
    tags=["designs"],
    dto=StrictJSON[DeckSpec],
    return_dto=None,
    status_code=200,
)
async def compare_footings(
    data: JSONBody[DeckSpec], request: Request[Any, Any, Any], desk: GivenDesk, caller: GivenCaller
) -> Response[FootingComparisonAnswer]:
    """Design a deck and answer with its footing comparison alone: sizes, cost, days to first framing, risks.

    Every method is worked out for the same posts and loads. Without a price book no cost is given and
    nothing is recommended.
    """
    best_type(request, [JSON])
    return await answer_from_design(data, desk, caller, _as_json)

"""POST /v1/stair-layouts: a stair from its rise, or the judgement of one that is built."""

from __future__ import annotations

from typing import Any

import msgspec
from litestar import Request, Response, post
from litestar.params import JSONBody

from service.checks.cautions import LOCAL_CODES_DECIDE
from service.checks.site import not_in_force
from service.connections.stair_layout import stair_layout
from service.contract.report import Verdict
from service.contract.spec_stairs import StairLayoutSpec
from service.contract.stair_layout import StairLayout
from service.rules.rulebook import Rulebook
from service.sizing.stair_limits import StairRules
from service.units.rounding import rounded
from service.web.body import StrictJSON
from service.web.chosen import choose
from service.web.desk import Desk, GivenDesk
from service.web.negotiate import JSON, VARY, best_type
from service.web.resolve import code_named


@post(
    "/v1/stair-layouts",
    operation_id="layoutStair",
    summary="Lay out a stair or judge a built one",
    tags=["designs"],
    dto=StrictJSON[StairLayoutSpec],
    return_dto=None,
    status_code=200,
)
async def layout_stair(
    data: JSONBody[StairLayoutSpec], request: Request[Any, Any, Any], desk: GivenDesk
) -> Response[StairLayout]:
    """Divide a rise into risers and treads, or tell which pair of built risers differs too much.

    A stair without a rulebook is judged by the newest edition here; the answer names it. A version pinned that is
    not in force today is at best an engineer's. No jurisdiction is asked for, so its rules on risers, widths or
    handrails are not looked up: what the place has adopted decides.
    """
    best_type(request, [JSON])
    body: Any = await desk.gate.run(_work, data, desk)
    return Response(body, media_type=JSON, headers=VARY)


def _work(spec: StairLayoutSpec, desk: Desk) -> bytes:
    # one moment for all of it: midnight may pass meanwhile
    desk = desk.stopped()
    code = _rulebook(spec, desk)
    choose(code)
    rules = StairRules(code, desk.guide())
    return msgspec.json.encode(rounded(_told(stair_layout(spec, rules), rules.code)))


def _told(layout: StairLayout, code: Rulebook) -> StairLayout:
    """A layout with what days and places mean for it."""
    verdict, late = layout.verdict, tuple(not_in_force(code))
    if late:
        status = "engineer_required" if verdict.status == "prescriptive" else verdict.status
        verdict = Verdict(status=status, reasons=(*late, *verdict.reasons))
    return msgspec.structs.replace(layout, verdict=verdict, cautions=(LOCAL_CODES_DECIDE, *layout.cautions))


def _rulebook(spec: StairLayoutSpec, desk: Desk) -> Rulebook:
    desk.guide()
    if spec.rulebook is not None:
        return code_named(spec.rulebook, desk.today(None), desk)
    books = desk.rulebooks()
    return max((books[id] for id in desk.codes()), key=lambda book: (book.edition, book.version))

"""POST /v1/design-batches: many decks in one call."""

from __future__ import annotations

from typing import Any, cast

from litestar import asgi
from litestar.types import Receive, Scope, Send

from service.web.caller import Caller
from service.web.desk import Desk
from service.web.streams.query import FIRST_LINE, VIEW, read_query
from service.web.streams.serve import AnyRequest, Plan, serve

PARAMETERS = (VIEW, FIRST_LINE)


@asgi("/v1/design-batches", copy_scope=False, operation_id="designBatch")
async def design_batch(scope: Scope, receive: Receive, send: Send) -> None:
    """Design the deck of each line.

    One spec a line, as `createDesign` takes it. Lines are answered in their order: a result, or a problem with
    what `createDesign` would have answered to that spec alone.
    """
    await serve(scope, cast("Any", receive), cast("Any", send), _planned)


def _planned(request: AnyRequest, _: Desk, __: Caller) -> Plan:
    given = read_query(request, PARAMETERS)
    return Plan("designs", int(given["first_line"]), {"view": given["view"]})

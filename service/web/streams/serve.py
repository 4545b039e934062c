"""From a request of an NDJSON call to its answer: what is refused before the body is read, and the order of things."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, cast

from litestar import Request
from litestar.types import Scope

from service.web.asgi import Header, Receive, Send, as_headers
from service.web.asgi import Scope as AsgiScope
from service.web.body import design_caller
from service.web.caller import NOBODY, Caller
from service.web.desk import Desk
from service.web.keys import desk_of
from service.web.negotiate import best_type, sent_type
from service.web.streams.answer import Answering, send_end, send_lines, while_connected
from service.web.streams.messages import Call
from service.web.streams.pool import Pool
from service.web.streams.spool import ClientGone, Spools
from service.web.visit import WORK_SECONDS

NDJSON = "application/x-ndjson"
MEDIA_TYPES = (NDJSON, "application/ndjson")

AnyRequest = Request[Any, Any, Any]


@dataclass(frozen=True)
class Streams:
    """What NDJSON calls share: places for bodies, processes that work the lines, the time each line may take."""

    spools: Spools = field(default_factory=Spools)
    pool: Pool = field(default_factory=lambda: Pool(1))
    line_seconds: float = WORK_SECONDS


@dataclass(frozen=True)
class Plan:
    """How one call is to be worked: by what, with which options, from which line on."""

    work: str
    first_line: int
    options: dict[str, str] = field(default_factory=dict)


Planner = Callable[[AnyRequest, Desk, Caller], Plan]


async def serve(scope: Scope, receive: Receive, send: Send, planned: Planner) -> None:
    """Answer one request; `planned` reads its query.

    Raises:
        Rejected: before anything is answered
    """
    request: AnyRequest = Request(scope)
    media_type = best_type(request, MEDIA_TYPES)
    sent_type(request.headers.get("content-type", ""), MEDIA_TYPES)
    asgi_scope = cast("AsgiScope", scope)
    desk, caller = desk_of(asgi_scope), design_caller(asgi_scope)
    desk.guide()
    plan = planned(request, desk, caller)
    streams: Streams = scope["litestar_app"].state.streams
    try:
        size, stranger = _declared_bytes(request), caller is NOBODY
        async with streams.spools.filled(receive, size, stranger=stranger) as file:
            call = _call(request, plan, desk, caller, streams.line_seconds)
            answering = Answering(file, plan.first_line, call, desk, streams.pool)
            headers = _headers(media_type)
            to_its_end = await while_connected(receive, send_lines(answering, headers, send))
    except ClientGone:
        return
    if to_its_end:
        await send_end(answering, send)


def _declared_bytes(request: AnyRequest) -> int | None:
    given = request.headers.get("content-length", "")
    return int(given) if given.isascii() and given.isdigit() else None


def _call(request: AnyRequest, plan: Plan, desk: Desk, caller: Caller, line_seconds: float) -> Call:
    return Call(
        work=plan.work,
        instance=request.url.path,
        request_id=request.headers.get("x-request-id", ""),
        moment=desk.clock(),
        options=plan.options,
        caller=caller,
        line_seconds=line_seconds,
    )


def _headers(media_type: str) -> list[Header]:
    return as_headers({"Content-Type": media_type, "Vary": "Accept"})

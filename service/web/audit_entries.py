"""GET /v1/audit-entries: who wrote what and when, for the organisation it is about."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import Request, Response, get
from litestar.params import QueryParameter

from service.contract.audit import AuditEntryList
from service.store.audit_reader import PAGE
from service.web.caller import GivenCaller
from service.web.current import CurrentDesk
from service.web.negotiate import JSON, VARY, best_type

After = Annotated[
    str | None,
    QueryParameter(
        description="What `next` said, or the id of the last entry that was seen: entries after it",
        pattern="^[1-9][0-9]{0,17}$",
        max_length=18,
        schema_extra={"examples": ["2041"]},
    ),
]


@get(
    "/v1/audit-entries",
    operation_id="listAuditEntries",
    summary="Who wrote what, and when",
    tags=["audit"],
)
async def list_audit_entries(
    request: Request[Any, Any, Any], caller: GivenCaller, after: After = None
) -> Response[AuditEntryList]:
    """List what the keys of the key's organisation wrote, and what was written on its keys and price books.

    Oldest first, a hundred at a time; `next` is null when there are no more. An entry is never changed or removed.
    Writes are numbered as they begin: one that takes long may come in before others that were listed already.
    """
    caller.needs("admin")
    best_type(request, [JSON])
    current: CurrentDesk = request.app.state.current
    found = await current.uploads.run(current.store.audit_entries, caller.organisation, int(after or 0))
    last = str(found[-1].id) if len(found) == PAGE else None
    return Response(AuditEntryList(items=found, next=last), media_type=JSON, headers=VARY)

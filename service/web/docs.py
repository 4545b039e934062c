"""GET /docs: the reference of the interface, to read and to try; all it needs comes with the service."""

from __future__ import annotations

from typing import Any

from litestar import MediaType, Request, Response, get

from service.web.assets import asset_answer

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@get(
    "/docs",
    operation_id="showReference",
    summary="Reference of the interface",
    tags=["operations"],
    media_type=MediaType.HTML,
    sync_to_thread=False,
)
def show_reference(request: Request[Any, Any, Any]) -> Response[Any]:
    """Show every operation of `/openapi.json`, with a form to call it."""
    return asset_answer(request, "docs", "index.html", POLICY)

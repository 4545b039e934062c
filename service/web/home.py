"""GET /: the page to try the service on."""

from __future__ import annotations

from typing import Any

from litestar import MediaType, Request, Response, get

from service.web.assets import asset_answer

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@get(
    "/",
    operation_id="showHome",
    summary="Try page",
    tags=["operations"],
    media_type=MediaType.HTML,
    sync_to_thread=False,
)
def show_home(request: Request[Any, Any, Any]) -> Response[Any]:
    """Show a form for a deck, and its design; the form is an element other pages may hold too."""
    return asset_answer(request, "try", "index.html", POLICY)

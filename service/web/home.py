"""GET /: what this is and where to go on."""

from __future__ import annotations

from html import escape

from litestar import MediaType, Response, get

from service.web.desk import GivenDesk
from service.web.page import page

_LINKS = (
    ("/openapi.json", "the whole interface as OpenAPI 3.1"),
    ("/v1/options", "what a form may offer"),
    ("/v1/jurisdictions", "places with their local rules"),
    ("/v1/rulebooks", "editions with every table they are read from"),
    ("/health/ready", "whether the service can answer"),
)


@get(
    "/",
    operation_id="showHome",
    summary="Start page",
    tags=["operations"],
    media_type=MediaType.HTML,
    sync_to_thread=False,
)
def show_home(desk: GivenDesk) -> Response[str]:
    """Show what the service is and link to its parts."""
    links = "".join(f'<li><a href="{at}">{at}</a>: {what}</li>' for at, what in _LINKS)
    return page(
        "Deck framing",
        f"<h1>Deck framing {escape(desk.engine_version)}</h1>"
        "<p>Post a deck spec to <code>/v1/designs</code>; the frame, the order and a comparison of footings "
        "come back as JSON, each figure with the table cell or formula it comes from.</p>"
        f"<ul>{links}</ul>"
        "<p>An answer is no permit and no engineer's design. Local codes and licensed practice decide. "
        "Have buried lines marked before any hole is dug.</p>",
    )

"""Which media type to answer with, and which one a body has to have."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from litestar import Request, Response

from service.contract.problem import Rejected
from service.web.preferences import weight_of, weights

JSON, CSV, HTML = "application/json", "text/csv", "text/html"
TOML = "application/toml"
PDF, SVG = "application/pdf", "image/svg+xml"
VARY = {"Vary": "Accept"}


def best_type(request: Request[Any, Any, Any], offered: Sequence[str]) -> str:
    """Return the offered media type the caller likes best; the first where there is no wish, or none to be read.

    Raises:
        Rejected: not_acceptable, with what is offered
    """
    asked = weights(",".join(request.headers.getall("accept", [])))
    if not asked:
        return offered[0]
    # of equals the first is taken
    found = max(offered, key=lambda one: weight_of(one, asked))
    if not weight_of(found, asked):
        raise Rejected("not_acceptable", f"this call answers {' or '.join(offered)}")
    return found


def sent_type(content_type: str, taken: Sequence[str]) -> str:
    """Return which of the media types taken a body is said to have; text is taken in UTF-8 alone.

    Raises:
        Rejected: unsupported_media_type, with what is taken

    >>> sent_type('Text/CSV; charset="UTF-8"', [JSON, CSV])
    'text/csv'
    """
    kind, *parameters = [part.strip().lower() for part in content_type.split(";")]
    charsets = [part.partition("=")[2].strip('"') for part in parameters if part.startswith("charset=")]
    if kind not in taken or any(charset not in ("utf-8", "utf8") for charset in charsets):
        raise Rejected("unsupported_media_type", f"send {' or '.join(taken)} in UTF-8")
    return kind


def tagged(
    etag: str, content: object, media_type: str = JSON, keep: str = "public, max-age=86400"
) -> Response[Any]:
    """Return an answer with an entity tag of its own; ``keep`` says for how long it stands."""
    headers = {"ETag": etag, "Cache-Control": keep, **VARY}
    return Response(content, media_type=media_type, headers=headers)

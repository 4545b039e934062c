"""Which media type to answer with, and whether the caller has the answer already."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from litestar import Request, Response

from service.contract.problem import Rejected

JSON, CSV, HTML = "application/json", "text/csv", "text/html"
TOML = "application/toml"
PDF, SVG = "application/pdf", "image/svg+xml"
VARY = {"Vary": "Accept"}


def best_type(request: Request[Any, Any, Any], offered: Sequence[str]) -> str:
    """Return the offered media type the caller likes best; the first where there is no wish.

    Raises:
        Rejected: not_acceptable, with what is offered
    """
    accept = ",".join(request.headers.getall("accept", []))
    if not accept.strip(", \t"):
        return offered[0]
    found = request.accept.best_match([one for one in offered if not is_ruled_out(one, accept)])
    if found is None:
        raise Rejected("not_acceptable", f"this call answers {' or '.join(offered)}")
    return found


def is_ruled_out(media_type: str, accept: str) -> bool:
    """Return whether the range of an Accept header that fits a media type best has a weight of nought: a no.

    RFC 9110, 12.4.2; the framework takes a nought for the least of wishes.

    >>> is_ruled_out("text/csv", "text/csv;q=0, */*"), is_ruled_out("text/csv", "text/*, */*;q=0")
    (True, False)
    """
    fitting = (media_type, f"{media_type.partition('/')[0]}/*", "*/*")
    ranges = [one.lower().replace(" ", "").split(";") for one in accept.split(",")]
    weighed = {name: _is_nought(parameters) for name, *parameters in ranges}
    return next((weighed[name] for name in fitting if name in weighed), False)


def _is_nought(parameters: Sequence[str]) -> bool:
    return any(re.fullmatch(r"q=0(\.0{0,3})?", one) for one in parameters)


def has_already(request: Request[Any, Any, Any], etag: str) -> bool:
    """Return whether an If-None-Match header names an entity tag, by weak comparison (RFC 9110, 13.1.2)."""
    given = ",".join(request.headers.getall("if-none-match", []))
    tags = [tag.strip().removeprefix("W/") for tag in given.split(",")]
    return "*" in tags or etag in tags


def unless_had(
    request: Request[Any, Any, Any],
    etag: str,
    content: object,
    media_type: str = JSON,
    keep: str = "public, max-age=86400",
) -> Response[Any]:
    """Return the content with its entity tag, or 304 where the caller has it; ``keep`` says for how long it stands."""
    headers = {"ETag": etag, "Cache-Control": keep, **VARY}
    if has_already(request, etag):
        return Response(None, status_code=304, headers=headers)
    return Response(content, media_type=media_type, headers=headers)

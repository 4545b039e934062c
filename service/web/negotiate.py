"""Which media type to answer with, and whether the caller has the answer already."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from litestar import Request

from service.contract.problem import Rejected

JSON, CSV, HTML = "application/json", "text/csv", "text/html"
PDF, SVG = "application/pdf", "image/svg+xml"
VARY = {"Vary": "Accept"}


def best_type(request: Request[Any, Any, Any], offered: Sequence[str]) -> str:
    """Return the offered media type the caller likes best; the first where there is no wish.

    Raises:
        Rejected: not_acceptable, with what is offered
    """
    if not request.headers.get("accept", "").strip():
        return offered[0]
    found = request.accept.best_match(list(offered))
    if found is None:
        raise Rejected("not_acceptable", f"this call answers {' or '.join(offered)}")
    return found


def has_already(request: Request[Any, Any, Any], etag: str) -> bool:
    """Return whether an If-None-Match header names an entity tag, by weak comparison (RFC 9110, 13.1.2)."""
    given = ",".join(request.headers.getall("if-none-match", []))
    tags = [tag.strip().removeprefix("W/") for tag in given.split(",")]
    return "*" in tags or etag in tags

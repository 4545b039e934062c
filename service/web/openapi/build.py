"""The document as a whole, and GET /openapi.json."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from litestar import Litestar, Request, Response, get
from litestar.di import Provide
from litestar.openapi import OpenAPIConfig

from service import __version__
from service.web import deprecations
from service.web.negotiate import JSON, VARY, best_type
from service.web.openapi.operations import PROBLEM_RESPONSES, SECURITY_SCHEMES, TAGS, described_operation
from service.web.openapi.schemas import component_schemas
from service.web.openapi.streams import stream_paths
from service.web.openapi.wire import SHARED_HEADERS, laid_over, marked
from service.web.routes import HANDLERS

MEDIA_TYPE = "application/vnd.oai.openapi+json;version=3.1"
_DESCRIPTION = (
    "A deck spec goes in; the frame, the order and a comparison of footing methods come out, each figure with "
    "the table cell or formula it comes from. Nothing about a deck is kept. An answer is no permit and no "
    "engineer's design: local codes and licensed practice decide, and buried lines are marked before any hole "
    "is dug. The unit of a number is the last part of its name. In a request null is the same as absent and "
    "unknown fields are refused; in an answer every field is present and clients ignore those they don't know. "
    "HEAD is answered wherever GET is; OPTIONS, without a key, lists the methods of a path. Answers are compressed "
    "with br or gzip where Accept-Encoding takes them, streams too."
)


@get(
    "/openapi.json",
    operation_id="getDocument",
    summary="This document",
    tags=["operations"],
    media_type=MEDIA_TYPE,
    sync_to_thread=False,
)
def show_document(request: Request[Any, Any, Any]) -> Response[dict[str, Any]]:
    """Show the whole interface as OpenAPI 3.1."""
    media_type = best_type(request, [MEDIA_TYPE, JSON])
    body: Any = document_text().encode()
    return Response(body, media_type=media_type, headers={"Cache-Control": "public, no-cache", **VARY})


@cache
def document_text() -> str:
    """Return the document as it is written to a file: two spaces, keys in our order, a line feed at the end."""
    return json.dumps(document(), indent=2, ensure_ascii=False) + "\n"


def document() -> dict[str, Any]:
    """Return the document."""
    drawn = _drawn()["paths"]
    paths = {**{path: _path_item(item) for path, item in drawn.items()}, **stream_paths()}
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Deck framing",
            "version": __version__,
            "summary": "Frames a residential deck from published rule tables",
            "description": _DESCRIPTION,
            "contact": {"name": "Whoever runs the service this document came from"},
            "license": {"name": "MIT", "identifier": "MIT"},
        },
        "servers": [{"url": "/", "description": "The host this document came from"}],
        "security": [],
        "tags": TAGS,
        "paths": laid_over(paths, deprecations.DEPRECATIONS),
        "components": {
            "schemas": marked(component_schemas(), deprecations.DEPRECATIONS),
            "responses": PROBLEM_RESPONSES,
            "headers": SHARED_HEADERS,
            "securitySchemes": SECURITY_SCHEMES,
        },
    }


def _drawn() -> dict[str, Any]:
    """What the framework makes of the handlers; only its paths are used."""
    app = Litestar(
        route_handlers=[*HANDLERS, show_document],
        dependencies={name: Provide(lambda: None, sync_to_thread=False) for name in ("desk", "caller")},
        openapi_config=OpenAPIConfig(title="", version="", use_handler_docstrings=True),
        logging_config=None,
    )
    return app.openapi_schema.to_schema()


def _path_item(item: dict[str, Any]) -> dict[str, Any]:
    return {method: described_operation(operation) for method, operation in item.items()}

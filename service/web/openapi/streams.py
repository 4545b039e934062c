"""The NDJSON operations, which the framework leaves out of the document since their handlers are raw."""

from __future__ import annotations

import inspect
import json
from typing import Any

from litestar.handlers import ASGIRouteHandler

from service.web.openapi.examples import bundled_deck
from service.web.openapi.operations import OPTIONAL_KEY, problem_references
from service.web.streams.design_batches import PARAMETERS as BATCH_PARAMETERS
from service.web.streams.design_batches import design_batch
from service.web.streams.query import Parameter
from service.web.streams.repricings import PARAMETERS as REPRICE_PARAMETERS
from service.web.streams.repricings import reprice
from service.web.streams.rule_impacts import PARAMETERS as IMPACT_PARAMETERS
from service.web.streams.rule_impacts import assess_rule_impacts
from service.web.streams.serve import MEDIA_TYPES

Json = dict[str, Any]
_STATUSES = (401, 403, 408, 413, 415, 429)
_LINES = (
    "The body is NDJSON: one JSON value a line, ended by a line feed; the schema is that of one line. It is read "
    "whole before it is answered, so a client may send all of it before it reads. A line longer than 262,144 bytes "
    "or not JSON is answered with a problem and the others are worked all the same. Blank lines are skipped and "
    "counted. A body that comes slower than 16 kB/s for 30 seconds is refused, and an answer nobody takes for 120 "
    "seconds is cut off. A few such calls are answered at a time, half of them without a key; others are asked to "
    "come again."
)
_ANSWER = (
    "NDJSON; the schema is that of one line. A line comes for each line of the request that is not blank, in the "
    "same order, and last the line of kind `end`. Without it the answer was cut off: send the body again with "
    "`first_line`, from the line after the last one that came"
)
_QUOTE = {
    "reference": "LEAD-2041",
    "previous_total": {"currency": "USD", "amount": "54.50"},
    "lines": [{"item": "concrete.bag.60lb", "quantity": 10}],
}


def stream_paths() -> Json:
    """Return the path items of the NDJSON operations."""
    return {
        **_path(
            design_batch,
            "Design many decks",
            BATCH_PARAMETERS,
            ("DeckSpec", "DesignBatchLine"),
            [{"reference": "LEAD-2041", **bundled_deck()}, bundled_deck()],
        ),
        **_path(
            reprice,
            "Price many open quotes anew",
            REPRICE_PARAMETERS,
            ("RepricingSpec", "RepricingLine"),
            [_QUOTE, {**_QUOTE, "reference": "LEAD-2042"}],
        ),
        **_path(
            assess_rule_impacts,
            "Tell what a new rulebook version changes of many decks",
            IMPACT_PARAMETERS,
            ("DeckSpec", "RuleImpactLine"),
            [{"reference": "LEAD-2041", **bundled_deck()}, bundled_deck()],
        ),
    }


def operation_of(handler: ASGIRouteHandler) -> str:
    """Return the operation id of a raw handler, which is written beside it."""
    return str(handler.opt["operation_id"])


def _path(
    handler: ASGIRouteHandler,
    summary: str,
    parameters: tuple[Parameter, ...],
    schemas: tuple[str, str],
    example: list[Json],
) -> Json:
    taken, given = schemas
    operation = {
        "tags": ["batches"],
        "operationId": operation_of(handler),
        "summary": summary,
        "description": f"{inspect.cleandoc(str(handler.fn.__doc__))}\n\n{_LINES}",
        "parameters": [_parameter(one) for one in parameters],
        "security": OPTIONAL_KEY,
        "requestBody": {"required": True, "content": _content(taken, example)},
        "responses": {
            "200": {
                "description": _ANSWER,
                "content": _content(given),
            },
            **problem_references(_STATUSES),
        },
    }
    (path,) = handler.paths
    return {path: {"post": operation}}


def _content(schema: str, example: list[Json] | None = None) -> Json:
    content: Json = {"schema": {"$ref": f"#/components/schemas/{schema}"}}
    if example is not None:
        lines = "".join(f"{json.dumps(one)}\n" for one in example)
        content["examples"] = {"lines": {"summary": "Two lines", "value": lines}}
    return dict.fromkeys(MEDIA_TYPES, content)


def _parameter(one: Parameter) -> Json:
    schema: Json = (
        {"type": "integer", "minimum": 1, "maximum": 999_999_999} if one.whole else {"type": "string"}
    )
    if one.words:
        schema["enum"] = list(one.words)
    elif not one.whole:
        schema |= {"pattern": one.pattern, "maxLength": one.longest}
    if one.default:
        schema["default"] = int(one.default) if one.whole else one.default
    return {
        "name": one.name,
        "in": "query",
        "required": one.required,
        "description": one.description,
        "schema": {**schema, "examples": [int(one.example) if one.whole else one.example]},
    }

"""What holds for the answers of every operation, laid over the document: headers, entity tags, what is deprecated."""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from typing import Any

from service.web.deprecations import Deprecation, deprecation_of

Json = dict[str, Any]
_PINNED = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*@[1-9][0-9]*$"
# As loose as RFC 9110 has them: forms of answers and codings may come that are not thought of yet.
TAG_PATTERN = r'^(W/)?"[^"]*"$'
# Whose answers say by which version they were made: always, or where one was chosen.
_RULEBOOK = {
    **dict.fromkeys(
        (
            "createDesign", "createTakeoff", "compareFootings", "drawSheet", "createPermitPackage", "layoutStair",
            "checkMember", "publishRulebookVersion", "withdrawRulebookVersion",
        ),
        True,
    ),
    **dict.fromkeys(("getRulebookVersion", "getTable", "compareVersions"), False),
}  # fmt: skip
_JURISDICTION = {
    **dict.fromkeys(
        ("getJurisdiction", "publishJurisdictionVersion", "withdrawJurisdictionVersion"),
        True,
    ),
    **dict.fromkeys(
        (
            "createDesign", "createTakeoff", "compareFootings", "drawSheet", "createPermitPackage", "checkMember",
            "listOptions", "getJurisdictionVersion", "compareJurisdictionVersions",
        ),
        False,
    ),
}  # fmt: skip
_PRICE_BOOK = {
    **dict.fromkeys(("reprice", "getPriceBookVersion"), True),
    **dict.fromkeys(
        (
            "createDesign", "createTakeoff", "compareFootings", "drawSheet", "createPermitPackage", "listOptions",
            "uploadPriceBookVersion",
        ),
        False,
    ),
}  # fmt: skip
_CHOSEN = {"Deck-Rulebook": _RULEBOOK, "Deck-Jurisdiction": _JURISDICTION, "Deck-Price-Book": _PRICE_BOOK}
_KINDS = {"Deck-Rulebook": "Rulebook", "Deck-Jurisdiction": "Place", "Deck-Price-Book": "Price book"}
# Of problems those that may come after versions were chosen.
_AFTER_CHOOSING = (404, 406, 409, 422, 500, 503)
# They tell how it is at this moment.
_OF_THE_MOMENT = ("checkLive", "checkReady")
# Here a draft may be answered, which nobody may keep.
_MAY_HAVE_NO_TAG = ("getTable",)


def header(description: str, pattern: str | None = None, required: bool = True) -> Json:
    """Return the description of a header of an answer."""
    schema: Json = {"type": "string"} if pattern is None else {"type": "string", "pattern": pattern}
    return {"description": description, "required": required, "schema": schema}


_EVERY = {
    "X-Request-Id": header("Id of this request; one sent in this form is kept", "^[0-9a-f]{32}$"),
    "traceresponse": header(
        "Where it stands in its trace, as W3C Trace Context has it; a `traceparent` in the standard's form is kept to",
        "^00-[0-9a-f]{32}-[0-9a-f]{16}-[0-9a-f]{2}$",
    ),
    "Deck-Engine": header("Version of the service"),
    "X-Content-Type-Options": header("`nosniff`: it is what Content-Type says and nothing else"),
}
_PACKED = {
    "Vary": header("What of the request the answer depends on", required=False),
    "Content-Encoding": header(
        "How it is compressed, as Accept-Encoding asks: `br` or `gzip`", required=False
    ),
}
_AWAY = {
    "Deck-Snapshot": header(
        "The database is away: answered from what was read before", "^stale$", required=False
    ),
    "Deck-Snapshot-Age-Seconds": header(
        "How long ago that was, while it is away", "^[0-9]+$", required=False
    ),
}
_RATE = {
    "RateLimit-Policy": header(
        "To a publishable key: `q` requests in `w` seconds are taken from one address, "
        'like `"publishable";q=20;w=20`',
        required=False,
    ),
    "RateLimit": header(
        "To a publishable key: `r` of them may come now, all of them after `t` seconds, "
        'like `"publishable";r=19;t=1`',
        required=False,
    ),
}
# Of what is shown in a browser.
_SHOWN = {
    "Content-Security-Policy": header("What it may load and run"),
    "Referrer-Policy": header("What other sites are told of where their reader came from"),
    "Permissions-Policy": header("What of the device it may ask for"),
}
_SHOWN_BY = ("showHome", "showReference", "showProblem")
_KEPT = header("For how long it may be kept; with a key, by nobody", required=False)
_TAG = header("Entity tag, a digest of what it tells; one for each coding", TAG_PATTERN)
_DESCRIBED = header("`service-desc`: this document; `deprecation`: what to use instead", required=False)
SHARED_HEADERS: Json = {**_EVERY, **_PACKED, **_AWAY, **_RATE, "Cache-Control": _KEPT, "Link": _DESCRIBED}
_LEAVING = {
    "Deprecation": header("Moment since which it is to be used no more (RFC 9745)", "^@[0-9]+$"),
    "Sunset": header("Moment from which it may be gone (RFC 8594)", required=False),
}
_IF_NONE_MATCH: Json = {
    "name": "If-None-Match",
    "in": "header",
    "required": False,
    "description": "Entity tags the caller has; 304 if one still holds",
    "schema": {"type": "string"},
}


def laid_over(paths: Json, table: Sequence[Deprecation]) -> Json:
    """Return the path items with what every answer has."""
    return {
        path: {method: _operation(path, method, one, table) for method, one in item.items()}
        for path, item in paths.items()
    }


def _operation(path: str, method: str, operation: Json, table: Sequence[Deprecation]) -> Json:
    name = operation["operationId"]
    tagged = method == "get" and name not in _OF_THE_MOMENT
    leaving = deprecation_of(name, table)
    headers = {
        **_shared(*_EVERY, *_PACKED, "Cache-Control"),
        **(_shared(*_AWAY, *_RATE, "Link") if path.startswith("/v1/") else {}),
        **(_LEAVING if leaving else {}),
        **_versions(name),
        **(_SHOWN if name in _SHOWN_BY else {}),
        **(_tag(name) if tagged else {}),
    }
    responses = {
        status: answer
        if "$ref" in answer
        else {**answer, "headers": {**headers, **answer.get("headers", {})}}
        for status, answer in operation["responses"].items()
    }
    found = {**operation, "responses": responses}
    if tagged:
        found["parameters"] = [*operation["parameters"], _IF_NONE_MATCH]
        responses["304"] = {"description": "The caller has it already", "headers": headers}
        found["responses"] = dict(sorted(responses.items()))
    return found if leaving is None or leaving.field else {**found, "deprecated": True}


def _shared(*names: str) -> Json:
    return {name: {"$ref": f"#/components/headers/{name}"} for name in names}


def _versions(name: str) -> Json:
    return {
        title: header(f"{_KINDS[title]} version it was made from", _PINNED, required=table[name])
        for title, table in _CHOSEN.items()
        if name in table
    }


def _tag(name: str) -> Json:
    return {"ETag": {**_TAG, "required": name not in _MAY_HAVE_NO_TAG}}


def problem_headers_of(status: int) -> Json:
    """Return the headers of a problem, which any operation may answer."""
    found = _shared(*SHARED_HEADERS)
    if status in _AFTER_CHOOSING:
        for title, kind in _KINDS.items():
            found[title] = header(f"{kind} version, where one was chosen before", _PINNED, required=False)
    if status in (429, 503):
        found["Retry-After"] = header("Seconds to wait", "^[0-9]+$")
    if status == 401:
        found["WWW-Authenticate"] = header("How to send a key", "^Bearer$")
    return found


def marked(schemas: Json, table: Sequence[Deprecation]) -> Json:
    """Return the schemas with the deprecated fields marked.

    Raises:
        KeyError: a field of the table is not there
    """
    found = deepcopy(schemas)
    for one in table:
        if one.field is not None:
            schema, _, name = one.field.partition(".")
            found[schema]["properties"][name]["deprecated"] = True
    return found

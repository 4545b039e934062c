"""Pages of other origins: which may ask, and what a browser is told so that they may read the answer.

A preflight carries no key, so it is answered for every origin that any key in force names. The request after it has
to fit its own key. The answer names that very origin and no other, and none that is not registered. An origin is
compared letter by letter: browsers write it in one way alone.
"""

from __future__ import annotations

from service.contract.problem import Rejected
from service.store.access import ApiKey
from service.web.asgi import Header, Headers, Scope, values_of
from service.web.desk import Desk

ORIGIN, VARY = b"origin", b"vary"
METHODS = b"GET, HEAD, POST"
HEADERS = b"Authorization, Content-Type, Accept, If-None-Match, X-Request-Id"
EXPOSED = (
    b"Deck-Design-Id, Deck-Verdict, Deck-Engine, Deck-Rulebook, Deck-Jurisdiction, Deck-Price-Book, "
    b"Deck-Snapshot, Deck-Snapshot-Age-Seconds, Content-Disposition, ETag, Retry-After, RateLimit, RateLimit-Policy, "
    b"Deprecation, Sunset, Link, Allow, X-Request-Id"
)
# Within it a browser may send to an origin that has lost its key; the request itself is refused all the same.
MAX_AGE_S = b"600"
_NOT_ALLOWED = "no key may be used from pages of this origin"


def is_preflight(scope: Scope) -> bool:
    """Return whether a request is a browser's question whether another may be sent."""
    names = {name.lower() for name, _ in scope["headers"]}
    return scope["method"] == "OPTIONS" and {ORIGIN, b"access-control-request-method"} <= names


def registered_origin(headers: Headers, desk: Desk) -> str | None:
    """Return the origin of a request's page where any key in force names it."""
    sent = values_of(headers, ORIGIN)
    known = len(sent) == 1 and desk.snapshot.access.has_origin(sent[0], desk.clock())
    return sent[0] if known else None


def preflight_origin(headers: Headers, desk: Desk) -> str:
    """Return the origin a preflight is answered for.

    Raises:
        Rejected: origin_not_allowed
    """
    origin = registered_origin(headers, desk)
    if origin is None:
        raise Rejected("origin_not_allowed", _NOT_ALLOWED)
    return origin


def page_origin(headers: Headers, key: ApiKey) -> str | None:
    """Return the origin that may read the answer to a key: one of its own; none for a secret key.

    Raises:
        Rejected: origin_not_allowed, for a publishable key without one of its origins
    """
    if key.kind != "publishable":
        return None
    sent = values_of(headers, ORIGIN)
    if len(sent) != 1 or sent[0] not in key.origins:
        raise Rejected(
            "origin_not_allowed", "this key may not be used from pages of this origin, or without one"
        )
    return sent[0]


def answer_headers(origin: str) -> list[Header]:
    """Return what lets a page of an origin read an answer."""
    return [
        (b"access-control-allow-origin", origin.encode("latin-1")),
        (b"access-control-expose-headers", EXPOSED),
    ]


PREFLIGHT_HEADERS: list[Header] = [
    (b"access-control-allow-methods", METHODS),
    (b"access-control-allow-headers", HEADERS),
    (b"access-control-max-age", MAX_AGE_S),
    (VARY, b"Access-Control-Request-Method, Access-Control-Request-Headers"),
]

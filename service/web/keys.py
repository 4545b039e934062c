"""The key of a request.

For raw ASGI applications: `desk_of(scope)` is the desk a request began with, `settled_caller(scope)` its caller.
The key is judged once, in the envelope, by `caller_of`, a plain function of what it is given.
"""

from __future__ import annotations

import hmac
import re

from service.contract.problem import Rejected
from service.store.access import NO_KEY, ApiKey, secret_digest
from service.web.asgi import Headers, values_of
from service.web.asgi import Scope as Scope
from service.web.caller import NEEDS_KEY, NOBODY, Caller
from service.web.desk import Desk

DESK, CALLER = "deck_framing.desk", "deck_framing.caller"
AUTHORIZATION = b"authorization"
_KEY = re.compile(r"(?i:bearer) +(secret|publishable)\.([0-9a-f]{16})\.([A-Za-z0-9_-]{43})")


def desk_of(scope: Scope) -> Desk:
    """Return the desk a request began with; a newer one does not reach it."""
    desk: Desk = scope[DESK]
    return desk


def settled_caller(scope: Scope) -> Caller:
    """Return who sent a request, as the envelope has found."""
    caller: Caller = scope[CALLER]
    return caller


def key_of(headers: Headers, desk: Desk) -> ApiKey | None:
    """Return the key a request was sent with, None where it has no Authorization header.

    A malformed, an unknown, an expired, a revoked key and a wrong secret are refused in the same words and by the
    same steps: one look-up, one digest, one comparison in constant time, one look at the clock.

    Args:
        headers: raw headers of the request, as ASGI gives them
        desk: holds the keys, and the clock they expire by

    Raises:
        Rejected: unauthenticated
    """
    sent = values_of(headers, AUTHORIZATION)
    if not sent:
        return None
    found = _KEY.fullmatch(sent[0].strip()) if len(sent) == 1 else None
    kind, id, secret = found.groups() if found else ("", "", "")
    key = desk.snapshot.access.keys.get(id, NO_KEY)
    same = hmac.compare_digest(secret_digest(secret), key.secret_digest)
    in_force = key.in_force_at(desk.clock())
    if not (same and in_force and kind == key.kind):
        raise Rejected("unauthenticated", NEEDS_KEY)
    return key


def caller_of(headers: Headers, desk: Desk) -> Caller:
    """Return who sent a request, `NOBODY` where it has no Authorization header; see `key_of`.

    Raises:
        Rejected: unauthenticated
    """
    return caller_with(key_of(headers, desk))


def caller_with(key: ApiKey | None) -> Caller:
    """Return who sends a key."""
    if key is None:
        return NOBODY
    publishable = key.kind == "publishable"
    return Caller(key.organisation, key.scopes, key.price_book, key.id, key.rules_bound, publishable)

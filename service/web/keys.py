"""The key of a request.

For raw ASGI applications: `desk_of(scope)` is the desk a request began with, `caller_of(headers, desk)` its
caller; both are plain functions of what they are given.
"""

from __future__ import annotations

import hmac
import re
from collections.abc import Iterable, MutableMapping
from typing import Any

from service.contract.problem import Rejected
from service.store.access import NO_KEY, secret_digest
from service.web.caller import NEEDS_KEY, NOBODY, Caller
from service.web.desk import Desk

Scope = MutableMapping[str, Any]
Headers = Iterable[tuple[bytes, bytes]]
DESK = "deck_framing.desk"
AUTHORIZATION = b"authorization"
_KEY = re.compile(r"(?i:bearer) +(secret|publishable)\.([0-9a-f]{16})\.([A-Za-z0-9_-]{43})")


def desk_of(scope: Scope) -> Desk:
    """Return the desk a request began with; a newer one does not reach it."""
    desk: Desk = scope[DESK]
    return desk


def caller_of(headers: Headers, desk: Desk) -> Caller:
    """Return who sent a request, `NOBODY` where it has no Authorization header.

    A malformed, an unknown, a revoked key and a wrong secret are refused in the same words and by the same
    steps: one look-up, one digest, one comparison in constant time.

    Args:
        headers: raw headers of the request, as ASGI gives them
        desk: holds the keys in force

    Raises:
        Rejected: unauthenticated
    """
    sent = [value.decode("latin-1") for name, value in headers if name.lower() == AUTHORIZATION]
    if not sent:
        return NOBODY
    found = _KEY.fullmatch(sent[0].strip()) if len(sent) == 1 else None
    kind, id, secret = found.groups() if found else ("", "", "")
    key = desk.snapshot.access.keys.get(id, NO_KEY)
    same = hmac.compare_digest(secret_digest(secret), key.secret_digest)
    if not (same and kind == key.kind):
        raise Rejected("unauthenticated", NEEDS_KEY)
    return Caller(key.organisation, key.scopes, key.price_book, key.id)

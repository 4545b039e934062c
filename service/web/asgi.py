"""The words of ASGI, and what is done with headers as it gives them."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[Scope, Receive, Send], Awaitable[None]]
Header = tuple[bytes, bytes]
Headers = Iterable[Header]


def values_of(headers: Headers, wanted: bytes) -> list[str]:
    """Return every value of a header, named in small letters."""
    return [value.decode("latin-1") for name, value in headers if name.lower() == wanted]


def list_of(headers: Headers, wanted: bytes) -> str:
    """Return a header that holds a list, as one text however often it was sent.

    >>> list_of([(b"Accept", b"text/csv"), (b"accept", b"*/*;q=0.1")], b"accept")
    'text/csv,*/*;q=0.1'
    """
    return ",".join(values_of(headers, wanted))


def without(headers: Headers, *names: bytes) -> list[Header]:
    """Return the headers but for some, named in small letters."""
    return [(name, value) for name, value in headers if name.lower() not in names]


def as_headers(told: dict[str, str]) -> list[Header]:
    """Return headers as ASGI takes them.

    >>> as_headers({"Allow": "GET"})
    [(b'allow', b'GET')]
    """
    return [(name.lower().encode(), value.encode()) for name, value in told.items()]

"""Entity tags: one for every answer that stays, 304 where the caller has it, one for each coding of it.

The codings of one answer have tags of their own, as strong ones have to (RFC 9110, 8.8.3.3): `"0123…"`,
`"0123…-gzip"`, `"0123…-br"`. For a caller who names one, in whichever coding he had it, they stand for the same.
"""

from __future__ import annotations

import re
from hashlib import sha256

from service.web.asgi import Header, Headers, Message, Send, list_of, values_of, without

ETAG, IF_MATCH, IF_NONE_MATCH = b"etag", b"if-match", b"if-none-match"
CACHE_CONTROL = b"cache-control"
_TAG = re.compile(r'(?:W/)?"[^"]*"')
_CODED = re.compile(r'-(?:gzip|br)"')
# It says what is sent, and nothing is.
_OF_A_BODY = (b"content-length", b"content-type", ETAG)


def with_coding(tag: str, name: str) -> str:
    """Return the tag of an answer in a coding.

    >>> with_coding('"0123"', "br"), with_coding('W/"0123"', "br")
    ('"0123-br"', 'W/"0123"')
    """
    return tag if tag.startswith("W/") else f'{tag[:-1]}-{name}"'


def without_coding(tags: str) -> str:
    """Return tags as they are without a coding.

    >>> without_coding('"0123-br", W/"4567-gzip", "89-x"')
    '"0123", W/"4567", "89-x"'
    """
    return _CODED.sub('"', tags)


def plain_tags(headers: Headers) -> list[Header]:
    """Return the headers of a request with the tags an If-Match names without their codings."""
    return [
        (name, without_coding(value.decode("latin-1")).encode("latin-1"))
        if name.lower() == IF_MATCH
        else (name, value)
        for name, value in headers
    ]


def named_tag(given: str, tag: str) -> str | None:
    """Return the tag by which a caller says to have an answer, by weak comparison (RFC 9110, 13.1.2), None for none.

    >>> named_tag('"4567", W/"0123-br"', '"0123"'), named_tag("*", '"0123"'), named_tag('"4567"', '"0123"')
    ('"0123-br"', '"0123"', None)
    """
    if given.strip() == "*":
        return tag
    bare = without_coding(tag).removeprefix("W/")
    named = (one.removeprefix("W/") for one in _TAG.findall(given))
    return next((one for one in named if without_coding(one) == bare), None)


class Tagging:
    """Sends the answer to a GET on: with a tag, or as 304 where the caller has named it.

    An answer that nobody may keep has no tag but its own; one that says nothing about that is asked for again each
    time.
    """

    def __init__(self, send: Send, headers: Headers) -> None:
        self._send = send
        self._given = list_of(headers, IF_NONE_MATCH)
        self._start: Message | None = None
        self._over = False

    async def __call__(self, message: Message) -> None:
        """Send one message."""
        if message["type"] == "http.response.start" and message["status"] == 200:
            self._start = message
        elif self._start is not None:
            start, self._start = self._start, None
            await self._first(start, message)
        elif not self._over:
            await self._send(message)

    async def _first(self, start: Message, message: Message) -> None:
        headers = _tagged(start["headers"], message)
        tags = values_of(headers, ETAG)
        named = named_tag(self._given, tags[0]) if tags else None
        if named is None:
            await self._send({**start, "headers": headers})
            await self._send(message)
            return
        self._over = True
        told = [*without(headers, *_OF_A_BODY), (ETAG, named.encode("latin-1"))]
        await self._send({**start, "status": 304, "headers": told})
        await self._send({"type": "http.response.body", "body": b"", "more_body": False})


def _tagged(headers: list[Header], message: Message) -> list[Header]:
    kept = list_of(headers, CACHE_CONTROL)
    if values_of(headers, ETAG) or "no-store" in kept or message.get("more_body", False):
        return headers
    tag = f'"{sha256(message.get("body", b"")).hexdigest()}"'
    return [*headers, (ETAG, tag.encode()), *([] if kept else [(CACHE_CONTROL, b"no-cache")])]

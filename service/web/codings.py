"""Answers compressed for their way: which coding a caller takes, and how whole answers and streams are packed.

Why this is safe beside secrets (BREACH: text of an attacker's and a secret, compressed together, give the secret away
by their length): nothing that is secret stands in an answer. A key comes in `Authorization` and is never sent back,
no cookie is looked at, and so no page can have a browser ask with somebody else's key; what an answer holds of the
caller's own text, and prices his key may see, are his already.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import brotli
from anyio import to_thread

from service.contract.problem import Rejected
from service.web.asgi import Header, Headers, Message, Send, list_of, values_of, without
from service.web.entity_tags import with_coding
from service.web.preferences import weights

CONTENT_ENCODING, CONTENT_TYPE, CONTENT_LENGTH = b"content-encoding", b"content-type", b"content-length"
CACHE_CONTROL, ETAG, VARY = b"cache-control", b"etag", b"vary"
# Of equals the first is taken. Measured on a report of 250 kB: brotli 4 takes 1.8 ms and leaves 11 %, gzip 5 takes
# 2.3 ms and leaves 12 %; the levels above take twice as long for one part in a hundred.
BROTLI_QUALITY, GZIP_LEVEL = 4, 5
# A smaller one goes in one packet either way.
LEAST_BYTES = 1024
# From here on it would hold up other requests: about half a millisecond.
THREAD_BYTES = 65_536
# PDF is compressed inside.
PACKABLE = frozenset(
    {
        "application/json", "application/problem+json", "application/vnd.oai.openapi+json", "application/toml",
        "application/x-ndjson", "application/ndjson", "image/svg+xml", "text/csv", "text/html", "text/css",
        "text/javascript", "text/plain",
    }
)  # fmt: skip
_EMPTY = (204, 304)
_GZIP_FORM = 16 + zlib.MAX_WBITS


class Packer(Protocol):
    """Packs one answer, piece by piece."""

    def piece(self, content: bytes, *, last: bool) -> bytes:
        """Return what can be read of the answer once this piece has come, and no later one."""
        ...


class _Gzip:
    def __init__(self) -> None:
        self._packer = zlib.compressobj(GZIP_LEVEL, zlib.DEFLATED, _GZIP_FORM)

    def piece(self, content: bytes, *, last: bool) -> bytes:
        end = zlib.Z_FINISH if last else zlib.Z_SYNC_FLUSH
        return self._packer.compress(content) + self._packer.flush(end)


class _Brotli:
    def __init__(self) -> None:
        self._packer = brotli.Compressor(quality=BROTLI_QUALITY)

    def piece(self, content: bytes, *, last: bool) -> bytes:
        packed: bytes = self._packer.process(content)
        rest: bytes = self._packer.finish() if last else self._packer.flush()
        return packed + rest


PACKERS: dict[str, Callable[[], Packer]] = {"br": _Brotli, "gzip": _Gzip}


@dataclass(frozen=True)
class Coding:
    """What a caller takes.

    Attributes:
        name: `br` or `gzip`; None for an answer as it is
        always: whether an answer as it is was refused
    """

    name: str | None = None
    always: bool = False


def coding_of(headers: Headers) -> Coding:
    """Return the coding a caller likes best; without a wish, none.

    Raises:
        Rejected: not_acceptable where each of them is refused, and an answer as it is too

    >>> coding_of([(b"accept-encoding", b"gzip, br")]).name, coding_of([(b"accept-encoding", b"br;q=0, *")]).name
    ('br', 'gzip')
    """
    asked = weights(list_of(headers, b"accept-encoding"))
    if not asked:
        return Coding()
    asked = {**({"gzip": asked["x-gzip"]} if "x-gzip" in asked else {}), **asked}
    others = asked.get("*", 0.0)
    best = max(PACKERS, key=lambda one: asked.get(one, others))
    weight, plain = asked.get(best, others), asked.get("identity", asked.get("*"))
    if plain == 0.0 and not weight:
        raise Rejected("not_acceptable", f"this service answers in {', '.join(PACKERS)} or identity")
    liked = weight > 0.0 and weight >= asked.get("identity", 0.0)
    return Coding(best if liked else None, always=plain == 0.0)


class Packing:
    """Sends an answer on, packed where that is worth it; a piece of a stream can be read as soon as it has come.

    Attributes:
        coding: what the caller takes
    """

    def __init__(self, send: Send) -> None:
        self.coding = Coding()
        self._send = send
        self._start: Message | None = None
        self._packer: Packer | None = None

    async def __call__(self, message: Message) -> None:
        """Send one message."""
        if message["type"] == "http.response.start":
            await self._begin(message)
        elif self._start is not None:
            await self._first(self._start, message)
        elif self._packer is not None:
            await self._next(self._packer, message)
        else:
            await self._send(message)

    async def _begin(self, start: Message) -> None:
        headers = start["headers"]
        packable = _packable(headers) or self.coding.always
        if start["status"] in _EMPTY or values_of(headers, CONTENT_ENCODING) or not packable:
            # one that says only that an answer still stands depends on what that one would have
            told = [(VARY, b"Accept-Encoding")] if start["status"] == 304 else []
            await self._send({**start, "headers": [*headers, *told]})
            return
        start = {**start, "headers": [*headers, (VARY, b"Accept-Encoding")]}
        if self.coding.name is None:
            await self._send(start)
        else:
            self._start = start

    async def _first(self, start: Message, message: Message) -> None:
        self._start = None
        name, content = self.coding.name or "", message.get("body", b"")
        if message.get("more_body", False):
            self._packer = PACKERS[name]()
            await self._send({**start, "headers": _coded(start["headers"], name)})
            await self._next(self._packer, message)
        elif len(content) < LEAST_BYTES and not self.coding.always:
            await self._send(start)
            await self._send(message)
        else:
            packed = await _whole(content, name, start["headers"])
            await self._send({**start, "headers": _coded(start["headers"], name, len(packed))})
            await self._send({**message, "body": packed})

    async def _next(self, packer: Packer, message: Message) -> None:
        content, last = message.get("body", b""), not message.get("more_body", False)
        if not content and not last:
            return
        packed = await _beside(content, lambda one: packer.piece(one, last=last))
        await self._send({**message, "body": packed})


def _packable(headers: list[Header]) -> bool:
    return any(one.partition(";")[0].strip().lower() in PACKABLE for one in values_of(headers, CONTENT_TYPE))


def _coded(headers: list[Header], name: str, size: int | None = None) -> list[Header]:
    found = without(headers, CONTENT_LENGTH, ETAG)
    tags = [(ETAG, with_coding(tag, name).encode()) for tag in values_of(headers, ETAG)]
    length = [] if size is None else [(CONTENT_LENGTH, str(size).encode())]
    return [*found, *length, *tags, (CONTENT_ENCODING, name.encode())]


async def _whole(content: bytes, name: str, headers: list[Header]) -> bytes:
    public = any(one.startswith("public") for one in values_of(headers, CACHE_CONTROL))
    work = _packed_and_kept if public else _packed
    return await _beside(content, lambda one: work(one, name))


def _packed(content: bytes, name: str) -> bytes:
    return PACKERS[name]().piece(content, last=True)


# what everyone may have is the same each time: pages, scripts, the document
_packed_and_kept = lru_cache(maxsize=32)(_packed)


async def _beside(content: bytes, work: Callable[[bytes], bytes]) -> bytes:
    """What work gives; a long piece of it is done beside the event loop, and leaves the interpreter to others."""
    if len(content) < THREAD_BYTES:
        return work(content)
    return await to_thread.run_sync(work, content)

"""How answers go out: in parts, so that a reader who takes nothing holds one of them and not the whole."""

from __future__ import annotations

import asyncio
from typing import Protocol

from service.web.asgi import Message, Send
from service.web.gate import Gate

PART_BYTES = 1 << 16
READER_PATIENCE_S = 60.0
# Who is answered before his body came may still be sending, and would lose the answer if he were cut off at once.
LINGER_S, LINGER_BYTES = 2.0, 1 << 20
_CLOSE = (b"connection", b"close")


class Asking(Protocol):
    """The request an answer goes to."""

    is_whole: bool

    def stop_watching(self) -> None:
        """Look no longer whether the client is there."""

    def give_up(self) -> None:
        """End the work."""

    async def drain(self, size_bytes: int, patience_s: float) -> None:
        """Let the rest of the body come."""


class Outgoing:
    """The answer to one request.

    Args:
        asking: the request
        send: takes the answer
        patience_s: seconds its reader may take nothing; then the answer is cut off
        elsewhere: the gate of this process, where other processes answer too: a client leaves a process in which
            others wait, since one that has nothing to do takes the next connection
    """

    def __init__(self, asking: Asking, send: Send, patience_s: float, elsewhere: Gate | None = None) -> None:
        self._asking = asking
        self._send = send
        self._patience_s = patience_s
        self._elsewhere = elsewhere
        self._lingers = False

    async def send(self, message: Message) -> None:
        """Send a part of the answer."""
        if message["type"] == "http.response.start":
            await self._start(message)
        elif message["type"] == "http.response.body":
            await self._body(message.get("body", b""), message.get("more_body", False))
        else:
            await self._send(message)

    async def _start(self, message: Message) -> None:
        self._asking.stop_watching()
        self._lingers = not self._asking.is_whole
        leaves = self._lingers or (self._elsewhere is not None and self._elsewhere.is_awaited)
        await self._send({**message, "headers": [*message["headers"], _CLOSE]} if leaves else message)

    async def _body(self, body: bytes, more: bool) -> None:
        for start in range(0, max(len(body), 1), PART_BYTES):
            last = start + PART_BYTES >= len(body) and not more
            await self._part(body[start : start + PART_BYTES], last and not self._lingers)
        if self._lingers and not more:
            await self._asking.drain(LINGER_BYTES, LINGER_S)
            await self._part(b"", True)

    async def _part(self, part: bytes, last: bool) -> None:
        try:
            async with asyncio.timeout(self._patience_s):
                await self._send({"type": "http.response.body", "body": part, "more_body": not last})
        except TimeoutError:
            self._asking.give_up()
            await asyncio.Event().wait()  # until the cancelling comes to this very place

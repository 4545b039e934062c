"""How answers go out: in parts, so that one who takes nothing is found out, and how a connection ends after them."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Protocol

from service.web.asgi import Message, Send
from service.web.gate import Gate

PARTS = "deck_framing.parts"
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

    async def drain(self, size_bytes: int, patience_s: float) -> None:
        """Let the rest of the body come."""


class Parts:
    """Sends what is left of an answer when all else is done to it: in parts, once it is bounded.

    It stands next to the server, since what is done to an answer on the way, its entity tag and its packing, is done
    to the whole of it.

    >>> parts = Parts(None)
    >>> parts.bound(60.0, lambda: None)
    """

    def __init__(self, send: Send) -> None:
        self._send = send
        self._patience_s: float | None = None
        self._give_up: Callable[[], None] = lambda: None

    def bound(self, patience_s: float, give_up: Callable[[], None]) -> None:
        """Cut the answer off where its reader takes nothing for so long; ``give_up`` is to cancel who sends it."""
        self._patience_s, self._give_up = patience_s, give_up

    async def __call__(self, message: Message) -> None:
        """Send one message."""
        if self._patience_s is None or message["type"] != "http.response.body":
            await self._send(message)
            return
        body, more = message.get("body", b""), message.get("more_body", False)
        for start in range(0, max(len(body), 1), PART_BYTES):
            last = start + PART_BYTES >= len(body) and not more
            await self._part(body[start : start + PART_BYTES], last, self._patience_s)

    async def _part(self, part: bytes, last: bool, patience_s: float) -> None:
        try:
            async with asyncio.timeout(patience_s):
                await self._send({"type": "http.response.body", "body": part, "more_body": not last})
        except TimeoutError:
            self._give_up()
            await asyncio.Event().wait()  # until the cancelling comes to this very place


class Outgoing:
    """The answer to one request.

    Args:
        asking: the request
        send: takes the answer
        elsewhere: the gate of this process, where other processes answer too: a client leaves a process in which
            others wait, since one that has nothing to do takes the next connection
    """

    def __init__(self, asking: Asking, send: Send, elsewhere: Gate | None = None) -> None:
        self._asking = asking
        self._send = send
        self._elsewhere = elsewhere
        self._lingers = False

    async def send(self, message: Message) -> None:
        """Send a part of the answer."""
        if message["type"] == "http.response.start":
            await self._start(message)
        elif message["type"] == "http.response.body" and self._lingers:
            await self._linger(message)
        else:
            await self._send(message)

    async def _start(self, message: Message) -> None:
        self._asking.stop_watching()
        self._lingers = not self._asking.is_whole
        leaves = self._lingers or (self._elsewhere is not None and self._elsewhere.is_awaited)
        await self._send({**message, "headers": [*message["headers"], _CLOSE]} if leaves else message)

    async def _linger(self, message: Message) -> None:
        await self._send({**message, "more_body": True})
        if not message.get("more_body", False):
            await self._asking.drain(LINGER_BYTES, LINGER_S)
            await self._send({"type": "http.response.body", "body": b"", "more_body": False})

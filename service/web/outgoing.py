"""How answers go out: in parts, so that one who takes nothing is found out, and how a connection ends after them."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from service.web.arriving import Arriving
from service.web.asgi import Message, Send

PARTS = "deck_framing.parts"
PART_BYTES = 1 << 16
READER_PATIENCE_S = 60.0
CLOSE = (b"connection", b"close")


class Parts:
    """Sends what is left of an answer when all else is done to it: in parts, once it is bounded.

    It stands next to the server, since what is done to an answer on the way, its entity tag and its packing, is done
    to the whole of it. Where the body of the request has not come, whoever refused it, the rest is read for a while
    and the connection closed: the server would go on reading it without end.
    """

    def __init__(self, send: Send, arriving: Arriving) -> None:
        self._send = send
        self._arriving = arriving
        self._patience_s: float | None = None
        self._give_up: Callable[[], None] = lambda: None

    def bound(self, patience_s: float, give_up: Callable[[], None]) -> None:
        """Cut the answer off where its reader takes nothing for so long; ``give_up`` is to cancel who sends it."""
        self._patience_s, self._give_up = patience_s, give_up

    async def __call__(self, message: Message) -> None:
        """Send one message."""
        if message["type"] == "http.response.start":
            await self._send(self._closing(message))
        elif message["type"] == "http.response.body":
            await self._body(message.get("body", b""), message.get("more_body", False))
        else:
            await self._send(message)

    def _closing(self, start: Message) -> Message:
        if not self._arriving.ends_connection or CLOSE in start["headers"]:
            return start
        return {**start, "headers": [*start["headers"], CLOSE]}

    async def _body(self, body: bytes, more: bool) -> None:
        size = len(body) if self._patience_s is None else PART_BYTES
        for start in range(0, max(len(body), 1), max(size, 1)):
            last = start + size >= len(body) and not more
            await self._part(body[start : start + size], last and self._arriving.is_whole)
        if not more and not self._arriving.is_whole:
            await self._arriving.drain()
            await self._part(b"", True)

    async def _part(self, part: bytes, last: bool) -> None:
        try:
            async with asyncio.timeout(self._patience_s):
                await self._send({"type": "http.response.body", "body": part, "more_body": not last})
        except TimeoutError:
            self._give_up()
            await asyncio.Event().wait()  # until the cancelling comes to this very place

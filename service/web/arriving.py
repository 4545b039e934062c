"""How much of a request's body has come, and what is done with the rest of one that nobody reads."""

from __future__ import annotations

import asyncio

from service.web.asgi import Message, Receive, Scope, values_of

# Who is answered before his body came may still be sending, and would lose the answer if he were cut off at once.
LINGER_S, LINGER_BYTES = 2.0, 1 << 20


class Arriving:
    """The body of one request.

    Attributes:
        is_whole: whether all of it has come
    """

    def __init__(self, scope: Scope, receive: Receive) -> None:
        headers = scope["headers"]
        coded = values_of(headers, b"transfer-encoding")
        told = values_of(headers, b"content-length")
        self.is_whole = not coded and all(not one.strip("0 ") for one in told)
        self._is_ambiguous = bool(coded and told)
        self._awaits_asking = bool(values_of(headers, b"expect"))
        self._receive = receive

    @property
    def ends_connection(self) -> bool:
        """Whether nothing is to be read from the connection behind this request: where it begins is not known."""
        return not self.is_whole or self._is_ambiguous

    async def receive(self) -> Message:
        """Return the next part of it."""
        self._awaits_asking = False
        message = await self._receive()
        if message["type"] != "http.request" or not message.get("more_body", False):
            self.is_whole = True
        return message

    async def drain(self) -> None:
        """Let some of the rest come and be lost; one who waits to be asked for it sends none."""
        left = 0 if self._awaits_asking else LINGER_BYTES
        try:
            async with asyncio.timeout(LINGER_S):
                while left > 0 and not self.is_whole:
                    left -= len((await self.receive()).get("body", b""))
        except TimeoutError:
            return

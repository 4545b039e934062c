"""When the store was last seen, and what an answer says when that is a while ago."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Literal

from service.web.asgi import Message, Send, without

Clock = Callable[[], float]
Database = Literal["reachable", "away", "none"]
# Looks come every second; one that takes this long is lost in a network that swallows what is sent.
OVERDUE_S = 10.0
STALE, AGE, CACHE_CONTROL = b"deck-snapshot", b"deck-snapshot-age-seconds", b"cache-control"


class Sight:
    """When the store was last seen.

    It is away when the last look failed, and when there was none for a while.

    >>> moments = iter([0.0, 2.5, 2.5])
    >>> sight = Sight(kept=True, clock=lambda: next(moments))
    >>> sight.lost()
    >>> sight.database, sight.seconds
    ('away', 2)
    """

    def __init__(self, *, kept: bool, clock: Clock = time.monotonic) -> None:
        self.now = clock
        self._kept = kept
        self._seen = clock()
        self._lost = False

    def seen(self, moment: float) -> None:
        """Take down that the store was seen as it was at a moment of `now`."""
        self._seen, self._lost = moment, False

    def lost(self) -> None:
        """Take down that a look has failed."""
        self._lost = True

    @property
    def seen_at(self) -> float:
        """The moment of `now` the store was last seen at."""
        return self._seen

    @property
    def is_lost(self) -> bool:
        """Whether the last look has failed."""
        return self._lost

    @property
    def database(self) -> Database:
        """Whether the store answers; `none` where there is no store."""
        if not self._kept:
            return "none"
        away = self._lost or self.now() - self._seen > OVERDUE_S
        return "away" if away else "reachable"

    @property
    def seconds(self) -> int:
        """Whole seconds since the store was seen; 0 where it is not away."""
        return int(self.now() - self._seen) if self.database == "away" else 0

    def telling(self, path: str, send: Send) -> Send:
        """Return what sends an answer: while the store is away, with headers that say so.

        They are no part of an answer that is kept: a cache would go on saying so for as long as it keeps it.
        """
        if self.database != "away" or not path.startswith("/v1/"):
            return send
        told = [(STALE, b"stale"), (AGE, str(self.seconds).encode()), (CACHE_CONTROL, b"no-store")]

        async def tell(message: Message) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*without(message["headers"], CACHE_CONTROL), *told]}
            await send(message)

        return tell

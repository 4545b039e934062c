"""The body of an NDJSON call on disk: read whole before anything is answered, gone when the call is over."""

from __future__ import annotations

import asyncio
import errno
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from tempfile import TemporaryFile
from typing import IO, cast

from anyio import to_thread

from service.contract.problem import Rejected
from service.web.asgi import Receive

BLOCK_BYTES = 1 << 20
# Who holds a place keeps it from others, so a body has to come: a client is waited for so long, and as long again
# each time what came since makes up for it. A byte now and then does not; 16 kB/s is less than a weak mobile line has.
PATIENCE_S = 30.0
LEAST_BYTES_PER_S = 16_000
_NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


class ClientGone(Exception):
    """The client closed its connection before the call was over."""


class Pace:
    """How long a client is still waited for while it sends a body.

    Time in which the service itself is busy does not count.

    >>> pace = Pace(30.0)
    >>> pace.came(29.0, 1)
    >>> pace.left_s
    1.0
    >>> pace.came(0.5, 480_000)
    >>> pace.left_s
    30.0
    """

    def __init__(self, patience_s: float) -> None:
        self.patience_s = patience_s
        self.least_bytes = patience_s * LEAST_BYTES_PER_S
        self.left_s = patience_s
        self._bytes = 0

    def came(self, waited_s: float, size_bytes: int) -> None:
        """Take note of a part of the body and of the time it was waited for."""
        self.left_s -= waited_s
        self._bytes += size_bytes
        if self._bytes >= self.least_bytes:
            self.left_s, self._bytes = self.patience_s, 0

    def refusal(self) -> Rejected:
        """Return what a client is told that is not waited for any longer."""
        detail = f"less than {self.least_bytes:.0f} bytes of the body came in {self.patience_s:g} seconds"
        return Rejected("request_timeout", detail)


class Spools:
    """Lets so many calls at a time keep a body of limited size each.

    A file has no name: it cannot be opened by others, and is gone with the process too, however that ends.
    Callers without a key hold half of the places at most, and one at least: anyone can be many of them.
    """

    def __init__(self, most: int = 4, max_bytes: int = 512 << 20, patience_s: float = PATIENCE_S) -> None:
        self.most = most
        self.max_bytes = max_bytes
        self.patience_s = patience_s
        self.inside = 0
        self.most_strangers = max(1, most // 2)
        self.strangers = 0

    @asynccontextmanager
    async def filled(
        self, receive: Receive, declared_bytes: int | None, *, stranger: bool = True
    ) -> AsyncIterator[IO[bytes]]:
        """Yield the body as a file, at its start.

        Args:
            receive: gives the body
            declared_bytes: its size where the client says it: refused before it is read
            stranger: whether the caller has sent no key

        Raises:
            Rejected: overloaded, too_large, request_timeout
            ClientGone: the body was cut off
        """
        self._refuse_over(declared_bytes or 0)
        with self._place(stranger), TemporaryFile() as file:
            await self._fill(cast("IO[bytes]", file), receive)
            yield cast("IO[bytes]", file)

    @contextmanager
    def _place(self, stranger: bool) -> Iterator[None]:
        if self.inside >= self.most:
            raise Rejected("overloaded", f"{self.most} such calls are being answered already")
        if stranger and self.strangers >= self.most_strangers:
            detail = f"{self.most_strangers} such calls without a key are being answered already"
            raise Rejected("overloaded", detail)
        self.inside += 1
        self.strangers += stranger
        try:
            yield
        finally:
            self.inside -= 1
            self.strangers -= stranger

    async def _fill(self, file: IO[bytes], receive: Receive) -> None:
        size, waiting, more, pace = 0, bytearray(), True, Pace(self.patience_s)
        while more:
            part, more = await _part(receive, pace)
            size += len(part)
            self._refuse_over(size)
            waiting += part
            if len(waiting) >= BLOCK_BYTES or not more:
                await to_thread.run_sync(_write, file, bytes(waiting))
                waiting.clear()
        file.seek(0)

    def _refuse_over(self, size_bytes: int) -> None:
        if size_bytes > self.max_bytes:
            raise Rejected("too_large", f"the body is larger than the {self.max_bytes} bytes this call takes")


async def _part(receive: Receive, pace: Pace) -> tuple[bytes, bool]:
    clock = asyncio.get_running_loop().time
    began = clock()
    try:
        message = await asyncio.wait_for(receive(), pace.left_s)
    except TimeoutError:
        raise pace.refusal() from None
    if message["type"] == "http.disconnect":
        raise ClientGone
    part: bytes = message.get("body", b"")
    pace.came(clock() - began, len(part))
    return part, message.get("more_body", False)


def _write(file: IO[bytes], block: bytes) -> None:
    with _room():
        file.write(block)
        file.flush()


@contextmanager
def _room() -> Iterator[None]:
    try:
        yield
    except OSError as fault:
        if fault.errno not in _NO_ROOM:
            raise
        raise Rejected(
            "overloaded", "there is no room on disk to keep the body while it is answered"
        ) from None

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
from service.web.envelope import Receive

BLOCK_BYTES = 1 << 20
# A client that sends nothing for so long is refused, so that it does not keep a place from others.
PATIENCE_S = 120.0
_NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


class ClientGone(Exception):
    """The client closed its connection before the call was over."""


class Spools:
    """Lets so many calls at a time keep a body of limited size each.

    A file has no name: it cannot be opened by others, and is gone with the process too, however that ends.
    """

    def __init__(self, most: int = 4, max_bytes: int = 512 << 20, patience_s: float = PATIENCE_S) -> None:
        self.most = most
        self.max_bytes = max_bytes
        self.patience_s = patience_s
        self.inside = 0

    @asynccontextmanager
    async def filled(self, receive: Receive, declared_bytes: int | None) -> AsyncIterator[IO[bytes]]:
        """Yield the body as a file, at its start.

        Args:
            receive: gives the body
            declared_bytes: its size where the client says it: refused before it is read

        Raises:
            Rejected: overloaded, too_large, request_timeout
            ClientGone: the body was cut off
        """
        self._refuse_over(declared_bytes or 0)
        if self.inside >= self.most:
            raise Rejected("overloaded", f"{self.most} such calls are being answered already")
        self.inside += 1
        try:
            with TemporaryFile() as file:
                await self._fill(cast("IO[bytes]", file), receive)
                yield cast("IO[bytes]", file)
        finally:
            self.inside -= 1

    async def _fill(self, file: IO[bytes], receive: Receive) -> None:
        size, waiting, more = 0, bytearray(), True
        while more:
            part, more = await self._part(receive)
            size += len(part)
            self._refuse_over(size)
            waiting += part
            if len(waiting) >= BLOCK_BYTES or not more:
                await to_thread.run_sync(_write, file, bytes(waiting))
                waiting.clear()
        file.seek(0)

    async def _part(self, receive: Receive) -> tuple[bytes, bool]:
        try:
            message = await asyncio.wait_for(receive(), self.patience_s)
        except TimeoutError:
            detail = f"nothing of the body came for {self.patience_s:g} seconds"
            raise Rejected("request_timeout", detail) from None
        if message["type"] == "http.disconnect":
            raise ClientGone
        return message.get("body", b""), message.get("more_body", False)

    def _refuse_over(self, size_bytes: int) -> None:
        if size_bytes > self.max_bytes:
            raise Rejected("too_large", f"the body is larger than the {self.max_bytes} bytes this call takes")


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

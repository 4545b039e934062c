"""How requests come in: bodies at their pace and no slower, so much of them at a time; work nobody waits for ends.

It stands between the envelope, which settles who asks, and the router. NDJSON calls have places of their own for
their bodies, see `service/web/streams/spool.py`, and pass through.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Iterable
from dataclasses import dataclass, field

from litestar.utils.path import normalize_path

from service.web.asgi import Application, Header, Message, Receive, Scope, Send
from service.web.door import PAGE_CALLS
from service.web.gate import Gate
from service.web.held import Held
from service.web.keys import desk_of, settled_caller
from service.web.outgoing import PARTS, READER_PATIENCE_S, Outgoing
from service.web.streams.spool import PATIENCE_S, Pace
from service.web.visit import WORK_SECONDS, Visit, visit_of, visiting


@dataclass
class Limits:
    """What a request may take.

    Attributes:
        work_seconds: processor seconds of its work
        body_patience_s: seconds its body is waited for, see `Pace`
        reader_patience_s: seconds the reader of its answer may take nothing
        held: what all requests together may hold
    """

    work_seconds: float = WORK_SECONDS
    body_patience_s: float = PATIENCE_S
    reader_patience_s: float = READER_PATIENCE_S
    held: Held = field(default_factory=Held)


class Intake:
    """An ASGI application around the router.

    Args:
        inner: the router
        passing: paths that see to their bodies themselves
        limits: what a request may take
        shared: whether other processes listen at the same place, so that clients are to change between them
    """

    def __init__(
        self, inner: Application, passing: Iterable[str], limits: Limits, *, shared: bool = False
    ) -> None:
        self.inner = inner
        self.passing = frozenset(passing)
        self.limits = limits
        self.shared = shared

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        path = normalize_path(scope["path"]) if scope["type"] == "http" else ""
        if not path or path in self.passing:
            await self.inner(scope, receive, send)
            return
        visit, gate = visit_of(settled_caller(scope), self.limits.work_seconds), desk_of(scope).gate
        # what designs and no more has nothing to lose when it is ended; a write goes on to its end
        incoming = Incoming(self.limits, visit, receive, gate if path in PAGE_CALLS else None)
        incoming.is_whole = not _has_body(scope["headers"])
        elsewhere = gate if self.shared else None
        outgoing = Outgoing(incoming, send, elsewhere)
        scope[PARTS].bound(self.limits.reader_patience_s, incoming.give_up)
        with visiting(visit):
            await incoming.until_over(self.inner(scope, incoming.receive, outgoing.send))


def _has_body(headers: Iterable[Header]) -> bool:
    sent = {name.lower(): value for name, value in headers}
    return b"transfer-encoding" in sent or sent.get(b"content-length", b"0").strip(b"0 ") != b""


class Incoming:
    """The coming in of one request, and whether its client is still there.

    Attributes:
        is_whole: whether all of its body has come
    """

    def __init__(self, limits: Limits, visit: Visit, receive: Receive, gate: Gate | None) -> None:
        self.is_whole = False
        self._held = limits.held
        self._pace = Pace(limits.body_patience_s)
        self._visit = visit
        self._receive = receive
        self._gate = gate
        self._is_counted = False
        self._size_bytes = 0
        self._working: asyncio.Future[None] | None = None
        self._watching: asyncio.Future[None] | None = None
        self._gone = asyncio.Event()

    async def until_over(self, answering: Awaitable[None]) -> None:
        """Answer the request, or end its work when its client goes."""
        self._working = working = asyncio.ensure_future(answering)
        try:
            await asyncio.wait((working,))
        finally:
            self.stop_watching()
            if not working.done():
                working.cancel()
                await asyncio.wait((working,))
            self._let_out()
            self._held.free(self._size_bytes, self._visit)
        if not working.cancelled():
            working.result()

    async def receive(self) -> Message:
        """Return the next part of the body.

        Raises:
            Rejected: overloaded, before anything is read or over what came; request_timeout
        """
        if self._watching is not None:
            await self._gone.wait()
            return {"type": "http.disconnect"}
        if not self._is_counted:
            self._let_in()
        message = await self._part()
        if not message.get("more_body", False):
            self.is_whole = True
            self._let_out()
            if self._gate is not None:
                self._watching = asyncio.ensure_future(self._watch())
        return message

    def _let_in(self) -> None:
        if self._gate is not None:
            self._gate.check_room(self._visit)
        self._held.let_in(self._visit)
        self._is_counted = True

    def _let_out(self) -> None:
        if self._is_counted:
            self._held.let_out(self._visit)
        self._is_counted = False

    async def _part(self) -> Message:
        clock = asyncio.get_running_loop().time
        began = clock()
        try:
            async with asyncio.timeout(self._pace.left_s):
                message = await self._receive()
        except TimeoutError:
            raise self._pace.refusal() from None
        if message["type"] == "http.disconnect":
            self.give_up()
            await asyncio.Event().wait()  # until the cancelling comes to this very place
        size_bytes = len(message.get("body", b""))
        self._held.take(size_bytes, self._visit)
        self._size_bytes += size_bytes
        self._pace.came(clock() - began, size_bytes)
        return message

    async def _watch(self) -> None:
        while (await self._receive())["type"] != "http.disconnect":
            pass
        self._gone.set()
        self.give_up()

    def stop_watching(self) -> None:
        """Look no longer whether the client is there: its answer is on its way."""
        if self._watching is not None:
            self._watching.cancel()

    def give_up(self) -> None:
        """End the work: nobody takes its answer."""
        self._visit.leave()
        if self._working is not None:
            self._working.cancel()

    async def drain(self, size_bytes: int, patience_s: float) -> None:
        """Let the rest of a body come that nobody will read, so much of it and so long."""
        try:
            async with asyncio.timeout(patience_s):
                while size_bytes > 0 and not self.is_whole:
                    message = await self._receive()
                    size_bytes -= len(message.get("body", b""))
                    self.is_whole = not message.get("more_body", False)
        except TimeoutError:
            return

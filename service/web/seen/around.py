"""Around the whole application: every request is seen, whatever answers it, and told where it stands in its trace."""

from __future__ import annotations

from collections.abc import Callable

from service.web.asgi import Application, Message, Receive, Scope, Send
from service.web.keys import CALLER
from service.web.seen.operations import Operation, fixed_method
from service.web.seen.request import Seen, Sink, Stages, seen_here, telling
from service.web.seen.trace_context import TRACERESPONSE, parent_of
from service.web.watched import watched_by

REQUEST_ID = b"x-request-id"
TOLD = frozenset({b"deck-verdict", b"deck-engine", b"deck-rulebook"})
_STAGES = Stages()


class Around:
    """An ASGI application around another one.

    Args:
        inner: the application
        operation_at: what a method and a path call
        sinks: who is told of requests
    """

    def __init__(
        self, inner: Application, operation_at: Callable[[str, str], Operation], sinks: tuple[Sink, ...] = ()
    ) -> None:
        self.inner = inner
        self.operation_at = operation_at
        self.sinks = sinks

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.inner(scope, receive, send)
            return
        request = self._seen(scope)
        with telling(request), watched_by(_STAGES):
            request.begin()
            try:
                await self.inner(scope, receive, _Sending(request, send))
            finally:
                request.end()

    def _seen(self, scope: Scope) -> Seen:
        operation = self.operation_at(scope["method"], scope["path"])
        return Seen(fixed_method(scope["method"]), operation, parent_of(scope["headers"]), self.sinks)


class _Sending:
    """Sends an answer on, and takes down what is told of it."""

    def __init__(self, request: Seen, send: Send) -> None:
        self.request = request
        self.send = send

    async def __call__(self, message: Message) -> None:
        """Send one message."""
        if message["type"] == "http.response.start":
            message = self._begun(message)
        elif message["type"] == "http.response.body":
            self.request.sent_bytes += len(message.get("body", b""))
        await self.send(message)

    def _begun(self, message: Message) -> Message:
        request = self.request
        request.status = message["status"]
        for name, value in message["headers"]:
            lower = name.lower()
            if lower == REQUEST_ID:
                request.request_id = value.decode("latin-1")
            elif lower in TOLD:
                request.headers[lower.decode()] = value.decode("latin-1")
        return {**message, "headers": [*message["headers"], (TRACERESPONSE, request.place.header)]}


class NotingCaller:
    """An ASGI application around another one, which takes down by which key it is called.

    It stands where the key has been judged.
    """

    def __init__(self, inner: Application) -> None:
        self.inner = inner

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        request, caller = seen_here(), scope.get(CALLER)
        if request is not None and caller is not None:
            request.key_id = caller.key_id or ""
        await self.inner(scope, receive, send)

"""What holds for every request, even one no route answers: its id, its desk, HEAD, no compressed bodies, who may
keep the answer.
"""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from service.contract.ids import REQUEST
from service.contract.problem import Rejected
from service.web.current import CurrentDesk
from service.web.keys import AUTHORIZATION, DESK
from service.web.problem_answer import PROBLEM_JSON, problem_body, problem_of

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[Scope, Receive, Send], Awaitable[None]]
Header = tuple[bytes, bytes]
REQUEST_ID, CACHE_CONTROL, VARY = b"x-request-id", b"cache-control", b"vary"


class Envelope:
    """An ASGI application around another one.

    It stands outside the router, because the router's own answers need an id and a HEAD form too.
    """

    def __init__(self, inner: Application, current: CurrentDesk) -> None:
        self.inner = inner
        self.current = current

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.inner(scope, receive, send)
            return
        request_id = _request_id(scope)
        send = self.current.sight.telling(scope["path"], send)
        answer = _Answer(send, request_id, scope["method"] == "HEAD", _Keeping(scope))
        if _is_compressed(scope):
            await _refuse_compressed(scope["path"], request_id, answer)
        else:
            inside = _inside(scope, request_id)
            # settled here, so that the whole of a request is answered from one snapshot
            inside[DESK] = self.current.desk
            await self.inner(inside, receive, answer)


def _request_id(scope: Scope) -> str:
    given = [value.decode("latin-1") for name, value in scope["headers"] if name.lower() == REQUEST_ID]
    return given[0] if len(given) == 1 and REQUEST.fullmatch(given[0]) else secrets.token_hex(16)


def _inside(scope: Scope, request_id: str) -> Scope:
    """The request as the router sees it: with its id settled, and HEAD as the GET it stands for."""
    headers = [pair for pair in scope["headers"] if pair[0].lower() != REQUEST_ID]
    method = "GET" if scope["method"] == "HEAD" else scope["method"]
    return {**scope, "method": method, "headers": [*headers, (REQUEST_ID, request_id.encode())]}


def _is_compressed(scope: Scope) -> bool:
    return any(name.lower() == b"content-encoding" for name, _ in scope["headers"])


async def _refuse_compressed(path: str, request_id: str, send: Send) -> None:
    detail = "send the body as it is: a Content-Encoding on a request is not taken"
    problem = problem_of(Rejected("unsupported_media_type", detail), path, request_id)
    body = problem_body(problem)
    headers = [
        (b"content-type", PROBLEM_JSON.encode()),
        (b"content-length", str(len(body)).encode()),
    ]
    await send({"type": "http.response.start", "status": problem.status, "headers": headers})
    await send({"type": "http.response.body", "body": body, "more_body": False})


class _Keeping:
    """Who may keep an answer, whatever it is: it may depend on the key, and then hold prices.

    An answer to a key is kept by nobody. One without is told apart from those, unless it says itself that it is
    public: then no key is looked at.
    """

    def __init__(self, scope: Scope) -> None:
        self.keyed = any(name.lower() == AUTHORIZATION for name, _ in scope["headers"])
        self.varies = scope["path"].startswith("/v1/")

    def headers(self, given: list[Header]) -> list[Header]:
        """Return the headers of an answer with what caches go by."""
        found = [(name, value) for name, value in given if not (self.keyed and name.lower() == CACHE_CONTROL)]
        if self.keyed:
            found.append((CACHE_CONTROL, b"private, no-store"))
        elif any(name.lower() == CACHE_CONTROL and value.startswith(b"public") for name, value in found):
            return found
        return _varied(found) if self.varies else found


def _varied(headers: list[Header]) -> list[Header]:
    """The headers with the key among what the answer depends on."""
    before = [value for name, value in headers if name.lower() == VARY]
    others = [(name, value) for name, value in headers if name.lower() != VARY]
    return [*others, (VARY, b", ".join([*before, b"Authorization"]))]


class _Answer:
    """Sends an answer on, with the headers every one has; the body of an answer to HEAD is left out."""

    def __init__(self, send: Send, request_id: str, head: bool, keeping: _Keeping) -> None:
        self.send = send
        self.head = head
        self.keeping = keeping
        self.own = [(REQUEST_ID, request_id.encode()), (b"x-content-type-options", b"nosniff")]

    async def __call__(self, message: Message) -> None:
        """Send one message."""
        if message["type"] == "http.response.start":
            headers = self.keeping.headers([_with_head(pair) for pair in message["headers"]])
            await self.send({**message, "headers": [*headers, *self.own]})
        elif message["type"] == "http.response.body" and self.head:
            await self.send({**message, "body": b""})
        else:
            await self.send(message)


def _with_head(header: Header) -> Header:
    name, value = header
    methods = [method.strip() for method in value.decode("latin-1").split(",")]
    if name.lower() != b"allow" or "GET" not in methods or "HEAD" in methods:
        return header
    return name, ", ".join(sorted([*methods, "HEAD"])).encode()

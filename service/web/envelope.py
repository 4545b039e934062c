"""What holds for every request, even one no route answers: its id, its desk, who may ask and who may read the
answer, HEAD, no compressed bodies, who may keep the answer.
"""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from litestar.utils.path import normalize_path

from service.contract.ids import REQUEST
from service.contract.problem import Rejected
from service.web.caller import NOBODY, Caller
from service.web.cors import (
    ORIGIN,
    PREFLIGHT_HEADERS,
    VARY,
    answer_headers,
    is_preflight,
    page_origin,
    preflight_origin,
    registered_origin,
)
from service.web.current import CurrentDesk
from service.web.desk import Desk
from service.web.door import Door
from service.web.keys import AUTHORIZATION, CALLER, DESK, caller_with, key_of
from service.web.problem_answer import PROBLEM_JSON, problem_body, problem_headers, problem_of
from service.web.rates import Rates, TooOften

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[Scope, Receive, Send], Awaitable[None]]
Header = tuple[bytes, bytes]
REQUEST_ID, CACHE_CONTROL = b"x-request-id", b"cache-control"


class Envelope:
    """An ASGI application around another one.

    It stands outside the router, because the router's own answers need an id and a HEAD form too, and because no
    route is to be without what the door asks.

    Args:
        inner: the router
        current: holds the desk a request begins with
        door: who is let in
        rates: how often with a publishable key
    """

    def __init__(self, inner: Application, current: CurrentDesk, door: Door, rates: Rates) -> None:
        self.inner = inner
        self.current = current
        self.door = door
        self.rates = rates

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.inner(scope, receive, send)
            return
        # as the router will take it, so that no other spelling of a path gets past
        path = normalize_path(scope["path"])
        request_id = _request_id(scope)
        send = self.current.sight.telling(path, send)
        answer = _Answer(send, request_id, scope["method"] == "HEAD", _Keeping(scope, path))
        # settled here, so that the whole of a request is answered from one snapshot
        desk = self.current.desk
        try:
            self.door.check_host(scope["headers"])
            if is_preflight(scope):
                answer.keeping.by_origin = True
                answer.origin = preflight_origin(scope["headers"], desk)
                await _send_preflight(answer)
                return
            caller = self._admitted(scope, path, desk, answer)
            _refuse_compressed(scope)
        except Rejected as refused:
            await _refuse(refused, scope["path"], request_id, answer)
            return
        try:
            await self.inner({**_inside(scope, request_id), DESK: desk, CALLER: caller}, receive, answer)
        except asyncio.CancelledError:
            if answer.began:
                raise
            # the server gives up what has not come to its end while it stops, and would say so in words of its own
            stopping = Rejected("overloaded", "the service stops, and has not come to this request")
            await _refuse(stopping, scope["path"], request_id, answer)

    def _admitted(self, scope: Scope, path: str, desk: Desk, answer: _Answer) -> Caller:
        """Who asks; from then on the answer, a refusal too, is told to be for the page that asks."""
        headers = scope["headers"]
        if _is_shared(path) and not answer.keeping.keyed:
            answer.origin = registered_origin(headers, desk)
        if not _is_interface(path):
            return NOBODY
        try:
            key = key_of(headers, desk)
        except Rejected:
            answer.origin = registered_origin(headers, desk)
            raise
        caller = caller_with(key)
        if key is not None:
            answer.origin = page_origin(headers, key)
        if caller.publishable:
            self._count(scope, caller)
        self.door.check_caller(scope, path, caller)
        return caller

    def _count(self, scope: Scope, caller: Caller) -> None:
        address = (scope.get("client") or ("",))[0]
        wait_s = self.rates.wait_s(caller.key_id, address)
        if wait_s:
            raise TooOften(wait_s)


def _is_interface(path: str) -> bool:
    return path == "/v1" or path.startswith("/v1/")


def _is_shared(path: str) -> bool:
    """Whether pages of other origins may have it: a page that holds the form takes its scripts from here."""
    return _is_interface(path) or path.startswith("/assets/")


def _request_id(scope: Scope) -> str:
    given = [value.decode("latin-1") for name, value in scope["headers"] if name.lower() == REQUEST_ID]
    return given[0] if len(given) == 1 and REQUEST.fullmatch(given[0]) else secrets.token_hex(16)


def _inside(scope: Scope, request_id: str) -> Scope:
    """The request as the router sees it: with its id settled, and HEAD as the GET it stands for."""
    headers = [pair for pair in scope["headers"] if pair[0].lower() != REQUEST_ID]
    method = "GET" if scope["method"] == "HEAD" else scope["method"]
    return {**scope, "method": method, "headers": [*headers, (REQUEST_ID, request_id.encode())]}


def _refuse_compressed(scope: Scope) -> None:
    if any(name.lower() == b"content-encoding" for name, _ in scope["headers"]):
        detail = "send the body as it is: a Content-Encoding on a request is not taken"
        raise Rejected("unsupported_media_type", detail)


async def _refuse(refused: Rejected, path: str, request_id: str, send: Send) -> None:
    problem = problem_of(refused, path, request_id)
    body = problem_body(problem)
    told = {
        "content-type": PROBLEM_JSON,
        "content-length": str(len(body)),
        **problem_headers(refused),
    }
    headers = [(name.lower().encode(), value.encode()) for name, value in told.items()]
    await send({"type": "http.response.start", "status": problem.status, "headers": headers})
    await send({"type": "http.response.body", "body": body, "more_body": False})


async def _send_preflight(send: Send) -> None:
    await send({"type": "http.response.start", "status": 204, "headers": PREFLIGHT_HEADERS})
    await send({"type": "http.response.body", "body": b"", "more_body": False})


class _Keeping:
    """Who may keep an answer, whatever it is: it may depend on the key, and then hold prices.

    An answer to a key is kept by nobody. One without is told apart from those, unless it says itself that it is
    public: then no key changes what it says. Which page may read it depends on the page's origin, always.
    """

    def __init__(self, scope: Scope, path: str) -> None:
        self.keyed = any(name.lower() == AUTHORIZATION for name, _ in scope["headers"])
        self.by_key = _is_interface(path)
        self.by_origin = _is_shared(path)

    def headers(self, given: list[Header]) -> list[Header]:
        """Return the headers of an answer with what caches go by."""
        found = [(name, value) for name, value in given if not (self.keyed and name.lower() == CACHE_CONTROL)]
        public = any(name.lower() == CACHE_CONTROL and value.startswith(b"public") for name, value in found)
        if self.keyed:
            found.append((CACHE_CONTROL, b"private, no-store"))
        by_key = [AUTHORIZATION.title()] if self.by_key and not public else []
        return _varied(found, by_key + ([ORIGIN.title()] if self.by_origin else []))


def _varied(headers: list[Header], also: list[bytes]) -> list[Header]:
    """The headers with more of the request among what the answer depends on."""
    before = [value for name, value in headers if name.lower() == VARY]
    others = [(name, value) for name, value in headers if name.lower() != VARY]
    return [*others, (VARY, b", ".join([*before, *also]))] if before or also else others


class _Answer:
    """Sends an answer on, with the headers every one has; the body of an answer to HEAD is left out.

    Attributes:
        began: whether any of it was sent
        origin: of the page that may read it, where it is another's and registered
    """

    def __init__(self, send: Send, request_id: str, head: bool, keeping: _Keeping) -> None:
        self.send = send
        self.began = False
        self.origin: str | None = None
        self.head = head
        self.keeping = keeping
        self.own = [(REQUEST_ID, request_id.encode()), (b"x-content-type-options", b"nosniff")]

    async def __call__(self, message: Message) -> None:
        """Send one message."""
        if message["type"] == "http.response.start":
            self.began = True
            headers = self.keeping.headers([_with_head(pair) for pair in message["headers"]])
            shared = [] if self.origin is None else answer_headers(self.origin)
            await self.send({**message, "headers": [*headers, *shared, *self.own]})
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

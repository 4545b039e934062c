"""What holds for every request, even one no route answers: its id, its desk, who may ask, which methods there are;
and the steps every answer goes through on its way out.
"""

from __future__ import annotations

import asyncio
import secrets

from litestar.utils.path import normalize_path

from service.contract.ids import REQUEST
from service.contract.problem import Rejected
from service.web import deprecations
from service.web.answering import Answer, is_interface, is_shared
from service.web.asgi import Application as Application
from service.web.asgi import Header, Scope, as_headers, values_of, without
from service.web.asgi import Receive as Receive
from service.web.asgi import Send as Send
from service.web.caller import NOBODY, Caller
from service.web.codings import CONTENT_ENCODING, Packing, coding_of
from service.web.cors import PREFLIGHT_HEADERS, is_preflight, page_origin, preflight_origin, registered_origin
from service.web.current import CurrentDesk
from service.web.desk import Desk
from service.web.door import Door
from service.web.entity_tags import Tagging, plain_tags
from service.web.keys import CALLER, DESK, caller_with, key_of
from service.web.methods import Place, got, place_of
from service.web.outgoing import PARTS, Parts
from service.web.problem_answer import PROBLEM_JSON, problem_body, problem_headers, problem_of
from service.web.rates import Rates, TooOften

REQUEST_ID = b"x-request-id"
READS = ("GET", "HEAD")


class Envelope:
    """An ASGI application around another one.

    It stands outside the router, because the router's own answers need an id and a HEAD form too, and because no
    route is to be without what the door asks. Going out an answer gets its entity tag, then it is packed, then it
    gets the headers every one has.

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
        # settled here, so that the whole of a request is answered from one snapshot
        desk = self.current.desk
        parts = Parts(self.current.sight.telling(path, send))
        answer = Answer(parts, scope, path, request_id, desk.engine_version)
        packing = Packing(answer)
        try:
            self.door.check_host(scope["headers"])
            packing.coding = coding_of(scope["headers"])
            methods = _methods_told(scope, path, desk, answer)
            if methods is not None:
                await _send_empty(methods, answer)
                return
            caller = self._admitted(scope, path, desk, answer)
            _check_request(scope, path)
        except Rejected as refused:
            await _refuse(refused, scope["path"], request_id, packing)
            return
        out = Tagging(packing, scope["headers"]) if scope["method"] in READS else packing
        try:
            inside = {**_inside(scope, path, request_id), DESK: desk, CALLER: caller, PARTS: parts}
            await self.inner(inside, receive, out)
        except asyncio.CancelledError:
            if answer.began:
                raise
            # the server gives up what has not come to its end while it stops, and would say so in words of its own
            stopping = Rejected("overloaded", "the service stops, and has not come to this request")
            await _refuse(stopping, scope["path"], request_id, answer)

    def _admitted(self, scope: Scope, path: str, desk: Desk, answer: Answer) -> Caller:
        """Who asks; from then on the answer, a refusal too, is told to be for the page that asks."""
        headers = scope["headers"]
        if is_shared(path) and not answer.keeping.keyed:
            answer.origin = registered_origin(headers, desk)
        if not is_interface(path):
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
            self._count(scope, caller, answer)
        self.door.check_caller(scope, path, caller)
        return caller

    def _count(self, scope: Scope, caller: Caller, answer: Answer) -> None:
        address = (scope.get("client") or ("",))[0]
        wait_s = self.rates.wait_s(caller.key_id, address)
        answer.told += as_headers(self.rates.headers(caller.key_id, address))
        if wait_s:
            raise TooOften(wait_s)


def _request_id(scope: Scope) -> str:
    given = values_of(scope["headers"], REQUEST_ID)
    return given[0] if len(given) == 1 and REQUEST.fullmatch(given[0]) else secrets.token_hex(16)


def _methods_told(scope: Scope, path: str, desk: Desk, answer: Answer) -> list[Header] | None:
    """What is said of the methods of a path; None where that is not what is asked.

    Raises:
        Rejected: origin_not_allowed
    """
    if is_preflight(scope):
        answer.keeping.by_origin = True
        answer.origin = preflight_origin(scope["headers"], desk)
        return PREFLIGHT_HEADERS
    place = place_of(path)
    if place is None:
        return None
    answer.told += _deprecated(place, scope["method"])
    return as_headers({"Allow": place.allow}) if scope["method"] == "OPTIONS" else None


def _deprecated(place: Place, method: str) -> list[Header]:
    operation = place.operations.get(got(method), "")
    found = deprecations.deprecation_of(operation, deprecations.DEPRECATIONS)
    return [] if found is None else found.headers()


def _check_request(scope: Scope, path: str) -> None:
    """Refuse a method the path does not take, and a compressed body.

    Raises:
        Rejected: method_not_allowed, unsupported_media_type
    """
    place = place_of(path)
    if place is not None:
        place.operation(scope["method"])
    if values_of(scope["headers"], CONTENT_ENCODING):
        detail = "send the body as it is: a Content-Encoding on a request is not taken"
        raise Rejected("unsupported_media_type", detail)


def _inside(scope: Scope, path: str, request_id: str) -> Scope:
    """The request as the router sees it: with its id settled, and HEAD as the GET it stands for."""
    headers = plain_tags(without(scope["headers"], REQUEST_ID))
    # where there is nothing the router says so to a GET, and to some methods something else
    method = got(scope["method"]) if place_of(path) else "GET"
    return {**scope, "method": method, "headers": [*headers, (REQUEST_ID, request_id.encode())]}


async def _refuse(refused: Rejected, path: str, request_id: str, send: Send) -> None:
    problem = problem_of(refused, path, request_id)
    body = problem_body(problem)
    told = {
        "content-type": PROBLEM_JSON,
        "content-length": str(len(body)),
        **problem_headers(refused, request_id),
    }
    await send({"type": "http.response.start", "status": problem.status, "headers": as_headers(told)})
    await send({"type": "http.response.body", "body": body, "more_body": False})


async def _send_empty(headers: list[Header], send: Send) -> None:
    await send({"type": "http.response.start", "status": 204, "headers": headers})
    await send({"type": "http.response.body", "body": b"", "more_body": False})

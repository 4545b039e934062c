"""Every refusal and failure as application/problem+json, RFC 9457."""

from __future__ import annotations

import logging
import math
import traceback
from pathlib import PurePath
from typing import Any
from zlib import crc32

import msgspec
from litestar import Request, Response
from litestar.exceptions import HTTPException, ValidationException
from litestar.types import ExceptionHandlersMap

from service.contract.problem import Fault, Problem, Rejected, pointer
from service.contract.vocabulary import problem_kind
from service.store.errors import (
    ChangedSince,
    DamagedVersion,
    NotAsSaid,
    OutcomeUnknown,
    PublishingConflict,
    SecondKeyNeeded,
    StoreError,
)
from service.web.queries import parameter_fault
from service.web.rates import TooOften
from service.web.seen.request import note_problem

PROBLEM_JSON = "application/problem+json"
# Told to all alike, they would all come again together.
RETRY_AFTER_S = (2, 3, 4, 5)
_COME_AGAIN = (429, 503)
_CODES = {404: "not_found", 405: "method_not_allowed", 413: "too_large", 415: "unsupported_media_type"}
_log = logging.getLogger("deck_framing.web")

AnyRequest = Request[Any, Any, Any]


class MethodRefused(Rejected):
    """A path is asked with a method it does not take.

    Attributes:
        allow: the methods it takes, as the Allow header lists them
    """

    def __init__(self, method: str, allow: str) -> None:
        super().__init__(
            "method_not_allowed",
            f"{method[:16]} is not answered here; the Allow header lists what is",
        )
        self.allow = allow


def problem_of(refused: Rejected, path: str, request_id: str) -> Problem:
    """Return the problem a refusal is answered with."""
    kind = problem_kind(refused.code)
    note_problem(kind.code)
    return Problem(
        type=f"/problems/{kind.code}",
        code=kind.code,
        title=kind.title,
        status=kind.status,
        detail=refused.detail,
        instance=path,
        request_id=request_id,
        errors=refused.faults,
    )


def problem_body(problem: Problem) -> bytes:
    """Return a problem as JSON."""
    return msgspec.json.encode(problem)


def problem_response(
    request: AnyRequest, refused: Rejected, headers: dict[str, str] | None = None
) -> Response[bytes]:
    """Return the answer to a refused request."""
    problem = problem_of(refused, request.url.path, request.headers.get("x-request-id", ""))
    return Response(
        problem_body(problem),
        status_code=problem.status,
        media_type=PROBLEM_JSON,
        headers={**problem_headers(refused, problem.request_id), **(headers or {})},
    )


def problem_headers(refused: Rejected, request_id: str) -> dict[str, str]:
    """Return the headers that go with a refusal: when to come again, how to send a key, which methods there are."""
    if isinstance(refused, TooOften):
        return {"Retry-After": str(math.ceil(refused.wait_s))}
    if isinstance(refused, MethodRefused):
        return {"Allow": refused.allow}
    if problem_kind(refused.code).status in _COME_AGAIN:
        spread = crc32(request_id.encode()) % len(RETRY_AFTER_S)
        return {"Retry-After": str(RETRY_AFTER_S[spread])}
    return {"WWW-Authenticate": "Bearer"} if refused.code == "unauthenticated" else {}


def _on_rejected(request: AnyRequest, refused: Rejected) -> Response[bytes]:
    return problem_response(request, refused)


def _on_damaged(request: AnyRequest, damaged: DamagedVersion) -> Response[bytes]:
    return problem_response(request, refusal_of(damaged, request.headers.get("x-request-id", "")))


def _on_conflict(request: AnyRequest, conflict: PublishingConflict) -> Response[bytes]:
    return problem_response(request, Rejected("publishing_conflict", str(conflict)))


def _on_changed(request: AnyRequest, changed: ChangedSince) -> Response[bytes]:
    return problem_response(request, Rejected("precondition_failed", str(changed)))


def _on_second_key(request: AnyRequest, needed: SecondKeyNeeded) -> Response[bytes]:
    return problem_response(request, Rejected("scope_missing", str(needed)))


def _on_other_content(request: AnyRequest, other: NotAsSaid) -> Response[bytes]:
    fault = Fault(pointer(other.key), "not_this_book", str(other))
    return problem_response(request, Rejected("invalid_upload", "1 fault", (fault,)))


def _on_store(request: AnyRequest, away: StoreError) -> Response[bytes]:
    _log.error("request %s: %s", request.headers.get("x-request-id"), away)
    detail = "the database did not take it, and nothing was written"
    if isinstance(away, OutcomeUnknown):
        detail = "the database was lost while it took it: all of it was written, or nothing; look, and send it again"
    return problem_response(request, Rejected("store_unavailable", detail))


def _on_http(request: AnyRequest, error: HTTPException) -> Response[bytes]:
    """Turn what the router and the framework refuse into our own words."""
    code = _CODES.get(error.status_code)
    if code is None:
        return _on_any(request, error)
    details = {
        404: "this path names nothing",
        405: f"{request.method} is not answered here; the Allow header lists what is",
        415: "send application/json",
    }
    detail = details[error.status_code] if error.status_code != 413 else _too_large(request)
    return problem_response(request, Rejected(code, detail), error.headers)


def _too_large(request: AnyRequest) -> str:
    handler: Any = request.route_handler
    return f"the body is larger than the {handler.resolve_request_max_body_size()} bytes this call takes"


def _on_validation(request: AnyRequest, error: ValidationException) -> Response[bytes]:
    """A body may be missing; a value in the path names nothing; one in the query is a fault."""
    found = [one for one in error.extra or () if isinstance(one, dict)]
    if any(one.get("key") == "data" for one in found):
        return problem_response(request, Rejected("not_json", "the body is empty"))
    if any(_source(one) == "path" for one in found):
        return problem_response(request, Rejected("not_found", "this path names nothing"))
    faults = tuple(parameter_fault(request, str(one["key"])) for one in found)
    return problem_response(request, Rejected("invalid_query", "the query cannot be used", faults))


def _source(found: dict[str, Any]) -> str:
    source = found.get("source", "")
    return str(getattr(source, "value", source))


def _on_any(request: AnyRequest, error: Exception) -> Response[bytes]:
    return problem_response(request, refusal_of(error, request.headers.get("x-request-id", "")))


def refusal_of(error: Exception, request_id: str) -> Rejected:
    """Return what is said of an error to the caller; what is no refusal is logged."""
    if isinstance(error, Rejected):
        return error
    if isinstance(error, DamagedVersion):
        _log.error("request %s: %s", request_id, error)
        detail = "a version asked for cannot be served: its stored text has changed since it was published"
        return Rejected("no_rulebook", detail)
    # The message of an error may hold the caller's deck, so only its kind and place are logged.
    frames = traceback.extract_tb(error.__traceback__)[-12:]
    places = " > ".join(f"{PurePath(frame.filename).name}:{frame.lineno}" for frame in frames)
    _log.error("request %s failed: %s at %s", request_id, type(error).__name__, places)
    return Rejected("internal", "the service failed; give the request_id when you report it")


EXCEPTION_HANDLERS: ExceptionHandlersMap = {
    Rejected: _on_rejected,
    DamagedVersion: _on_damaged,
    PublishingConflict: _on_conflict,
    NotAsSaid: _on_other_content,
    ChangedSince: _on_changed,
    SecondKeyNeeded: _on_second_key,
    StoreError: _on_store,
    ValidationException: _on_validation,
    HTTPException: _on_http,
    Exception: _on_any,
}

"""One log line a request: what was called, how it ended, and how long it took.

It has nothing of what was sent: no path but its template, no query, no body, no header, no address. The id of the
key is no secret; the request id may be the caller's own, where that has the form of one.
"""

from __future__ import annotations

import logging

from service.web.logs import event
from service.web.seen.request import Seen
from service.web.seen.tally import Tally

# Probes come every few seconds, and say nothing while all is well.
PROBES = frozenset({"checkLive", "checkReady"})
_log = logging.getLogger("deck_framing.access")


class AccessLines:
    """Logs requests."""

    def begun(self, request: Seen) -> None:
        """Log nothing: a request is told when it has ended."""

    def staged(self, request: Seen, name: str, began: float, ended: float) -> None:
        """Log nothing."""

    def worked(self, request: Seen, tally: Tally) -> None:
        """Log nothing."""

    def ended(self, request: Seen) -> None:
        """Log a request."""
        level = logging.DEBUG if request.operation.id in PROBES and request.status < 500 else logging.INFO
        if _log.isEnabledFor(level):
            event(_log, level, "request", "request", **fields(request))


def fields(request: Seen) -> dict[str, object]:
    """Return what is told of a request, by name; what it has not is left out."""
    told: dict[str, object] = {
        "request_id": request.request_id,
        "trace_id": request.place.trace_id,
        "span_id": request.place.span_id,
        "method": request.method,
        "operation": request.operation.id,
        "route": request.operation.route,
        "status": request.status or None,
        "code": request.code,
        "duration_ms": round(request.seconds * 1000, 1),
        "waiting_ms": round(request.waited_s * 1000, 1) or None,
        "sent_bytes": request.sent_bytes,
        "verdict": request.headers.get("deck-verdict"),
        "engine_version": request.headers.get("deck-engine"),
        "rulebook": request.headers.get("deck-rulebook"),
        "key_id": request.key_id,
        **_lines(request),
    }
    return {name: value for name, value in told.items() if value not in ("", None)}


def _lines(request: Seen) -> dict[str, object]:
    if not request.operation.streamed:
        return {}
    problems = sum(request.tally.problems.values())
    return {"results": request.tally.results, "problems": problems}

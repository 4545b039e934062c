"""An OpenTelemetry collector of our own: takes spans over HTTP as the standard has them, or fails to in some way."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from opentelemetry.proto.collector.trace.v1.trace_service_pb2 import ExportTraceServiceRequest
from opentelemetry.proto.trace.v1.trace_pb2 import Span

PATIENCE_S = 20.0


@dataclass
class Received:
    """What came in.

    Attributes:
        address: where it is listened
        bodies: of the requests, as they came
        headers: of each
        paths: of each
        asked: how many requests there were, also those not answered
    """

    address: str = ""
    bodies: list[bytes] = field(default_factory=list)
    headers: list[dict[str, str]] = field(default_factory=list)
    paths: list[str] = field(default_factory=list)
    asked: int = 0

    def requests(self) -> list[ExportTraceServiceRequest]:
        return [ExportTraceServiceRequest.FromString(one) for one in self.bodies]

    def spans(self) -> list[Span]:
        return [
            span
            for one in self.requests()
            for resource in one.resource_spans
            for scope in resource.scope_spans
            for span in scope.spans
        ]

    def trace(self, trace_id: str) -> list[Span]:
        """The spans of a trace, the one of the request first."""
        found = [one for one in self.spans() if one.trace_id.hex() == trace_id]
        return sorted(found, key=lambda one: one.kind != Span.SPAN_KIND_SERVER)

    def wait(self, true: Callable[[], Any]) -> None:
        """Wait until something is so; fail when it does not come about."""
        end = time.monotonic() + PATIENCE_S
        while not true():
            assert time.monotonic() < end, f"it did not come about: {len(self.bodies)} requests came"
            time.sleep(0.02)


def attributes(span: Span) -> dict[str, Any]:
    return {one.key: getattr(one.value, one.value.WhichOneof("value")) for one in span.attributes}


@contextmanager
def collecting(*, status: int = 200, hang: threading.Event | None = None) -> Iterator[Received]:
    """Have a collector; one that answers with another status, or takes requests and answers when `hang` is set."""
    received = Received()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["content-length"]))
            received.asked += 1
            if hang is not None:
                hang.wait()
            received.bodies.append(body)
            received.headers.append({name.lower(): value for name, value in self.headers.items()})
            received.paths.append(self.path)
            self.send_response(status)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    received.address = f"http://127.0.0.1:{server.server_port}"
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield received
    finally:
        if hang is not None:
            hang.set()
        server.shutdown()
        server.server_close()
        thread.join()

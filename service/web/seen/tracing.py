"""Spans of requests for an OpenTelemetry collector; needs the extra `tracing`, and is imported where it is asked for.

A request is a span with the attributes of the HTTP conventions, but for `url.path` and whatever else a caller has
written: a path may hold the id of a price book. Stages are spans within it. They go to the collector in batches, by a
thread of its own, out of a queue of bounded length: one that is dead, slow or hanging costs spans and nothing else.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Any

from opentelemetry import context as otel
from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
from opentelemetry.sdk.resources import Resource
from opentelemetry.sdk.trace import SpanLimits, TracerProvider, sampling
from opentelemetry.sdk.trace.export import BatchSpanProcessor, SpanExporter
from opentelemetry.trace import (
    NonRecordingSpan,
    SpanContext,
    SpanKind,
    Status,
    StatusCode,
    TraceFlags,
    TraceState,
    set_span_in_context,
)

from service import __version__
from service.web.seen.collector import Collector
from service.web.seen.operations import OTHER_METHOD
from service.web.seen.request import Seen
from service.web.seen.tally import Tally
from service.web.seen.trace_context import SAMPLED, Parent, Place

EXPORT_PATIENCE_S = 5.0
END_PATIENCE_S = 2.0
# Spans that wait; a design has eight or so.
MOST_WAITING = 4096
BATCH_SPANS = 512
EVERY_S = 1.0
PATH = "/v1/traces"
SAMPLERS: dict[str, Callable[[float], sampling.Sampler]] = {
    "always_on": lambda _: sampling.ALWAYS_ON,
    "always_off": lambda _: sampling.ALWAYS_OFF,
    "traceidratio": sampling.TraceIdRatioBased,
    "parentbased_always_on": lambda _: sampling.ParentBased(sampling.ALWAYS_ON),
    "parentbased_always_off": lambda _: sampling.ParentBased(sampling.ALWAYS_OFF),
    "parentbased_traceidratio": lambda ratio: sampling.ParentBased(sampling.TraceIdRatioBased(ratio)),
}


class Traces:
    """Makes spans of what is seen of requests.

    Args:
        collector: where they go
        exporter: takes them there; one of its own kind unless given
    """

    def __init__(self, collector: Collector, exporter: SpanExporter | None = None) -> None:
        named = {"service.name": collector.service_name, "service.version": __version__}
        self._provider = TracerProvider(
            sampler=SAMPLERS[collector.sampler](collector.ratio),
            resource=Resource({**collector.attributes, **named}),
            shutdown_on_exit=False,
            span_limits=SpanLimits(max_attributes=32),
        )
        self._provider.add_span_processor(
            BatchSpanProcessor(
                exporter or _exporter(collector),
                max_queue_size=MOST_WAITING,
                schedule_delay_millis=EVERY_S * 1000,
                max_export_batch_size=BATCH_SPANS,
                export_timeout_millis=EXPORT_PATIENCE_S * 1000,
            )
        )
        self._tracer = self._provider.get_tracer("deck-framing", __version__)
        # spans begin by the clock on the wall, stages are timed by one that never goes back
        self._offset_ns = time.time_ns() - time.perf_counter_ns()

    def begun(self, request: Seen) -> None:
        """Begin the span of a request, which also gives it its place in the trace."""
        operation = request.operation
        method = "_OTHER" if request.method == OTHER_METHOD else request.method
        attributes = {"http.request.method": method, "deck.operation": operation.id}
        if operation.route:
            attributes["http.route"] = operation.route
        span = self._tracer.start_span(
            f"{'HTTP' if method == '_OTHER' else method} {operation.route}".rstrip(),
            context=_around(request.parent),
            kind=SpanKind.SERVER,
            attributes=attributes,
            start_time=self._wall_ns(request.began),
        )
        own = span.get_span_context()
        sampled = SAMPLED if own.trace_flags.sampled else 0
        request.place = Place(
            f"{own.trace_id:032x}", f"{own.span_id:016x}", (request.place.flags & ~SAMPLED) | sampled
        )
        request.span = span

    def staged(self, request: Seen, name: str, began: float, ended: float) -> None:
        """Add the span of a stage."""
        if request.span is None or not request.span.is_recording():
            return
        span = self._tracer.start_span(
            name, context=set_span_in_context(request.span, otel.Context()), start_time=self._wall_ns(began)
        )
        span.end(self._wall_ns(ended))

    def worked(self, request: Seen, tally: Tally) -> None:
        """Add nothing: an NDJSON call is one span, with its counts."""

    def ended(self, request: Seen) -> None:
        """End the span of a request."""
        span = request.span
        if span is None:
            return
        if span.is_recording():
            span.set_attributes(_attributes(request))
            if request.status >= 500 or not request.status:
                span.set_status(Status(StatusCode.ERROR))
        span.end(self._wall_ns(request.ended_at))

    def end(self) -> None:
        """Send what waits, for a moment at most."""
        # its own patience with a collector that hangs is longer than a service has to stop in
        ending = threading.Thread(target=self._provider.shutdown, daemon=True)
        ending.start()
        ending.join(END_PATIENCE_S)

    def _wall_ns(self, moment: float) -> int:
        return int(moment * 1e9) + self._offset_ns


def _exporter(collector: Collector) -> SpanExporter:
    return OTLPSpanExporter(
        endpoint=collector.endpoint.rstrip("/") + PATH,
        headers=collector.headers,
        timeout=EXPORT_PATIENCE_S,
    )


def _around(parent: Parent | None) -> otel.Context:
    """The context a request's span begins in: that of its caller, or none."""
    if parent is None:
        return otel.Context()
    remote = SpanContext(
        trace_id=int(parent.trace_id, 16),
        span_id=int(parent.span_id, 16),
        is_remote=True,
        trace_flags=TraceFlags(parent.flags & SAMPLED),
        trace_state=TraceState(parent.state),
    )
    return set_span_in_context(NonRecordingSpan(remote), otel.Context())


def _attributes(request: Seen) -> dict[str, Any]:
    """The attributes known at the end; what a request has not is left out."""
    told: dict[str, Any] = {
        "http.response.status_code": request.status,
        "http.response.body.size": request.sent_bytes,
        "error.type": _error_type(request),
        "deck.request_id": request.request_id,
        "deck.problem_code": request.code,
        "deck.verdict": request.headers.get("deck-verdict"),
        "deck.engine_version": request.headers.get("deck-engine"),
        "deck.rulebook": request.headers.get("deck-rulebook"),
    }
    if request.operation.streamed:
        told["deck.batch.results"] = request.tally.results
        told["deck.batch.problems"] = sum(request.tally.problems.values())
    return {name: value for name, value in told.items() if value not in (None, "")}


def _error_type(request: Seen) -> str | None:
    if not request.status:
        return "client_left"
    return (request.code or str(request.status)) if request.status >= 500 else None

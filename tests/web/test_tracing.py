"""Spans of requests come to a collector as the standards say; one that fails costs no request anything."""

from __future__ import annotations

import socket
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

from service.app import make_app
from service.settings import SettingError, Settings
from service.web.seen import tracing
from service.web.seen.collector import SAMPLERS
from tests.contract.api import SMALLEST, call, desk
from tests.web.collector import attributes, collecting

TRACE, SPAN = "0af7651916cd43dd8448eb211c80319c", "b7ad6b7169203331"
SAMPLED = {"traceparent": f"00-{TRACE}-{SPAN}-01"}
UNSAMPLED = {"traceparent": f"00-{TRACE}-{SPAN}-00"}
RISE = {"total_rise_in": 30, "rulebook": "irc-2021"}
ROOT = Path(__file__).parents[2]


def traced(address: str, **more: Any) -> Any:
    return make_app(desk(), Settings(otlp_endpoint=address, **more))


def test_a_design_is_a_span_with_its_stages():
    with collecting() as received:
        answer = call(
            "POST",
            "/v1/designs",
            traced(received.address),
            json=SMALLEST,
            headers={**SAMPLED, "tracestate": "a=1", "accept-encoding": "identity"},
        )
        received.wait(lambda: len(received.trace(TRACE)) == 7)
        server, *stages = received.trace(TRACE)
    assert (server.name, server.parent_span_id.hex()) == ("POST /v1/designs", SPAN)
    assert server.trace_state == "a=1"
    assert answer.headers["traceresponse"] == f"00-{TRACE}-{server.span_id.hex()}-01"
    found = attributes(server)
    assert found == {
        "http.request.method": "POST",
        "http.route": "/v1/designs",
        "http.response.status_code": 200,
        "http.response.body.size": len(answer.content),
        "deck.operation": "createDesign",
        "deck.request_id": answer.headers["x-request-id"],
        "deck.verdict": answer.headers["deck-verdict"],
        "deck.engine_version": answer.headers["deck-engine"],
        "deck.rulebook": answer.headers["deck-rulebook"],
    }
    assert sorted(one.name for one in stages) == [
        "beside",
        "criteria",
        "encode",
        "report",
        "search",
        "waiting",
    ]
    for one in stages:
        assert one.parent_span_id == server.span_id
        assert server.start_time_unix_nano <= one.start_time_unix_nano <= one.end_time_unix_nano
        assert one.end_time_unix_nano <= server.end_time_unix_nano
    assert {
        (path, one["content-type"]) for path, one in zip(received.paths, received.headers, strict=True)
    } == {("/v1/traces", "application/x-protobuf")}


def test_the_callers_wish_not_to_record_is_kept():
    with collecting() as received:
        app = traced(received.address)
        answer = call("POST", "/v1/stair-layouts", app, json=RISE, headers=UNSAMPLED)
        assert answer.headers["traceresponse"].startswith(f"00-{TRACE}-")
        assert answer.headers["traceresponse"].endswith("-00")
        other = call("POST", "/v1/stair-layouts", app, json=RISE)
        assert other.headers["traceresponse"].endswith("-03")
        own = other.headers["traceresponse"].split("-")[1]
        received.wait(lambda: received.trace(own))
        assert received.trace(TRACE) == []
        assert received.trace(own)[0].parent_span_id == b""


def test_what_is_sent_besides_is_what_the_settings_say():
    settings = {
        "otlp_headers": "authorization=Basic%20abc,x-tenant=7",
        "otel_service_name": "decks",
        "otel_attributes": "deployment.environment.name=east",
        "otel_sampler": "traceidratio",
        "otel_ratio": 1.0,
    }
    with collecting() as received:
        call("GET", "/health/live", traced(received.address, **settings))
        received.wait(lambda: received.bodies)
        (resource,) = [one.resource for one in received.requests()[0].resource_spans]
        headers = received.headers[0]
    told = {one.key: one.value.string_value for one in resource.attributes}
    assert (told["service.name"], told["deployment.environment.name"]) == ("decks", "east")
    assert set(told) == {"service.name", "service.version", "deployment.environment.name"}
    assert (headers["authorization"], headers["x-tenant"]) == ("Basic abc", "7")


@pytest.mark.parametrize("sampler", SAMPLERS)
def test_every_sampler_is_known(sampler):
    assert set(tracing.SAMPLERS) == set(SAMPLERS)
    with collecting() as received:
        app = traced(received.address, otel_sampler=sampler, otel_ratio=0.0)
        kept = [
            call("GET", "/health/live", app, headers=headers).headers["traceresponse"][-1] in "13"
            for headers in ({}, SAMPLED, UNSAMPLED)
        ]
    by_parent, root = sampler.startswith("parentbased"), sampler.endswith("always_on")
    assert kept == [root, *([True, False] if by_parent else [root, root])]


def test_refusals_and_failures_are_told_by_their_code():
    with collecting() as received:
        app = traced(received.address)
        refused = call("GET", "/v1/nothing", app)
        empty = make_app(_failing(), Settings(otlp_endpoint=received.address))
        failed = call("POST", "/v1/designs", empty, json=SMALLEST)
        assert (refused.status_code, failed.status_code) == (404, 500)
        ids = [one.headers["traceresponse"].split("-")[1] for one in (refused, failed)]
        received.wait(lambda: all(any(span.kind == 2 for span in received.trace(one)) for one in ids))
        first, second = (received.trace(one)[0] for one in ids)
    assert (first.name, first.status.code, attributes(first)["deck.problem_code"]) == ("GET", 0, "not_found")
    assert "http.route" not in attributes(first)
    assert (second.status.code, attributes(second)["error.type"]) == (2, "internal")
    assert second.status.message == ""
    assert not second.events


def _failing() -> Any:
    class Broken:
        def __getattr__(self, name: str) -> Any:
            raise RuntimeError("broken")

    from dataclasses import replace

    return replace(desk(), facts=Broken())


@pytest.mark.parametrize("sort", ["dead", "refusing", "hanging"])
def test_a_collector_that_fails_costs_no_request_anything(sort):
    """Every request is answered, more than the queue of spans holds, and the end is not waited for."""
    hang = threading.Event() if sort == "hanging" else None
    with collecting(status=503, hang=hang) as received:
        address = received.address
        if sort == "dead":
            with socket.create_server(("127.0.0.1", 0)) as free:
                address = f"http://127.0.0.1:{free.getsockname()[1]}"
        app = traced(address)
        for _ in range(50):
            assert call("GET", "/health/live", app).status_code == 200
        (traces,) = [one for one in app.sinks if isinstance(one, tracing.Traces)]
        if sort != "dead":
            received.wait(lambda: received.asked)
        ending = threading.Thread(target=traces.end)
        ending.start()
        ending.join(3 * tracing.END_PATIENCE_S)
        assert not ending.is_alive()
        assert call("GET", "/health/live", app).status_code == 200


def test_without_a_collector_nothing_of_it_is_imported():
    script = (
        "import sys; from service.app import bundled_snapshot, make_app, make_desk; "
        "make_app(make_desk(bundled_snapshot())); "
        "print([one for one in sys.modules if one.startswith(('opentelemetry.sdk', 'prometheus', 'google', 'psutil'))])"
    )
    found = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=120, check=True
    )
    assert found.stdout == "[]\n"


def test_a_collector_without_the_libraries_for_it_is_refused(monkeypatch):
    monkeypatch.setattr("service.app.find_spec", lambda _: None)
    with pytest.raises(SettingError, match="OTEL_EXPORTER_OTLP_ENDPOINT is set, and the extra `tracing`"):
        traced("http://127.0.0.1:1")

"""A real `deck-framing serve` with two workers: its log, its metrics, its traces, and what they never hold."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import httpx
import pytest
from prometheus_client.parser import text_string_to_metric_families

from service.store.embedded import EmbeddedServer
from service.store.key_writer import create_key
from tests.integration.price_service import bearer, day, line, prices, until
from tests.integration.test_serve_door import free_port, serving
from tests.web.collector import Received, attributes, collecting

# In every text a caller can send, and nowhere in what is seen from outside.
MARK = "Zebrawood"
SMALL = MARK.lower()
NDJSON, JSON = {"Content-Type": "application/x-ndjson"}, {"Content-Type": "application/json"}
MARKED_DECK = {
    "reference": f"{MARK}-1",
    "jurisdiction": "alder-county",
    "levels": [{"id": SMALL, "width_ft": 8, "projection_ft": 8, "surface_height_in": 20}],
}


@dataclass(frozen=True)
class Running:
    """The service that runs, and what is seen of it."""

    address: str
    metrics_address: str
    key: str
    said: Callable[[], str]
    received: Received

    def ask(self, method: str, path: str, **sent: Any) -> httpx.Response:
        # a connection each, so that both workers have some
        return httpx.request(method, self.address + path, trust_env=False, timeout=120, **sent)

    def metrics(self) -> str:
        answer = httpx.get(self.metrics_address, trust_env=False, timeout=20)
        assert answer.status_code == 200
        return answer.text

    def value(self, name: str, **labels: str) -> float | None:
        families = text_string_to_metric_families(self.metrics())
        samples = (one for family in families for one in family.samples)
        return next((one.value for one in samples if (one.name, one.labels) == (name, labels)), None)

    def lines(self) -> list[dict[str, Any]]:
        """The log, but for what the tool says at its start; each line has to be JSON."""
        return [json.loads(one) for one in self.said().splitlines()]

    def requests(self) -> dict[str, dict[str, Any]]:
        return {one["request_id"]: one for one in self.lines() if one["event"] == "request"}


@pytest.fixture(scope="module")
def running(database: EmbeddedServer) -> Iterator[Running]:
    key = create_key(database.owner_url, SMALL, ["designs", "prices:read", "prices:write"])
    port = free_port()
    settings = {
        "WORKERS": "2",
        "BATCH_WORKERS": "2",
        "DECK_FRAMING_LOG": "json",
        "DECK_FRAMING_LOG_LEVEL": "debug",
        "DECK_FRAMING_METRICS_PORT": str(port),
    }
    with collecting() as received:
        settings["OTEL_EXPORTER_OTLP_ENDPOINT"] = received.address
        with serving(database, **settings) as (address, said):
            yield Running(address, f"http://127.0.0.1:{port}/metrics", key, said, received)


def test_numbers_are_those_of_all_workers_together(running: Running) -> None:
    def found() -> float:
        return (
            running.value(
                "deck_framing_http_requests_total", operation="layoutStair", method="POST", status="2xx"
            )
            or 0.0
        )

    before, body = found(), {"total_rise_in": 30, "rulebook": "irc-2021"}
    ids = {running.ask("POST", "/v1/stair-layouts", json=body).headers["x-request-id"] for _ in range(24)}
    until(lambda: found() == before + 24)
    until(lambda: ids <= running.requests().keys())
    assert len({running.requests()[id]["pid"] for id in ids}) == 2, "one worker answered everything"
    until(lambda: running.value("deck_framing_processes", role="server") == 2)
    assert running.value("deck_framing_processes", role="launcher") == 1
    assert running.value("deck_framing_http_requests_in_flight") == 0
    assert running.value("deck_framing_database_reachable") == 1
    assert 0 <= (running.value("deck_framing_snapshot_age_seconds") or -1) < 10
    assert (running.value("deck_framing_process_resident_memory_bytes", role="server") or 0) > 50e6
    # of both workers
    assert running.value("deck_framing_gate_limit", gate="uploads") == 16
    assert running.value("deck_framing_damaged_versions") == 0
    # there before the first, so that the first is an increase
    failures = {"code": "internal", "operation": "createDesign"}
    assert running.value("deck_framing_problems_total", **failures) == 0
    revision = running.value("deck_framing_snapshot_revision")
    assert revision
    until(lambda: running.value("deck_framing_snapshot_revision_newest") == revision)


def test_a_batch_counts_its_lines_and_is_one_span(running: Running) -> None:
    deck = json.dumps(MARKED_DECK)
    body = "\n".join([deck, f'{{"reference": "{MARK}-2"}}', MARK])
    answer = running.ask("POST", "/v1/design-batches", content=body.encode(), headers=NDJSON)
    assert [json.loads(one)["kind"] for one in answer.text.splitlines()] == [
        "result",
        "problem",
        "problem",
        "end",
    ]
    batch = {"operation": "designBatch"}
    until(lambda: running.value("deck_framing_batch_lines_total", kind="result", **batch) == 1)
    assert running.value("deck_framing_batch_lines_total", kind="problem", **batch) == 2
    assert running.value("deck_framing_batch_line_problems_total", code="not_json", **batch) == 1
    assert running.value("deck_framing_batch_calls_in_progress", **batch) == 0
    assert running.value("deck_framing_processes", role="batch") == 1
    verdict = json.loads(answer.text.splitlines()[0])["summary"]["verdict"]["status"]
    assert running.value("deck_framing_designs_total", verdict=verdict, **batch) == 1
    assert (running.value("deck_framing_stage_duration_seconds_count", stage="search") or 0) >= 1
    trace_id = answer.headers["traceresponse"].split("-")[1]
    running.received.wait(lambda: running.received.trace(trace_id))
    (span,) = running.received.trace(trace_id)
    told = attributes(span)
    assert (told["deck.batch.results"], told["deck.batch.problems"]) == (1, 2)
    until(lambda: answer.headers["x-request-id"] in running.requests())
    logged = running.requests()[answer.headers["x-request-id"]]
    assert (logged["results"], logged["problems"], logged["trace_id"]) == (1, 2, trace_id)


def test_answer_log_line_and_span_name_one_trace(running: Running) -> None:
    trace_id, span_id = "4bf92f3577b34da6a3ce929d0e0e4736", "00f067aa0ba902b7"
    parent = {"traceparent": f"00-{trace_id}-{span_id}-01", "Accept-Encoding": "identity"}
    answer = running.ask("GET", "/v1/options", headers=parent)
    own = answer.headers["traceresponse"].split("-")[2]
    until(lambda: answer.headers["x-request-id"] in running.requests())
    logged = running.requests()[answer.headers["x-request-id"]]
    assert (logged["trace_id"], logged["span_id"]) == (trace_id, own)
    assert (logged["operation"], logged["route"], logged["status"]) == ("listOptions", "/v1/options", 200)
    assert logged["sent_bytes"] == len(answer.content)
    running.received.wait(lambda: running.received.trace(trace_id))
    (span,) = running.received.trace(trace_id)
    assert (span.span_id.hex(), span.parent_span_id.hex()) == (own, span_id)


def test_metrics_are_not_on_the_public_address(running: Running) -> None:
    assert running.ask("GET", "/metrics").status_code == 404


def marked_requests(running: Running) -> Iterator[httpx.Response]:
    """Requests with the mark in every place a caller can write in."""
    ask, key = running.ask, bearer(running.key)
    hostile = {
        "User-Agent": MARK,
        "Referer": f"http://{SMALL}.example/",
        "Origin": f"http://{SMALL}.example",
        "Cookie": f"a={MARK}",
        "X-Forwarded-For": MARK,
        "X-Request-Id": MARK,
        "traceparent": MARK,
        "tracestate": f"{SMALL}={SMALL}",
        f"X-{MARK}": MARK,
    }
    yield ask("GET", f"/{MARK}/{MARK}?{MARK}={MARK}", headers=hostile)
    yield ask("GET", f"/v1/price-books/{SMALL}-yard/versions/1?{MARK}={MARK}", headers={**hostile, **key})
    yield ask("GET", f"/v1/options?jurisdiction={SMALL}", headers=hostile)
    yield ask("GET", f"/problems/{SMALL}", headers=hostile)
    yield ask("GET", "/v1/options", headers={"Host": f"{SMALL}.example"})
    yield ask("GET", "/v1/options", headers={"Authorization": f"Bearer {MARK}"})
    yield ask("GET", "/v1/options", headers={"Authorization": f"Bearer secret.0123456789abcdef.{MARK:x<43}"})
    yield ask("OPTIONS", "/v1/designs", headers={**hostile, "Access-Control-Request-Method": "POST"})
    yield ask(MARK.upper(), "/v1/designs", headers=hostile)
    yield ask("POST", "/v1/designs", content=MARK.encode(), headers={"Content-Type": f"text/{SMALL}"})
    yield ask("POST", "/v1/designs", content=f'{{"{MARK}": "{MARK}"}}'.encode(), headers=JSON)
    yield ask("POST", "/v1/designs", json={**MARKED_DECK, "jurisdiction": SMALL}, headers={"Accept": "*/*"})
    yield ask("POST", "/v1/takeoffs", json=MARKED_DECK, headers={**hostile, **key, "Accept": "text/csv"})
    yield ask(
        "POST", "/v1/permit-packages", json={"spec": MARKED_DECK, "paper": "letter", "job": {"owner": MARK}}
    )
    yield ask("POST", "/v1/price-books", json={"id": f"{SMALL}-yard"}, headers=key)
    upload = prices(day(0), lines=[line(sku=MARK, description=MARK, note=MARK)])
    yield ask("POST", f"/v1/price-books/{SMALL}-yard/versions", json=upload, headers=key)
    yield ask("POST", f"/v1/price-books/{SMALL}-yard/versions", json={**upload, MARK: MARK}, headers=key)
    spec = {"reference": MARK, "lines": [{"item": MARK, "quantity": 1}], "previous_total": MARK}
    content = json.dumps(spec).encode()
    yield ask("POST", f"/v1/repricings?price_book={SMALL}-yard", content=content, headers={**NDJSON, **key})


def test_nothing_a_caller_has_written_is_seen_from_outside(running: Running) -> None:
    """With everything logged that can be: no log line, no span and no metric holds a word of it, or the key."""
    answers = list(marked_requests(running))
    statuses = [one.status_code for one in answers]
    assert (statuses.count(200), statuses.count(201)) == (3, 2), statuses
    assert {401, 404, 405, 415, 421, 422} <= set(statuses)
    answers += [running.ask("GET", "/health/live") for _ in range(4)]
    # one has a method the server itself does not take
    answers = [one for one in answers if "x-request-id" in one.headers]
    assert len(answers) >= len(statuses) + 3
    ids = {one.headers["x-request-id"] for one in answers}
    until(lambda: ids <= running.requests().keys())
    traces = {one.headers["traceresponse"].split("-")[1] for one in answers}
    running.received.wait(lambda: all(running.received.trace(one) for one in traces))
    log, page = running.said(), running.metrics()
    spans = b"".join(running.received.bodies).decode("latin-1")
    secret = running.key.rpartition(".")[2]
    for seen in (log, spans, page):
        assert SMALL not in seen.lower()
        assert secret not in seen
        assert "127.0.0.1:" not in seen.replace("http://127.0.0.1:", "")
    # the key is told by its id, which is no secret
    id = running.key.split(".")[1]
    assert id in log
    assert id not in page
    assert {one["key_id"] for one in running.requests().values() if "key_id" in one} == {id}
    allowed = re.compile(r'deck_framing_\w+(\{(\w+="[\w.+]*",?)+\})? [-+.\deE]+(Inf)?')
    assert [one for one in page.splitlines() if one[0] != "#" and not allowed.fullmatch(one)] == []

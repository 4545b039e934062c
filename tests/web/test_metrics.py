"""What requests count as: by operation, verdict, stage and code, and by nothing a caller has written."""

from __future__ import annotations

import asyncio
import re
from dataclasses import replace
from typing import Any

import pytest

from service.app import make_app
from service.contract.stream import StreamProblem
from service.settings import Settings
from service.web.current import CurrentDesk
from service.web.gate import Gate
from service.web.methods import operation_ids
from service.web.problem_answer import problem_of
from service.web.seen import names
from service.web.seen.levels import Levels
from service.web.seen.metrics import Metrics
from service.web.seen.tally import Tally, joined
from tests.contract.api import SMALLEST, call, desk

COUNTED = Settings(metrics_port=9000)


@pytest.fixture
def app() -> Any:
    return make_app(desk(), COUNTED)


def value(app: Any, metric: names.Metric, end: str = "", **labels: str) -> float:
    (metrics,) = [one for one in app.sinks if isinstance(one, Metrics)]
    return metrics.registry.get_sample_value(metric.name + end, labels) or 0.0


def test_a_design_counts_once_under_its_verdict_and_each_stage(app):
    verdict = call("POST", "/v1/designs", app, json=SMALLEST).headers["deck-verdict"]
    assert value(app, names.DESIGNS, operation="createDesign", verdict=verdict) == 1
    assert value(app, names.REQUESTS, operation="createDesign", method="POST", status="2xx") == 1
    assert value(app, names.REQUEST_SECONDS, "_count", operation="createDesign") == 1
    assert value(app, names.IN_FLIGHT) == 0
    seconds = {one: value(app, names.STAGE_SECONDS, "_sum", stage=one) for one in names.STAGES}
    counts = {one: value(app, names.STAGE_SECONDS, "_count", stage=one) for one in names.STAGES}
    assert counts == {**dict.fromkeys(names.STAGES, 1.0), "svg": 0.0, "pdf": 0.0}
    whole = value(app, names.REQUEST_SECONDS, "_sum", operation="createDesign")
    assert 0.5 * whole < sum(seconds.values()) <= whole, "stages overlap, or leave out most of the work"


@pytest.mark.parametrize(("accept", "stage"), [("image/svg+xml", "svg"), ("application/pdf", "pdf")])
def test_a_sheet_is_a_stage_of_its_own(app, accept, stage):
    body = {"spec": SMALLEST, "sheet": "framing_plan", "paper": "letter"}
    assert call("POST", "/v1/drawings", app, json=body, headers={"Accept": accept}).status_code == 200
    assert value(app, names.STAGE_SECONDS, "_count", stage=stage) == 1
    assert value(app, names.STAGE_SECONDS, "_count", stage="encode") == 0


def test_problems_count_by_code_also_where_no_route_is_asked(app):
    call("GET", "/v1/nothing", app)
    call("HEAD", "/v1/nothing", app)
    call("POST", "/v1/designs", app, content=b"{", headers={"Content-Type": "application/json"})
    call("GET", "/v1/options", app, headers={"Authorization": "Bearer nothing"})
    call("SECRET", "/v1/designs", app)
    assert value(app, names.PROBLEMS, operation="none", code="not_found") == 2
    assert value(app, names.PROBLEMS, operation="createDesign", code="not_json") == 1
    assert value(app, names.PROBLEMS, operation="listOptions", code="unauthenticated") == 1
    assert value(app, names.REQUESTS, operation="none", method="other", status="4xx") == 1


def test_a_crowd_is_refused_and_counted(app):
    full = replace(desk(), gate=Gate(threads=0, waiting=0))
    crowded = make_app(full, COUNTED)
    assert call("POST", "/v1/designs", crowded, json=SMALLEST).status_code == 503
    assert value(crowded, names.PROBLEMS, operation="createDesign", code="overloaded") == 1


def test_one_who_leaves_counts_without_a_status(app):
    async def leave() -> None:
        async def receive() -> dict[str, Any]:
            return {"type": "http.disconnect"}

        async def send(_: Any) -> None:
            raise OSError("gone")

        scope = {"type": "http", "method": "GET", "path": "/v1/secret", "headers": [], "query_string": b""}
        with pytest.raises(OSError, match="gone"):
            await app(scope, receive, send)

    asyncio.run(leave())
    assert value(app, names.IN_FLIGHT) == 0
    assert sum(one.value for one in samples(app, names.REQUESTS)) == 1


def samples(app: Any, metric: names.Metric) -> list[Any]:
    (metrics,) = [one for one in app.sinks if isinstance(one, Metrics)]
    return [one for family in metrics.registry.collect() for one in family.samples if one.name == metric.name]


def test_a_task_of_a_batch_counts_its_lines():
    metrics = Metrics()
    app = make_app(desk(), COUNTED)
    request = app._seen({"method": "POST", "path": "/v1/design-batches", "headers": []})
    metrics.begun(request)
    tally = Tally(
        results=2, problems={"invalid_spec": 3}, verdicts={"prescriptive": 2}, stages={"search": [0.1, 0.2]}
    )
    metrics.worked(request, tally)
    of = metrics.registry.get_sample_value
    assert of(names.BATCH_CALLS.name, {"operation": "designBatch"}) == 1
    assert of(names.BATCH_LINES.name, {"operation": "designBatch", "kind": "problem"}) == 3
    assert of(names.BATCH_PROBLEMS.name, {"operation": "designBatch", "code": "invalid_spec"}) == 3
    assert of(names.DESIGNS.name, {"operation": "designBatch", "verdict": "prescriptive"}) == 2
    assert of(names.STAGE_SECONDS.name + "_sum", {"stage": "search"}) == pytest.approx(0.3)
    metrics.ended(request)
    assert of(names.BATCH_CALLS.name, {"operation": "designBatch"}) == 0


def test_tallies_of_lines_worked_alone_are_put_together():
    one = Tally(results=1, stages={"search": [0.1]})
    other = Tally(problems={"not_json": 1}, stages={"search": [0.2], "report": [0.3]})
    whole = joined([one, other])
    assert (whole.results, whole.problems) == (1, {"not_json": 1})
    assert whole.stages == {"search": [0.1, 0.2], "report": [0.3]}
    assert one.stages == {"search": [0.1]}
    assert Tally().stages == {}, "what one task came to is not the next one's"


def test_a_problem_line_counts_by_its_code():
    from service.contract.problem import Rejected

    problem = problem_of(Rejected("not_json", ""), "/", "")
    tally = Tally()
    tally.count([StreamProblem(line=1, reference="secret", problem=problem)])
    assert (tally.results, tally.problems, tally.verdicts) == (0, {"not_json": 1}, {})


def test_levels_are_those_of_the_desk_answered_from():
    metrics = Metrics()
    current = CurrentDesk(replace(desk(), gate=Gate(threads=1, waiting=2)))
    current.desk.gate.inside = 3
    Levels(metrics, current).take()
    of = metrics.registry.get_sample_value
    found = [
        of(one.name, {"gate": "designs"}) for one in (names.GATE_INSIDE, names.GATE_WAITING, names.GATE_LIMIT)
    ]
    assert found == [3, 2, 3]
    assert of(names.GATE_INSIDE.name, {"gate": "uploads"}) == 0


def test_versions_that_cannot_be_served_are_counted():
    metrics, given = Metrics(), desk()
    shelf = replace(given.snapshot.rulebooks, damaged={("irc-2021", 1): "its digest differs"})
    current = CurrentDesk(replace(given, snapshot=replace(given.snapshot, rulebooks=shelf)))
    Levels(metrics, current).take()
    assert metrics.registry.get_sample_value(names.DAMAGED_VERSIONS.name, {}) == 1


def test_the_problems_that_alerts_are_about_are_there_before_the_first(app):
    found = {(one.labels["operation"], one.labels["code"]): one.value for one in samples(app, names.PROBLEMS)}
    assert set(found) == {(id, code) for id in operation_ids() for code in names.CODES_FROM_THE_START}
    assert set(found.values()) == {0.0}
    assert {"none", "createDesign", "designBatch"} <= operation_ids()


def test_names_end_as_is_usual():
    for one in names.METRICS:
        assert re.fullmatch(r"deck_framing_[a-z_]+", one.name)
        assert one.name.endswith("_total") == (one.sort == "counter"), one.name
        assert (one.sort == "histogram") == bool(one.buckets)
        assert (
            "seconds" not in one.meaning.lower()
            or "_seconds" in one.name
            or one.name.endswith(("_total", "_newest"))
        )
        for word in one.labels:
            assert f"`{word}`" in (names.__doc__ or "") or one is names.BUILD_INFO
    assert len({one.name for one in names.METRICS}) == len(names.METRICS)


def test_a_sink_that_fails_costs_no_request_anything(caplog):
    class Failing:
        def __getattr__(self, name: str) -> Any:
            def fail(*_: object) -> None:
                raise ValueError("secret")

            return fail

    app = make_app(desk())
    app.sinks = (Failing(), *app.sinks)
    assert call("GET", "/v1/options", app).status_code == 200
    assert "Failing failed: ValueError" in caplog.text
    assert "secret" not in caplog.text

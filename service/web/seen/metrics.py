"""Counts what is seen of requests, in Prometheus instruments.

Where `PROMETHEUS_MULTIPROC_DIR` was set before this is imported, the client library counts in files of that folder, a
few for each process, and whoever reads them has the numbers of all processes together; see `exposition.py`.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram

from service.web.seen import names
from service.web.seen.names import Metric
from service.web.seen.request import Seen
from service.web.seen.tally import Tally

TOO_OFTEN = "too_many_requests"
VERDICT = "deck-verdict"


class Metrics:
    """The instruments, and what each thing seen counts.

    Attributes:
        registry: holds the instruments
    """

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        self._made = {one.name: _made(one, self.registry) for one in names.COUNTED}
        self._children: dict[tuple[str, tuple[str, ...]], Any] = {}

    def of(self, metric: Metric, *labels: str) -> Any:
        """Return the instrument of a metric with its labels' values."""
        key = (metric.name, labels)
        found = self._children.get(key)
        if found is None:
            made = self._made[metric.name]
            found = self._children[key] = made.labels(*labels) if labels else made
        return found

    def expect(self, operations: Iterable[str]) -> None:
        """Have the problems that alerts are about at 0, for each operation, before the first of them."""
        for id in operations:
            for code in names.CODES_FROM_THE_START:
                self.of(names.PROBLEMS, id, code)

    def begun(self, request: Seen) -> None:
        """Count a request that has begun."""
        self.of(names.IN_FLIGHT).inc()
        if request.operation.streamed:
            self.of(names.BATCH_CALLS, request.operation.id).inc()

    def staged(self, request: Seen, name: str, began: float, ended: float) -> None:  # noqa: ARG002
        """Count a stage."""
        self._stage(name, ended - began)

    def worked(self, request: Seen, tally: Tally) -> None:
        """Count the lines of a task."""
        id = request.operation.id
        for kind, count in (("result", tally.results), ("problem", sum(tally.problems.values()))):
            if count:
                self.of(names.BATCH_LINES, id, kind).inc(count)
        for code, count in tally.problems.items():
            self.of(names.BATCH_PROBLEMS, id, code).inc(count)
        for verdict, count in tally.verdicts.items():
            self.of(names.DESIGNS, id, verdict).inc(count)
        for name, all_seconds in tally.stages.items():
            for seconds in all_seconds:
                self._stage(name, seconds)

    def _stage(self, name: str, seconds: float) -> None:
        if name in names.STAGES:
            self.of(names.STAGE_SECONDS, name).observe(seconds)

    def ended(self, request: Seen) -> None:
        """Count a request that has ended."""
        id = request.operation.id
        self.of(names.IN_FLIGHT).dec()
        if request.operation.streamed:
            self.of(names.BATCH_CALLS, id).dec()
        self.of(names.REQUESTS, id, request.method, status_class(request.status)).inc()
        self.of(names.REQUEST_SECONDS, id).observe(request.seconds)
        if request.code:
            self.of(names.PROBLEMS, id, request.code).inc()
        if request.code == TOO_OFTEN:
            self.of(names.PUBLISHABLE_REFUSALS).inc()
        verdict = request.headers.get(VERDICT)
        if verdict:
            self.of(names.DESIGNS, id, verdict).inc()


def status_class(status: int) -> str:
    """Return the class of a status.

    >>> status_class(204), status_class(0)
    ('2xx', 'none')
    """
    return f"{status // 100}xx" if status else "none"


def _made(metric: Metric, registry: CollectorRegistry) -> Any:
    given: dict[str, Any] = {"labelnames": metric.labels, "registry": registry}
    if metric.sort == "histogram":
        return Histogram(metric.name, metric.meaning, buckets=metric.buckets, **given)
    if metric.sort == "gauge":
        return Gauge(metric.name, metric.meaning, multiprocess_mode=metric.over, **given)
    return Counter(metric.name, metric.meaning, **given)

"""Who is told what is seen of requests, put together; what is not asked for is not imported."""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator, Callable, Iterable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from anyio import to_thread

from service import __version__
from service.web import logs
from service.web.current import CurrentDesk
from service.web.seen.access_lines import AccessLines
from service.web.seen.collector import Collector
from service.web.seen.request import Sink

if TYPE_CHECKING:
    from service.web.seen.metrics import Metrics
    from service.web.seen.tracing import Traces

Lifespan = Callable[[object], AbstractAsyncContextManager[None]]
_log = logging.getLogger("deck_framing.web")


@dataclass(frozen=True)
class Watching:
    """Who is told.

    Attributes:
        metrics: counts, where metrics are served
        traces: makes spans, where a collector is named
    """

    metrics: Metrics | None = None
    traces: Traces | None = None

    @property
    def sinks(self) -> tuple[Sink, ...]:
        """All of them; traces first, which settle where a request stands in its trace."""
        found: tuple[Sink | None, ...] = (self.traces, self.metrics, AccessLines())
        return tuple(one for one in found if one is not None)

    def expect(self, operations: Iterable[str]) -> None:
        """Take down, where metrics are served, what may be called."""
        if self.metrics is not None:
            self.metrics.expect(operations)

    def lifespans(self, current: CurrentDesk) -> list[Lifespan]:
        """Return what lasts as long as an application runs."""
        if self.metrics is None:
            return [self._told(current)]
        from service.web.seen.levels import levels_taken

        return [self._told(current), levels_taken(self.metrics, current)]

    def _told(self, current: CurrentDesk) -> Lifespan:
        @asynccontextmanager
        async def told(_: object) -> AsyncIterator[None]:
            revision = current.desk.snapshot.changes
            logs.event(
                _log, logging.INFO, "started", "started", engine_version=__version__, revision=revision
            )
            try:
                yield
            finally:
                logs.event(_log, logging.INFO, "stopped", "stopped", engine_version=__version__)
                await to_thread.run_sync(self._end)

        return told

    def _end(self) -> None:
        if self.traces is not None:
            self.traces.end()
        logs.flush()


def watching(*, counted: bool, collector: Collector | None) -> Watching:
    """Return who is told.

    Args:
        counted: whether metrics are served
        collector: where spans go, None for nowhere
    """
    metrics, traces = None, None
    if counted:
        from service.web.seen.metrics import Metrics

        metrics = Metrics()
    if collector is not None:
        from service.web.seen.tracing import Traces

        traces = Traces(collector)
    return Watching(metrics, traces)

"""What is not seen at any request and looked at once a second: gates, the age of the snapshot, dropped log lines."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager

from service.web import logs
from service.web.current import CurrentDesk
from service.web.gate import Gate
from service.web.seen import names
from service.web.seen.metrics import Metrics

EVERY_S = 1.0


class Levels:
    """Takes down the levels of one process.

    Args:
        metrics: what they are taken down in
        current: holds the desk, the gates and when the store was last seen
    """

    def __init__(self, metrics: Metrics, current: CurrentDesk) -> None:
        self._metrics = metrics
        self._current = current
        self._dropped = 0

    def take(self) -> None:
        """Take all of them down once."""
        current, of = self._current, self._metrics.of
        snapshot = current.desk.snapshot
        self._gate("designs", current.desk.gate)
        self._gate("uploads", current.uploads)
        self._gate("comparisons", current.comparisons)
        of(names.SNAPSHOT_REVISION).set(snapshot.changes)
        of(names.SNAPSHOT_REVISION_NEWEST).set(snapshot.changes)
        shelves = (snapshot.rulebooks, snapshot.jurisdictions, snapshot.price_books)
        of(names.DAMAGED_VERSIONS).set(sum(len(shelf.damaged) for shelf in shelves))
        if current.sight.database != "none":
            of(names.SNAPSHOT_SEEN_AT).set(current.sight.seen_at)
            of(names.DATABASE_REACHABLE).set(current.sight.database == "reachable")
        of(names.LOG_LINES_DROPPED).inc(logs.dropped() - self._dropped)
        self._dropped = logs.dropped()

    def _gate(self, name: str, gate: Gate) -> None:
        self._metrics.of(names.GATE_INSIDE, name).set(gate.inside)
        self._metrics.of(names.GATE_WAITING, name).set(max(0, gate.inside - gate.threads))
        self._metrics.of(names.GATE_LIMIT, name).set(gate.most)

    async def again_and_again(self) -> None:
        """Take them down once a second until cancelled."""
        while True:
            self.take()
            await asyncio.sleep(EVERY_S)


def levels_taken(
    metrics: Metrics, current: CurrentDesk
) -> Callable[[object], AbstractAsyncContextManager[None]]:
    """Return what takes levels down for as long as an application runs."""

    @asynccontextmanager
    async def taken(_: object) -> AsyncIterator[None]:
        task = asyncio.create_task(Levels(metrics, current).again_and_again())
        try:
            yield
        finally:
            task.cancel()
            await asyncio.gather(task, return_exceptions=True)

    return taken

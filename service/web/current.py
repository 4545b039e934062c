"""The desk requests begin with now; a newer one takes its place whole, and those under way keep theirs."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from dataclasses import replace

from anyio import CapacityLimiter, to_thread

from service.contract.problem import Rejected
from service.store.errors import StoreError
from service.store.live import LiveStore
from service.store.snapshot import Snapshot
from service.web.desk import Desk
from service.web.gate import Gate, T
from service.web.logs import event
from service.web.sight import Sight

LOOK_EVERY_S = 1.0
# Where changes follow one another quicker than that, they are taken together.
LEAST_PAUSE_S = 0.05
# What is damaged may be mended past everything that tells of a change.
MENDED_EVERY_S = 5.0
_log = logging.getLogger("deck_framing.web")


class StoreGate(Gate):
    """Runs what needs the store, which is refused at once while that is away, also to those that have waited.

    Each would find that out by waiting for an answer, one after another.
    """

    def __init__(self, sight: Sight) -> None:
        super().__init__(threads=1, waiting=7)
        self._sight = sight

    async def run(self, work: Callable[..., T], *arguments: object) -> T:
        """Return what the work returns.

        Raises:
            Rejected: overloaded, store_unavailable
        """
        self._refuse_away()
        return await super().run(self._unless_away, work, *arguments)

    def _unless_away(self, work: Callable[..., T], *arguments: object) -> T:
        self._refuse_away()
        return work(*arguments)

    def _refuse_away(self) -> None:
        if self._sight.is_lost:
            raise Rejected("store_unavailable", "the database is away, and nothing was written")


class CurrentDesk:
    """Holds one desk, and looks in the store whether there is a newer one.

    Attributes:
        desk: what requests that begin now work at
        uploads: lets in one upload at a time, beside the designs
        comparisons: lets in one comparison of versions at a time; they need no key, and must not keep out who writes
        sight: when the store was last seen
    """

    def __init__(self, desk: Desk, store: LiveStore | None = None) -> None:
        self.desk = desk
        self.sight = Sight(kept=store is not None)
        self.uploads = StoreGate(self.sight)
        self.comparisons = Gate(threads=1, waiting=7)
        self._store = store
        self._away = False
        self._mended_at = self.sight.now()
        self._tell_damaged(desk.snapshot)
        self._one: CapacityLimiter | None = None

    @property
    def store(self) -> LiveStore:
        """The store that can be written to.

        Raises:
            Rejected: store_unavailable where the service answers from files
        """
        if self._store is None:
            raise Rejected("store_unavailable", "this service runs without a database: nothing can be kept")
        return self._store

    async def renew(self) -> None:
        """Take a newer snapshot if there is one; while the database is away, keep the one there is.

        Nothing is waited for where the last look has failed: the next comes by itself, for everyone.
        """
        if not self.sight.is_lost:
            await self._renew()

    async def _renew(self) -> None:
        # one at a time, so that an older snapshot cannot come in after a newer one
        self._one = self._one or CapacityLimiter(1)
        with suppress(Rejected):
            await to_thread.run_sync(self._look, self.store, limiter=self._one)

    def _look(self, store: LiveStore) -> None:
        began = self.sight.now()
        try:
            newer = store.newer_than(self.desk.snapshot) or self._mended(store)
        except StoreError as fault:
            self._lose(f"the database is away; answering from what was read before: {fault}")
            return
        if newer is not None:
            self._tell_damaged(newer)
            self.desk = replace(self.desk, snapshot=newer)
            event(
                _log,
                logging.INFO,
                "snapshot_changed",
                "a newer snapshot is answered from",
                revision=newer.changes,
            )
        self._find()
        self.sight.seen(began)

    def _mended(self, store: LiveStore) -> Snapshot | None:
        """What is read now and then while a version is damaged, where it is another damage or none."""
        damaged = self.desk.snapshot.damaged
        if not damaged or self.sight.now() - self._mended_at < MENDED_EVERY_S:
            return None
        self._mended_at = self.sight.now()
        read = store.read_again(self.desk.snapshot)
        return None if read.damaged == damaged else read

    def _tell_damaged(self, snapshot: Snapshot) -> None:
        for why in snapshot.damaged.values():
            _log.error("%s", why)

    def _lose(self, text: str) -> None:
        self.sight.lost()
        if not self._away:
            event(_log, logging.WARNING, "database_lost", text)
        self._away = True

    def _find(self) -> None:
        if self._away:
            event(_log, logging.WARNING, "database_found", "the database is back")
        self._away = False

    @asynccontextmanager
    async def watched(self, _: object = None) -> AsyncIterator[None]:
        """Look for a newer snapshot at every change, and every second, for as long as the block runs."""
        if self._store is None:
            yield
            return
        changed = asyncio.Event()
        tasks = [
            asyncio.create_task(one)
            for one in (self._look_again_and_again(changed), self._store.listen(changed.set))
        ]
        try:
            yield
        finally:
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
            await to_thread.run_sync(self._store.close)

    async def _look_again_and_again(self, changed: asyncio.Event) -> None:
        while True:
            with suppress(TimeoutError):
                await asyncio.wait_for(changed.wait(), LOOK_EVERY_S)
            changed.clear()
            try:
                await self._renew()
            except Exception as fault:
                # a fault of ours must not end the looking; its text may hold what was read
                self._lose(f"looking for a newer snapshot failed: {type(fault).__name__}")
            await asyncio.sleep(LEAST_PAUSE_S)

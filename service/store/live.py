"""The database of a running service: is there anything newer, and what is written to it."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from service.contract.audit import AuditEntry
from service.rules.price_book import PriceBook
from service.store.audit_reader import entries_of
from service.store.database import CONNECTION, engine_with, transaction
from service.store.errors import StoreError
from service.store.listen import Listener
from service.store.patience import Patience
from service.store.price_writer import Publication, create_price_book, publish_price_book
from service.store.reader import load_snapshot, read_changes
from service.store.snapshot import Snapshot

# Asked every second: longer than this, and the answer is of no use.
PATIENCE = "2s"
START_PATIENCE_S, LOOK_AGAIN_S = 300.0, 1.0
CONNECT_TIMEOUT_S, LOOK_PATIENCE_S = 5, 5.0
_log = logging.getLogger("deck_framing.store")


def await_store(url: str, patience_s: float = START_PATIENCE_S) -> None:
    """Wait until a database answers: a worker may have to be started again while it is away.

    Without this it would end at once, and be started again and again, at the cost of those that still answer.

    Raises:
        StoreError: it does not answer in so many seconds
    """
    deadline = time.monotonic() + patience_s
    while True:
        try:
            with transaction(url, read_only=True):
                return
        except StoreError as fault:
            if time.monotonic() > deadline:
                raise
            _log.warning("waiting for the database: %s", fault)
            time.sleep(LOOK_AGAIN_S)


class LiveStore:
    """A database that is looked at again and again, over one connection that is kept, and listened to.

    Attributes:
        url: libpq URI of the role that serves
        direct_url: the same past any pooler, for listening
    """

    def __init__(self, url: str, direct_url: str | None = None) -> None:
        self.url = url
        self.direct_url = direct_url or url
        self._patience = Patience(LOOK_PATIENCE_S)
        # connects at the first look
        self._engine = engine_with(
            url,
            self._patience,
            pool_size=1,
            max_overflow=0,
            connect_args={**CONNECTION, "connect_timeout": CONNECT_TIMEOUT_S},
        )

    def newer_than(self, snapshot: Snapshot) -> Snapshot | None:
        """A newer snapshot, or None where nothing has changed since the one given.

        Raises:
            StoreError: the database is away, or cannot be read
        """
        try:
            return None if self._changes() == snapshot.changes else self.read_again(snapshot)
        except DBAPIError as fault:
            raise StoreError(f"the database cannot be read: {fault.orig}") from fault

    def read_again(self, snapshot: Snapshot) -> Snapshot:
        """A snapshot read whether there are changes or not; see `reader.load_snapshot`."""
        return load_snapshot(self.url, snapshot)

    async def listen(self, changed: Callable[[], None]) -> None:
        """Call a function at every change until cancelled; see `listen.Listener`."""
        await Listener(self.direct_url, changed).run()

    def _changes(self) -> int:
        try:
            return self._asked()
        except DBAPIError as fault:
            if not fault.connection_invalidated or self._patience.over:
                raise
            # the one kept since the last look may be that of a server that has been started again
            return self._asked()

    def _asked(self) -> int:
        self._patience.over = False
        try:
            with self._engine.connect() as connection:
                self._patience.begin(connection.connection.driver_connection.fileno())  # type: ignore[union-attr]
                with connection.begin():
                    connection.execute(text("set local search_path to public"))
                    connection.execute(text(f"set local statement_timeout = '{PATIENCE}'"))
                    return read_changes(connection)
        finally:
            self._patience.end()

    def create_price_book(self, id: str, organisation: str, actor: str) -> bool:
        """Add a price book; see `price_writer.create_price_book`."""
        return create_price_book(self.url, id, organisation, actor)

    def publish_price_book(
        self, book: PriceBook, said: Mapping[str, Any], *, dry_run: bool, actor: str
    ) -> Publication:
        """Publish a version; see `price_writer.publish_price_book`."""
        return publish_price_book(self.url, book, said, dry_run=dry_run, actor=actor)

    def audit_entries(self, organisation: str, after: int) -> tuple[AuditEntry, ...]:
        """Entries of the audit an organisation may see; see `audit_reader.entries_of`.

        Raises:
            StoreError: the database is away, or cannot be read
        """
        try:
            return entries_of(self.url, organisation, after)
        except DBAPIError as fault:
            raise StoreError(f"the database cannot be read: {fault.orig}") from fault

    def close(self) -> None:
        """Let go of the connection."""
        self._engine.dispose()

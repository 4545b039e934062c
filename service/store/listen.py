"""Hears of a change the moment it is committed, over a connection that does nothing else.

Whoever also looks now and then loses nothing where this falls silent: a pooler that hands connections round takes a
LISTEN and delivers nothing, and a lost connection takes a while to be made again.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable

import psycopg
from psycopg import AsyncConnection

from service.store.database import CONNECTION
from service.store.patience import Patience

CHANNEL = "deck_framing_changes"
NAME = "deck-framing listener"
FIRST_WAIT_S, LONGEST_WAIT_S = 0.5, 30.0
# So long it may be silent before it is asked whether it is there, and so long it may take to say so.
SILENCE_S, PATIENCE_S = 60.0, 5.0
_log = logging.getLogger("deck_framing.store")


class Listener:
    """Calls a function at every change of the database; makes a lost connection again, later each time.

    Attributes:
        url: libpq URI of the server itself, with any role that may connect
    """

    def __init__(self, url: str, changed: Callable[[], None]) -> None:
        self.url = url
        self._changed = changed
        self._wait_s = FIRST_WAIT_S
        self._told = False

    async def run(self) -> None:
        """Listen until cancelled; the connection is closed then."""
        while True:
            try:
                await self._hear()
            except (psycopg.Error, OSError) as fault:
                self._tell_once(fault)
            await asyncio.sleep(self._wait_s)
            self._wait_s = min(2 * self._wait_s, LONGEST_WAIT_S)

    async def _hear(self) -> None:
        async with await AsyncConnection.connect(
            self.url, autocommit=True, application_name=NAME, **CONNECTION
        ) as connection:
            await _asked(connection, f"listen {CHANNEL}")
            self._wait_s, self._told = FIRST_WAIT_S, False
            # what was changed while nobody listened
            self._changed()
            while True:
                async for _ in connection.notifies(timeout=SILENCE_S):
                    self._changed()
                await _asked(connection, "select 1")

    def _tell_once(self, fault: Exception) -> None:
        if not self._told:
            # the text of other faults may hold the URL
            why = str(fault) if isinstance(fault, psycopg.OperationalError) else type(fault).__name__
            _log.warning("changes are looked for, not heard of, until there is a connection again: %s", why)
        self._told = True


async def _asked(connection: AsyncConnection, statement: str) -> None:
    """Run a statement, over a connection that is cut where it does not answer.

    A time limit around it would not do: on its end a driver first asks the server to stop, and waits for that.
    """
    patience = Patience(PATIENCE_S)
    patience.begin(connection.fileno())
    try:
        await connection.execute(statement)
    finally:
        patience.end()

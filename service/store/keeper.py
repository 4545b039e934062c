"""Keeps a server running: one that ends without having been asked to is started again on the same folders.

So is one that takes no connection for long: after a disk that was full while it recovered, it waits for a process of
its own that it never starts again.

The thread that starts it is the one that waits for its end, and ends after it: on Linux the server is told to stop
when that thread ends, which is then with the whole process and not before.
"""

from __future__ import annotations

import logging
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager

from service.store.errors import StoreError

Start = Callable[[], AbstractContextManager[subprocess.Popen[bytes]]]
Answers = Callable[[], bool]
LOOK_EVERY_S = 0.1
# One that has run for so long is started again at once; one that has not, later each time.
STEADY_S, FIRST_WAIT_S, LONGEST_WAIT_S = 30.0, 0.5, 30.0
# Longer than it takes to recover from anything our few tables can have left.
ASK_EVERY_S, STUCK_S = 10.0, 120.0
_log = logging.getLogger("deck_framing.store")


@contextmanager
def kept(start: Start, asked: threading.Event, answers: Answers) -> Iterator[subprocess.Popen[bytes]]:
    """A server that is started again whenever it ends, for as long as the block runs.

    Args:
        start: starts it once: a block in which it runs, and after which it is stopped
        asked: set when it is to stop, so that a start under way can be given up
        answers: whether it takes a connection

    Yields:
        Its first process.

    Raises:
        StoreError: it could not be started at first
    """
    keeper = _Keeper(start, asked, _Silence(answers, STUCK_S))
    keeper.start()
    try:
        yield keeper.first_process()
    finally:
        asked.set()
        keeper.join()


class _Silence:
    """How long a server has taken no connection; asked now and then."""

    def __init__(self, answers: Answers, stuck_s: float) -> None:
        self._answers, self._stuck_s = answers, stuck_s
        self.begin()

    def begin(self) -> None:
        """Begin anew with another server."""
        self._asked_at = self._answered_at = time.monotonic()

    def too_long(self) -> bool:
        """Whether it has taken none for so long that it never will."""
        if time.monotonic() - self._asked_at < min(ASK_EVERY_S, self._stuck_s / 2):
            return False
        if self._answers():
            self._answered_at = time.monotonic()
        self._asked_at = time.monotonic()
        return self._asked_at - self._answered_at > self._stuck_s


class _Keeper(threading.Thread):
    def __init__(self, start: Start, asked: threading.Event, silence: _Silence) -> None:
        super().__init__(name="keeper of PostgreSQL", daemon=True)
        self._start_once = start
        self._asked = asked
        self._silence = silence
        self._begun = threading.Event()
        self._first: subprocess.Popen[bytes] | None = None
        self._fault: BaseException | None = None

    def first_process(self) -> subprocess.Popen[bytes]:
        """Wait until it runs; what kept it from that is raised."""
        self._begun.wait()
        if self._first is None:
            raise self._fault or StoreError("PostgreSQL was asked to stop before it ran")
        return self._first

    def run(self) -> None:
        """Run it again and again until asked to stop."""
        wait_s = 0.0
        while not self._asked.wait(wait_s):
            began = time.monotonic()
            try:
                self._run_once()
            except Exception as fault:
                self._take_down(fault)
            steady = time.monotonic() - began > STEADY_S
            wait_s = FIRST_WAIT_S if steady else min(max(2 * wait_s, FIRST_WAIT_S), LONGEST_WAIT_S)
        self._begun.set()

    def _run_once(self) -> None:
        with self._start_once() as process:
            if self._first is None:
                self._first = process
                self._begun.set()
            else:
                _log.warning("PostgreSQL runs again, as process %d", process.pid)
            self._silence.begin()
            while process.poll() is None and not self._asked.wait(LOOK_EVERY_S):
                if self._silence.too_long():
                    _log.error("PostgreSQL takes no connection; it is stopped and started again")
                    return
            if process.returncode is not None and not self._asked.is_set():
                how = process.returncode
                _log.error("PostgreSQL ended without having been asked to (%d); it is started again", how)

    def _take_down(self, fault: Exception) -> None:
        if self._first is None:
            self._fault = fault
            self._asked.set()
        elif not self._asked.is_set():
            _log.error("PostgreSQL could not be started again, which is tried later: %s", fault)

"""One request while it is worked on: who asks, whether he is still there, how long its work may take.

It lies in a context variable, as the watches do: a handler and the thread it works in inherit it.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from service.choice.level.watch import Watch
from service.contract.problem import Rejected
from service.web.caller import NOBODY, Caller
from service.web.watched import watched_by

# Twice and more what the heaviest deck taken needs (four levels of 5,000 sq ft: 41 s measured on a busy machine).
WORK_SECONDS = 90.0
# Where others have the cores, work is waited for so much longer than it would take alone.
BUSY_FACTOR = 2.0


class GivenUp(Exception):
    """Nobody waits for the work any more."""


class Visit(Watch):
    """Ends the work of a request when nobody waits for it, or when it has taken too long.

    The limit is of processor time of the thread that works: what a deck needs does not depend on what else runs,
    so the same deck is refused again, and sending it again is of no use. Where the clock goes on and the processor
    is with others, the service is busy, and says so.

    Args:
        who: who is served in turn with others: an organisation; all callers without a secret key are one
        stranger: whether the caller has no secret key: anyone can be many of them
        seconds: processor seconds the work may take

    >>> visit = Visit(seconds=60.0)
    >>> visit.begin()
    >>> visit.go_on()
    >>> visit.leave()
    >>> visit.go_on()
    Traceback (most recent call last):
    service.web.visit.GivenUp
    """

    def __init__(self, who: str = "", *, stranger: bool = False, seconds: float = WORK_SECONDS) -> None:
        self.who = who
        self.stranger = stranger
        self.seconds = seconds
        self._left = False
        self._processor_until = self._clock_until = float("inf")

    def begin(self) -> None:
        """Begin to count; called in the thread that works."""
        self._processor_until = time.thread_time() + self.seconds
        self._clock_until = time.monotonic() + BUSY_FACTOR * self.seconds

    def leave(self) -> None:
        """Take note that nobody waits any more."""
        self._left = True

    def go_on(self) -> None:
        """Return if the work is still wanted.

        Raises:
            GivenUp: nobody waits
            Rejected: took_too_long, overloaded
        """
        if self._left:
            raise GivenUp
        if time.thread_time() > self._processor_until:
            raise Rejected("took_too_long", f"it was ended after {self.seconds:g} seconds of work")
        if time.monotonic() > self._clock_until:
            raise Rejected(
                "overloaded", "the machine is busy: the work was begun and could not be ended in time"
            )


_VISIT: ContextVar[Visit | None] = ContextVar("visit", default=None)


def visit_of(caller: Caller, seconds: float = WORK_SECONDS) -> Visit:
    """Return the visit of a caller.

    >>> visit_of(NOBODY).stranger, visit_of(Caller("tollgate")).who
    (True, 'tollgate')
    """
    stranger = caller is NOBODY or caller.publishable
    return Visit("" if stranger else caller.organisation, stranger=stranger, seconds=seconds)


@contextmanager
def visiting(visit: Visit) -> Iterator[None]:
    """Have a visit over all that is begun within the block; at its end nobody waits for that any more."""
    token = _VISIT.set(visit)
    try:
        with watched_by(visit):
            yield
    finally:
        visit.leave()
        _VISIT.reset(token)


def visit_here() -> Visit:
    """Return the visit something is begun in, one without a caller where there is none."""
    return _VISIT.get() or Visit()

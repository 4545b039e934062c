"""Watches of the designs a request asks for: set around the request, found where a design begins.

They lie in a context variable: a handler and the thread it works in inherit it, and handlers need not hand it on.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from service.choice.level.watch import UNWATCHED, Together, Watch

_WATCHES: ContextVar[tuple[Watch, ...]] = ContextVar("watches", default=())


@contextmanager
def watched_by(watch: Watch) -> Iterator[None]:
    """Have a watch over all designs begun within the block, beside those that are there already.

    >>> with watched_by(Watch()):
    ...     watch_here() is UNWATCHED
    False
    >>> watch_here() is UNWATCHED
    True
    """
    token = _WATCHES.set((*_WATCHES.get(), watch))
    try:
        yield
    finally:
        _WATCHES.reset(token)


def watch_here() -> Watch:
    """Return all watches over a design begun here, as one."""
    watches = _WATCHES.get()
    return Together(watches) if watches else UNWATCHED

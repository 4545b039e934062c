"""Bounded work: so many designs at a time beside the event loop, so many waiting, the rest refused at once."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TypeVar

from anyio import CapacityLimiter, to_thread

from service.contract.problem import Rejected

T = TypeVar("T")


class Gate:
    """Runs work in threads.

    Work is pure Python and holds the interpreter, so more threads would not make it faster; one keeps the
    event loop free to answer health checks and to refuse what is too much.
    """

    def __init__(self, threads: int = 1, waiting: int = 32) -> None:
        self.threads = threads
        self.most = threads + waiting
        self.inside = 0
        self._limiter: CapacityLimiter | None = None

    async def run(self, work: Callable[..., T], *arguments: object) -> T:
        """Return what the work returns, or refuse it as too much.

        Raises:
            Rejected: overloaded
        """
        if self.inside >= self.most:
            raise Rejected(
                "overloaded", f"{self.most} requests like it are being worked on or waiting already"
            )
        # made here and not at the start, since it belongs to the event loop it is first used in
        self._limiter = self._limiter or CapacityLimiter(self.threads)
        self.inside += 1
        try:
            return await to_thread.run_sync(partial(work, *arguments), limiter=self._limiter)
        finally:
            self.inside -= 1

"""Bounded work: so many designs at a time beside the event loop, so many waiting, the rest refused at once."""

from __future__ import annotations

import asyncio
from collections import OrderedDict, deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from typing import Any, TypeVar

from anyio import CapacityLimiter, to_thread

from service.contract.problem import Rejected
from service.web.visit import Visit, visit_here

T = TypeVar("T")
Turn = asyncio.Future[None]
# Clients and proxies wait for about a minute: who is not begun with after half of it is told to come again.
PATIENCE_S = 30.0
# Several times what a deck usually takes; the heaviest take ten times as long again.
LONG_S = 3.0


class Gate:
    """Runs work in threads.

    Work is pure Python and holds the interpreter, so more threads would not make it faster; one keeps the
    event loop free to answer health checks and to refuse what is too much. Beside work that goes on for long one
    more is let in, so that what takes a moment does not wait for it to end.

    Callers without a secret key hold half of the places at most. Those who wait are served in turn, one of each
    organisation and one of all others, so that nobody's many requests keep out another's one.

    Args:
        threads: how many work at a time
        waiting: how many may wait
        patience_s: seconds one waits before it is refused
        long_s: seconds after which work counts as long
    """

    def __init__(
        self,
        threads: int = 1,
        waiting: int = 32,
        patience_s: float = PATIENCE_S,
        long_s: float = LONG_S,
    ) -> None:
        self.threads = threads
        self.most = threads + waiting
        self.most_strangers = max(1, self.most // 2)
        self.patience_s = patience_s
        self.long_s = long_s
        self.inside = 0
        self.strangers = 0
        self._working = 0
        self._long: set[asyncio.Future[Any]] = set()
        self._queues: OrderedDict[str, deque[Turn]] = OrderedDict()

    @property
    def is_awaited(self) -> bool:
        """Whether someone waits for his turn."""
        return bool(self._queues)

    def check_room(self, visit: Visit) -> None:
        """Refuse what there is no place for now.

        Raises:
            Rejected: overloaded
        """
        if self.inside >= self.most:
            raise Rejected(
                "overloaded", f"{self.most} requests like it are being worked on or waiting already"
            )
        if visit.stranger and self.strangers >= self.most_strangers:
            detail = f"{self.most_strangers} requests like it without a secret key are worked on or waiting"
            raise Rejected("overloaded", detail)

    async def run(self, work: Callable[..., T], *arguments: object) -> T:
        """Return what the work returns, or refuse it as too much.

        Raises:
            Rejected: overloaded; what the visit ends it with, see `Visit.go_on`
        """
        visit = visit_here()
        with self._place(visit):
            await self._turn(visit.who)
            # a task of its own: where nobody waits for it any more, the thread is still busy until it asks
            job = asyncio.ensure_future(_in_thread(partial(_begun, visit, work, *arguments)))
            self._follow(job)
            return await asyncio.shield(job)

    @contextmanager
    def _place(self, visit: Visit) -> Iterator[None]:
        self.check_room(visit)
        self.inside += 1
        self.strangers += visit.stranger
        try:
            yield
        finally:
            self.inside -= 1
            self.strangers -= visit.stranger

    async def _turn(self, who: str) -> None:
        if self._is_free:
            self._working += 1
            return
        turn: Turn = asyncio.get_running_loop().create_future()
        self._queues.setdefault(who, deque()).append(turn)
        try:
            async with asyncio.timeout(self.patience_s):
                await turn
        except TimeoutError:
            self._give_up(who, turn)
            detail = f"it waited {self.patience_s:g} seconds and was not begun: others are worked on"
            raise Rejected("overloaded", detail) from None
        except asyncio.CancelledError:
            self._give_up(who, turn)
            raise

    def _give_up(self, who: str, turn: Turn) -> None:
        if turn.done() and not turn.cancelled():
            self._working -= 1
            self._pass_on()
            return
        with suppress(KeyError, ValueError):
            self._queues[who].remove(turn)
            self._drop_empty(who)

    @property
    def _is_free(self) -> bool:
        return self._working < self.threads + bool(self._long)

    def _follow(self, job: asyncio.Future[Any]) -> None:
        """Let another one in when work has gone on for long, and when it has ended."""

        def grown_long() -> None:
            self._long.add(job)
            self._pass_on()

        def ended(_: object) -> None:
            if not job.cancelled():
                job.exception()  # looked at here, since nobody may wait for it any more
            growing.cancel()
            self._long.discard(job)
            self._working -= 1
            self._pass_on()

        growing = asyncio.get_running_loop().call_later(self.long_s, grown_long)
        job.add_done_callback(ended)

    def _pass_on(self) -> None:
        """Let those in whose turn it is, while there is a thread free for them."""
        while self._queues and self._is_free:
            who, queue = next(iter(self._queues.items()))
            turn = queue.popleft()
            self._queues.move_to_end(who)
            self._drop_empty(who)
            if not turn.done():
                self._working += 1
                turn.set_result(None)

    def _drop_empty(self, who: str) -> None:
        if not self._queues[who]:
            del self._queues[who]


async def _in_thread(work: Callable[[], T]) -> T:
    # not of those threads the rest of the service shares: how many work is counted here
    return await to_thread.run_sync(work, limiter=CapacityLimiter(1))


def _begun(visit: Visit, work: Callable[..., T], *arguments: object) -> T:
    visit.begin()
    return work(*arguments)

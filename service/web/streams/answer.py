"""An NDJSON answer: lines are worked some way ahead of the one being sent, and sent in order."""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import AsyncGenerator, AsyncIterator, Coroutine
from contextlib import aclosing, asynccontextmanager
from typing import IO, Any

import msgspec
from anyio import to_thread

from service.contract.stream import StreamEnd
from service.web.asgi import Receive, Send
from service.web.desk import Desk
from service.web.problem_answer import refusal_of
from service.web.seen.request import note_worked
from service.web.streams.lines import LineReader
from service.web.streams.messages import Call, Task, Worked
from service.web.streams.pool import Pool

# Tasks of about so long keep a process busy without keeping other calls, or the end of a cut-off one, waiting.
TASK_S = 0.25
MOST_TASK_LINES = 1024
# So many tasks a process are read ahead: enough that none waits for work, few enough to hold in memory.
AHEAD = 4
# A reader that takes nothing for so long is cut off, since it keeps a place from others; it resumes with first_line.
READER_PATIENCE_S = 120.0


class Answering:
    """One answer in the making.

    Args:
        file: the body, at its start
        first_line: number of the first line to be answered
        call: what is the same for every line
        desk: what lines are answered from
        pool: works them
    """

    def __init__(self, file: IO[bytes], first_line: int, call: Call, desk: Desk, pool: Pool) -> None:
        self._lines = LineReader(file, first_line)
        self.call = call
        self._desk = desk
        self._pool = pool
        self._size = 1
        self._results = 0
        self._problems = 0

    async def parts(self) -> AsyncGenerator[bytes, None]:
        """Yield the answer lines, some at a time."""
        async with _tasks() as ahead:
            while await self._read_ahead(ahead) or ahead:
                worked, count = await ahead[0]
                ahead.popleft()
                self._counted(worked, count)
                yield worked.body

    async def _read_ahead(self, ahead: deque[asyncio.Task[tuple[Worked, int]]]) -> bool:
        """Have as much worked as may be held; return whether more lines may follow."""
        while not self._lines.ended and len(ahead) < AHEAD * self._pool.size:
            lines = await to_thread.run_sync(self._lines.chunk, self._size)
            if lines:
                task = Task(call=self.call, lines=lines)
                ahead.append(asyncio.ensure_future(self._worked(task)))
        return bool(ahead)

    async def _worked(self, task: Task) -> tuple[Worked, int]:
        return await self._pool.work(task, self._desk), len(task.lines)

    def _counted(self, worked: Worked, count: int) -> None:
        self._results += worked.results
        self._problems += worked.problems
        note_worked(worked.tally)
        fitting = int(TASK_S * count / max(worked.seconds, 1e-6))
        self._size = max(1, min(fitting, 2 * self._size, MOST_TASK_LINES))

    def end(self) -> bytes:
        """Return the last line of the answer, when every other one has been yielded."""
        end = StreamEnd(lines=self._lines.count, results=self._results, problems=self._problems)
        return msgspec.json.encode(end) + b"\n"


@asynccontextmanager
async def _tasks() -> AsyncIterator[deque[asyncio.Task[tuple[Worked, int]]]]:
    """Hold tasks that are given up when the block is left with some of them undone."""
    tasks: deque[asyncio.Task[tuple[Worked, int]]] = deque()
    try:
        yield tasks
    finally:
        for one in tasks:
            one.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)


async def send_lines(answering: Answering, headers: list[tuple[bytes, bytes]], send: Send) -> bool:
    """Send an answer but for its end, and return whether that is to follow.

    A slow reader is waited for before more is worked.

    Raises:
        PoolFailed: nothing can be answered, and nothing has been sent
    """
    async with aclosing(answering.parts()) as parts:
        first = await anext(parts, b"")
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        try:
            await _send_part(first, send)
            async for part in parts:
                await _send_part(part, send)
        except Exception as failure:  # left without an end the answer is cut off, which the client can tell
            refusal_of(failure, answering.call.request_id)
            return False
    return True


async def send_end(answering: Answering, send: Send) -> None:
    """Send the end of an answer: the client knows by it that all is over, so nothing may be held for it any more."""
    await send({"type": "http.response.body", "body": answering.end(), "more_body": False})


async def _send_part(part: bytes, send: Send) -> None:
    async with asyncio.timeout(READER_PATIENCE_S):
        await send({"type": "http.response.body", "body": part, "more_body": True})


async def while_connected(receive: Receive, work: Coroutine[Any, Any, bool]) -> bool:
    """Do work for as long as the client is there; return what the work does, False when it was cut off."""
    working, leaving = asyncio.ensure_future(work), asyncio.ensure_future(_gone(receive))
    try:
        await asyncio.wait((working, leaving), return_when=asyncio.FIRST_COMPLETED)
    finally:
        leaving.cancel()
        if not working.done():
            working.cancel()
        await asyncio.gather(working, leaving, return_exceptions=True)
    return not working.cancelled() and working.result()


async def _gone(receive: Receive) -> None:
    while (await receive())["type"] != "http.disconnect":
        pass

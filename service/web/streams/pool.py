"""The processes that work lines of NDJSON calls, so that a core is left for interactive calls.

Each is a program of its own at the other end of a socket, which it reads from all the time: when the server is
gone, by whatever end, the socket closes and so does the process. They start with the first call.
"""

from __future__ import annotations

import asyncio
import logging
import socket
import subprocess
import sys
from collections import deque
from contextlib import suppress
from itertools import chain, repeat

import msgspec
from anyio import to_thread

from service.contract.problem import Rejected
from service.web import logs
from service.web.desk import Desk
from service.web.seen.tally import Tally, joined
from service.web.streams.messages import DESK, HEADER, TASK, Task, Worked, desk_dumped, frame
from service.web.streams.problem_lines import problem_line

# A line that takes longer is given up with its process, as one that may never end.
LINE_PATIENCE_S = 120.0
START_PATIENCE_S = 60.0
# Tasks a process holds: while it works one the next is there, so it does not wait for a busy server.
QUEUED = 2
START_TRIES = 3
_START = (
    "import sys; style, sys.path[:] = sys.argv[1], sys.argv[2:]; "
    "from service.web.streams.worker import main; main(style)"
)
_log = logging.getLogger("deck_framing.web")


class PoolFailed(Exception):
    """No process of the pool can be started, so that a call cannot go on."""


class ProcessEnded(Exception):
    """A process ended over a message, or took too long."""


class NotBegun(Exception):
    """A process ended before it came to a message: nothing speaks against working it elsewhere."""


Waiting = asyncio.Future[bytes]


class Process:
    """One running process. It answers messages in their order, so the next can be sent before the last is answered."""

    def __init__(
        self, process: subprocess.Popen[bytes], reader: asyncio.StreamReader, writer: asyncio.StreamWriter
    ) -> None:
        self.process = process
        self.desk = b""
        self.ended = False
        self._writer = writer
        self._waiting: deque[Waiting] = deque()
        self._reading = asyncio.ensure_future(self._read(reader))

    def send(self, kind: bytes, content: bytes) -> Waiting:
        """Send a message and return where its answer will be.

        Raises:
            NotBegun: the process has ended
        """
        if self.ended:
            raise NotBegun
        answer: Waiting = asyncio.get_running_loop().create_future()
        self._waiting.append(answer)
        self._writer.write(frame(kind, content))
        return answer

    async def answer(self, waiting: Waiting, patience_s: float) -> bytes:
        """Return the answer to a message.

        Raises:
            ProcessEnded: the process ended over it
            NotBegun: the process ended over an earlier message
        """
        try:
            # shielded, since answers come in order and each has to find its own
            return await asyncio.wait_for(asyncio.shield(waiting), patience_s)
        except TimeoutError:
            self.end()
            return await waiting

    async def _read(self, reader: asyncio.StreamReader) -> None:
        with suppress(OSError, EOFError):
            while True:
                _, size = HEADER.unpack(await reader.readexactly(HEADER.size))
                content = await reader.readexactly(size)
                self._waiting.popleft().set_result(content)
        self.end()

    def end(self) -> None:
        """End the process, whatever it does; the first message that is not answered is what it ended over."""
        self.ended = True
        self.process.kill()
        self.process.wait()
        with suppress(RuntimeError):  # the event loop it belongs to may be closed
            self._writer.close()
            self._reading.cancel()
            self._fail_waiting()

    def _fail_waiting(self) -> None:
        failures = chain((ProcessEnded(),), repeat(NotBegun()))
        for answer, failure in zip(self._waiting, failures, strict=False):
            answer.set_exception(failure)
            answer.exception()  # looked at here, since nobody may wait for it any more
        self._waiting.clear()


async def _started() -> Process:
    ours, theirs = socket.socketpair()
    with theirs:
        process = await to_thread.run_sync(_spawned, theirs)
    ours.setblocking(False)
    return Process(process, *await asyncio.open_unix_connection(sock=ours))


def _spawned(connection: socket.socket) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-c", _START, logs.style(), *sys.path]
    return subprocess.Popen(command, stdin=connection.fileno())  # noqa: S603 - our own program, no shell


class _Place:
    """One place in the pool: a process that is started when there is work, and again when it has ended."""

    def __init__(self) -> None:
        self.running: Process | None = None
        self._getting_ready = asyncio.Lock()

    async def work(self, task: bytes, desk: bytes, patience_s: float) -> bytes:
        """Return what a task comes to.

        Raises:
            ProcessEnded: the process ended over it
            PoolFailed: no process can be started
        """
        while True:
            with suppress(NotBegun):
                # one after another, so that no other desk comes between
                async with self._getting_ready:
                    ready = await self._ready(desk)
                    waiting = ready.send(TASK, task)
                return await ready.answer(waiting, patience_s)

    async def _ready(self, desk: bytes) -> Process:
        for _ in range(START_TRIES):
            if self.running is None or self.running.ended:
                self.running = await _started()
            if self.running.desk is desk:
                return self.running
            with suppress(ProcessEnded):
                await self.running.answer(self.running.send(DESK, desk), START_PATIENCE_S)
                self.running.desk = desk
                return self.running
        raise PoolFailed(f"a process for batches ended {START_TRIES} times before it was ready")

    def close(self) -> None:
        if self.running is not None and not self.running.ended:
            self.running.end()


class Pool:
    """Works tasks in `size` processes, first come, first served."""

    def __init__(self, size: int) -> None:
        self.size = size
        self._places: list[_Place] = []
        self._free: asyncio.Queue[_Place] = asyncio.Queue()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._dumped: list[tuple[Desk, asyncio.Future[bytes]]] = []
        self._working: set[Waiting] = set()

    def process_ids(self) -> list[int]:
        """Return the ids of the processes that run."""
        running = (place.running for place in self._places)
        return [one.process.pid for one in running if one is not None and not one.ended]

    async def work(self, task: Task, desk: Desk) -> Worked:
        """Return the answer lines of a task.

        When the process ends over it, its lines are worked again, each alone, since they depend on nothing
        else. One that ends its process twice alone becomes a problem.

        Raises:
            PoolFailed: no process can be started
        """
        self._begin()
        if len(task.lines) > 1:
            worked = await self._once(task, desk)
            if worked is not None:
                return worked
        alone = [Task(call=task.call, lines=[line]) for line in task.lines]
        return _joined([await self._alone(one, desk) for one in alone])

    async def _alone(self, task: Task, desk: Desk) -> Worked:
        for _ in range(2):
            worked = await self._once(task, desk)
            if worked is not None:
                return worked
        line, call = task.lines[0], task.call
        _log.error("request %s: line %d ended its process twice", call.request_id, line.number)
        refused = Rejected("internal", "the service failed over this line twice; give the request_id")
        body = msgspec.json.encode(problem_line(line, call, refused)) + b"\n"
        return Worked(body=body, results=0, problems=1, seconds=0.0, tally=Tally(problems={refused.code: 1}))

    async def _once(self, task: Task, desk: Desk) -> Worked | None:
        dumped = await self._desk(desk)
        place = await self._free.get()
        patience_s = QUEUED * LINE_PATIENCE_S * len(task.lines)
        working = asyncio.ensure_future(self._in(place, msgspec.msgpack.encode(task), dumped, patience_s))
        self._working.add(working)
        working.add_done_callback(self._over)
        # A call may end before its task: the process goes on to its end, and only then takes another.
        try:
            return msgspec.msgpack.decode(await asyncio.shield(working), type=Worked)
        except ProcessEnded:
            return None

    async def _in(self, place: _Place, task: bytes, desk: bytes, patience_s: float) -> bytes:
        try:
            return await place.work(task, desk, patience_s)
        finally:
            self._free.put_nowait(place)

    def _over(self, working: Waiting) -> None:
        self._working.discard(working)
        # a failure nobody waits for any more is looked at, or it would be reported as overlooked
        if not working.cancelled():
            working.exception()

    async def _desk(self, desk: Desk) -> bytes:
        """What the processes get of a desk, made once; while a newer one comes in, calls may use either."""
        for known, dumping in self._dumped:
            if known is desk:
                return await asyncio.shield(dumping)
        new = asyncio.ensure_future(to_thread.run_sync(desk_dumped, desk))
        self._dumped = [(desk, new), *self._dumped[:1]]
        return await asyncio.shield(new)

    def _begin(self) -> None:
        """Belong to the event loop that runs: places and what waits for them are of one loop."""
        if self._loop is asyncio.get_running_loop():
            return
        self.close()
        self._loop = asyncio.get_running_loop()
        self._dumped, self._free = [], asyncio.Queue()
        self._places = [_Place() for _ in range(self.size)]
        for place in QUEUED * self._places:
            self._free.put_nowait(place)

    def close(self) -> None:
        """End every process. What is being worked is cut off."""
        for one in self._working:
            one.cancel()
        for place in self._places:
            place.close()


def _joined(parts: list[Worked]) -> Worked:
    return Worked(
        body=b"".join(one.body for one in parts),
        results=sum(one.results for one in parts),
        problems=sum(one.problems for one in parts),
        seconds=sum(one.seconds for one in parts),
        tally=joined(one.tally for one in parts),
    )

"""A process of the pool: gets a desk, then works tasks in the order they come, until the server is gone."""

from __future__ import annotations

import os
import signal
import socket
import threading
from collections.abc import Iterator
from queue import SimpleQueue
from typing import IO

import msgspec

from service.web.desk import Desk
from service.web.logs import set_up_like
from service.web.settling import settle
from service.web.streams.messages import DESK, HEADER, READY, WORKED, Task, desk_loaded, frame
from service.web.streams.work import work_task

# Interactive calls are answered by other processes, which are to have the cores first.
NICENESS = 5

Frame = tuple[bytes, bytes]


def main(log_style: str) -> None:
    """Serve on the socket that standard input is, and log in the style of the server."""
    set_up_like(log_style)
    # Ctrl-C and a service manager signal the whole group; the server says when this process is no longer needed.
    for one in (signal.SIGINT, signal.SIGTERM):
        signal.signal(one, signal.SIG_IGN)
    os.nice(NICENESS)
    connection = socket.socket(fileno=0)
    waiting: SimpleQueue[Frame] = SimpleQueue()
    threading.Thread(target=_listen, args=(connection.makefile("rb"), waiting), daemon=True).start()
    for answer in _answers(waiting):
        connection.sendall(answer)


def _listen(stream: IO[bytes], waiting: SimpleQueue[Frame]) -> None:
    """Take frames in; at the end of them the process ends at once, even in the middle of a line."""
    try:
        while len(header := stream.read(HEADER.size)) == HEADER.size:
            kind, size = HEADER.unpack(header)
            waiting.put((kind, stream.read(size)))
    finally:
        os._exit(0)


def _answers(waiting: SimpleQueue[Frame]) -> Iterator[bytes]:
    desk: Desk | None = None
    while True:
        kind, content = waiting.get()
        if kind == DESK:
            desk = None
            desk = _kept(content)
            yield frame(READY)
        elif desk is not None:
            worked = work_task(msgspec.msgpack.decode(content, type=Task), desk)
            yield frame(WORKED, msgspec.msgpack.encode(worked))


def _kept(content: bytes) -> Desk:
    desk = desk_loaded(content)
    settle()
    return desk

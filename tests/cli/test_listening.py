"""Where the service listens: a connection whose other side takes nothing is ended, though it is there and stays."""

from __future__ import annotations

import os
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import httpx
import psutil
import uvicorn

from service.cli.listening import listening
from service.web.asgi import Receive, Scope, Send
from tests.waiting import until

# more than the buffers of both sides take
ANSWER = b"x" * (64 << 20)


async def app(scope: Scope, receive: Receive, send: Send) -> None:
    assert scope["type"] == "http"
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": ANSWER})


@contextmanager
def serving(reader_gone_s: int) -> Iterator[int]:
    config = uvicorn.Config(app, host="127.0.0.1", port=0, lifespan="off", log_level="error", http="h11")
    bound = listening(config, reader_gone_s)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [bound]}, daemon=True)
    port = bound.getsockname()[1]
    thread.start()
    until(lambda: server.started)
    try:
        yield port
    finally:
        server.force_exit = server.should_exit = True
        thread.join(30)


@contextmanager
def stuck_reader(port: int) -> Iterator[None]:
    """Asks, takes the head and nothing more."""
    with socket.create_connection(("127.0.0.1", port)) as connection:
        connection.sendall(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
        assert connection.recv(4) == b"HTTP"
        yield


def held_by_the_server(port: int) -> bool:
    """Whether this process has a connection at the port that is not ended."""
    found = psutil.Process(os.getpid()).net_connections("tcp")
    return any(
        one.laddr.port == port and one.raddr and one.status == psutil.CONN_ESTABLISHED for one in found
    )


def test_who_takes_nothing_is_ended_and_who_reads_slowly_is_not() -> None:
    with serving(reader_gone_s=2) as port:
        with stuck_reader(port):
            assert held_by_the_server(port)
            until(lambda: not held_by_the_server(port))
        with httpx.stream("GET", f"http://127.0.0.1:{port}/", trust_env=False, timeout=60) as answer:
            got = 0
            for part in answer.iter_raw(16 << 20):
                got += len(part)
                time.sleep(0.8)
        assert got == len(ANSWER)


def test_without_the_limit_it_is_held() -> None:
    """What the limit is for, and that the test above sees it."""
    with serving(reader_gone_s=600) as port, stuck_reader(port):
        time.sleep(5)
        assert held_by_the_server(port)

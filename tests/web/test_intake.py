"""How requests come in and answers go out: a real server, and clients that do not behave."""

from __future__ import annotations

import asyncio
import json
import re
import socket
import time
from collections import deque
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from functools import cache
from typing import Any

import httpx
import pytest
from heavy_decks import LARGEST
from layers import layer

from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.settings import Settings
from service.web.arriving import Arriving
from service.web.caller import NOBODY
from service.web.desk import Desk
from service.web.door import door_of
from service.web.gate import Gate
from service.web.held import Held
from service.web.intake import Intake, Limits
from service.web.keys import CALLER, DESK
from service.web.outgoing import PART_BYTES, PARTS, Parts
from tests.waiting import until

DESIGNS = "/v1/designs"
SMALL = {
    "jurisdiction": "alder-county",
    "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}],
}


class Service:
    """A service on a port of its own, and what it holds."""

    def __init__(self, address: str, desk: Desk, limits: Limits) -> None:
        self.address = address
        self.gate: Gate = desk.gate
        self.held: Held = limits.held

    def connected(self) -> closing[socket.socket]:
        host, _, port = self.address.removeprefix("http://").partition(":")
        return closing(socket.create_connection((host, int(port)), timeout=60))


@cache
def _desk() -> Desk:
    return make_desk(bundled_snapshot())


@contextmanager
def service(**changes: Any) -> Iterator[Service]:
    settings = Settings(**{name: changes.pop(name) for name in list(changes) if hasattr(Settings, name)})
    desk = replace(_desk(), gate=Gate())
    app: Any = make_app(desk, settings, door=changes.pop("door", None))
    limits: Limits = layer(app, Intake).limits
    for name, value in changes.items():
        setattr(limits, name, value)
    with served(app) as address:
        yield Service(address, desk, limits)


def head(**headers: object) -> bytes:
    """A POST up to its body."""
    given = {"Host": "127.0.0.1", "Content-Type": "application/json", **headers}
    lines = [f"{name.replace('_', '-')}: {value}" for name, value in given.items()]
    return "\r\n".join([f"POST {DESIGNS} HTTP/1.1", *lines, "", ""]).encode()


def read_to_end(connection: socket.socket) -> bytes:
    parts = []
    while part := connection.recv(65536):
        parts.append(part)
    return b"".join(parts)


def problem(answer: bytes) -> tuple[int, str]:
    """Status and code of a whole answer that is a problem."""
    top, _, body = answer.partition(b"\r\n\r\n")
    assert b"application/problem+json" in top, answer
    told = json.loads(body)
    assert int(top.split()[1]) == told["status"]
    assert re.search(rb"(?im)^retry-after: \d+\r?$", top) or told["status"] != 503
    return told["status"], told["code"]


def test_a_body_that_does_not_come_is_answered_408_and_its_connection_closed() -> None:
    with service(body_patience_s=0.3) as asked, asked.connected() as connection:
        connection.sendall(head(Content_Length=500) + b'{"levels"')
        assert problem(read_to_end(connection)) == (408, "request_timeout")
        until(lambda: (asked.held.bodies, asked.held.size_bytes) == (0, 0))


def test_a_body_that_comes_byte_by_byte_is_not_waited_for_longer() -> None:
    with service(body_patience_s=0.5) as asked, asked.connected() as connection:
        connection.sendall(head(Transfer_Encoding="chunked"))
        connection.setblocking(False)
        answer, end = b"", time.monotonic() + 60
        while b"problem" not in answer and time.monotonic() < end:
            with_byte = b"1\r\n \r\n"
            try:
                connection.send(with_byte)
                answer += connection.recv(65536)
            except BlockingIOError:
                time.sleep(0.02)
        connection.settimeout(60)
        assert problem(answer + read_to_end(connection)) == (408, "request_timeout")


def test_a_chunked_body_is_refused_as_soon_as_it_is_too_large() -> None:
    with service() as asked, asked.connected() as connection:
        connection.sendall(head(Transfer_Encoding="chunked"))
        block = b"10000\r\n" + b" " * 65536 + b"\r\n"
        for _ in range(5):
            connection.sendall(block)
        assert problem(read_to_end(connection)) == (413, "too_large")


def test_a_client_that_waits_to_be_asked_for_a_body_too_large_is_not_asked() -> None:
    with service() as asked, asked.connected() as connection:
        connection.sendall(head(Content_Length=1_000_000, Expect="100-continue"))
        answer = read_to_end(connection)
        assert not answer.startswith(b"HTTP/1.1 100")
        assert problem(answer) == (413, "too_large")


def test_who_sends_all_of_a_body_too_large_reads_the_answer_all_the_same() -> None:
    """A connection closed over bytes nobody read is reset, and the answer lost with it."""
    with service() as asked:
        answer = httpx.post(asked.address + DESIGNS, content=b" " * 900_000, trust_env=False, timeout=60)
        assert (answer.status_code, answer.json()["code"]) == (413, "too_large")


def test_where_designs_are_full_a_request_is_refused_before_its_body_is_read() -> None:
    with service() as asked, asked.connected() as connection:
        asked.gate.inside = asked.gate.most
        connection.sendall(head(Content_Length=1000, Expect="100-continue"))
        answer = read_to_end(connection)
        assert not answer.startswith(b"HTTP/1.1 100")
        assert problem(answer) == (503, "overloaded")
        assert httpx.get(asked.address + "/health/live", trust_env=False).status_code == 200


@pytest.mark.parametrize("held", [Held(most_bytes=100), Held(most_bodies=1)], ids=["bytes", "bodies"])
def test_no_more_bodies_are_held_than_may_be(held: Held) -> None:
    """Half of either is for callers with a secret key; this one has none."""
    with service(held=held) as asked, asked.connected() as connection:
        connection.sendall(head(Content_Length=60) + b" " * 60)
        assert problem(connection.recv(65536)) == (503, "overloaded")
        until(lambda: (held.bodies, held.size_bytes) == (0, 0))


def test_a_client_that_goes_ends_its_design() -> None:
    with service() as asked:
        with asked.connected() as connection:
            body = json.dumps(LARGEST).encode()
            connection.sendall(head(Content_Length=len(body)) + body)
            until(lambda: asked.gate._working == 1)
        until(lambda: (asked.gate._working, asked.gate.inside, asked.held.size_bytes) == (0, 0, 0))


def test_a_client_that_goes_over_its_body_is_no_failure(caplog: pytest.LogCaptureFixture) -> None:
    with service() as asked:
        with asked.connected() as connection:
            connection.sendall(head(Content_Length=500) + b"{")
            until(lambda: asked.held.bodies == 1)
        until(lambda: asked.held.bodies == 0)
    assert caplog.records == []


def test_a_deck_that_takes_too_long_is_told_so_and_the_next_is_answered(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("service.web.visit.BUSY_FACTOR", 1e6)
    with service(work_seconds=1) as asked:
        answer = httpx.post(asked.address + DESIGNS, json=LARGEST, trust_env=False, timeout=300)
        assert (answer.status_code, answer.json()["code"]) == (422, "took_too_long")
        assert "1 seconds of work" in answer.json()["detail"]
        assert "retry-after" not in answer.headers
        assert asked.gate.inside == 0
        small = httpx.post(asked.address + "/v1/stair-layouts", json={}, trust_env=False, timeout=60)
        assert small.json()["code"] == "invalid_spec"


class Reader:
    """The client's side of an answer, which may stop taking."""

    def __init__(self, takes: int) -> None:
        self.takes = takes
        self.sent: list[dict[str, Any]] = []
        self.given_up = asyncio.Event()

    def parts(self, patience_s: float, **headers: str) -> Parts:
        """What sends to it, for a request with some headers whose body never comes."""
        named = [(name.replace("_", "-").encode(), value.encode()) for name, value in headers.items()]
        parts = Parts(self.send, Arriving({"headers": named}, asyncio.Event().wait))
        parts.bound(patience_s, self.given_up.set)
        return parts

    async def send(self, message: Any) -> None:
        if len(self.sent) == self.takes:
            await asyncio.Event().wait()
        self.sent.append(dict(message))


START = {"type": "http.response.start", "status": 200, "headers": []}


@pytest.mark.parametrize("length", [0, 1, PART_BYTES, PART_BYTES + 1, 3 * PART_BYTES])
def test_an_answer_goes_out_whole_in_parts(length: int) -> None:
    async def main() -> None:
        reader, body = Reader(99), bytes(range(256)) * (length // 256 + 1)
        parts = reader.parts(60)
        await parts(START)
        await parts({"type": "http.response.body", "body": body[:length]})
        sent = reader.sent[1:]
        assert b"".join(one["body"] for one in sent) == body[:length]
        assert [one["more_body"] for one in sent] == [True] * (len(sent) - 1) + [False]
        assert max(len(one["body"]) for one in sent) <= PART_BYTES
        assert reader.sent[0]["headers"] == []

    asyncio.run(main())


def test_a_reader_that_takes_nothing_is_given_up() -> None:
    async def main() -> None:
        reader = Reader(2)
        parts = reader.parts(0.05)
        await parts(START)
        sending = asyncio.ensure_future(parts({"type": "http.response.body", "body": bytes(3 * PART_BYTES)}))
        async with asyncio.timeout(60):
            await reader.given_up.wait()
        assert not sending.done()
        sending.cancel()

    asyncio.run(main())


@pytest.mark.parametrize(
    ("headers", "closes"),
    [
        ({}, False),
        ({"content_length": "0"}, False),
        ({"content_length": "9", "expect": "100-continue"}, True),
        ({"transfer_encoding": "chunked", "expect": "100-continue"}, True),
    ],
)
def test_a_connection_ends_where_the_rest_of_a_body_may_follow(headers: dict[str, str], closes: bool) -> None:
    async def main() -> None:
        reader = Reader(99)
        parts = reader.parts(60, **headers)
        await parts(START)
        await parts({"type": "http.response.body", "body": b"x"})
        assert (reader.sent[0]["headers"] == [(b"connection", b"close")]) == closes
        assert [one["more_body"] for one in reader.sent[1:]] == ([True, False] if closes else [False])

    asyncio.run(main())


def send_single_bytes(connection: socket.socket, chunks: int) -> None:
    for _ in range(0, chunks, 10_000):
        connection.sendall(b"1\r\na\r\n" * 10_000)


REFUSED = (
    ("POST", "/v1/designs", "evil.example", 421),
    ("POST", "/v1/nothing", "127.0.0.1", 404),
    ("PUT", "/v1/designs", "127.0.0.1", 405),
    ("OPTIONS", "/v1/designs", "127.0.0.1", 204),
)


@pytest.mark.parametrize(("method", "path", "host", "status"), REFUSED)
def test_an_endless_body_of_a_request_refused_at_once_is_not_read_for_ever(
    method: str, path: str, host: str, status: int
) -> None:
    """The server would read on, a byte a chunk, and answer nobody else."""
    with service(door=door_of("127.0.0.1")) as asked, asked.connected() as connection:
        head = f"{method} {path} HTTP/1.1\r\nHost: {host}\r\nTransfer-Encoding: chunked\r\n\r\n"
        connection.sendall(head.encode())
        assert connection.recv(12) == f"HTTP/1.1 {status}".encode()
        with pytest.raises(ConnectionError):
            send_single_bytes(connection, chunks=4_000_000)
        assert httpx.get(asked.address + "/health/live", trust_env=False).status_code == 200


def test_two_lengths_of_one_body_end_the_connection() -> None:
    with service() as asked, asked.connected() as connection:
        connection.sendall(
            b"POST /v1/designs HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 3\r\n"
            b"Transfer-Encoding: chunked\r\n\r\n0\r\n\r\n"
        )
        assert b"connection: close" in read_to_end(connection).lower()


def test_a_client_leaves_a_process_in_which_others_wait() -> None:
    async def answer(_: Any, receive: Any, send: Any) -> None:
        await receive()
        await send(START)

    async def main() -> None:
        reader, desk = Reader(99), replace(_desk(), gate=Gate())
        scope = {"type": "http", "path": "/v1/designs", "headers": [], DESK: desk, CALLER: NOBODY}
        scope[PARTS] = reader.parts(60)
        desk.gate._queues["a"] = deque([asyncio.get_running_loop().create_future()])
        for shared in (True, False):
            await Intake(answer, (), Limits(), shared=shared)(scope, _whole, reader.send)
        assert [one["headers"] for one in reader.sent] == [[(b"connection", b"close")], []]

    asyncio.run(main())


async def _whole() -> dict[str, Any]:
    return {"type": "http.request", "body": b"", "more_body": False}


def test_more_header_lines_than_are_read_are_refused() -> None:
    with service() as asked:
        for extra in ({"X-Long": "a" * 70_000}, {f"X-{number}": "a" for number in range(300)}):
            answer = httpx.get(asked.address + "/health/live", headers=extra, trust_env=False)
            assert (answer.status_code, answer.json()["code"]) == (431, "head_too_large")


def test_the_head_of_a_request_is_bounded() -> None:
    """A head that never ends would be kept whole by the server; this one is refused, and the connection closed."""
    with service() as asked, asked.connected() as connection:
        connection.sendall(b"GET /health/live HTTP/1.1\r\nHost: 127.0.0.1\r\n")
        sent, answer = 0, b""
        try:
            while sent < 1_000_000:
                connection.sendall(b"x-long: " + b"a" * 8_000 + b"\r\n")
                sent += 8_000
            answer = read_to_end(connection)
        except ConnectionError:
            answer = b"closed"
        assert sent < 1_000_000 or answer.startswith(b"HTTP/1.1 400") or answer == b"closed"
        assert httpx.get(asked.address + "/health/live", trust_env=False).status_code == 200

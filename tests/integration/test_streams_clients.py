"""NDJSON calls over real HTTP: however a client sends and reads, and however the call ends."""

from __future__ import annotations

import json
import socket
import threading
import zlib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.settings import Settings
from service.store.reader import load_snapshot
from tests.ndjson import (
    DESIGNS,
    NDJSON,
    REPRICINGS,
    answered,
    body,
    children,
    chunks,
    connected,
    head,
    post,
    quote,
    resumed,
    spec,
    spool_files,
    spool_folder,
    until,
)

__all__ = ["spool_folder"]
MANY = body(*(quote(number) for number in range(1, 601)))
# larger than what the sockets between client and server hold
LARGE = b"\n".join(json.dumps(quote(number)).encode() + b" " * 100_000 for number in range(1, 101)) + b"\n"


@pytest.fixture(scope="module")
def address(service_url: str) -> Iterator[str]:
    settings = Settings(batch_workers=1, batch_calls=4)
    with served(make_app(make_desk(load_snapshot(service_url)), settings)) as found:
        yield found


def test_stream_client_that_sends_all_before_it_reads(address: str) -> None:
    connection = HTTPConnection(address.removeprefix("http://"), timeout=60)
    connection.request("POST", REPRICINGS, LARGE, NDJSON)
    answer = connection.getresponse()
    lines = [json.loads(line) for line in answer.read().splitlines()]
    assert [line.get("line") for line in lines] == [*range(1, 101), None]
    assert lines[-1] == {"kind": "end", "lines": 100, "results": 100, "problems": 0}


def test_stream_client_that_reads_as_it_goes(address: str) -> None:
    """Nothing comes before the whole body was sent; then lines come one by one."""
    with connected(address) as connection:
        connection.sendall(head(address, REPRICINGS, len(MANY)) + MANY[:-100])
        until(lambda: spool_sent(address))
        connection.setblocking(False)
        with pytest.raises(BlockingIOError):
            connection.recv(1)
        connection.settimeout(60)
        connection.sendall(MANY[-100:])
        got = b"".join(chunks(connection))
    assert [json.loads(line).get("line") for line in got.splitlines()] == [*range(1, 601), None]


def spool_sent(address: str) -> bool:
    """Another request is answered, so the server has had its turn."""
    return httpx.get(f"{address}/health/live", trust_env=False).status_code == 200


def test_stream_client_that_reads_slowly_gets_all(address: str) -> None:
    with connected(address) as connection:
        connection.sendall(head(address, REPRICINGS, len(MANY)) + MANY)
        whole = b"".join(chunks(connection))
    assert whole == post(address, REPRICINGS, MANY).content


def test_stream_cut_off_is_resumed(address: str, spool_folder: Path) -> None:
    """Cut off again and again, what came of whole lines is the whole answer: nothing lost, nothing twice."""
    content = body(*(quote(number) for number in range(1, 40)), "", "nope", *map(quote, range(42, 120)))
    whole = post(address, REPRICINGS, content).content.splitlines()
    got = resumed(address, REPRICINGS, content)
    assert got[:-1] == whole[:-1]
    assert json.loads(got[-1])["lines"] == json.loads(whole[-1])["lines"] == 119


def test_stream_two_at_once_get_their_own_answers(address: str) -> None:
    contents = [body(*(quote(start + number) for number in range(300))) for start in (0, 1000)]
    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(lambda content: post(address, REPRICINGS, content), contents))
    for start, answer in zip((0, 1000), answers, strict=True):
        found = answered(answer)
        assert [line["reference"] for line in found[:-1]] == [
            f"LEAD-{start + number}" for number in range(300)
        ]


def test_stream_small_call_does_not_wait_for_a_large_one(address: str) -> None:
    """The processes are shared out between calls, not given to whoever came first."""
    over: list[str] = []

    def call(name: str, count: int) -> None:
        answered(post(address, DESIGNS, body(*(spec(number) for number in range(count)))))
        over.append(name)

    large = threading.Thread(target=call, args=("large", 8))
    large.start()
    until(children)
    call("small", 1)
    large.join()
    assert over == ["small", "large"]


def test_stream_interactive_call_is_answered_meanwhile(address: str) -> None:
    over: list[str] = []

    def batch() -> None:
        answered(post(address, DESIGNS, body(*(spec(number) for number in range(8)))))
        over.append("batch")

    running = threading.Thread(target=batch)
    running.start()
    answer = httpx.post(f"{address}/v1/designs", json=spec(3), trust_env=False, timeout=60)
    over.append("design")
    running.join()
    assert answer.status_code == 200
    assert over == ["design", "batch"]


def test_stream_places_are_limited(address: str, spool_folder: Path) -> None:
    with connected(address) as one, connected(address) as two:
        for connection in (one, two):
            connection.sendall(head(address, REPRICINGS, len(MANY)) + MANY[:100])
        until(lambda: len(spool_files()) == 2)
        answer = post(address, REPRICINGS, MANY)
        assert (answer.status_code, answer.json()["code"]) == (503, "overloaded")
        assert int(answer.headers["retry-after"]) > 0
        one.sendall(MANY[100:])
        assert b"".join(chunks(one)).endswith(b'"results":600,"problems":0}\n')
    until(lambda: not spool_files())
    assert len(answered(post(address, REPRICINGS, MANY))) == 601


def test_stream_reader_that_takes_nothing_is_cut_off(
    address: str, spool_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("service.web.streams.answer.READER_PATIENCE_S", 0.2)
    content = body(*(quote(number) for number in range(1, 20_001)))
    with connected(address) as connection:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 17)
        connection.sendall(head(address, REPRICINGS, len(content)) + content)
        until(spool_files)
        until(lambda: not spool_files())
        got = b"".join(connection.makefile("rb"))
    assert b'"line":1,' in got
    assert b'"kind":"end"' not in got


def test_stream_spool_is_gone_after_a_whole_answer(address: str, spool_folder: Path) -> None:
    with connected(address) as connection:
        connection.sendall(head(address, DESIGNS, len(body(spec(1), spec(2)))) + body(spec(1), spec(2)))
        coming = chunks(connection)
        next(coming)
        assert len(spool_files()) == 1
        list(coming)
    until(lambda: not spool_files())


@pytest.mark.parametrize("sent", [100, len(MANY)], ids=["while sending", "while reading"])
def test_stream_spool_is_gone_after_the_client(address: str, spool_folder: Path, sent: int) -> None:
    with connected(address) as connection:
        connection.sendall(head(address, REPRICINGS, len(MANY)) + MANY[:sent])
        until(spool_files)
    until(lambda: not spool_files())


def test_stream_spool_is_gone_after_a_refusal(address: str, spool_folder: Path) -> None:
    small = Settings(batch_workers=1, max_batch_bytes=2000)
    seen: list[Any] = []

    def parts() -> Iterator[bytes]:
        yield b"\n" * 1500
        until(lambda: seen.append(spool_files()) or seen[-1])
        yield b"\n" * 1500

    with served(make_app(make_desk(bundled_snapshot()), small)) as other:
        assert post(other, REPRICINGS, parts()).status_code == 413
    assert len(seen[-1]) == 1
    assert not spool_files()


def test_stream_work_stops_when_the_client_has_gone(address: str, spool_folder: Path) -> None:
    """The next call does not wait until a hundred decks nobody wants are designed."""
    content = body(*(spec(number) for number in range(100)))
    with connected(address) as connection:
        connection.sendall(head(address, DESIGNS, len(content)) + content)
        first = json.loads(next(chunks(connection)).splitlines()[0])
    assert first["line"] == 1
    until(lambda: not spool_files())
    busy = _ticks(children()[0])
    answered(post(address, DESIGNS, body(spec(1))))
    assert _ticks(children()[0]) - busy < 0.25 * busy


def _ticks(process: int) -> int:
    """Clock ticks of processor time a process has used."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return int(fields[11]) + int(fields[12])


@pytest.mark.parametrize("coding", ["gzip", "br"])
def test_stream_comes_compressed_and_whole(address: str, coding: str) -> None:
    plain = post(address, REPRICINGS, MANY, **{"Accept-Encoding": "identity"})
    packed = post(address, REPRICINGS, MANY, **{"Accept-Encoding": coding})
    assert "content-encoding" not in plain.headers
    assert packed.headers["content-encoding"] == coding
    assert "Accept-Encoding" in packed.headers["vary"].split(", ")
    assert packed.content == plain.content
    assert int(packed.num_bytes_downloaded) < len(plain.content) / 3


def test_stream_cut_off_while_compressed_can_be_read_up_to_the_cut(address: str) -> None:
    whole = post(address, REPRICINGS, MANY, **{"Accept-Encoding": "identity"}).content.splitlines()
    connection = HTTPConnection(address.removeprefix("http://"), timeout=60)
    connection.request("POST", REPRICINGS, MANY, {**NDJSON, "Accept-Encoding": "gzip"})
    answer, reader, got = connection.getresponse(), zlib.decompressobj(31), b""
    # byte by byte, so that nothing after the first line is looked at
    while not got.endswith(b"\n"):
        got += reader.decompress(answer.read(1))
    connection.close()
    assert got.splitlines()[0] == whole[0]
    assert not reader.eof

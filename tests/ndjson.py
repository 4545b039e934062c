"""NDJSON calls as clients make them, and what the service holds while it answers them."""

from __future__ import annotations

import json
import os
import socket
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Any

import httpx
import pytest

from tests.waiting import until

NDJSON = {"Content-Type": "application/x-ndjson"}
REQUEST_ID = "0123456789abcdef0123456789abcdef"
DESIGNS, REPRICINGS = "/v1/design-batches", "/v1/repricings?price_book=brindlemoor-yard@2"
PATIENCE_S = 60.0


def spec(number: int, **changes: Any) -> dict[str, Any]:
    """A small deck that is quick to design, different for each number."""
    level = {"width_ft": 8 + number % 5, "projection_ft": 6, "surface_height_in": 24 + number % 3}
    return {
        "reference": f"LEAD-{number}",
        "jurisdiction": "alder-county",
        "as_of": "2026-11-25",
        "levels": [level],
        **changes,
    }


def quote(number: int) -> dict[str, Any]:
    """An open quote of one line."""
    return {
        "reference": f"LEAD-{number}",
        "previous_total": {"currency": "USD", "amount": "54.50"},
        "lines": [{"item": "concrete.bag.60lb", "quantity": 1 + number % 90}],
    }


def body(*lines: Any) -> bytes:
    """Lines as a body; text and bytes as they are."""
    return b"".join(_line(one) + b"\n" for one in lines)


def _line(value: Any) -> bytes:
    if isinstance(value, bytes):
        return value
    return value.encode() if isinstance(value, str) else json.dumps(value).encode()


def post(address: str, path: str, content: Any, **headers: str) -> httpx.Response:
    """One call, its body sent whole before its answer is read."""
    sent = {**NDJSON, "X-Request-Id": REQUEST_ID, **headers}
    return httpx.post(address + path, content=content, headers=sent, trust_env=False, timeout=PATIENCE_S)


def answered(answer: httpx.Response) -> list[dict[str, Any]]:
    """The lines of a whole answer."""
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/x-ndjson"
    found = [json.loads(line) for line in answer.text.splitlines()]
    assert found[-1]["kind"] == "end"
    return found


def head(address: str, path: str, length: int) -> bytes:
    """The head of a request, for clients that write their own."""
    lines = (
        f"POST {path} HTTP/1.1",
        f"Host: {address.removeprefix('http://')}",
        "Content-Type: application/x-ndjson",
        f"Content-Length: {length}",
        f"X-Request-Id: {REQUEST_ID}",
    )
    return "".join(f"{line}\r\n" for line in (*lines, "")).encode()


@contextmanager
def connected(address: str) -> Iterator[socket.socket]:
    """A bare connection to the service."""
    host, port = address.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port)), timeout=PATIENCE_S) as connection:
        yield connection


def chunks(connection: socket.socket) -> Iterator[bytes]:
    """What comes back in chunked form, without the chunking: as it comes, until its end or the connection's."""
    with connection.makefile("rb") as stream:
        while stream.readline() not in (b"\r\n", b""):
            pass
        while size := int(stream.readline() or b"0", 16):
            yield stream.read(size)
            stream.readline()


@pytest.fixture
def spool_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for temporary files of a test's own, since the test runner has files in the usual one."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


def spool_files() -> set[str]:
    """Files that this process holds open in the folder for temporary files, and any that has a name there."""
    found = {str(path) for path in Path(tempfile.gettempdir()).iterdir()}
    for descriptor in Path("/proc/self/fd").iterdir():
        try:
            target = str(descriptor.readlink())
        except FileNotFoundError:
            continue
        if target.startswith(tempfile.gettempdir()):
            found.add(target)
    return found


def children(parent: int | None = None) -> list[int]:
    """Processes of the pool that a process has started."""
    own = os.getpid() if parent is None else parent
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        try:
            status, command = (process / "stat").read_text(), (process / "cmdline").read_text()
        except (FileNotFoundError, ProcessLookupError):
            continue
        if "streams.worker" in command and int(status.rpartition(")")[2].split()[1]) == own:
            found.append(int(process.name))
    return found


def resumed(address: str, path: str, content: bytes) -> list[bytes]:
    """The whole lines of an answer that is cut off again and again, each time resumed behind the last of them."""
    got: list[bytes] = []
    while not got or json.loads(got[-1])["kind"] != "end":
        first = json.loads(got[-1])["line"] + 1 if got else 1
        with connected(address) as connection:
            connection.sendall(head(address, f"{path}&first_line={first}", len(content)) + content)
            part = b"".join(islice(chunks(connection), 4))
        # the place of a call that was cut off is free as soon as the service has seen that
        until(lambda: not spool_files())
        assert part
        got += part.split(b"\n")[:-1]
    return got

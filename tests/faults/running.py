"""`deck-framing serve` as a process of its own, on a folder that holds a loaded database, and what it is asked."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import httpx
import psycopg

from service.store.embedded import owner_url_of_running
from service.store.passwords import read_passwords
from tests import waiting
from tests.faults.counted import ANSWER, Call, ask
from tests.integration.test_cli_commands import environment

PATIENCE_S = 180.0
until = partial(waiting.until, patience_s=PATIENCE_S)
JSON = {"Content-Type": "application/json"}


@dataclass(frozen=True)
class Serve:
    """A running service.

    Attributes:
        process: the one that was started
        address: where it answers
        data: folder of its database
        log: what it has said
    """

    process: subprocess.Popen[bytes]
    address: str
    data: Path
    log: Path

    def ready(self) -> dict[str, Any]:
        """What it says of itself; nothing while it does not answer."""
        try:
            answer = httpx.get(f"{self.address}/health/ready", trust_env=False, timeout=PATIENCE_S)
        except httpx.TransportError:
            return {}
        return dict(answer.json()) if answer.status_code == 200 else {}

    def sees_database(self) -> bool:
        """Whether it can reach its database."""
        return self.ready().get("database") == "reachable"

    def postgres(self) -> int:
        """Number of the database's first process."""
        return int((self.data / "cluster" / "postmaster.pid").read_text().split()[0])

    def workers(self) -> list[int]:
        """Numbers of the processes that answer requests, where there are several."""
        return [one for one in children(self.process.pid) if "spawn_main" in command_of(one)]

    def said(self) -> str:
        """Everything it has said so far."""
        return self.log.read_text()

    def superuser(self) -> psycopg.Connection:
        """A connection of the role that no trigger binds."""
        password = read_passwords(self.data / "passwords.json").superuser
        return psycopg.connect(
            host=str(self.data / "socket"),
            user="postgres",
            password=password,
            dbname="deck_framing",
            autocommit=True,
        )

    def owner_url(self) -> str:
        """The database as the role that owns the tables."""
        found = owner_url_of_running(self.data)
        assert found is not None
        return found

    def stop(self) -> int:
        """Ask it to stop and return its exit code."""
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(PATIENCE_S)


@contextmanager
def serving(data: Path, *, workers: int = 1, wait: bool = True, **variables: str) -> Iterator[Serve]:
    """A service on the database of a folder, killed at the end where it has not stopped by then."""
    port = free_port()
    command = [sys.executable, "-m", "service", "serve", "--port", str(port), "--data-dir", str(data)]
    log = data.with_name(f"{data.name}-{port}.log")
    given = {**environment(data.parent), "WORKERS": str(workers), "BATCH_WORKERS": "2", **variables}
    with log.open("wb") as out, subprocess.Popen(command, env=given, stdout=out, stderr=out) as process:
        serve = Serve(process, f"http://127.0.0.1:{port}", data, log)
        try:
            if wait:
                until(lambda: bool(serve.ready()) or process.poll() is not None)
                assert process.poll() is None, serve.said()
            yield serve
        finally:
            family = [process.pid, *descendants(process.pid)]
            if process.poll() is None:
                process.send_signal(signal.SIGTERM)
                end_after(process, PATIENCE_S, family)


def end_after(process: subprocess.Popen[bytes], seconds: float, family: list[int]) -> None:
    """Wait for a process, and kill it and those it has started where that takes too long."""
    try:
        process.wait(seconds)
    except subprocess.TimeoutExpired:
        for one in family:
            if alive(one):
                os.kill(one, signal.SIGKILL)
        raise


def free_port() -> int:
    """A port nobody listens on."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        return int(free.getsockname()[1])


def children(parent: int) -> list[int]:
    """Processes that a process has started."""
    found = []
    for thread in Path(f"/proc/{parent}/task").glob("*/children"):
        try:
            found += [int(one) for one in thread.read_text().split()]
        except (FileNotFoundError, ProcessLookupError):
            continue
    return found


def descendants(parent: int) -> list[int]:
    """Those a process has started, that these have started, and so on."""
    found = children(parent)
    for one in found:
        found += children(one)
    return found


def command_of(process: int) -> str:
    """How a process was started; empty where it is gone."""
    try:
        return Path(f"/proc/{process}/cmdline").read_text().replace("\0", " ")
    except (FileNotFoundError, ProcessLookupError):
        return ""


def alive(process: int) -> bool:
    """Whether a process runs; one that has ended and that nobody has asked after does not."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except (FileNotFoundError, ProcessLookupError):
        return False


def small_deck(number: int, **changes: Any) -> dict[str, Any]:
    """The quickest deck that is designed whole, told apart by its reference."""
    level = {"width_ft": 4, "projection_ft": 4, "surface_height_in": 10}
    named = {"reference": f"LEAD-{number}", "jurisdiction": "alder-county", "as_of": "2026-11-25"}
    return {**named, "levels": [level], **changes}


def design(number: int, expected: bytes | None = None, **changes: Any) -> Call:
    """A design of a small deck; without what is expected any answer with its reference is."""

    def right(status: int, body: bytes) -> bool:
        if expected is not None:
            return status == 200 and body == expected
        return status == 200 and json.loads(body)["reference"] == f"LEAD-{number}"

    return Call("/v1/designs", right, json.dumps(small_deck(number, **changes)).encode(), JSON, number)


def designs(address: str, count: int = 2, **changes: Any) -> list[Call]:
    """Designs, each expected to be answered as it is now, to the byte."""
    return [
        design(number, answer_of(address, design(number, **changes)), **changes) for number in range(count)
    ]


def answer_of(address: str, call: Call) -> bytes:
    """The body of an answer, which has to be the one expected."""
    body = b""

    def kept(status: int, given: bytes) -> bool:
        nonlocal body
        body = given
        return call.expected(status, given)

    outcome = ask(address, Call(call.path, kept, call.body, call.headers))
    assert outcome.kind == ANSWER, outcome
    return body

"""Processes of the pool that end, and servers that do: no line is lost, and no process is left behind."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.settings import Settings
from service.web.desk import Desk
from tests.ndjson import (
    DESIGNS,
    REPRICINGS,
    answered,
    body,
    children,
    chunks,
    connected,
    head,
    post,
    quote,
    spec,
    until,
)

SERVER = """
import sys
from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.settings import Settings
with served(make_app(make_desk(bundled_snapshot()), Settings(batch_workers=2))) as address:
    print(address, flush=True)
    sys.stdin.read()
"""


class Deadly:
    """Stands where facts about footings are: whoever reads one of them is killed."""

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        os.kill(os.getpid(), signal.SIGKILL)


@contextmanager
def serving(desk: Desk, workers: int = 1) -> Iterator[str]:
    with served(make_app(desk, Settings(batch_workers=workers))) as address:
        yield address


@pytest.fixture(scope="module")
def desk() -> Desk:
    return make_desk(bundled_snapshot())


def test_stream_killed_processes_cost_no_line(desk: Desk) -> None:
    content = body(*(spec(number) for number in range(6)))
    with serving(desk, workers=2) as address:
        whole = post(address, DESIGNS, content).content
        with connected(address) as connection:
            connection.sendall(head(address, DESIGNS, len(content)) + content)
            coming = chunks(connection)
            got = [next(coming)]
            for process in children():
                os.kill(process, signal.SIGKILL)
            got += coming
    assert b"".join(got) == whole
    assert whole.endswith(b'{"kind":"end","lines":6,"results":6,"problems":0}\n')


def test_stream_killed_process_costs_no_line_of_a_large_task(desk: Desk) -> None:
    """Hundreds of lines are with the process that is killed; they are worked again one by one."""
    content = body(*(quote(number) for number in range(4000)))
    with serving(desk) as address, connected(address) as connection:
        connection.sendall(head(address, REPRICINGS, len(content)) + content)
        coming = chunks(connection)
        got = [next(coming) for _ in range(12)]
        os.kill(children()[0], signal.SIGKILL)
        got += coming
    lines = [json.loads(line) for line in b"".join(got).splitlines()]
    assert [line.get("line") for line in lines] == [*range(1, 4001), None]
    assert lines[-1]["problems"] == 0


def test_stream_line_that_ends_its_process_is_a_problem(desk: Desk) -> None:
    deadly: Any = Deadly()
    with serving(replace(desk, facts=deadly)) as address:
        found = answered(post(address, DESIGNS, body("[]", spec(1), "{}")))
        assert len(answered(post(address, REPRICINGS, body(quote(1))))) == 2
    assert [line["problem"]["code"] for line in found[:-1]] == ["invalid_spec", "internal", "invalid_spec"]
    assert found[1]["reference"] == "LEAD-1"
    assert found[-1] == {"kind": "end", "lines": 3, "results": 0, "problems": 3}


def test_stream_pool_that_cannot_start_is_told(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/bin/false")
    with serving(desk) as address:
        answer = post(address, REPRICINGS, body(quote(1)))
    assert (answer.status_code, answer.json()["code"]) == (500, "internal")


def test_a_line_has_the_processor_time_that_is_set(desk: Desk) -> None:
    """The line is ended, on a busy machine by the clock, and those around it are answered."""
    heavy = {**spec(2), "levels": [{"width_ft": 70, "projection_ft": 60, "surface_height_in": 36}]}
    with served(make_app(desk, Settings(batch_workers=1, work_seconds=1))) as address:
        found = answered(post(address, DESIGNS, body("[]", heavy, "[]")))
    first, ended, last = (line["problem"]["code"] for line in found[:-1])
    assert (first, last) == ("invalid_spec", "invalid_spec")
    assert ended in ("took_too_long", "overloaded")


def test_stream_calls_keep_the_desk_they_began_with(desk: Desk) -> None:
    """A newer desk comes in while a call is answered: calls that begin then have it, that one does not."""
    content = body(*(spec(number) for number in range(6)))
    app: Any = make_app(desk, Settings(batch_workers=1))
    with served(app) as address, connected(address) as connection:
        connection.sendall(head(address, DESIGNS, len(content)) + content)
        coming = chunks(connection)
        got = [next(coming)]
        app.inner.current.desk = replace(desk, engine_version="newer")
        answer = post(address, DESIGNS, body(spec(1)))
        got += coming
    assert answer.headers["deck-engine"] == "newer"
    assert answered(answer)[0]["summary"]["engine_version"] == "newer"
    engines = {json.loads(line)["summary"]["engine_version"] for line in b"".join(got).splitlines()[:-1]}
    assert engines == {desk.engine_version}


def test_stream_processes_start_late_and_end_with_the_server(desk: Desk) -> None:
    with serving(desk, workers=2) as address:
        assert answered(post(address, DESIGNS, body("")))[0]["lines"] == 1
        assert children() == []
        answered(post(address, DESIGNS, body(*(spec(number) for number in range(6)))))
        assert len(children()) == 2
        assert all(os.getpriority(os.PRIO_PROCESS, one) > 0 for one in children())
    assert children() == []


def test_stream_processes_end_with_a_server_that_is_killed() -> None:
    content = body(*(spec(number) for number in range(20)))
    command = [sys.executable, "-c", SERVER]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        address = server.stdout.readline().strip()
        with connected(address) as connection:
            connection.sendall(head(address, DESIGNS, len(content)) + content)
            assert next(chunks(connection))
            processes = children(server.pid)
            server.kill()
    assert len(processes) == 2
    until(lambda: not any(alive(one) for one in processes))


def alive(process: int) -> bool:
    """Whether a process runs; one that has ended and that nobody has asked after does not."""
    with suppress(FileNotFoundError, ProcessLookupError):
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    return False

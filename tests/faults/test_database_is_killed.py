"""The embedded database is killed under load: designs go on, writes fail cleanly, and it is started again by itself."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

import pytest

from tests.faults.counted import ANSWER, PROBLEM, again_and_again, alternating, clients
from tests.faults.running import Serve, alive, children, designs, serving, until
from tests.faults.yards import FaultYard, check_written, is_upload, until_designed, until_written


@pytest.mark.parametrize("workers", [1, 2])
def test_killed_again_and_again_under_load(data: Path, yards: list[FaultYard], workers: int) -> None:
    with serving(data, workers=workers) as serve:
        asked = again_and_again(designs(serve.address))
        both = alternating(asked, lambda number: yards[number].uploads())
        with clients(serve.address, 4, both) as counted:
            for _ in range(2):
                time.sleep(1.5)
                kill_database(serve)
                lost = time.monotonic()
                until(lambda: database_is_back(serve))
                until(serve.sees_database)
                until_written(counted)
                until_designed(counted, lost)
        counted.check(f"database killed twice, {workers} workers")
        assert counted.codes() <= {"store_unavailable"}
        refused = [one for one in counted.of(PROBLEM) if not is_upload(one)]
        assert not refused, "designs need no database"
        assert len(counted.of(ANSWER, PROBLEM)) == counted.sent
        print(check_written(serve.owner_url(), counted))
        assert serve.said().count("it is started again") == 2
        running = serve.postgres()
        assert serve.stop() == 0
    assert not alive(running)


def test_a_process_of_the_database_is_killed(data: Path, yards: list[FaultYard]) -> None:
    """As one is that takes too much memory: the database throws out everyone, and mends itself."""
    with serving(data) as serve:
        both = alternating(again_and_again(designs(serve.address)), lambda number: yards[number].uploads())
        with clients(serve.address, 4, both) as counted:
            first = serve.postgres()
            time.sleep(1)
            with serve.superuser() as connection:
                os.kill(connection.info.backend_pid, signal.SIGKILL)
            time.sleep(1)
            until(serve.sees_database)
            until_written(counted)
        counted.check("a database process killed")
        print(check_written(serve.owner_url(), counted))
        assert serve.postgres() == first
        assert serve.stop() == 0


def test_one_that_cannot_be_started_is_tried_later_and_later(data: Path) -> None:
    with serving(data) as serve:
        settings = data / "cluster" / "postgresql.conf"
        whole = settings.read_text()
        settings.write_text(f"{whole}\nno_such_setting = on\n")
        kill_database(serve)
        until(lambda: serve.said().count("could not be started again") >= 2)
        assert serve.ready()["database"] == "away"
        settings.write_text(whole)
        until(serve.sees_database)
        assert serve.said().count("could not be started again") < 10
        assert serve.stop() == 0


def test_asked_to_stop_while_it_is_away(data: Path) -> None:
    with serving(data) as serve:
        kill_database(serve)
        time.sleep(0.15)
        assert serve.stop() == 0
        assert not (data / "socket").exists()
    with serving(data) as serve:
        assert serve.sees_database()


def test_killed_with_the_service_it_stops(data: Path) -> None:
    """The second database too, which another thread has started than the first."""
    with serving(data) as serve:
        kill_database(serve)
        until(lambda: database_is_back(serve))
        running = serve.postgres()
        assert running in children(serve.process.pid)
        serve.process.kill()
        serve.process.wait()
        until(lambda: not alive(running))


def kill_database(serve: Serve) -> None:
    process = serve.postgres()
    os.kill(process, signal.SIGKILL)
    until(lambda: not alive(process))


def database_is_back(serve: Serve) -> bool:
    try:
        return alive(serve.postgres()) and "ready" in (data_mark(serve)).read_text()
    except (FileNotFoundError, IndexError):
        return False


def data_mark(serve: Serve) -> Path:
    return serve.data / "cluster" / "postmaster.pid"

"""A process that answers requests is killed, at once and without a word: in a request, and in a batch."""

from __future__ import annotations

import json
import os
import signal
import socket
import time
from pathlib import Path

from tests.faults.counted import ANSWER, CLOSED, CUT_OFF, again_and_again, clients
from tests.faults.running import Serve, alive, command_of, descendants, designs, serving, small_deck, until
from tests.ndjson import body, chunks, connected, head

BATCH = "/v1/design-batches?view=summary"
LINES = 16


def test_killed_in_the_middle_of_requests(data: Path) -> None:
    with serving(data, workers=2) as serve:
        first = serve.workers()
        assert len(first) == 2
        with clients(serve.address, 4, again_and_again(designs(serve.address))) as counted:
            for victim in first:
                time.sleep(1)
                os.kill(victim, signal.SIGKILL)
                killed = time.monotonic()
                until(lambda victim=victim: len([one for one in serve.workers() if alive(one)]) == 2)
                until(lambda killed=killed: any(one.kind == ANSWER for one in counted.since(killed)))
        counted.check("worker killed, one after the other", cut_off=True)
        lost = counted.of(CLOSED, CUT_OFF)
        assert len(lost) <= 2 * 4, "more than were with the worker that was killed"
        assert len(counted.of(ANSWER)) + len(lost) == counted.sent
        assert not set(first) & set(serve.workers())
        assert serve.stop() == 0


def test_killed_in_the_middle_of_a_batch_it_is_resumed(data: Path) -> None:
    content = body(*(small_deck(number) for number in range(LINES)))
    with serving(data, workers=2) as serve:
        whole, _ = lines_of(serve, content, 1)
        assert [json.loads(one)["kind"] for one in whole] == ["result"] * LINES + ["end"]
        got, served_by = lines_of(serve, content, 1, kill="worker")
        assert 0 < len(got) < len(whole), "it was not cut off in the middle"
        until(lambda: not alive(served_by))
        times = 1
        while json.loads(got[-1])["kind"] != "end":
            more, _ = lines_of(serve, content, len(got) + 1)
            got, times = got + more, times + 1
        # the end counts the lines of the whole body, and the results of its own answer alone
        assert got[:-1] == whole[:-1]
        assert json.loads(got[-1])["lines"] == LINES
        print(f"\nworker killed in a batch: {LINES} of {LINES} lines in {times} answers, alike to the byte")
        assert serve.stop() == 0


def test_a_process_of_a_batch_is_killed_and_no_line_is_lost(data: Path) -> None:
    content = body(*(small_deck(number) for number in range(LINES)))
    with serving(data) as serve:
        whole, _ = lines_of(serve, content, 1)
        got, killed = lines_of(serve, content, 1, kill="pool")
        assert got == whole
        assert not alive(killed)
        print(f"\npool process killed in a batch: {LINES} of {LINES} lines, alike to the byte")
        assert serve.stop() == 0


def lines_of(serve: Serve, content: bytes, first_line: int, kill: str = "") -> tuple[list[bytes], int]:
    """The whole lines of one answer, and the process that was killed after the first of them."""
    victim, got = 0, b""
    with connected(serve.address) as connection:
        connection.sendall(head(serve.address, f"{BATCH}&first_line={first_line}", len(content)) + content)
        try:
            for part in chunks(connection):
                got += part
                if kill and not victim:
                    victim = holder(serve, connection) if kill == "worker" else busiest(serve)
                    os.kill(victim, signal.SIGKILL)
        except ConnectionResetError:
            pass
    return got.split(b"\n")[:-1], victim


def holder(serve: Serve, connection: socket.socket) -> int:
    """The worker that holds the other end of a connection."""
    ours = f"{connection.getsockname()[1]:04X}"
    rows = [row.split() for row in Path("/proc/net/tcp").read_text().splitlines()[1:]]
    inode = next(row[9] for row in rows if row[2].endswith(f":{ours}"))
    return next(one for one in serve.workers() if f"socket:[{inode}]" in open_files(one))


def open_files(process: int) -> set[str]:
    return {str(one.readlink()) for one in Path(f"/proc/{process}/fd").iterdir()}


def busiest(serve: Serve) -> int:
    """The process of the pool that has worked most."""
    pools = [one for one in descendants(serve.process.pid) if "streams.worker" in command_of(one)]
    return max(pools, key=cpu_ticks)


def cpu_ticks(process: int) -> int:
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return sum(int(one) for one in fields[11:13])


def test_killed_while_the_database_is_away_another_waits_for_it(data: Path) -> None:
    with serving(data, workers=2) as serve:
        settings = data / "cluster" / "postgresql.conf"
        whole = settings.read_text()
        settings.write_text(f"{whole}\nno_such_setting = on\n")
        os.kill(serve.postgres(), signal.SIGKILL)
        until(lambda: "could not be started again" in serve.said())
        first = serve.workers()
        os.kill(first[0], signal.SIGKILL)
        until(lambda: "waiting for the database" in serve.said())
        waiting = set(serve.workers())
        assert len(waiting) == 2
        assert serve.ready()["database"] == "away"
        settings.write_text(whole)
        until(serve.sees_database)
        assert set(serve.workers()) == waiting, "it was started once, and waited"
        assert serve.stop() == 0


def test_workers_end_with_the_one_that_started_them(data: Path) -> None:
    """Killed without a word it leaves nobody who holds the port, so that it can be started again."""
    with serving(data, workers=2) as serve:
        left = [*serve.workers(), serve.postgres()]
        serve.process.kill()
        serve.process.wait()
        until(lambda: not any(map(alive, left)))

"""SIGTERM: every request taken in is answered whole, no other is taken in, and the database is stopped in order."""

from __future__ import annotations

import json
import signal
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.faults.counted import (
    ANSWER,
    CLOSED,
    PROBLEM,
    REFUSED,
    Call,
    Counted,
    Outcome,
    again_and_again,
    ask,
    clients,
)
from tests.faults.running import JSON, Serve, alive, designs, serving, until
from tests.ndjson import spec

# Every design waits for those before it.
AT_ONCE = 4
PATIENCE_S = 10.0
DRAINED_S = PATIENCE_S + 60


@pytest.mark.parametrize(("workers", "times"), [(1, 2), (2, 1)])
def test_what_is_under_way_is_answered(data: Path, workers: int, times: int) -> None:
    """Also when it is asked to stop twice, as by a hurried hand."""
    with serving(data, workers=workers) as serve, ThreadPoolExecutor(AT_ONCE) as asking:
        calls = (2 * designs(serve.address))[:AT_ONCE]
        running = serve.postgres()
        counted = Counted()
        found = [asking.submit(sent, counted, serve.address, call) for call in calls]
        time.sleep(0.3)
        asked_to_stop = time.monotonic()
        for _ in range(times):
            serve.process.send_signal(signal.SIGTERM)
            time.sleep(0.2)
        until(lambda: ask(serve.address, calls[0]).kind == REFUSED)
        outcomes = [one.result() for one in found]
        assert serve.process.wait(DRAINED_S) == 0
        took = time.monotonic() - asked_to_stop
    if took < PATIENCE_S:
        assert [one.kind for one in outcomes] == [ANSWER] * AT_ONCE
    assert counted.codes() <= {"overloaded"}
    late = [one for one in outcomes if one.began + one.seconds > asked_to_stop]
    assert late, "nothing was under way"
    counted.check(
        f"SIGTERM {times} time(s), {workers} worker(s), {len(late)} under way, over in {took:.1f} s"
    )
    assert_stopped(serve, running)


def sent(counted: Counted, address: str, call: Call) -> Outcome:
    counted.sending()
    outcome = ask(address, call)
    counted.took(outcome)
    return outcome


def test_what_takes_too_long_is_refused_and_not_just_dropped(data: Path) -> None:
    """More is waiting than can be answered in time: the rest is told so."""
    waiting = 24
    with serving(data) as serve, ThreadPoolExecutor(waiting) as asking:
        call = Call("/v1/designs", lambda status, _: status == 200, json.dumps(spec(1)).encode(), JSON)
        counted = Counted()
        found = [asking.submit(sent, counted, serve.address, call) for _ in range(waiting)]
        time.sleep(3)
        asked_to_stop = time.monotonic()
        serve.process.send_signal(signal.SIGTERM)
        assert serve.process.wait(DRAINED_S) == 0
        assert [one.result().kind for one in found].count(PROBLEM) > 0
    counted.check(f"SIGTERM with {waiting} waiting")
    assert counted.codes() == {"overloaded"}
    # closed at once: nothing of it had been read yet
    late = [one.began + one.seconds - asked_to_stop for one in counted.of(CLOSED)]
    assert max(late, default=0.0) < PATIENCE_S / 2


@pytest.mark.parametrize("workers", [1, 2])
def test_under_load_no_answer_is_lost(data: Path, workers: int) -> None:
    with serving(data, workers=workers) as serve:
        running = serve.postgres()
        with clients(serve.address, AT_ONCE, again_and_again(designs(serve.address))) as counted:
            until(lambda: len(counted.of(ANSWER)) > 2)
            assert serve.stop() == 0
            until(lambda: counted.of(REFUSED) != [])
        counted.check(f"SIGTERM under load, {workers} worker(s)")
        # closed: a connection that stood when it began to stop, over which nothing had been read yet
        assert len(counted.of(CLOSED)) <= AT_ONCE
        assert_stopped(serve, running)


@pytest.mark.parametrize("step", ["starting PostgreSQL", "loading", "serving on"])
def test_while_it_starts(data: Path, step: str) -> None:
    with serving(data, wait=False) as serve:
        until(lambda: step in serve.said())
        assert serve.stop() == 0
        assert "Traceback" not in serve.said(), serve.said()
        log = (data / "server.log").read_text()
        assert log.count("starting PostgreSQL 1") == log.count("database system is shut down")
        assert not (data / "cluster" / "postmaster.pid").exists()


def assert_stopped(serve: Serve, running: int) -> None:
    assert "Traceback" not in serve.said(), serve.said()
    assert not alive(running)
    last = (serve.data / "server.log").read_text().strip().splitlines()[-1]
    assert last.endswith("database system is shut down")
    assert not [one for one in threading.enumerate() if one.name == "keeper of PostgreSQL"]

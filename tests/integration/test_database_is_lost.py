"""A service whose database is killed answers on and says so, and finds back by itself."""

from __future__ import annotations

import logging
import os
import signal
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import httpx
import pytest

from service.app import serving_app
from service.cli.trial import served
from service.settings import read_settings
from service.store.embedded import EmbeddedServer, embedded_postgres
from service.store.migrate import migrate
from service.store.writer import load_bundled
from service.web.sight import OVERDUE_S
from tests.integration.price_service import Yard, day, new_yard, prices, until

TABLE = "/v1/rulebooks/irc-2021/versions/1/tables/joist_spans"
AGE = "deck-snapshot-age-seconds"


@contextmanager
def database(folder: Path) -> Iterator[EmbeddedServer]:
    """A server that keeps what is committed, in the same folder each time: its address stays."""
    with embedded_postgres(folder, programs=read_settings().pg_bin) as server:
        yield server


@pytest.fixture
def folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="deck-framing-test-") as name:
        Path(name).chmod(0o711)
        yield Path(name) / "data"


def test_a_killed_database_is_told_of_until_it_is_back(folder, caplog):
    with ExitStack() as stack:
        stack.enter_context(caplog.at_level(logging.INFO, "deck_framing.web"))
        with database(folder) as server:
            migrate(server.owner_url, server.service_url)
            load_bundled(server.owner_url)
            address = stack.enter_context(served(serving_app(server.service_url)))
            yard = new_yard(server, address)
            assert yard.upload(prices(day(0))).status_code == 201
            before = designed(yard)
            assert ready(address) == (200, "reachable", 0)
            assert "deck-snapshot" not in before.headers
            assert "public" in got(address, TABLE).headers["cache-control"]
            os.kill(server.process_id, signal.SIGKILL)
            until(lambda: ready(address)[1] == "away")
        check_away(yard, before)
        with database(folder) as server:
            until(lambda: ready(address) == (200, "reachable", 0))
            after = designed(yard)
            assert "deck-snapshot" not in after.headers
            assert after.content == before.content
            made = yard.upload(prices(day(1)))
            assert made.status_code == 201
            assert yard.ask("GET", made.headers["location"]).status_code == 200
            # sees the key of an organisation that is new, made past the service
            assert new_yard(server, address).upload(prices(day(0))).status_code == 201
    events = [one.event for one in caplog.records if hasattr(one, "event")]
    # it ends before the service does
    told = [one for one in events if one.startswith("database")]
    assert told[:2] == ["database_lost", "database_found"]
    assert events.count("snapshot_changed") >= 3
    assert (events[0], events[-1]) == ("started", "stopped")


def test_a_database_that_takes_what_is_sent_and_says_nothing_is_away(folder):
    """As a network does that swallows packets: no look fails, and none ends."""
    with database(folder) as server, ExitStack() as stack:
        migrate(server.owner_url, server.service_url)
        load_bundled(server.owner_url)
        address = stack.enter_context(served(serving_app(server.service_url)))
        with stopped(server):
            wait_until(lambda: ready(address)[1] == "away")
            assert got(address, TABLE).headers["deck-snapshot"] == "stale"
        until(lambda: ready(address) == (200, "reachable", 0))
        assert "deck-snapshot" not in got(address, TABLE).headers


@contextmanager
def stopped(server: EmbeddedServer) -> Iterator[None]:
    """The server and all its processes, stopped and then set going again."""
    # the first of them first: it would make another for a connection begun meanwhile
    os.kill(server.process_id, signal.SIGSTOP)
    children = Path(f"/proc/{server.process_id}/task/{server.process_id}/children").read_text().split()
    processes = [server.process_id, *map(int, children)]
    for process in processes:
        os.kill(process, signal.SIGSTOP)
    try:
        yield
    finally:
        for process in processes:
            os.kill(process, signal.SIGCONT)


def wait_until(so: Callable[[], bool]) -> None:
    """Wait for longer than `until` does."""
    end = time.monotonic() + 3 * OVERDUE_S
    while not so():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.2)


def check_away(yard: Yard, before: httpx.Response) -> None:
    """While it is away: the same answers, each with what it is, kept by no cache; nothing is written."""
    code, _, seconds = ready(yard.address)
    assert code == 200
    until(lambda: ready(yard.address)[2] > seconds)
    answers = [
        designed(yard),
        got(yard.address, TABLE),
        got(yard.address, "/v1/nothing"),
        yard.upload(prices(day(1))),
    ]
    assert [one.status_code for one in answers] == [200, 200, 404, 503]
    assert answers[0].content == before.content
    assert answers[-1].json()["code"] == "store_unavailable"
    for one in answers:
        assert one.headers["deck-snapshot"] == "stale"
        assert int(one.headers[AGE]) > seconds
        assert "no-store" in one.headers["cache-control"]
    assert "deck-snapshot" not in got(yard.address, "/health/live").headers


def designed(yard: Yard) -> httpx.Response:
    level = {"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}
    deck = {"jurisdiction": "alder-county", "levels": [level], "price_book": yard.book, "as_of": day(0)}
    return yard.ask("POST", "/v1/designs", json=deck)


def got(address: str, path: str) -> httpx.Response:
    return httpx.get(address + path, trust_env=False, timeout=20)


def ready(address: str) -> tuple[int, str, int]:
    answer = got(address, "/health/ready")
    return answer.status_code, answer.json()["database"], answer.json()["seconds_since_store_seen"]

"""What is published is seen by every replica, heard of or looked for; and whole, or not at all."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from typing import Any

import httpx
import pytest

from service.app import serving_app
from service.cli.trial import served
from service.settings import Settings
from service.store.bundled import bundled
from service.store.embedded import EmbeddedServer
from service.store.listen import NAME
from service.store.reader import load_snapshot
from service.store.snapshot import NOTHING, Snapshot
from service.store.texts import Bundle, RulebookText
from service.store.writer import load
from tests.integration.price_service import Yard, bearer, day, line, new_yard, prices, until

NEVER_S = 3600.0
NOWHERE = "postgresql://deck_service@/deck_framing?host=/nowhere"
LISTENERS = f"from pg_stat_activity where application_name = '{NAME}' and query like 'listen%'"
GUIDE, TABLES = "dca-6", ("dca6_limits", "dca6_beam_spans")
BOTH = [line(), line("lumber.2x10.hem_fir.no_2.uc3b", sku="L-210-12", description="2x10 12 ft")]


@contextmanager
def replicas(
    url: str, count: int, *, look_every_s: float, direct_url: str | None = None
) -> Iterator[list[str]]:
    """So many services of their own on one database."""
    settings = Settings(database_url=url, database_url_direct=direct_url)
    with pytest.MonkeyPatch.context() as patch, ExitStack() as stack:
        patch.setattr("service.web.current.LOOK_EVERY_S", look_every_s)
        yield [stack.enter_context(served(serving_app(url, settings))) for _ in range(count)]


@pytest.fixture
def listeners(database: EmbeddedServer, run_sql) -> Callable[[], int]:
    return lambda: run_sql(database.service_url, f"select count(*) {LISTENERS}")[0][0]


def status(address: str, yard: Yard, path: str) -> int:
    return httpx.get(address + path, headers=bearer(yard.key), trust_env=False, timeout=20).status_code


def test_a_second_replica_hears_of_what_is_published(database, listeners):
    with replicas(database.service_url, 2, look_every_s=NEVER_S) as (first, second):
        until(lambda: listeners() == 2)
        yard = new_yard(database, first)
        made = yard.upload(prices(day(0)))
        assert made.status_code == 201
        until(lambda: status(second, yard, made.headers["location"]) == 200)
    assert listeners() == 0, "a listener was left behind"


def test_a_lost_listener_comes_back_and_has_missed_nothing(database, listeners, run_sql):
    with replicas(database.service_url, 2, look_every_s=NEVER_S) as (first, second):
        until(lambda: listeners() == 2)
        yard = new_yard(database, first)
        ended = run_sql(database.service_url, f"select pg_terminate_backend(pid) {LISTENERS}")
        assert ended == [(True,), (True,)]
        made = yard.upload(prices(day(0)))
        until(lambda: status(second, yard, made.headers["location"]) == 200)
        until(lambda: listeners() == 2)
        later = yard.upload(prices(day(1)))
        until(lambda: status(second, yard, later.headers["location"]) == 200)


def test_where_nobody_can_listen_changes_are_looked_for(database, listeners, caplog):
    with replicas(database.service_url, 2, look_every_s=0.05, direct_url=NOWHERE) as (first, second):
        yard = new_yard(database, first)
        made = yard.upload(prices(day(0)))
        until(lambda: status(second, yard, made.headers["location"]) == 200)
        assert listeners() == 0
    assert caplog.text.count("changes are looked for") == 2


def test_no_answer_mixes_two_versions_of_a_price_book(database):
    """Both prices of a version are the same; each version ends where the next begins, and the last has no end."""
    with replicas(database.service_url, 2, look_every_s=0.05) as addresses, ThreadPoolExecutor() as readers:
        yard = new_yard(database, addresses[0])
        done = threading.Event()
        yards = [replace(yard, address=one) for one in addresses * 2]
        found = [readers.submit(read_until, done, one) for one in yards]
        try:
            for number in range(1, 26):
                body = prices(day(number), lines=[{**one, "unit_price": f"{number}.00"} for one in BOTH])
                assert yard.upload(body).status_code == 201
        finally:
            done.set()
        assert all(one.result() > 5 for one in found), "versions came and went unread"


def read_until(done: threading.Event, yard: Yard) -> int:
    """Read a book again and again; the number of different newest versions that were read."""
    newest: set[int] = set()
    with httpx.Client(base_url=yard.address, headers=bearer(yard.key), trust_env=False, timeout=60) as client:
        while not done.is_set():
            versions = client.get(yard.versions)
            if versions.status_code == 200 and versions.json()["items"]:
                newest.add(check_book(versions.json()["items"], client))
    return len(newest)


def check_book(versions: list[dict[str, Any]], client: httpx.Client) -> int:
    days = [(one["effective_from"], one["effective_to"]) for one in versions]
    assert days == [(day(n), day(n)) for n in range(1, len(days))] + [(day(len(days)), None)]
    newest = client.get(versions[-1]["url"]).json()
    assert {one["unit_price"] for one in newest["lines"]} == {f"{len(days)}.00"}
    assert len(newest["lines"]) == len(BOTH)
    return len(days)


def test_no_snapshot_has_half_of_a_rulebook(empty_database):
    """Two tables of each version are of one number; versions are published as quickly as they can be."""
    done = threading.Event()
    with ThreadPoolExecutor() as readers:
        found = [readers.submit(load_until, done, empty_database.service_url) for _ in range(3)]
        try:
            for number in range(1, 41):
                load(empty_database.owner_url, Bundle([numbered_guide(number)]))
        finally:
            done.set()
        assert all(one.result() > 5 for one in found), "versions came and went unread"


def numbered_guide(number: int) -> RulebookText:
    given = next(one for one in bundled().rulebooks if f'id = "{GUIDE}"' in one.meta)
    meta = given.meta.replace("\nversion = 1\n", f"\nversion = {number}\n")
    marked = {name: given.tables[name].replace("#note: ", f"#note: {mark(number)} ") for name in TABLES}
    return replace(given, meta=meta, tables={**given.tables, **marked})


def mark(number: int) -> str:
    return f"copy {number};"


def load_until(done: threading.Event, url: str) -> int:
    """Load newer and newer snapshots; their number."""
    seen: set[int] = set()
    before: Snapshot = NOTHING
    while not done.is_set():
        before = load_snapshot(url, before)
        assert not before.rulebooks.damaged
        for (_, number), book in before.rulebooks.versions.items():
            assert all(mark(number) in book.tables[name].text for name in TABLES)
        seen.add(len(before.rulebooks.versions))
    return len(seen)

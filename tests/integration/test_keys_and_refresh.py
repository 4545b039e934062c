"""Keys on the command line, and what a running service comes to see: in its own process and in others."""

from __future__ import annotations

import logging
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest
from click.testing import CliRunner

from service.app import make_desk, serving_app
from service.cli import main
from service.cli.trial import served
from service.settings import read_settings
from service.store.embedded import FAST, EmbeddedServer, embedded_postgres, owner_url_of_running
from service.store.errors import StoreError
from service.store.key_writer import create_key, list_keys
from service.store.live import LiveStore
from service.store.migrate import migrate
from service.store.reader import load_snapshot
from service.store.writer import load_bundled
from service.web.caller import NOBODY
from service.web.current import CurrentDesk
from service.web.keys import caller_of
from tests.integration.price_service import EVERYTHING, Yard, bearer, day, new_yard, prices, service, until

ROOT = Path(__file__).parents[2]
SMALLEST = {
    "jurisdiction": "alder-county",
    "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}],
}
SEEN_WITHIN_S = 4.0


@pytest.fixture
def command(database: EmbeddedServer, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("DATABASE_URL", database.service_url)
    monkeypatch.setenv("DATABASE_URL_OWNER", database.owner_url)

    def run(*words: str) -> str:
        done = CliRunner().invoke(main, words)
        assert done.exit_code == 0, done.output
        return done.stdout.strip()

    return run


def test_a_key_is_shown_once_and_only_its_digest_is_kept(command, database, run_sql):
    key = command(
        "keys", "create", "--organisation", "oakline", "--scope", "designs", "--name", "CRM of the yard"
    )
    kind, id, secret = key.split(".")
    assert (kind, len(id), len(secret)) == ("secret", 16, 43)
    listed = command("keys", "list")
    assert f"{id} oakline" in listed
    assert "CRM of the yard" in listed
    assert secret not in listed
    rows = run_sql(database.owner_url, "select api_key::text from api_key")
    assert not [row for row in rows if secret in str(row)]
    assert f"{id} is revoked" in command("keys", "revoke", id)
    revoked = next(one for one in list_keys(database.owner_url) if one.id == id).revoked_at
    command("keys", "revoke", id)
    assert (
        next(one for one in list_keys(database.owner_url) if one.id == id).revoked_at == revoked is not None
    )
    assert id not in load_snapshot(database.service_url).access.keys


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--organisation", "Oak", "--scope", "designs"), "is no id"),
        (("--organisation", "oakline", "--scope", "prices"), "scopes are designs, prices:read"),
        (("--organisation", "oakline", "--scope", "designs", "--name", "=1"), "a name has"),
        (
            ("--organisation", "oakline", "--scope", "designs", "--price-book", "nobodys"),
            "there is no price book",
        ),
        (("--organisation", "brindlemoor", "--scope", "designs"), "cannot be told from"),
        (("--organisation", "brindlemoor-timber-west", "--scope", "designs"), "cannot be told from"),
    ],
)
def test_a_key_that_cannot_be_made_leaves_nothing(command, database, run_sql, words, told):
    count = "select (select count(*) from organisation), (select count(*) from api_key)"
    command("keys", "create", "--organisation", "oakline", "--scope", "designs")
    before = run_sql(database.owner_url, count)
    done = CliRunner().invoke(main, ("keys", "create", *words))
    assert done.exit_code == 1
    assert told in done.output
    assert run_sql(database.owner_url, count) == before


def test_what_is_not_there_cannot_be_revoked_or_granted(command):
    for words in (
        ("keys", "revoke", "0" * 16),
        ("keys", "revoke", "secret"),
        ("price-books", "grant", "nobodys", "brindlemoor-timber"),
        ("price-books", "grant", "brindlemoor-yard", "nobody-at-all"),
        ("price-books", "grant", "brindlemoor-yard", "brindlemoor-timber", "--withdraw"),
    ):
        assert CliRunner().invoke(main, words).exit_code == 1, words


def test_keys_are_made_beside_a_running_embedded_service():
    """The command finds the server another process runs in the folder, and that process sees the key."""
    with _folder() as folder, _serving(folder) as address:
        line = [
            "keys",
            "create",
            "--organisation",
            "oakline",
            "--scope",
            "prices:read",
            "--data-dir",
            "deck-data",
        ]
        done = subprocess.run(
            [sys.executable, "-m", "service", *line],
            cwd=folder,
            env=_environment(folder),
            capture_output=True,
            text=True,
            timeout=60,
        )
        assert done.returncode == 0, done.stderr
        key = done.stdout.strip()
        began = time.monotonic()
        until(lambda: _get(address, "/v1/price-books", key).status_code == 200)
        assert time.monotonic() - began < SEEN_WITHIN_S


def test_every_worker_sees_an_upload_made_through_one():
    with _folder() as folder, _serving(folder, WORKERS="2") as address:
        owner = _owner_url(folder)
        key = create_key(owner, "oakline", EVERYTHING)
        yard = Yard(address, key, "oakline", "oakline-book")
        until(lambda: _statuses(address, key, "/v1/price-books") == {200})
        assert yard.ask("POST", "/v1/price-books", json={"id": yard.book}).status_code == 201
        made = yard.upload(prices(day(0)))
        assert made.status_code == 201
        until(lambda: _statuses(address, key, made.headers["location"]) == {200})


def test_an_older_request_keeps_the_desk_it_began_with(database):
    desk = make_desk(load_snapshot(database.service_url))
    key = create_key(database.owner_url, "oakline", ["designs"])
    current = CurrentDesk(desk, LiveStore(database.service_url))
    current._look(current.store)
    headers = [(b"Authorization", bearer(key)["Authorization"].encode())]
    assert caller_of(headers, current.desk).organisation == "oakline"
    assert key.split(".")[1] not in desk.snapshot.access.keys
    assert caller_of([], desk) is NOBODY
    # what has not changed is the very same object, not a copy of it
    for shelf in ("rulebooks", "jurisdictions"):
        before, after = getattr(desk.snapshot, shelf).versions, getattr(current.desk.snapshot, shelf).versions
        assert all(after[name] is one for name, one in before.items())
    seen = current.desk
    current._look(current.store)
    assert current.desk is seen
    current.store.close()


def test_without_its_database_the_service_answers_on_and_takes_no_uploads(caplog):
    with embedded_postgres(programs=read_settings().pg_bin, settings=FAST) as server:
        migrate(server.owner_url, server.service_url)
        load_bundled(server.owner_url)
        app = serving_app(server.service_url)
        context = served(app)
        address = context.__enter__()
        yard = new_yard(server, address)
        assert yard.upload(prices(day(0))).status_code == 201
    try:
        with caplog.at_level(logging.WARNING, logger="deck_framing.web"):
            time.sleep(2.5)
            answer = yard.ask(
                "POST", "/v1/designs", json={**SMALLEST, "price_book": yard.book, "as_of": day(0)}
            )
            assert answer.headers["deck-price-book"] == f"{yard.book}@1"
            refused = yard.upload(prices(day(1)))
        assert (refused.status_code, refused.json()["code"]) == (503, "store_unavailable")
        assert int(refused.headers["retry-after"]) > 0
        away = [one for one in caplog.records if "database is away" in one.getMessage()]
        assert len(away) == 1
        for secret in (yard.key.split(".")[2], "14.20"):
            assert secret not in caplog.text
    finally:
        context.__exit__(None, None, None)


def test_nothing_of_a_key_is_logged(database, caplog):
    with caplog.at_level(logging.DEBUG), service(database) as address:
        yard = new_yard(database, address)
        yard.upload(prices(day(0)))
        yard.ask("GET", "/v1/price-books", headers=bearer(f"{yard.key[:-1]}!"))
        yard.ask("POST", yard.versions, content=b"x", headers={"Content-Type": "text/csv"})
    _, id, secret = yard.key.split(".")
    assert secret not in caplog.text
    assert id not in caplog.text


def test_an_unreadable_database_is_told_as_such(database):
    store = LiveStore(database.service_url.replace("/deck_framing", "/nowhere"))
    with pytest.raises(StoreError):
        store.newer_than(load_snapshot(database.service_url))


def _get(address: str, path: str, key: str) -> httpx.Response:
    return httpx.get(address + path, headers=bearer(key), trust_env=False, timeout=20)


def _statuses(address: str, key: str, path: str) -> set[int]:
    """The statuses of requests over so many connections that each worker has some of them."""
    return {_get(address, path, key).status_code for _ in range(12)}


@contextmanager
def _folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="deck-framing-test-") as name:
        Path(name).chmod(0o755)
        yield Path(name)


def _environment(folder: Path, **more: str) -> dict[str, str]:
    names = ("PATH", "TMPDIR", "PG_BIN")
    kept = {name: value for name in names if (value := os.getenv(name))}  # noqa: TID251 - for a child process
    return {**kept, "PYTHONPATH": str(ROOT), "HOME": str(folder), **more}


@contextmanager
def _serving(folder: Path, **environment: str) -> Iterator[str]:
    """`deck-framing serve` in a process of its own."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    line = [sys.executable, "-m", "service", "serve", "--port", str(port), "--data-dir", "deck-data"]
    address = f"http://127.0.0.1:{port}"
    with subprocess.Popen(line, cwd=folder, env=_environment(folder, **environment)) as server:
        try:
            _await(address)
            yield address
        finally:
            server.terminate()
            server.wait(60)


def _await(address: str) -> None:
    end = time.monotonic() + 60
    while True:
        try:
            if httpx.get(f"{address}/health/ready", trust_env=False).status_code == 200:
                return
        except httpx.TransportError:
            assert time.monotonic() < end, "the service did not start"
        time.sleep(0.1)


def _owner_url(folder: Path) -> str:
    found = owner_url_of_running(folder / "deck-data")
    assert found is not None
    return found

"""A backup is worth what restoring it gives: the same answers, digests, keys and guards, in a folder of its own."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest
from click.testing import CliRunner
from psycopg import errors

from service.app import serving_app
from service.cli import main
from service.cli.database import ready_database
from service.cli.trial import served
from service.settings import Settings, read_settings
from service.store.backup import UNFINISHED, back_up, restore
from service.store.embedded import EmbeddedServer, embedded_postgres
from service.store.errors import StoreError
from service.store.key_writer import create_key, grant_price_book
from service.store.migrate import migrate, migrate_back
from service.store.reader import load_snapshot
from service.store.rule_writer import create_draft, read_drafts
from service.store.writer import load_bundled
from tests.integration.price_service import Yard, day, new_yard, prices, service

ROOT = Path(__file__).parents[2]
PG_BIN = read_settings().pg_bin
DRAFT = ("jurisdiction", "alder-county")
ENTRIES = "select * from audit_entry order by id"
ATTACKS = (
    "update price_book_version set state = 'withdrawn'",
    "update price_book_version set effective = daterange('2020-01-01', null)",
    "update rulebook_version set state = 'withdrawn', in_force = 'empty'",
)
DENIED = (
    "delete from price_book_line",
    "update rule_row set line = 'x'",
    "update audit_entry set actor = 'nobody'",
    "delete from audit_entry",
    "truncate audit_entry",
    "update api_key set scopes = '{admin}'",
    "alter table price_book_version disable trigger keep_published",
    "set role deck_owner",
)


def numbered(content: object, version: int) -> str:
    return str(content).replace("\nversion = 1\n", f"\nversion = {version}\n")


@pytest.fixture(scope="module")
def place() -> Iterator[Path]:
    """A folder PostgreSQL's user can pass through."""
    with tempfile.TemporaryDirectory(prefix="deck-framing-test-") as name:
        Path(name).chmod(0o711)
        yield Path(name)


class Kept:
    """What a served database held when its backup was taken while it served."""

    def __init__(self, server: EmbeddedServer, address: str, file: Path) -> None:
        self.yard = new_yard(server, address)
        assert self.yard.upload(prices(day(0))).status_code == 201
        assert self.yard.upload(prices(day(5))).status_code == 201
        create_key(server.owner_url, "oakline", ["designs"])
        grant_price_book(server.owner_url, self.yard.book, "oakline")
        create_draft(server.service_url, *DRAFT, numbered, actor="key a", based_on=("alder-county", 1))
        self.design = designed(self.yard)
        self.digests = digests(server.service_url)
        self.entries = rows(server.owner_url, ENTRIES)
        done = CliRunner().invoke(main, ["backup", "--data-dir", str(server.data_dir), "--out", str(file)])
        assert done.exit_code == 0, done.output
        # comes after it, and is no part of it
        assert self.yard.upload(prices(day(9))).status_code == 201


@pytest.fixture(scope="module")
def file(place: Path) -> Path:
    return place / "deck.backup"


@pytest.fixture(scope="module")
def kept(place: Path, file: Path) -> Kept:
    with embedded_postgres(place / "data", programs=PG_BIN) as server:
        migrate(server.owner_url, server.service_url)
        load_bundled(server.owner_url)
        with service(server) as address:
            return Kept(server, address, file)


def designed(yard: Yard) -> bytes:
    level = {"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}
    deck = {"jurisdiction": "alder-county", "levels": [level], "price_book": yard.book, "as_of": day(1)}
    answer = yard.ask("POST", "/v1/designs", json=deck)
    assert answer.status_code == 200
    return answer.content


def digests(url: str) -> dict[tuple[str, int], str]:
    snapshot = load_snapshot(url)
    shelves = (snapshot.rulebooks, snapshot.jurisdictions, snapshot.price_books)
    assert not [one for shelf in shelves for one in shelf.damaged]
    return {key: one.digest for shelf in shelves for key, one in shelf.versions.items()}


def rows(url: str, statement: str) -> list[tuple[object, ...]]:
    with psycopg.connect(url) as connection:
        return connection.execute(statement).fetchall()


def test_what_is_restored_answers_as_before(place, kept, file):
    assert file.stat().st_mode & 0o077 == 0, "others can read key digests and prices"
    folder = place / "restored"
    done = CliRunner().invoke(main, ["restore", str(file), "--data-dir", str(folder)])
    assert done.exit_code == 0, done.output
    told = f"{len(kept.digests)} published versions, each with its digest; 2 keys, 1 grants, {len(kept.entries)} audit"
    assert told in done.output
    assert {one.name for one in folder.iterdir()} == {"cluster", "lock", "passwords.json"}
    with ready_database(Settings(pg_bin=PG_BIN), folder, lambda _: None) as url:
        assert digests(url) == kept.digests
        with served(serving_app(url)) as address:
            yard = Yard(address, kept.yard.key, kept.yard.organisation, kept.yard.book)
            assert designed(yard) == kept.design
            assert yard.ask("GET", f"{yard.versions}/3").status_code == 404
            assert yard.upload(prices(day(9))).status_code == 201


def test_what_is_restored_is_guarded_as_before(place, kept, file):
    restore(file, place / "guarded", programs=PG_BIN)
    with embedded_postgres(place / "guarded", programs=PG_BIN) as server:
        assert rows(server.owner_url, ENTRIES) == kept.entries
        (draft,) = read_drafts(server.service_url, *DRAFT)
        assert (draft.reference, draft.written_by) == ("alder-county@2", ("key a",))
        for attack in ATTACKS:
            with pytest.raises(errors.RestrictViolation, match="published"):
                rows(server.service_url, attack)
        for attack in DENIED:
            with pytest.raises(errors.InsufficientPrivilege):
                rows(server.service_url, attack)
        with pytest.raises(errors.RestrictViolation, match="stays"):
            rows(server.owner_url, "update audit_entry set actor = 'nobody'")
        triggers = rows(server.owner_url, "select distinct tgenabled from pg_trigger where not tgisinternal")
        assert triggers == [("A",)]
        # an entry of what is written from now on follows those that were restored
        create_key(server.owner_url, "oakline", ["designs"])
        assert len(rows(server.owner_url, ENTRIES)) == len(kept.entries) + 1
        assert passwords(server) != passwords_in(place / "data")


def passwords(server: EmbeddedServer) -> bytes:
    return passwords_in(server.data_dir)


def passwords_in(folder: Path) -> bytes:
    return (folder / "passwords.json").read_bytes()


def test_a_backup_of_an_older_database_is_brought_up_to_date(place, kept, file):
    """Taken before a new version of the service is started for the first time."""
    older, copy = place / "older", place / "older.backup"
    restore(file, older, programs=PG_BIN)
    with embedded_postgres(older, programs=PG_BIN) as server:
        migrate_back(server.owner_url, "0003")
    back_up(older, copy, programs=PG_BIN)
    held = restore(copy, place / "newer", programs=PG_BIN)
    assert (held.versions, held.keys, held.grants) == (len(kept.digests), 2, 1)
    with embedded_postgres(place / "newer", programs=PG_BIN) as server:
        assert digests(server.service_url) == kept.digests


def spoilt(at: float) -> Callable[[bytes], bytes]:
    def spoil(content: bytes) -> bytes:
        place = int(len(content) * at)
        return content[:place] + bytes([content[place] ^ 0xFF]) + content[place + 1 :]

    return spoil


DAMAGE = {
    "cut off": lambda content: content[: len(content) // 2],
    "a byte changed": spoilt(0.5),
    "another file": lambda _: b"#currency: USD\n",
    "empty": lambda _: b"",
}


@pytest.mark.parametrize("how", DAMAGE)
def test_of_a_damaged_file_nothing_is_left(place, kept, file, how):
    damaged = place / "damaged.backup"
    damaged.write_bytes(DAMAGE[how](file.read_bytes()))
    with pytest.raises(StoreError, match="pg_restore failed"):
        restore(damaged, place / "nothing", programs=PG_BIN)
    assert not (place / "nothing").exists()


def test_a_damaged_version_is_neither_backed_up_nor_restored(place, kept, file, run_sql):
    spoilt = place / "spoilt"
    restore(file, spoilt, programs=PG_BIN)
    lie = "update price_book_line set line = replace(line, '14.20', '4.20')"
    with embedded_postgres(spoilt, programs=PG_BIN) as server:
        run_sql(server.owner_url, "alter table price_book_line disable trigger user", lie)
    with pytest.raises(StoreError, match=f"{kept.yard.book}@1 is damaged in the database"):
        back_up(spoilt, place / "spoilt.backup", programs=PG_BIN)
    assert not list(place.glob("*spoilt.backup*"))
    # by an older version of the service it could have been
    with embedded_postgres(spoilt, programs=PG_BIN) as server:
        migrate_back(server.owner_url, "0003")
    back_up(spoilt, place / "spoilt.backup", programs=PG_BIN)
    (place / "empty").mkdir()
    with pytest.raises(StoreError, match=f"{kept.yard.book}@1 is damaged in the database"):
        restore(place / "spoilt.backup", place / "empty", programs=PG_BIN)
    assert [one.name for one in (place / "empty").iterdir()] == ["lock"]


def test_neither_overwrites_what_is_there(place, kept, file):
    before = file.read_bytes()
    with pytest.raises(StoreError, match="is there already"):
        back_up(place / "data", file, programs=PG_BIN)
    assert file.read_bytes() == before
    with pytest.raises(StoreError, match=r"data holds cluster.* already: restore into a new folder"):
        restore(file, place / "data", programs=PG_BIN)
    with pytest.raises(StoreError, match="there is no file"):
        restore(place / "none.backup", place / "nothing", programs=PG_BIN)
    with pytest.raises(StoreError, match="there is no database in"):
        back_up(place / "nothing", place / "nothing.backup", programs=PG_BIN)
    assert not (place / "nothing").exists()


def test_a_server_of_ones_own_is_backed_up_by_its_own_program(monkeypatch, tmp_path):
    monkeypatch.setenv("DATABASE_URL", "postgresql://deck@db.example/deck")
    done = CliRunner().invoke(main, ["backup", "--out", str(tmp_path / "x")])
    assert done.exit_code == 1
    assert "pg_dump" in done.output


def test_a_restoring_that_is_killed_can_be_done_again(place, kept, file):
    folder = place / "killed"
    with killed_when(folder / UNFINISHED / "cluster", folder, file):
        pass
    assert not (folder / "cluster").exists()
    assert restore(file, folder, programs=PG_BIN).versions == len(kept.digests)
    assert {one.name for one in folder.iterdir()} == {"cluster", "lock", "passwords.json"}


@contextmanager
def killed_when(there: Path, folder: Path, file: Path) -> Iterator[None]:
    """A restoring in a process of its own, killed when something is there."""
    line = [sys.executable, "-m", "service", "restore", str(file), "--data-dir", str(folder)]
    with subprocess.Popen(line, cwd=ROOT, stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL) as process:
        end = time.monotonic() + 60
        while not there.exists():
            assert time.monotonic() < end
            time.sleep(0.01)
        os.kill(process.pid, signal.SIGKILL)
        yield

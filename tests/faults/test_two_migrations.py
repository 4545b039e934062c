"""Two services start at once on one database, an empty one and one of an earlier revision: both end well."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import psycopg
import pytest

from service.settings import read_settings
from service.store.embedded import EmbeddedServer, embedded_postgres
from service.store.migrate import check_models, migrate_back
from service.store.reader import load_snapshot
from tests.faults.counted import ANSWER, ask
from tests.faults.running import design, serving, until


@pytest.fixture
def database(data: Path) -> Iterator[EmbeddedServer]:
    with embedded_postgres(data, programs=read_settings().pg_bin) as server:
        yield server


@pytest.mark.parametrize("revision", ["base", "0003"])
def test_two_services_on_one_database(database: EmbeddedServer, revision: str) -> None:
    before = load_snapshot(database.service_url)
    migrate_back(database.owner_url, revision)
    variables = {"DATABASE_URL": database.service_url, "DATABASE_URL_OWNER": database.owner_url}
    with ExitStack() as stack:
        both = [stack.enter_context(serving(database.data_dir, wait=False, **variables)) for _ in range(2)]
        until(lambda: all(one.ready() for one in both))
        assert [ask(one.address, design(1)).kind for one in both] == [ANSWER] * 2
        added = [one.said().count("16 versions added") for one in both]
        found = [one.said().count("everything was there already") for one in both]
        assert (sum(added), sum(found)) == ((1, 1) if revision == "base" else (0, 2))
        assert [one.stop() for one in both] == [0, 0]
    check_models(database.owner_url)
    after = load_snapshot(database.service_url)
    assert after.damaged == {}
    digests = [{key: book.digest for key, book in one.rulebooks.versions.items()} for one in (before, after)]
    assert digests[0] == digests[1]
    with psycopg.connect(database.owner_url) as connection:
        assert connection.execute("select count(*) from alembic_version").fetchone() == (1,)
    print(f"\ntwo services at once from revision {revision}: both serve, versions added by {sum(added)}")


def test_two_services_on_one_folder(data: Path) -> None:
    """Where they would start the database themselves, one does, and the other says who holds the folder."""
    with serving(data, wait=False) as one, serving(data, wait=False) as other:
        until(lambda: any(serve.process.poll() is not None for serve in (one, other)))
        lost, won = (one, other) if one.process.poll() is not None else (other, one)
        assert lost.process.wait() == 1
        assert f"is in use by process {won.process.pid}" in lost.said().replace("\n", " ")
        until(lambda: bool(won.ready()))
        assert ask(won.address, design(1)).kind == ANSWER
        assert won.stop() == 0

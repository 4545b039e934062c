"""A real PostgreSQL for every integration test: started once, with settings that are quick."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import psycopg
import pytest

from service.settings import read_settings
from service.store.embedded import FAST, EmbeddedServer, embedded_postgres
from service.store.migrate import migrate, migrate_back
from service.store.writer import load_bundled
from tests.integration.price_service import service
from tests.integration.rule_service import Hand, hand


@pytest.fixture(scope="session")
def postgres() -> Iterator[EmbeddedServer]:
    """A running server with an empty database; for tests that ask for `database`, a loaded one."""
    with embedded_postgres(programs=read_settings().pg_bin, settings=FAST) as server:
        yield server


@pytest.fixture(scope="session")
def database(postgres: EmbeddedServer) -> EmbeddedServer:
    """The server with all that comes with the service; tests leave it as they find it."""
    migrate(postgres.owner_url, postgres.service_url)
    load_bundled(postgres.owner_url)
    return postgres


@pytest.fixture(scope="session")
def service_url(database: EmbeddedServer) -> str:
    """The loaded database, as the role the service works as."""
    return database.service_url


@pytest.fixture(scope="session")
def owner_url(database: EmbeddedServer) -> str:
    """The loaded database, as the role that owns the tables."""
    return database.owner_url


@pytest.fixture(scope="module")
def spare_server() -> Iterator[EmbeddedServer]:
    """A server of a test file's own, to be spoilt."""
    with embedded_postgres(programs=read_settings().pg_bin, settings=FAST) as server:
        yield server


@pytest.fixture
def empty_database(spare_server: EmbeddedServer) -> EmbeddedServer:
    """The spare server with fresh tables and nothing in them."""
    migrate(spare_server.owner_url)
    migrate_back(spare_server.owner_url, "base")
    migrate(spare_server.owner_url, spare_server.service_url)
    return spare_server


@pytest.fixture(scope="session")
def run_sql() -> Callable[..., list[tuple[object, ...]]]:
    """Run statements as a role, in one transaction; the rows of the last one that has any."""

    def run(url: str, *statements: str) -> list[tuple[object, ...]]:
        rows: list[tuple[object, ...]] = []
        with psycopg.connect(url) as connection:
            for statement in statements:
                cursor = connection.execute(statement)
                rows = cursor.fetchall() if cursor.description else rows
        return rows

    return run


@pytest.fixture(scope="module")
def loaded(spare_server: EmbeddedServer) -> EmbeddedServer:
    """A server of a test file's own with all that comes with the service, to be written to."""
    migrate(spare_server.owner_url, spare_server.service_url)
    load_bundled(spare_server.owner_url)
    return spare_server


@pytest.fixture(scope="module")
def address(loaded: EmbeddedServer) -> Iterator[str]:
    with service(loaded) as found:
        yield found


@pytest.fixture(scope="module")
def elsewhere(loaded: EmbeddedServer) -> Iterator[str]:
    """Another service on the same database."""
    with service(loaded) as found:
        yield found


@pytest.fixture(scope="module")
def writer(loaded: EmbeddedServer, address: str) -> Hand:
    return hand(loaded, address, "rules:write")


@pytest.fixture(scope="module")
def publisher(loaded: EmbeddedServer, address: str) -> Hand:
    return hand(loaded, address, "rules:publish")


@pytest.fixture(scope="module")
def both(loaded: EmbeddedServer, address: str) -> Hand:
    return hand(loaded, address, "rules:write", "rules:publish")


@pytest.fixture(scope="module")
def stranger(loaded: EmbeddedServer, address: str) -> Hand:
    return hand(loaded, address, "designs", "prices:write")


@pytest.fixture(scope="module")
def nobody(address: str) -> Hand:
    return Hand(address, None)

"""A migrated and loaded database for a command: the one DATABASE_URL names, or one of our own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from service.cli.progress import Tell
from service.settings import Settings
from service.store.embedded import FAST, embedded_postgres, owner_url_of_running
from service.store.errors import StoreError
from service.store.migrate import migrate
from service.store.revision import revision_of
from service.store.writer import load_bundled


@contextmanager
def ready_database(
    settings: Settings, data_dir: Path | None, tell: Tell, *, keep: bool = False
) -> Iterator[str]:
    """Yield the URL of a database that holds all that comes with the service.

    Args:
        settings: name the database, if any
        data_dir: folder of the embedded server where none is named; None for a temporary one
        tell: told what is being done
        keep: start the embedded server again whenever it ends
    """
    if settings.database_url is not None and settings.owner_url is not None:
        prepare(settings.owner_url, settings.database_url, tell)
        yield settings.database_url
        return
    # a database that is thrown away needs no safety against a crash of the machine
    quick = FAST if data_dir is None else None
    with embedded_postgres(
        data_dir, programs=settings.pg_bin, settings=quick, progress=tell, keep=keep
    ) as server:
        prepare(server.owner_url, server.service_url, tell)
        yield server.service_url


@contextmanager
def owner_database(settings: Settings, data_dir: Path | None, tell: Tell) -> Iterator[str]:
    """Yield the URL of the owner's role for a database that may be serving already.

    Args:
        settings: name the database, if any
        data_dir: folder of the embedded server where none is named; None for the one in the settings
        tell: told what is being done
    """
    if settings.owner_url is not None and settings.database_url is not None:
        migrate(settings.owner_url, settings.database_url)
        yield settings.owner_url
        return
    folder = data_dir or settings.data_dir
    running = owner_url_of_running(folder)
    if running is not None:
        yield running
        return
    with embedded_postgres(folder, programs=settings.pg_bin, progress=tell) as server:
        prepare(server.owner_url, server.service_url, tell)
        yield server.owner_url


@contextmanager
def prepared_database(settings: Settings) -> Iterator[str]:
    """Yield the URL of the serving role for a database that `rules load` has prepared; nothing is written to it.

    Raises:
        StoreError: none is named, or its tables are older than this version of the service
    """
    if settings.database_url is None:
        raise StoreError("DATABASE_URL names no database, and only one that is named can be prepared")
    found = revision_of(settings.database_url)
    if found.known and not found.newest:
        raise StoreError(
            "the tables are not those of this version of the service: "
            "run `deck-framing rules load` with DATABASE_URL_OWNER first"
        )
    yield settings.database_url


def prepare(owner_url: str, service_url: str, tell: Tell) -> list[str]:
    """Migrate and load a database; return the versions that were added.

    One that a later version of the service has migrated stays as it is: a replica of this version may be started
    again before all are replaced.
    """
    if not revision_of(owner_url).known:
        tell("the tables are those of a later version of the service: they stay as they are")
        return []
    tell("bringing the tables up to date")
    migrate(owner_url, service_url)
    tell("loading rulebooks, jurisdictions and price books")
    added = load_bundled(owner_url)
    tell(f"{len(added)} versions added" if added else "everything was there already")
    return added

"""Brings a database to the present tables, and back; safe when two processes begin at once."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.util import CommandError
from sqlalchemy import Connection, text
from sqlalchemy.exc import DBAPIError

from service.store.database import LONG_PATIENCE_S, driver_url, transaction
from service.store.errors import StoreError
from service.store.tables import metadata

# Beside the `service` package, in the repository and where the wheel is installed.
SCRIPTS = Path(__file__).resolve().parents[2] / "migrations"
# A service that migrates nothing looks there for what it finds.
REVISION_TABLE = "alembic_version"
OLDEST_SERVER = 150000
LOCK_PATIENCE, STATEMENT_PATIENCE = "5s", "60s"
# Any number, as long as it stays the same: it names the lock that lets one writer in at a time.
WRITER_LOCK = 7_310_262_025


def migrate(owner_url: str, service_url: str | None = None) -> None:
    """Bring a database to the present tables and let the service role read them and add price books.

    Everything happens in one transaction: a migration that fails leaves nothing behind.

    Args:
        owner_url: libpq URI of the role that owns the tables
        service_url: libpq URI of the role that serves, which is given the right to read, to add price books
            and to publish versions of them, and no other; None, or the same role, when one role does both:
            then only the triggers keep published versions from being changed

    Raises:
        StoreError: the server is too old, a lock is not to be had, or a migration fails
    """
    with open_for_migration(owner_url) as connection:
        _run(connection, "upgrade", "head")
        if service_url is not None:
            _let_serve(connection, driver_url(service_url).username)


def migrate_back(owner_url: str, revision: str) -> None:
    """Take a database back to an earlier revision; `base` removes every table and all they hold."""
    with open_for_migration(owner_url) as connection:
        _run(connection, "downgrade", revision)


def check_models(owner_url: str) -> None:
    """Refuse with a StoreError when the tables in the code and those the migrations made differ."""
    with open_for_migration(owner_url) as connection:
        _run(connection, "check")


@contextmanager
def open_for_migration(owner_url: str) -> Iterator[Connection]:
    """A connection in a transaction that only one process at a time gets, with limits on waiting.

    A migration that waits for a lock makes every query behind it wait too, hence the short limit on that.
    """
    with transaction(owner_url, patience_s=LONG_PATIENCE_S) as connection:
        version = int(connection.scalar(text("show server_version_num")) or 0)
        if version < OLDEST_SERVER:
            raise StoreError(f"PostgreSQL {version // 10000} is too old: version 15 or later is needed")
        take_writer_lock(connection)
        connection.execute(text(f"set local lock_timeout = '{LOCK_PATIENCE}'"))
        connection.execute(text(f"set local statement_timeout = '{STATEMENT_PATIENCE}'"))
        yield connection


def take_writer_lock(connection: Connection) -> None:
    """Wait, at most a minute, until no other process migrates or loads; held until the transaction ends."""
    connection.execute(text("set local lock_timeout = '60s'"))
    connection.execute(text("select pg_advisory_xact_lock(:lock)"), {"lock": WRITER_LOCK})


def _run(connection: Connection, name: str, *arguments: str) -> None:
    config = Config(attributes={"connection": connection}, stdout=StringIO())
    config.set_main_option("script_location", str(SCRIPTS).replace("%", "%%"))
    try:
        getattr(command, name)(config, *arguments)
    except (CommandError, DBAPIError) as fault:
        raise StoreError(f"migration failed: {fault}") from fault


# What publishing a price book, and drafting and publishing rules, needs: of what is published, nothing can be removed,
# and only states and days be changed, which the triggers see to. A price book of the service role's making cannot be
# public, since that column is not among these. Who drafted, and the entries of the audit, are made by triggers alone.
_RIGHTS = (
    "insert (kind, id, version, based_on, content, content_digest, digest) on rule_draft",
    "update (based_on, content, content_digest, digest) on rule_draft",
    "delete on rule_draft",
    "insert on rulebook",
    "insert on rulebook_version",
    "insert on rule_table",
    "insert on rule_row",
    "update (state, published_at, in_force) on rulebook_version",
    "insert on jurisdiction",
    "insert on jurisdiction_version",
    "update (state, published_at, in_force) on jurisdiction_version",
    "insert (id, organisation_id) on price_book",
    "insert on price_book_version",
    "insert on price_book_line",
    "update (state, published_at, effective) on price_book_version",
)


def _let_serve(connection: Connection, role: str | None) -> None:
    if role is None or role == connection.scalar(text("select current_user")):
        return
    quoted = connection.dialect.identifier_preparer.quote(role)
    tables = ", ".join([REVISION_TABLE, *sorted(metadata.tables)])
    connection.execute(text(f"grant usage on schema public to {quoted}"))
    connection.execute(text(f"grant select on {tables} to {quoted}"))
    for right in _RIGHTS:
        connection.execute(text(f"grant {right} to {quoted}"))

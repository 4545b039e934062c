"""Opens connections: one engine for each short piece of work, since the service answers from memory."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, create_engine, make_url, text
from sqlalchemy.engine import URL
from sqlalchemy.exc import OperationalError
from sqlalchemy.pool import NullPool

from service.store.errors import StoreError

CONNECT_TIMEOUT_S = 10
CONNECTION: dict[str, Any] = {
    "connect_timeout": CONNECT_TIMEOUT_S,
    # a pooler between us and the server may hand a connection to another
    "prepare_threshold": None,
    # a connection that is dead is told from one that is silent, in half a minute and not in hours
    "keepalives_idle": 10,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 20_000,
}


def driver_url(uri: str) -> URL:
    """A libpq URI as SQLAlchemy takes it, with the driver named.

    >>> driver_url("postgresql://deck@/framing?host=/run/pg").drivername
    'postgresql+psycopg'
    """
    return make_url(uri).set(drivername="postgresql+psycopg")


@contextmanager
def transaction(uri: str, *, read_only: bool = False) -> Iterator[Connection]:
    """A connection in a transaction, committed at the end of the block unless it raises.

    Args:
        uri: libpq URI of the database, with the role to work as
        read_only: all queries of the block see the database as it was at the first

    Raises:
        StoreError: the database cannot be reached
    """
    with _connected(uri) as connection:
        if read_only:
            connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
        with connection.begin():
            connection.execute(text("set local search_path to public"))
            yield connection


def _connected(uri: str) -> Connection:
    url = driver_url(uri)
    engine = create_engine(
        url,
        poolclass=NullPool,
        connect_args=CONNECTION,
        # prices and keys are no matter for a log
        hide_parameters=True,
    )
    try:
        return engine.connect()
    except OperationalError as fault:
        place = url.render_as_string(hide_password=True)
        raise StoreError(f"the database {place} cannot be reached: {fault.orig}") from fault

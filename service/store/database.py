"""Opens connections: one engine for each short piece of work, since the service answers from memory."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.pool import NullPool

from service.store.errors import OutcomeUnknown, StoreError
from service.store.patience import Patience

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
# A caller waits for it: longer than the server waits for a lock, so that it can say what it waited for.
PATIENCE_S = 30.0
# For what is read into memory: nobody waits, but what is newer is not seen meanwhile.
LONG_READ_S = 60.0
# For what an operator waits for.
LONG_PATIENCE_S = 3600.0


def driver_url(uri: str) -> URL:
    """A libpq URI as SQLAlchemy takes it, with the driver named.

    >>> driver_url("postgresql://deck@/framing?host=/run/pg").drivername
    'postgresql+psycopg'
    """
    return make_url(uri).set(drivername="postgresql+psycopg")


def engine_with(uri: str, patience: Patience, **options: Any) -> Engine:
    """An engine whose patience begins with each connection it makes.

    Args:
        uri: libpq URI of the database
        patience: begun before the first question is asked over a connection
        options: of SQLAlchemy, and how to connect where it differs from `CONNECTION`
    """
    # prices and keys are no matter for a log
    engine = create_engine(driver_url(uri), hide_parameters=True, **{"connect_args": CONNECTION, **options})

    @event.listens_for(engine, "do_connect")
    def connect(dialect: Any, _: Any, arguments: Any, named: Any) -> Any:
        made = dialect.connect(*arguments, **named)
        patience.begin(made.fileno())
        return made

    return engine


@contextmanager
def transaction(uri: str, *, read_only: bool = False, patience_s: float = PATIENCE_S) -> Iterator[Connection]:
    """A connection in a transaction, committed at the end of the block unless it raises.

    Args:
        uri: libpq URI of the database, with the role to work as
        read_only: all queries of the block see the database as it was at the first
        patience_s: seconds after which the connection is cut

    Raises:
        StoreError: the database cannot be reached
        OutcomeUnknown: it was lost while it committed
    """
    patience = Patience(patience_s)
    try:
        with _connected(uri, patience) as connection:
            if read_only:
                connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
            with _committed(connection):
                connection.execute(text("set local search_path to public"))
                # who holds a lock and was cut off without the server being told keeps others out no longer than that
                idle = f"set local idle_in_transaction_session_timeout = '{patience_s:.0f}s'"
                connection.execute(text(idle))
                yield connection
    finally:
        patience.end()


@contextmanager
def _committed(connection: Connection) -> Iterator[None]:
    """A transaction; where the connection is lost over its end, nobody knows which end it had."""
    worked = False
    try:
        with connection.begin():
            yield
            worked = True
    except DBAPIError as fault:
        if worked and fault.connection_invalidated:
            raise OutcomeUnknown(f"the database was lost while it committed: {fault.orig}") from fault
        raise


def _connected(uri: str, patience: Patience) -> Connection:
    engine = engine_with(uri, patience, poolclass=NullPool)
    try:
        return engine.connect()
    except OperationalError as fault:
        place = engine.url.render_as_string(hide_password=True)
        raise StoreError(f"the database {place} cannot be reached: {fault.orig}") from fault

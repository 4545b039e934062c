"""Where a database stands among the migrations that come with this version of the service."""

from __future__ import annotations

from dataclasses import dataclass

from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.exc import ProgrammingError

from service.store.database import transaction
from service.store.errors import StoreError
from service.store.migrate import SCRIPTS


@dataclass(frozen=True)
class Revision:
    """The last migration a database has had.

    Attributes:
        known: it comes with this version of the service, or there was none yet
        newest: none comes after it
    """

    known: bool
    newest: bool


def revision_of(url: str) -> Revision:
    """The revision of a database.

    Args:
        url: libpq URI of the role that owns the tables, or of the one that serves

    Raises:
        StoreError: the database cannot be reached, or the role may not read where it stands
    """
    scripts = ScriptDirectory(str(SCRIPTS))
    with transaction(url) as connection:
        try:
            stands = MigrationContext.configure(connection).get_current_revision()
        except ProgrammingError as fault:
            raise StoreError(f"where the tables stand cannot be read: {fault.orig}") from fault
    known = {one.revision for one in scripts.walk_revisions()}
    return Revision(stands is None or stands in known, stands == scripts.get_current_head())

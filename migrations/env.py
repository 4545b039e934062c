"""Run by Alembic: migrates over the connection it is handed, or over one to the owner's database."""

from __future__ import annotations

from alembic import context
from alembic.util import CommandError
from sqlalchemy import Connection

from service.settings import read_settings
from service.store.migrate import open_for_migration
from service.store.tables import metadata


def run(connection: Connection) -> None:
    """Migrate in the transaction the connection is in."""
    context.configure(connection=connection, target_metadata=metadata, compare_server_default=True)
    context.run_migrations()


def run_from_command_line() -> None:
    """Migrate the database the settings name."""
    owner_url = read_settings().owner_url
    if context.is_offline_mode() or owner_url is None:
        raise CommandError("migrations need a database: set DATABASE_URL_OWNER or DATABASE_URL")
    with open_for_migration(owner_url) as connection:
        run(connection)


handed_over = context.config.attributes.get("connection")
if handed_over is None:
    run_from_command_line()
else:
    run(handed_over)

"""Database migrations, run by `service.store.migrate` or by Alembic's own command."""

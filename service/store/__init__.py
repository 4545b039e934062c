"""PostgreSQL: tables, migrations, loading, the snapshot the service answers from, and the embedded server."""

"""Migrations: up, down and up again, alike with the tables in the code, and safe when two run at once."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from psycopg import errors
from sqlalchemy import text

from service.store.database import transaction
from service.store.errors import StoreError
from service.store.migrate import check_models, migrate, migrate_back
from service.store.reader import load_snapshot
from service.store.tables import metadata
from service.store.writer import load_bundled

REPOSITORY = Path(__file__).parents[2]
OBJECTS = """
select 'table', relname from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r'
  and relname <> 'alembic_version'
union all
select 'function', proname from pg_proc where pronamespace = 'public'::regnamespace
  and proowner = 'deck_owner'::regrole and prolang = (select oid from pg_language where lanname = 'plpgsql')
"""
CONSTRAINTS = """
select conrelid::regclass::text, conname, replace(pg_get_constraintdef(oid), :schema || '.', '')
from pg_constraint where connamespace = cast(:schema as regnamespace) and contype not in ('n', 't')
  and conname <> 'alembic_version_pkc'
"""
COLUMNS = """
select table_name, column_name, data_type, is_nullable, column_default
from information_schema.columns where table_schema = :schema and table_name <> 'alembic_version'
"""


def test_up_down_and_up_again(spare_server, run_sql):
    url = spare_server.owner_url
    migrate(url, spare_server.service_url)
    first = sorted(run_sql(url, OBJECTS))
    assert ("table", "rule_row") in first
    load_bundled(url)
    migrate_back(url, "base")
    assert run_sql(url, OBJECTS) == []
    migrate(url, spare_server.service_url)
    assert sorted(run_sql(url, OBJECTS)) == first
    assert load_bundled(url)
    assert load_snapshot(spare_server.service_url).latest_rulebooks


def test_keys_can_be_taken_out_again_and_prices_stay(spare_server, run_sql):
    url = spare_server.owner_url
    migrate(url)
    migrate_back(url, "base")
    migrate(url, spare_server.service_url)
    load_bundled(url)
    count = "select count(*) from price_book_line"
    lines = run_sql(url, count)
    migrate_back(url, "0001")
    assert run_sql(url, count) == lines
    with pytest.raises(errors.RestrictViolation):
        run_sql(url, "update price_book_version set effective = '[2026-01-01,)' where version = 2")
    migrate(url, spare_server.service_url)
    assert load_bundled(url) == []
    assert load_snapshot(spare_server.service_url).price_books.versions


def test_the_tables_in_the_code_are_those_of_the_migrations(empty_database):
    check_models(empty_database.owner_url)


def test_columns_and_constraints_in_the_code_are_those_of_the_migrations(empty_database):
    with transaction(empty_database.owner_url) as connection:
        migrated = described(connection, "public")
        connection.execute(text("create schema models"))
        connection.execute(text("set local search_path to models, public"))
        metadata.create_all(connection, checkfirst=False)
        modelled = described(connection, "models")
        connection.rollback()
    assert len(migrated) > 60
    assert modelled == migrated


def described(connection, schema: str) -> set[tuple[object, ...]]:
    connection.execute(text(f"set local search_path to {schema}, public"))
    queries = (CONSTRAINTS, COLUMNS)
    return {tuple(row) for query in queries for row in connection.execute(text(query), {"schema": schema})}


def test_two_at_once_both_end_well(spare_server, run_sql):
    migrate(spare_server.owner_url)
    migrate_back(spare_server.owner_url, "base")
    script = "import sys; from service.store.migrate import migrate; migrate(*sys.argv[1:])"
    command = [sys.executable, "-c", script, spare_server.owner_url, spare_server.service_url]
    both = [subprocess.Popen(command, cwd=REPOSITORY, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    complaints = [one.communicate()[1] for one in both]
    assert [one.returncode for one in both] == [0, 0], complaints
    assert run_sql(spare_server.owner_url, "select version_num from alembic_version") == [("0005",)]


def test_a_migration_that_cannot_have_its_lock_gives_up_and_leaves_nothing(empty_database, monkeypatch):
    monkeypatch.setattr("service.store.migrate.LOCK_PATIENCE", "100ms")
    with transaction(empty_database.owner_url) as busy:
        busy.execute(text("lock table rule_row in access share mode"))
        with pytest.raises(StoreError, match="lock timeout"):
            migrate_back(empty_database.owner_url, "base")
    check_models(empty_database.owner_url)


def test_a_database_without_the_tables_is_said_to_be_unmigrated(empty_database):
    migrate_back(empty_database.owner_url, "base")
    with pytest.raises(StoreError, match=r"not migrated.*change_count"):
        load_snapshot(empty_database.service_url)


def test_an_unreachable_database_is_named_without_its_password(tmp_path):
    with pytest.raises(StoreError, match=r"deck:\*\*\*@.*cannot be reached"):
        migrate(f"postgresql://deck:secret@/framing?host={tmp_path}")

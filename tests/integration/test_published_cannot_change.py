"""A published version is attacked by each role; the service's own can do nothing, the owner's no change."""

# ruff: noqa: S608 - the statements are put together here, from names here

from __future__ import annotations

import msgspec
import psycopg
import pytest
from psycopg import errors

from service.store.reader import load_snapshot
from service.store.tables import metadata

TABLES = sorted(metadata.tables)
# Keys, grants and drafts come and go; what they are for does not.
FROZEN = [
    name for name in TABLES if name not in ("api_key", "change_count", "price_book_grant", "rule_draft")
]
PUBLISHED = "rulebook_id = 'irc-2021' and version = 1"
# a number that no draft of another test has had
NEW_VERSION = f"'irc-2021', 909, '2021', '', '', 'draft', null, '{'0' * 64}', null"

END_FIRST = (
    "update rulebook_version set in_force = daterange(null, (now() at time zone 'utc')::date) "
    f"where {PUBLISHED}"
)
ACTS_AS = "select set_config('deck_framing.actor', '{}', false)"

SERVICE_ATTACKS = (
    *(f"delete from {table}" for table in TABLES if table != "rule_draft"),
    *(f"truncate {table} cascade" for table in TABLES),
    "update rule_row set line = 'x'",
    "update rule_table set digest = digest",
    "update rulebook_version set digest = digest",
    "update rulebook_version set meta = ''",
    "update rule_draft set written_by = '{}'",
    "insert into audit_entry (actor, action, subject) values ('x', 'x', 'x')",
    "update audit_entry set actor = 'x'",
    "update price_book set public = false",
    "update jurisdiction_version set document = 'x'",
    "insert into organisation values ('someone-else', 'x')",
    "set session_replication_role = replica",
    "alter table rule_row disable trigger all",
    "alter table rule_row disable trigger keep_published",
    "alter table rule_row owner to deck_service",
    "drop trigger keep_published on rule_row",
    "drop function freeze_published_rulebook_part() cascade",
    "drop table rule_row cascade",
    "create function public.freeze_published_version() returns trigger language plpgsql as 'begin end'",
    "create or replace function public.refuse_truncation() returns trigger language plpgsql as 'begin end'",
    "create function public.other() returns int language sql as 'select 1'",
    "create table public.other (n int)",
    "create temporary table rule_row (n int)",
    "create schema other",
    "create extension hstore",
    "create role other",
    "set role deck_owner",
    "set role postgres",
    "set session authorization deck_owner",
    "grant deck_owner to deck_service",
    "grant update on rule_row to deck_service; update rule_row set line = 'x'",
    "alter role deck_service superuser",
    "alter role deck_owner password 'x'",
    "alter database deck_framing owner to deck_service",
    "alter role deck_service set session_replication_role = replica",
    "copy rule_row from program 'true'",
    "select pg_read_file('pg_hba.conf')",
    "lock table rule_row in access exclusive mode",
)

IN_FORCE = "'in_force'"
DRAFTED = (
    "insert into rule_draft (kind, id, version, content, content_digest, digest) "
    f"values ('rulebook', 'irc-2021', 909, '', '', '{'0' * 64}')"
)
PUBLISH = (
    "update rulebook_version set state = 'in_force', published_at = now(), "
    "in_force = daterange((now() at time zone 'utc')::date + {days}, null) where version = 909"
)
NEXT = (f"insert into rulebook_version values ({NEW_VERSION})", END_FIRST)
# What the service role has the right to try, and the triggers refuse.
SERVICE_STOPPED = (
    ("update rulebook_version set state = 'withdrawn'",),
    ("update rulebook_version set state = 'draft', published_at = null, in_force = null",),
    ("update jurisdiction_version set state = 'withdrawn'",),
    ("update rulebook_version set in_force = daterange(null, (now() at time zone 'utc')::date - 1)",),
    ("update rulebook_version set in_force = 'empty'",),
    ("update rulebook_version set in_force = daterange((now() at time zone 'utc')::date, null)",),
    ("update rulebook_version set published_at = now()",),
    ("insert into rule_row values ('irc-2021', 1, 'joist_spans', 9999, 'x')",),
    (f"insert into rule_table values ('irc-2021', 1, 'more', '{'0' * 64}', '{{}}')",),
    (*NEXT, PUBLISH.format(days=0)),
    (DRAFTED, *NEXT, PUBLISH.format(days=0)),
    (ACTS_AS.format("a"), DRAFTED, *NEXT, PUBLISH.format(days=0)),
    (ACTS_AS.format("a"), DRAFTED, *NEXT, ACTS_AS.format("b"), PUBLISH.format(days=-1)),
    (ACTS_AS.format("a"), DRAFTED, *NEXT, ACTS_AS.format(""), PUBLISH.format(days=0)),
    *(
        (
            ACTS_AS.format("a"),
            DRAFTED,
            *NEXT,
            ACTS_AS.format("b"),
            PUBLISH.format(days=0).replace("'in_force'", state, 1),
        )
        for state in ("'announced'", "'superseded'", "'withdrawn'")
    ),
    (
        "insert into rulebook_version values ('irc-2021', 2147483647, '', '', '', 'draft', null, "
        f"'{'0' * 64}', null)",
    ),
)
# Days no answer can tell would keep every server from reading the table.
ENDLESS = (
    "update rulebook_version set in_force = daterange(lower(in_force), 'infinity')",
    "update jurisdiction_version set in_force = daterange(lower(in_force), '20000-01-01')",
    "update price_book_version set effective = daterange(lower(effective), 'infinity') where upper_inf(effective)",
)

OWNER_ATTACKS = (
    f"update rule_row set line = line || ' ' where {PUBLISHED} and position = 1",
    f"update rule_row set version = 909 where {PUBLISHED}",
    f"delete from rule_row where {PUBLISHED}",
    "insert into rule_row values ('irc-2021', 1, 'joist_spans', 9999, 'x')",
    f"update rule_table set header = '{{}}' where {PUBLISHED}",
    f"delete from rule_table where {PUBLISHED}",
    f"insert into rule_table values ('irc-2021', 1, 'more', '{'0' * 64}', '{{}}')",
    f"update rulebook_version set meta = '' where {PUBLISHED}",
    f"update rulebook_version set state = 'draft', published_at = null where {PUBLISHED}",
    f"update rulebook_version set state = 'announced' where {PUBLISHED}",
    f"update rulebook_version set state = 'superseded', meta = '' where {PUBLISHED}",
    f"update rulebook_version set published_at = now() where {PUBLISHED}",
    f"delete from rulebook_version where {PUBLISHED}",
    "update jurisdiction_version set document = document || ' '",
    "delete from jurisdiction_version",
    *(f"truncate {table} cascade" for table in FROZEN),
)


@pytest.fixture(scope="module", autouse=True)
def nothing_changed(database):
    """After every attack of this file the whole is still as it was published."""
    before = digests(database.service_url)
    yield
    assert digests(database.service_url) == before


def digests(url: str) -> dict[tuple[str, int], str]:
    snapshot = load_snapshot(url)
    assert not snapshot.rulebooks.damaged
    assert not snapshot.jurisdictions.damaged
    shelves = (snapshot.rulebooks, snapshot.jurisdictions, snapshot.price_books)
    return {key: one.digest for shelf in shelves for key, one in shelf.versions.items()}


@pytest.mark.parametrize("attack", SERVICE_ATTACKS)
def test_the_service_role_is_denied(service_url, run_sql, attack):
    with pytest.raises(errors.InsufficientPrivilege):
        run_sql(service_url, attack)


@pytest.mark.parametrize("attack", SERVICE_STOPPED)
def test_the_service_role_is_stopped_by_the_triggers(service_url, run_sql, attack):
    with pytest.raises(errors.RestrictViolation):
        run_sql(service_url, *attack)


def test_what_has_come_into_force_is_not_withdrawn(owner_url, run_sql):
    """Its stored state may still be that of the day it was announced on."""
    since = (
        "set constraints all immediate",
        "alter table rulebook_version disable trigger keep_published",
        "update rulebook_version set state = 'announced', "
        f"in_force = daterange((now() at time zone 'utc')::date, null) where {PUBLISHED}",
        "alter table rulebook_version enable always trigger keep_published",
    )
    with pytest.raises(errors.RestrictViolation):
        run_sql(owner_url, *since, f"update rulebook_version set state = 'withdrawn' where {PUBLISHED}")


@pytest.mark.parametrize("attack", ENDLESS)
def test_days_stay_such_as_can_be_told(service_url, owner_url, run_sql, attack):
    for url in (service_url, owner_url):
        with pytest.raises(errors.CheckViolation):
            run_sql(url, attack)


def test_what_another_key_drafted_is_published_by_the_service_role(service_url):
    """The same statements with a second key, so that those above fail for the reason they name."""
    with psycopg.connect(service_url) as connection:
        for statement in (ACTS_AS.format("a"), DRAFTED, *NEXT, ACTS_AS.format("b"), PUBLISH.format(days=0)):
            assert connection.execute(statement).rowcount == 1
        connection.rollback()


def test_the_service_role_cannot_set_up_the_server(service_url):
    with psycopg.connect(service_url, autocommit=True) as connection:
        with pytest.raises(errors.InsufficientPrivilege):
            connection.execute("alter system set session_replication_role = replica")
        with pytest.raises(errors.InsufficientPrivilege):
            connection.execute("create database other")


@pytest.mark.parametrize("attack", OWNER_ATTACKS)
def test_the_owner_role_is_stopped_by_the_triggers(owner_url, run_sql, attack):
    with pytest.raises(errors.RestrictViolation, match=r"published version|what was written stays"):
        run_sql(owner_url, attack)


def test_the_owner_role_cannot_play_a_replica(owner_url, run_sql):
    with pytest.raises(errors.InsufficientPrivilege):
        run_sql(owner_url, "set session_replication_role = replica")


def test_the_triggers_fire_even_for_a_superuser_who_plays_a_replica(database, run_sql):
    passwords = msgspec.json.decode((database.data_dir / "passwords.json").read_bytes())
    url = database.owner_url.replace("deck_owner:", "postgres:").replace(
        database.owner_url.split(":")[2].split("@")[0], passwords["superuser"]
    )
    with pytest.raises(errors.RestrictViolation, match="published version"):
        run_sql(url, "set session_replication_role = replica", f"delete from rule_row where {PUBLISHED}")


def test_the_service_role_owns_nothing_may_read_and_adds_what_it_publishes(service_url, run_sql):
    owned = "select count(*) from pg_class where relowner = 'deck_service'::regrole"
    assert run_sql(service_url, owned) == [(0,)]
    granted = (
        "select table_name, privilege_type from information_schema.role_table_grants "
        "where grantee = 'deck_service' order by 1, 2"
    )
    inserted = ("jurisdiction", "jurisdiction_version", "price_book_line", "price_book_version")
    written = [
        (name, "INSERT") for name in (*inserted, "rule_row", "rule_table", "rulebook", "rulebook_version")
    ]
    written.append(("rule_draft", "DELETE"))
    assert run_sql(service_url, granted) == sorted(
        [*((name, "SELECT") for name in (*TABLES, "alembic_version")), *written]
    )
    columns = (
        "select table_name, column_name, privilege_type from information_schema.column_privileges "
        "where grantee = 'deck_service' and (table_name, privilege_type) in "
        "(('price_book', 'INSERT'), ('price_book_version', 'UPDATE'), ('rulebook_version', 'UPDATE'), "
        "('jurisdiction_version', 'UPDATE'), ('rule_draft', 'UPDATE')) order by 1, 2"
    )
    assert run_sql(service_url, columns) == [
        ("jurisdiction_version", "in_force", "UPDATE"),
        ("jurisdiction_version", "published_at", "UPDATE"),
        ("jurisdiction_version", "state", "UPDATE"),
        ("price_book", "id", "INSERT"),
        ("price_book", "organisation_id", "INSERT"),
        ("price_book_version", "effective", "UPDATE"),
        ("price_book_version", "published_at", "UPDATE"),
        ("price_book_version", "state", "UPDATE"),
        ("rule_draft", "based_on", "UPDATE"),
        ("rule_draft", "content", "UPDATE"),
        ("rule_draft", "content_digest", "UPDATE"),
        ("rule_draft", "digest", "UPDATE"),
        ("rulebook_version", "in_force", "UPDATE"),
        ("rulebook_version", "published_at", "UPDATE"),
        ("rulebook_version", "state", "UPDATE"),
    ]
    powers = (
        "select rolsuper, rolcreaterole, rolcreatedb, rolreplication, rolbypassrls from pg_roles "
        "where rolname in ('deck_service', 'deck_owner')"
    )
    assert run_sql(service_url, powers) == [(False,) * 5] * 2


@pytest.mark.parametrize("database_name", ["postgres", "template1"])
def test_no_other_database_can_be_entered(service_url, database_name):
    with pytest.raises(psycopg.OperationalError, match="permission denied"):
        psycopg.connect(service_url, dbname=database_name)


def test_a_draft_can_still_be_changed_and_removed(owner_url, run_sql):
    with psycopg.connect(owner_url) as connection:
        connection.execute(f"insert into rulebook_version values ({NEW_VERSION})")
        connection.execute(f"insert into rule_table values ('irc-2021', 909, 'posts', '{'0' * 64}', '{{}}')")
        connection.execute("insert into rule_row values ('irc-2021', 909, 'posts', 1, 'x')")
        connection.execute("update rule_row set line = 'y' where version = 909")
        with pytest.raises(errors.RestrictViolation), connection.transaction():
            connection.execute(
                "update rule_row set version = 1, table_name = 'joist_spans' where version = 909"
            )
        for table in ("rule_row", "rule_table", "rulebook_version"):
            assert connection.execute(f"delete from {table} where version = 909").rowcount == 1
        connection.rollback()


def test_a_draft_whose_version_is_published_meanwhile_takes_no_more_rows(owner_url):
    """The row waits for the publication, and is then refused."""
    with psycopg.connect(owner_url) as publisher, psycopg.connect(owner_url) as editor:
        publisher.execute("set local lock_timeout = '5s'")
        editor.execute(f"insert into rulebook_version values ({NEW_VERSION})")
        editor.execute(f"insert into rule_table values ('irc-2021', 909, 'posts', '{'0' * 64}', '{{}}')")
        editor.commit()
        publisher.execute(END_FIRST)
        publisher.execute(PUBLISH.format(days=0))
        editor.execute("set local lock_timeout = '100ms'")
        with pytest.raises(errors.LockNotAvailable):
            editor.execute("insert into rule_row values ('irc-2021', 909, 'posts', 1, 'x')")
        editor.rollback()
        publisher.rollback()
        editor.execute("delete from rule_table where version = 909")
        editor.execute("delete from rulebook_version where version = 909")

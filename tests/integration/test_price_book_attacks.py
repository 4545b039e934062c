"""The service role may add price books and nothing else: whoever has taken it over tries the rest."""

# ruff: noqa: S608 - the statements are put together here, from names here

from __future__ import annotations

import json
from dataclasses import replace

import psycopg
import pytest
from psycopg import errors

from service.store.key_writer import create_key
from service.store.price_writer import create_price_book, publish_price_book
from service.store.reader import load_snapshot
from service.web.price_upload import read_json
from tests.integration.price_service import day, prices

BOOK, VICTIM = "attacked-book", "attacked"
THIS = f"price_book_id = '{BOOK}'"
DIGEST = "0" * 64


def draft(first: str, last: str = "", version: int = 9) -> str:
    return (
        "insert into price_book_version (price_book_id, version, currency, effective, tax_included, header, "
        f"state, digest) values ('{BOOK}', {version}, 'USD', '[{first},{last})', false, '{{}}', 'draft', '{DIGEST}')"
    )


PUBLISH = (
    f"update price_book_version set state = 'in_force', published_at = now() where {THIS} and version = 9"
)
DENIED = (
    f"update price_book_version set digest = digest where {THIS}",
    f"update price_book_version set currency = 'EUR' where {THIS}",
    f"update price_book_line set line = 'x' where {THIS}",
    f"delete from price_book_line where {THIS}",
    f"delete from price_book_version where {THIS}",
    f"delete from price_book where id = '{BOOK}'",
    f"update price_book set organisation_id = 'other' where id = '{BOOK}'",
    f"insert into price_book (id, organisation_id, public) values ('{VICTIM}-public', '{VICTIM}', true)",
    f"insert into price_book values ('{VICTIM}-public', '{VICTIM}', true)",
    f"insert into api_key (id, organisation_id, name, kind, secret_digest, scopes) values "
    f"('{'0' * 16}', '{VICTIM}', '', 'secret', '{DIGEST}', '{{admin}}')",
    "update api_key set scopes = '{admin}'",
    "update api_key set revoked_at = null",
    "delete from api_key",
    f"insert into price_book_grant (price_book_id, organisation_id) values ('{BOOK}', '{VICTIM}')",
    "delete from price_book_grant",
    "update change_count set changes = 0",
    "insert into organisation values ('someone', 'x')",
    "alter table price_book_version disable trigger keep_published",
    "drop trigger keep_published on price_book_version",
    "drop trigger count_change on price_book_version",
    "create or replace function public.guard_price_book_version() returns trigger language plpgsql as 'begin end'",
    "set role deck_owner",
)
STOPPED = {
    "withdraw": f"update price_book_version set state = 'withdrawn' where {THIS}",
    "supersede": f"update price_book_version set state = 'superseded' where {THIS}",
    "back to a draft": f"update price_book_version set state = 'draft', published_at = null where {THIS}",
    "another moment": f"update price_book_version set published_at = now() where {THIS}",
    "end twice": f"update price_book_version set effective = daterange(lower(effective), '{day(3)}') "
    f"where {THIS} and version = 1",
    "open again": f"update price_book_version set effective = daterange(lower(effective), null) "
    f"where {THIS} and version = 1",
    "begin earlier": f"update price_book_version set effective = daterange('2020-01-01', '{day(40)}') "
    f"where {THIS} and version = 2",
    "end and withdraw": f"update price_book_version set effective = daterange(lower(effective), '{day(40)}'), "
    f"state = 'withdrawn' where {THIS} and version = 2",
    "a line more": f"insert into price_book_line values ('{BOOK}', 1, 999, 'x')",
    "published at once": "insert into price_book_version (price_book_id, version, currency, effective, tax_included, "
    f"header, state, published_at, digest) values ('{BOOK}', 9, 'USD', '[2020-01-01,2020-02-01)', false, '{{}}', "
    f"'in_force', now(), '{DIGEST}')",
    "published for days gone by": f"{draft('2020-01-01', '2020-02-01')}; {PUBLISH}",
    "published as long ago": f"{draft(day(200), day(201))}; {PUBLISH.replace('now()', 'now() - interval $$1 day$$')}",
    "published as announced": f"{draft(day(200), day(201))}; {PUBLISH.replace('in_force', 'announced')}",
}


@pytest.fixture(scope="module", autouse=True)
def attacked(database):
    """A book with a version that was ended and one that is open; every attack leaves it as it is."""
    create_key(database.owner_url, VICTIM, ["prices:write"])
    create_price_book(database.service_url, BOOK, VICTIM)
    for first, price in ((day(0), "1.50"), (day(10), "2.50")):
        body = prices(first)
        body["lines"][0]["unit_price"] = price
        publish(database.service_url, body)
    before = state(database.owner_url)
    yield
    assert state(database.owner_url) == before
    assert not load_snapshot(database.service_url).price_books.damaged


def publish(url: str, body: dict) -> None:
    upload = read_json(json.dumps(body).encode())
    publish_price_book(url, replace(upload.book, id=BOOK, organisation=VICTIM), upload.said)


def state(url: str) -> list[tuple[object, ...]]:
    with psycopg.connect(url) as connection:
        lines = f"select position, line from price_book_line where {THIS} order by version, position"
        versions = f"select * from price_book_version where {THIS} order by version"
        return [*connection.execute(lines).fetchall(), *connection.execute(versions).fetchall()]


@pytest.mark.parametrize("attack", DENIED)
def test_the_service_role_has_no_right(service_url, run_sql, attack):
    with pytest.raises(errors.InsufficientPrivilege):
        run_sql(service_url, attack)


@pytest.mark.parametrize("name", STOPPED)
def test_the_service_role_is_stopped_by_the_triggers(service_url, run_sql, name):
    with pytest.raises(errors.RestrictViolation, match=r"published|draft"):
        run_sql(service_url, *STOPPED[name].split("; "))


def test_the_owner_cannot_change_what_is_published_either(owner_url, run_sql):
    for name in (
        "back to a draft",
        "another moment",
        "open again",
        "begin earlier",
        "a line more",
    ):
        with pytest.raises(errors.RestrictViolation, match="published"):
            run_sql(owner_url, STOPPED[name])


def test_the_owner_may_end_a_version_sooner_never_later(owner_url):
    """A book that comes with the service may get a version between two: the one in force then ends sooner."""
    end = f"update price_book_version set effective = daterange(lower(effective), '{{}}') where {THIS} and version = 1"
    with psycopg.connect(owner_url) as connection:
        connection.execute(end.format(day(3)))
        with pytest.raises(errors.RestrictViolation, match="published"), connection.transaction():
            connection.execute(end.format(day(4)))
        connection.rollback()


def test_an_open_version_is_ended_today_at_the_earliest_whoever_does_it(owner_url):
    """A version of days gone by, which only the owner could have loaded."""
    end = f"update price_book_version set effective = daterange(lower(effective), '{{}}') where {THIS} and version = 9"
    with psycopg.connect(owner_url) as connection:
        connection.execute("alter table price_book_version drop constraint price_book_version_no_overlap")
        connection.execute(draft("2020-01-01"))
        connection.execute(PUBLISH)
        with pytest.raises(errors.RestrictViolation, match="published"), connection.transaction():
            connection.execute(end.format(day(-1)))
        assert connection.execute(end.format(day(0))).rowcount == 1
        connection.rollback()


def test_overlapping_days_are_refused_by_the_database_itself(service_url, run_sql):
    with pytest.raises(errors.ExclusionViolation, match="price_book_version_no_overlap"):
        run_sql(service_url, draft(day(15), day(20)), PUBLISH)


def test_changes_are_counted_as_often_as_they_are_committed(owner_url, service_url, run_sql):
    count = "select changes from change_count"
    before = run_sql(service_url, count)
    with psycopg.connect(service_url) as connection:
        connection.execute(draft(day(200), day(201)))
        assert run_sql(owner_url, count) == before
        connection.rollback()
    assert run_sql(owner_url, count) == before
    create_key(owner_url, VICTIM, ["designs"])
    assert run_sql(owner_url, count)[0][0] == before[0][0] + 1

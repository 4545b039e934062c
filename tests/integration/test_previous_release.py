"""Replicas of the release before go on beside the present tables: they are answered, and what they write is read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import psycopg
import pytest
from alembic.script import ScriptDirectory
from psycopg.rows import dict_row

from service.cli.database import prepare
from service.store.embedded import EmbeddedServer
from service.store.key_writer import create_key
from service.store.migrate import SCRIPTS, migrate_back
from service.store.reader import load_snapshot
from service.store.rule_writer import create_draft, publish_draft
from service.store.writer import load_bundled
from tests.integration.price_service import today

RECORDED = Path(__file__).with_name("previous_release.sql")
REVISION = "0003"
HEAD = str(ScriptDirectory(str(SCRIPTS)).get_current_head())
# What that release serves where an id alone is named; the newest such version of a place, whatever the day.
SERVED = ("in_force", "superseded")


@dataclass(frozen=True)
class Asked:
    """One recorded statement, and the columns its release reads off the answer."""

    text: str
    gives: list[str]


@dataclass(frozen=True)
class Recorded:
    """One recorded transaction."""

    role: str
    title: str
    statements: list[Asked]


def recorded() -> Iterator[Recorded]:
    """The transactions in their order."""
    for part in re.split(r"^-- (?=(?:service|owner): )", RECORDED.read_text("utf-8"), flags=re.MULTILINE)[1:]:
        heading, *blocks = part.strip().split("\n\n")
        role, title = heading.split(": ")
        yield Recorded(role, title, [_asked(one) for one in blocks])


def _asked(block: str) -> Asked:
    first, _, rest = block.partition("\n")
    if first.startswith("-- gives "):
        return Asked(rest, first.removeprefix("-- gives ").split(", "))
    return Asked(block, [])


@pytest.fixture
def database(empty_database: EmbeddedServer) -> EmbeddedServer:
    """All that comes with the service, and the organisation of the recorded price book."""
    load_bundled(empty_database.owner_url)
    create_key(empty_database.owner_url, "previous", ["prices:write"])
    return empty_database


def replay(server: EmbeddedServer) -> dict[str, list[list[dict[str, Any]]]]:
    """Run what was recorded, as the role that did; the rows each statement of a transaction gives."""
    urls = {"service": server.service_url, "owner": server.owner_url}
    answers: dict[str, list[list[dict[str, Any]]]] = {}
    for one in recorded():
        with psycopg.connect(urls[one.role], row_factory=dict_row) as connection:
            answers[one.title] = [_answer(connection, asked) for asked in one.statements]
    return answers


def _answer(connection: psycopg.Connection[Any], asked: Asked) -> list[dict[str, Any]]:
    cursor = connection.execute(asked.text.encode())
    columns = [one.name for one in cursor.description or ()]
    assert columns == asked.gives, asked.text
    return cursor.fetchall() if columns else []


def having(column: str, answers: list[list[dict[str, Any]]]) -> list[dict[str, Any]]:
    """The rows of the one statement that gives a column."""
    (found,) = [rows for rows in answers if rows and column in rows[0]]
    return found


def test_what_was_recorded_is_of_that_release(database):
    migrate_back(database.owner_url, REVISION)
    assert len(replay(database)) == 10


def test_all_of_it_works_on_the_present_tables_and_is_read(database, run_sql):
    counted = "select changes from change_count"
    before = run_sql(database.owner_url, counted)[0][0]
    answers = replay(database)
    assert len(answers) == 10
    books = having("effective", answers["reads what is new"])
    assert sorted(one["version"] for one in books if one["id"] == "previous-book") == [1, 2]
    snapshot = load_snapshot(database.service_url)
    assert not snapshot.price_books.damaged
    for day, version, price in ((date(2099, 1, 31), 1, "1.50"), (date(2099, 2, 1), 2, "2.50")):
        book = snapshot.price_book("previous-book", day)
        assert (book.version, str(book.lines[0].unit_price)) == (version, price)
    assert run_sql(database.owner_url, counted)[0][0] > before
    written = run_sql(
        database.owner_url, "select action, subject from audit_entry where actor = 'role deck_service'"
    )
    assert ("published", "price_book previous-book@2") in written


def test_it_does_not_serve_what_is_announced_only(database):
    """Its reader gives a state to each version; by that one alone it leaves out what has not come into force."""
    places = {"alder-county": 40, "sundrel-flats": 0}
    for id, ahead in places.items():
        draft = create_draft(
            database.service_url, "jurisdiction", id, _numbered, actor="key a", based_on=(id, 1)
        )
        begins = today() + timedelta(days=ahead)
        publish_draft(database.service_url, "jurisdiction", id, 2, draft.etag, begins, actor="key b")
    rows = having("document", replay(database)["reads all there is, at its start"])
    newest = {
        id: max(row["version"] for row in rows if row["id"] == id and row["state"] in SERVED) for id in places
    }
    assert newest == {"alder-county": 1, "sundrel-flats": 2}
    assert len([row for row in rows if row["id"] in places]) == 4


def _numbered(content: Any, version: int) -> str:
    return str(content).replace("\nversion = 1\n", f"\nversion = {version}\n")


def test_a_replica_started_again_beside_later_tables_leaves_them_as_they_are(database, run_sql):
    later = "update alembic_version set version_num = '9999'"
    run_sql(database.owner_url, later)
    said: list[str] = []
    assert prepare(database.owner_url, database.service_url, said.append) == []
    assert any("later version of the service" in one for one in said)
    assert run_sql(database.owner_url, "select version_num from alembic_version") == [("9999",)]
    assert load_snapshot(database.service_url).latest_rulebooks
    run_sql(database.owner_url, later.replace("9999", HEAD))

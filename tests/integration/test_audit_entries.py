"""The audit over HTTP and on the command line: who wrote what, told to the organisation it is about alone."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import httpx
import pytest
from click.testing import CliRunner

from service.cli import main
from service.store.audit_reader import PAGE, entries_of, entries_since
from service.store.embedded import EmbeddedServer
from service.store.key_writer import create_key, grant_price_book, revoke_key, rotate_key
from service.store.price_writer import create_price_book
from tests.integration.price_service import EVERYTHING, Yard, bearer, day, new_yard, prices, service, until

PATH = "/v1/audit-entries"


@pytest.fixture(scope="module")
def address(database: EmbeddedServer) -> Iterator[str]:
    with service(database) as found:
        yield found


def admin_of(database: EmbeddedServer, yard: Yard) -> Yard:
    key = create_key(database.owner_url, yard.organisation, ["admin", *EVERYTHING])
    admin = Yard(yard.address, key, yard.organisation, yard.book)
    until(lambda: admin.ask("GET", PATH).status_code == 200)
    return admin


def told(yard: Yard, query: str = "") -> list[tuple[str, str, str]]:
    answer = yard.ask("GET", PATH + query)
    assert answer.status_code == 200, answer.text
    return [(one["actor"], one["action"], one["subject"]) for one in answer.json()["items"]]


def test_every_write_of_a_key_is_told_with_its_digest(database, address):
    yard = new_yard(database, address)
    made = yard.upload(prices(day(0)))
    yard.upload(prices(day(3)))
    admin = admin_of(database, yard)
    id = yard.key.split(".")[1]
    found = told(admin)
    assert [one for one in found if one[0] != "operator"] == [
        (f"key {id}", "created", f"price_book {yard.book}"),
        (f"key {id}", "published", f"price_book {yard.book}@1"),
        (f"key {id}", "days_changed", f"price_book {yard.book}@1"),
        (f"key {id}", "published", f"price_book {yard.book}@2"),
    ]
    first = next(one for one in admin.ask("GET", PATH).json()["items"] if one["action"] == "published")
    assert first["digest"] == made.json()["digest"]
    assert first["at"].endswith("Z")


def test_what_was_refused_or_only_tried_leaves_nothing(database, address):
    yard = new_yard(database, address)
    admin = admin_of(database, yard)
    before = told(admin)
    assert yard.upload(prices("2020-01-01")).status_code == 409
    assert yard.ask("POST", f"{yard.versions}?dry_run=true", json=prices(day(0))).status_code == 200
    assert told(admin) == before


def test_another_organisation_is_told_nothing_of_it(database, address):
    yard, other = new_yard(database, address), new_yard(database, address)
    yard.upload(prices(day(0)))
    grant_price_book(database.owner_url, yard.book, other.organisation)
    found = str(told(admin_of(database, other)))
    assert yard.book not in found
    assert yard.organisation not in found
    assert yard.key.split(".")[1] not in found
    assert other.book in found
    assert ("operator", "granted", f"price_book {yard.book} to {other.organisation}") in told(
        admin_of(database, yard)
    )


def test_names_that_begin_alike_are_told_apart(database, address):
    """A book's id may be the beginning of another's, and so may a version's number."""
    yard = new_yard(database, address)
    create_price_book(database.service_url, f"{yard.book}-2", yard.organisation)
    other = new_yard(database, address)
    assert len([one for one in told(admin_of(database, yard)) if one[2].startswith("price_book")]) == 2
    assert [one for one in told(admin_of(database, other)) if yard.book in one[2]] == []


def test_keys_are_told_without_who_keeps_the_machine(database, address):
    yard = new_yard(database, address)
    key = create_key(database.owner_url, yard.organisation, ["designs"])
    id = key.split(".")[1]
    rotate_key(database.owner_url, id, timedelta(days=1))
    revoke_key(database.owner_url, id)
    found = told(admin_of(database, yard))
    mine = [
        (actor, action) for actor, action, subject in found if subject == f"key {id} of {yard.organisation}"
    ]
    assert mine == [("operator", "key_created"), ("operator", "key_changed"), ("operator", "key_revoked")]
    assert key.split(".")[2] not in str(found)


def test_entries_come_a_page_at_a_time(database, address):
    yard = new_yard(database, address)
    for number in range(PAGE + 5):
        create_price_book(database.service_url, f"{yard.book}-n{number}", yard.organisation)
    admin = admin_of(database, yard)
    first = admin.ask("GET", PATH).json()
    assert len(first["items"]) == PAGE
    rest = admin.ask("GET", f"{PATH}?after={first['next']}").json()
    ids = [one["id"] for one in first["items"] + rest["items"]]
    assert ids == sorted(set(ids))
    assert len(entries_of(database.service_url, yard.organisation, most=10_000)) == len(ids)
    assert rest["next"] is None
    assert told(admin, f"?after={ids[-1]}") == []
    refused = admin.ask("GET", f"{PATH}?after=x")
    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (422, "/after")


def test_only_an_admin_may_look(database, address):
    yard = new_yard(database, address)
    refused = yard.ask("GET", PATH)
    assert (refused.status_code, refused.json()["code"]) == (403, "scope_missing")
    nobody = httpx.get(address + PATH, trust_env=False)
    assert (nobody.status_code, nobody.json()["code"]) == (401, "unauthenticated")
    bad = httpx.get(address + PATH, headers=bearer(yard.key[:-1] + "!"), trust_env=False)
    assert bad.status_code == 401


def test_the_command_line_tells_all_of_it_from_a_day_on(database, address, monkeypatch):
    yard = new_yard(database, address)
    monkeypatch.setenv("DATABASE_URL", database.service_url)
    monkeypatch.setenv("DATABASE_URL_OWNER", database.owner_url)
    done = CliRunner().invoke(main, ("audit", "list", "--since", day(0)))
    assert done.exit_code == 0, done.output
    assert f"created          price_book {yard.book}" in done.stdout
    assert CliRunner().invoke(main, ("audit", "list", "--since", day(1))).stdout == ""
    assert len(entries_since(database.service_url)) >= len(done.stdout.splitlines()) > 0

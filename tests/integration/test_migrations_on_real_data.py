"""Down to every earlier revision and up again with rules, prices, keys and grants in the tables."""

# ruff: noqa: S608 - the statements are put together here, from values here

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

import pytest
from alembic.script import ScriptDirectory
from psycopg import errors

from service.rules.jurisdiction import parse_jurisdiction
from service.store.embedded import EmbeddedServer
from service.store.errors import NotServed
from service.store.key_writer import create_key, grant_price_book, list_keys
from service.store.migrate import SCRIPTS, check_models, migrate, migrate_back
from service.store.reader import load_snapshot
from service.store.rule_writer import create_draft, publish_draft, withdraw_version
from service.store.snapshot import Snapshot
from service.store.writer import load_bundled
from tests.integration.price_service import day as day_after
from tests.integration.price_service import new_yard, prices, service, today

EARLIER = sorted(one.revision for one in ScriptDirectory(str(SCRIPTS)).walk_revisions())[:-1]
KEYS_FROM = "0002"
DAYS = [date(2020, 1, 1), date(2026, 11, 25), *(today() + timedelta(days=n) for n in (-1, 0, 1, 40))]


@pytest.fixture
def filled(empty_database: EmbeddedServer) -> EmbeddedServer:
    """All that comes with the service, two versions of a yard's prices, its key, a grant, and rules of a draft."""
    load_bundled(empty_database.owner_url)
    with service(empty_database) as address:
        yard = new_yard(empty_database, address)
        for first in (0, 10):
            assert yard.upload(prices(day_after(first))).status_code == 201
    create_key(empty_database.owner_url, "oakline", ["designs"])
    grant_price_book(empty_database.owner_url, yard.book, "oakline")
    for first, withdrawn in ((0, False), (20, True), (30, False)):
        publish_place(empty_database.service_url, first, withdrawn)
    return empty_database


def publish_place(url: str, first: int, withdrawn: bool) -> None:
    """A further version of a place, in force from so many days after today on."""
    draft = create_draft(
        url, "jurisdiction", "alder-county", _numbered, actor="key a", based_on=("alder-county", 1)
    )
    begins = today() + timedelta(days=first)
    publish_draft(url, draft.kind, draft.id, draft.version, draft.etag, begins, actor="key b")
    if withdrawn:
        withdraw_version(url, draft.kind, draft.id, draft.version, actor="key b")


def _numbered(content: Any, version: int) -> str:
    return str(content).replace("\nversion = 1\n", f"\nversion = {version}\n")


def digests(snapshot: Snapshot) -> Mapping[tuple[str, int], str]:
    shelves = (snapshot.rulebooks, snapshot.jurisdictions, snapshot.price_books)
    assert not [one for shelf in shelves for one in shelf.damaged]
    return {key: one.digest for shelf in shelves for key, one in shelf.versions.items()}


def chosen(snapshot: Snapshot) -> dict[tuple[str, date], object]:
    """Which version each id alone means on each day."""
    find = {
        **{id: snapshot.rulebook for id, _ in snapshot.rulebooks.versions},
        **{id: snapshot.jurisdiction for id, _ in snapshot.jurisdictions.versions},
        **{id: snapshot.price_book for id, _ in snapshot.price_books.versions},
    }
    return {(id, day): _version(look_up, id, day) for id, look_up in find.items() for day in DAYS}


def _version(look_up: Any, id: str, day: date) -> object:
    try:
        return look_up(id, day).version
    except NotServed:
        return None


@pytest.mark.parametrize("revision", EARLIER)
def test_down_and_up_again_keeps_what_is_published(filled, run_sql, revision):
    owner, url = filled.owner_url, filled.service_url
    before, keys = load_snapshot(url), list_keys(owner)
    states = run_sql(owner, "select * from price_book_version order by 1, 2")
    migrate_back(owner, revision)
    assert run_sql(owner, "select version_num from alembic_version") == [(revision,)]
    assert run_sql(owner, "select * from price_book_version order by 1, 2") == states
    with pytest.raises(errors.RestrictViolation):
        run_sql(owner, "update rulebook_version set digest = meta_digest")
    migrate(owner, url)
    after = load_snapshot(url)
    assert digests(after) == digests(before)
    early, late = chosen(before), chosen(after)
    announced = ("alder-county", DAYS[-1])
    assert (early.pop(announced), late.pop(announced)) == (4, 2), "what was announced needs a new day"
    assert late == early
    assert after.jurisdictions.states["alder-county", 4] == "withdrawn"
    assert run_sql(owner, "select * from price_book_version order by 1, 2") == states
    if revision >= KEYS_FROM:
        assert list_keys(owner) == keys
        assert after.access == before.access
    check_models(owner)
    assert load_bundled(owner) == []


def test_a_version_withdrawn_before_there_were_days_takes_none_from_the_others(empty_database, run_sql):
    owner = empty_database.owner_url
    load_bundled(owner)
    before = load_snapshot(empty_database.service_url)
    migrate_back(owner, "0003")
    (given,) = run_sql(
        owner, "select document from jurisdiction_version where jurisdiction_id = 'alder-county'"
    )
    document = _numbered(given[0], 2)
    digest = parse_jurisdiction(document, "alder-county.toml").digest
    this = "jurisdiction_id = 'alder-county' and version = 2"
    run_sql(
        owner,
        "insert into jurisdiction_version (jurisdiction_id, version, document, state, digest) values "
        f"('alder-county', 2, $text${document}$text$, 'draft', '{digest}')",
        f"update jurisdiction_version set state = 'in_force', published_at = now() where {this}",
        f"update jurisdiction_version set state = 'withdrawn' where {this}",
    )
    migrate(owner, empty_database.service_url)
    after = load_snapshot(empty_database.service_url)
    assert ("alder-county", 2) in after.jurisdictions.versions
    assert chosen(after) == chosen(before)

"""Keys over their lives, on the command line and before a running service: bound, expired, rotated, revoked."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import timedelta

import httpx
import pytest
from click.testing import CliRunner

from service.app import serving_app
from service.cli import main
from service.cli.trial import served
from service.settings import Settings
from service.store.embedded import EmbeddedServer
from service.store.errors import StoreError
from service.store.key_writer import (
    Bounds,
    create_key,
    create_publishable_key,
    has_key_in_force,
    list_keys,
    revoke_key,
    rotate_key,
)
from service.store.migrate import migrate, migrate_back
from service.store.reader import load_snapshot
from service.web.desk import utc_now
from tests.integration.price_service import (
    EVERYTHING,
    bearer,
    day,
    new_yard,
    prices,
    service,
    until,
    without_id,
)

PAGE = "https://yard.example"
Command = Callable[..., str]


@pytest.fixture(scope="module")
def address(database: EmbeddedServer) -> Iterator[str]:
    with service(database) as found:
        yield found


@pytest.fixture
def command(database: EmbeddedServer, monkeypatch: pytest.MonkeyPatch) -> Command:
    monkeypatch.setenv("DATABASE_URL", database.service_url)
    monkeypatch.setenv("DATABASE_URL_OWNER", database.owner_url)

    def run(*words: str, fails: int = 0) -> str:
        done = CliRunner().invoke(main, words)
        assert done.exit_code == fails, done.output
        return done.output.strip() if fails else done.stdout.strip()

    return run


def ask(address: str, path: str, key: str, **headers: str) -> httpx.Response:
    sent = {**bearer(key), **headers}
    return httpx.get(address + path, headers=sent, trust_env=False, timeout=20)


def status(address: str, key: str) -> int:
    return ask(address, "/v1/options", key).status_code


def id_of(key: str) -> str:
    return key.split(".")[1]


def test_a_key_ends_by_the_clock_without_any_change_of_the_database(database, address):
    end = utc_now() + timedelta(seconds=4)
    key = create_key(database.owner_url, "oakline", ["designs"], bounds=Bounds(expires_at=end))
    until(lambda: status(address, key) == 200)
    changes = load_snapshot(database.service_url).changes
    time.sleep(max((end - utc_now()).total_seconds(), 0) + 0.1)
    ended, unknown = (ask(address, "/v1/options", one) for one in (key, f"secret.{'0' * 16}.{'A' * 43}"))
    assert ended.status_code == 401
    assert without_id(ended) == without_id(unknown)
    # expiry is no write: the key is in memory still
    snapshot = load_snapshot(database.service_url)
    assert (snapshot.changes, id_of(key) in snapshot.access.keys) == (changes, True)


def test_both_keys_are_good_while_they_overlap(database, address, command):
    old = create_key(database.owner_url, "oakline", EVERYTHING, name="CRM")
    new = command("keys", "rotate", id_of(old), "--overlap-days", "7").split()[0]
    until(lambda: status(address, new) == 200)
    assert (status(address, old), id_of(old) != id_of(new)) == (200, True)
    before, after = (
        next(one for one in list_keys(database.owner_url) if one.id == id_of(key)) for key in (old, new)
    )
    for name in ("organisation", "name", "kind", "scopes", "price_book", "rules_bound", "origins"):
        assert getattr(before, name) == getattr(after, name)
    assert after.expires_at is None
    assert timedelta(days=6.9) < before.expires_at - utc_now() < timedelta(days=7.1)
    assert f"in force to {before.expires_at:%Y-%m-%d}" in command("keys", "list")
    # once more, at once: the first end is not put off, and the old key cannot be replaced after it
    again = command("keys", "rotate", id_of(new), "--overlap-days", "0").split()[0]
    until(lambda: status(address, again) == 200)
    until(lambda: status(address, new) == 401)
    assert "no key" in command("keys", "rotate", id_of(new), "--overlap-days", "7", fails=1)


def test_a_rotated_key_keeps_what_binds_it(database, command):
    url = database.owner_url
    page = create_publishable_key(url, "oakline", "brindlemoor-yard", [PAGE, "http://localhost:81"])
    rules = create_key(url, "oakline", ["rules:write"], bounds=Bounds(rules=["irc-2021", "alder-county"]))
    for key in (page, rules):
        new, _ = rotate_key(url, id_of(key), timedelta(days=1))
        keys = load_snapshot(database.service_url).access.keys
        old, made = keys[id_of(key)], keys[id_of(new)]
        for name in ("organisation", "kind", "scopes", "price_book", "rules_bound", "origins"):
            assert getattr(old, name) == getattr(made, name)
        assert new.startswith(f"{old.kind}.")


def test_a_rotation_never_lengthens_a_life_unasked(database, command):
    soon = utc_now() + timedelta(days=2)
    old = create_key(database.owner_url, "oakline", ["designs"], bounds=Bounds(expires_at=soon))
    assert "say when the new key does" in command(
        "keys", "rotate", id_of(old), "--overlap-days", "7", fails=1
    )
    _, ends_at = rotate_key(database.owner_url, id_of(old), timedelta(days=7), expires_at=soon + timedelta(9))
    assert ends_at == soon
    for days in (-1, 91):
        with pytest.raises(StoreError, match="0 to 90 days"):
            rotate_key(database.owner_url, id_of(old), timedelta(days=days))


def test_a_key_that_is_gone_stays_gone(database, address):
    keys = [create_key(database.owner_url, "oakline", ["designs"]) for _ in range(2)]
    until(lambda: status(address, keys[1]) == 200)
    for key in keys:
        revoke_key(database.owner_url, id_of(key))
    until(lambda: status(address, keys[1]) == 401)
    with pytest.raises(StoreError, match="is in force"):
        rotate_key(database.owner_url, id_of(keys[0]), timedelta(days=7))


def test_a_publishable_key_on_the_command_line(command, address):
    line = (
        "keys",
        "create",
        "--organisation",
        "oakline",
        "--publishable",
        "--price-book",
        "brindlemoor-yard",
    )
    key = command(*line, "--origin", "https://Yard.Example:443/", "--origin", PAGE, "--expires", "30")
    assert key.startswith("publishable.")
    until(lambda: ask(address, "/v1/options", key, Origin=PAGE).status_code == 200)
    listed = next(one for one in command("keys", "list").splitlines() if id_of(key) in one)
    assert f"publishable designs price book brindlemoor-yard pages of {PAGE}" in listed
    for words, told in (
        ((), "needs the origin of a page"),
        (("--origin", "https://*.example"), "is no origin"),
        (("--origin", "http://yard.example"), "is not https"),
        (("--origin", PAGE, "--scope", "prices:read"), "for designs alone"),
        (("--origin", PAGE, "--rules-of", "irc-2021"), "for designs alone"),
        (("--origin", PAGE, "--expires", "2020-01-01"), "is gone by"),
    ):
        assert told in command(*line, *words, fails=2 if "alone" in told else 1)
    assert "needs the one --price-book" in command(*line[:5], "--origin", PAGE, fails=2)
    assert "has no --origin" in command(*line[:4], "--scope", "designs", "--origin", PAGE, fails=2)


@pytest.mark.parametrize(
    "origin",
    [
        "null", "*", "https://", "https://yard.example/shop", "https://yard.example?", "https://yard.example#",
        "yard.example",         "https://user@yard.example", "https://yard.example:0", "https://yard.example:99999", "https://yard.example.",
        "https://-yard.example", "https://yard..example", "https://ÿard.example", "ftp://yard.example", "file:///x",
        "https://yard.example https://b.example", "https://yard.example\n", "https://127.1", "https://0127.0.0.1",
        "https://[::1%25lo]", "https:\\\\yard.example", "https://yard_x.example", "javascript:alert(1)",
    ],
)  # fmt: skip
def test_what_is_no_origin_is_refused(database, origin):
    with pytest.raises(StoreError, match=r"no origin|not https"):
        create_publishable_key(database.owner_url, "oakline", "brindlemoor-yard", [origin])


def test_a_publishable_key_needs_a_book_that_everyone_may_read(database, address):
    """Not even the organisation's own: its prices would be anyone's. Another's is told like one that is not there."""
    yard, other = new_yard(database, address), new_yard(database, address)
    told = set()
    for book in (yard.book, other.book, "nowhere-yard"):
        with pytest.raises(StoreError, match="that everyone may read") as refused:
            create_publishable_key(database.owner_url, yard.organisation, book, [PAGE])
        told.add(str(refused.value).replace(book, ""))
    assert len(told) == 1


def test_the_database_itself_keeps_publishable_keys_bound(database, run_sql):
    for values in (
        "'publishable', '{designs}', 'brindlemoor-yard', '{}', '{}'",
        "'publishable', '{designs}', null, '{https://yard.example}', '{}'",
        "'publishable', '{designs,prices:read}', 'brindlemoor-yard', '{https://yard.example}', '{}'",
        "'secret', '{designs}', null, '{https://yard.example}', '{}'",
        "'secret', '{designs}', null, '{}', '{irc-2021}'",
    ):
        insert = (
            "insert into api_key (id, organisation_id, name, secret_digest, kind, scopes, price_book_id, origins, "  # noqa: S608
            f"rules_bound) values ('{'f' * 16}', 'brindlemoor-timber', '', '{'0' * 64}', {values})"
        )
        with pytest.raises(Exception, match="_ck"):
            run_sql(database.owner_url, insert)


def test_rules_are_bound_to_what_there_is(database, command):
    line = ("keys", "create", "--organisation", "oakline", "--rules-of", "irc-2021")
    key = command(*line, "--rules-of", "alder-county", "--scope", "rules:write")
    bound = load_snapshot(database.service_url).access.keys[id_of(key)].rules_bound
    assert bound == {"irc-2021", "alder-county"}
    assert "only the scopes rules:write" in command(*line, "--scope", "designs", fails=1)
    assert "no rulebook or jurisdiction irc-1999" in command(
        *line, "--rules-of", "irc-1999", "--scope", "rules:write", fails=1
    )
    assert "neither a day" in command(*line, "--scope", "rules:write", "--expires", "soon", fails=2)


@pytest.mark.parametrize("act", ["read", "read version", "write", "make", "name"])
def test_another_organisations_book_is_not_there(database, address, act):
    yard, other = new_yard(database, address), new_yard(database, address)
    assert other.upload(prices(day(0))).status_code == 201
    nowhere = f"{other.book}x"

    def tried(book: str) -> httpx.Response:
        path = f"/v1/price-books/{book}"
        if act == "make":
            return yard.ask("POST", "/v1/price-books", json={"id": book})
        if act == "write":
            return yard.ask("POST", f"{path}/versions", json=prices(day(1)))
        if act == "name":
            deck = {
                "jurisdiction": "alder-county",
                "levels": [{"width_ft": 9, "projection_ft": 8, "surface_height_in": 30}],
            }
            return yard.ask("POST", "/v1/takeoffs", json={**deck, "price_book": book})
        return yard.ask("GET", path if act == "read" else f"{path}/versions/1")

    found, none = tried(other.book), tried(nowhere)
    assert found.status_code in (404, 422)
    assert without_id(found, other.book) == without_id(none, nowhere)


def test_a_key_is_not_bound_to_another_organisations_book(database, address):
    yard, other = new_yard(database, address), new_yard(database, address)
    told = set()
    for book in (other.book, "nowhere-yard"):
        with pytest.raises(StoreError, match="may read") as refused:
            create_key(database.owner_url, yard.organisation, ["designs"], price_book=book)
        told.add(str(refused.value).replace(book, ""))
    assert len(told) == 1


def test_an_address_said_by_anyone_is_not_believed(database):
    """Publishable keys are counted by address: only a proxy that is named may say whose."""
    key = create_publishable_key(database.owner_url, "oakline", "brindlemoor-yard", [PAGE])
    for proxies, statuses in (((), [200, 200, 429]), (("127.0.0.1",), [200, 200, 200])):
        settings = Settings(publishable_per_minute=6, proxies=proxies)
        with served(serving_app(database.service_url, settings), settings) as address:
            found = [
                ask(address, "/v1/rulebooks", key, Origin=PAGE, **{"X-Forwarded-For": f"192.0.2.{one}"})
                for one in range(3)
            ]
        assert [one.status_code for one in found] == statuses
    with served(serving_app(database.service_url, settings), settings) as address:
        # what a client says of itself comes before what the proxy adds
        chain = [{"X-Forwarded-For": f"198.51.100.{one}, 192.0.2.1"} for one in range(3)]
        found = [ask(address, "/v1/rulebooks", key, Origin=PAGE, **one) for one in chain]
    assert [one.status_code for one in found] == [200, 200, 429]


def test_a_page_may_read_the_raw_streams(database, address):
    page = "https://streams.example"
    key = create_publishable_key(database.owner_url, "oakline", "brindlemoor-yard", [page])
    until(lambda: ask(address, "/v1/options", key, Origin=page).status_code == 200)
    for headers, status in (({}, 200), (bearer(key), 403)):
        sent = {"Content-Type": "application/x-ndjson", "Origin": page, **headers}
        answer = httpx.post(
            f"{address}/v1/design-batches", content=b"{}\n", headers=sent, trust_env=False, timeout=60
        )
        assert answer.status_code == status
        assert answer.headers["access-control-allow-origin"] == page


def test_taking_the_columns_back_leaves_no_key_freer_than_it_was(empty_database, run_sql):
    url = empty_database.owner_url
    run_sql(
        url,
        "insert into organisation values ('oakline', 'Oakline')",
        "insert into price_book values ('oakline-yard', 'oakline', true)",
    )
    page = create_publishable_key(url, "oakline", "oakline-yard", [PAGE])
    dated = create_key(url, "oakline", ["designs"], bounds=Bounds(expires_at=utc_now() + timedelta(days=1)))
    plain = create_key(url, "oakline", ["designs"])
    migrate_back(url, "0004")
    rows = dict(run_sql(url, "select id, revoked_at is null from api_key"))
    assert rows == {id_of(page): False, id_of(dated): False, id_of(plain): True}
    migrate(url, empty_database.service_url)
    assert set(load_snapshot(empty_database.service_url).access.keys) == {id_of(plain)}
    assert has_key_in_force(url)
    revoke_key(url, id_of(plain))
    assert not has_key_in_force(url)

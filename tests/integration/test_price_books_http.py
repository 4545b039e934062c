"""Price books over real HTTP and a real PostgreSQL: uploads, their faults, days, and who sees what."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import psycopg
import pytest

from service.store.embedded import EmbeddedServer
from service.store.key_writer import create_key, grant_price_book, revoke_key, withdraw_grant
from service.store.price_writer import BOOK_LOCK
from tests.integration.price_service import (
    CSV,
    Yard,
    bearer,
    day,
    line,
    new_yard,
    prices,
    service,
    until,
    without_id,
)

DECK = {
    "jurisdiction": "alder-county",
    "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}],
}


@pytest.fixture(scope="module")
def address(database: EmbeddedServer) -> Iterator[str]:
    with service(database) as found:
        yield found


@pytest.fixture(scope="module")
def elsewhere(database: EmbeddedServer) -> Iterator[str]:
    """Another service on the same database."""
    with service(database) as found:
        yield found


@pytest.fixture
def yard(database: EmbeddedServer, address: str) -> Yard:
    return new_yard(database, address)


@pytest.fixture
def other(database: EmbeddedServer, address: str) -> Yard:
    return new_yard(database, address)


def days_held(yard: Yard) -> list[tuple[int, str, str | None]]:
    items = yard.ask("GET", yard.versions).json()["items"]
    return [(one["version"], one["effective_from"], one["effective_to"]) for one in items]


def test_an_upload_makes_a_version_that_comes_back_as_it_was_sent(yard: Yard) -> None:
    made = yard.upload(prices(day(0)))
    assert (made.status_code, made.json()["outcome"]) == (201, "created")
    assert made.headers["location"] == f"{yard.versions}/1" == made.json()["url"]
    shown = yard.ask("GET", made.headers["location"]).json()
    assert shown["lines"] == [{**line(), "breaks": [], "pack_quantity": None, "note": None}]
    again = yard.ask("POST", yard.versions, json=shown)
    assert (again.status_code, again.json()["outcome"], again.json()["version"]) == (200, "existing", 1)
    assert "location" not in again.headers


def test_csv_comes_back_byte_for_byte_and_is_the_same_content_as_json(yard: Yard) -> None:
    made = yard.upload(prices(day(0), lines=[line(breaks=[{"at_least": 10, "unit_price": "13.9000"}])]))
    text = yard.ask("GET", made.headers["location"], headers={"Accept": "text/csv"}).text
    assert (
        text.splitlines()[-1]
        == "lumber.2x8.hem_fir.no_2.uc3b,L-28-12,2x8 12 ft,piece,12,14.20,10:13.90,,in_stock,"
    )
    spreadsheet = b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode()
    again = yard.ask("POST", yard.versions, content=spreadsheet, headers=CSV)
    assert (again.status_code, again.json()["outcome"]) == (200, "existing")
    assert again.json()["digest"] == made.json()["digest"]


def test_a_version_is_used_by_designs_on_its_days_alone(yard: Yard) -> None:
    yard.upload(prices(day(3), day(9)))
    for offset, status in ((2, 422), (3, 200), (9, 200), (10, 422)):
        spec = {**DECK, "price_book": yard.book, "as_of": day(offset)}
        answer = yard.ask("POST", "/v1/designs", json=spec)
        assert answer.status_code == status, offset
    assert yard.ask("GET", "/v1/options", params={"price_book": yard.book}).status_code == 422
    named = [one["id"] for one in yard.ask("GET", "/v1/options").json()["price_books"]]
    assert named == sorted([*["brindlemoor-yard"] * 6, yard.book])


def test_every_fault_is_named_at_once_and_nothing_is_kept(yard: Yard) -> None:
    bad = prices(
        day(0),
        day(-1),
        lines=[
            line(price="14"),
            line("timber.2x8.hem_fir", sku="=1+1", length_ft=10),
            line("concrete.bag.60lb", "5.45", unit="cuyd", length_ft=None),
            line(),
            line(),
            line(
                "lumber.2x6.hem_fir.no_2.uc3b", breaks=[{"at_least": 9, "unit_price": "15.00"}], colour="red"
            ),
        ],
    )
    answer = yard.upload(bad)
    assert (answer.status_code, answer.json()["code"]) == (422, "invalid_upload")
    found = {(one["pointer"], one["code"]) for one in answer.json()["errors"]}
    assert found == {
        ("/effective_to", "out_of_range"),
        ("/lines/0/unit_price", "bad_pattern"),
        ("/lines/1/item", "not_in_list"),
        ("/lines/1/sku", "bad_pattern"),
        ("/lines/2/unit", "unit_not_for_item"),
        ("/lines/3/length_ft", "duplicate_line"),
        ("/lines/4/length_ft", "duplicate_line"),
        ("/lines/5/breaks", "out_of_range"),
        ("/lines/5/colour", "unknown_field"),
    }
    assert "row 1, column unit_price: '14' is no price" in answer.text
    assert days_held(yard) == []


def test_days_taken_end_with_the_century(yard: Yard) -> None:
    """A last day that means for ever is refused alike by a dry run and without; the last day taken is usable."""
    for params in ({}, {"dry_run": "true"}):
        for last in ("9999-12-31", "2100-01-01"):
            answer = yard.upload(prices(day(0), last), params=params)
            assert (answer.status_code, answer.json()["code"]) == (422, "invalid_upload")
            (fault,) = answer.json()["errors"]
            assert (fault["pointer"], fault["code"]) == ("/effective_to", "date_out_of_range")
            assert fault["allowed"] == {**fault["allowed"], "min": "2015-01-01", "max": "2099-12-31"}
    assert yard.upload(prices(day(1), "2099-12-31")).status_code == 201
    later = yard.upload(prices("2099-12-31"))
    assert (later.status_code, later.json()["code"]) == (409, "publishing_conflict")
    assert later.json()["detail"].endswith("to 2099-12-31: no day is left after it")


def test_a_dry_run_is_true_or_false(yard: Yard) -> None:
    answer = yard.upload(prices(day(0)), params={"dry_run": "maybe"})
    (fault,) = answer.json()["errors"]
    assert (answer.status_code, fault["pointer"], fault["code"]) == (422, "/dry_run", "not_in_list")
    assert fault["allowed"]["one_of"] == ["true", "false"]
    assert days_held(yard) == []


def test_a_dry_run_tells_what_would_be_made_and_writes_nothing(yard: Yard, run_sql, owner_url: str) -> None:
    yard.upload(prices(day(0)))
    written = "select (select count(*) from price_book_line), (select changes from change_count)"
    before = run_sql(owner_url, written)
    would = yard.upload(prices(day(5)), params={"dry_run": "true"})
    assert (would.status_code, would.json()["outcome"], would.json()["version"]) == (200, "would_create", 2)
    assert would.json()["ends"] == {"version": 1, "effective_to": day(4)}
    assert yard.upload(prices(day(0)), params={"dry_run": "true"}).json()["outcome"] == "existing"
    late = yard.upload(prices(day(-1)), params={"dry_run": "true"})
    assert (late.status_code, late.json()["code"]) == (409, "publishing_conflict")
    assert run_sql(owner_url, written) == before
    assert days_held(yard) == [(1, day(0), None)]
    made = yard.upload(prices(day(5))).json()
    assert (made["digest"], made["ends"]) == (would.json()["digest"], would.json()["ends"])


def test_a_later_version_ends_an_open_one_and_past_answers_stay(yard: Yard) -> None:
    spec = {**DECK, "price_book": yard.book, "as_of": day(0)}
    yard.upload(prices(day(0)))
    before = yard.ask("POST", "/v1/designs", json=spec)
    assert before.headers["deck-price-book"] == f"{yard.book}@1"
    dearer = prices(day(1), lines=[line(price="19.99")])
    assert yard.upload(dearer).status_code == 201
    assert days_held(yard) == [(1, day(0), day(0)), (2, day(1), None)]
    assert yard.ask("POST", "/v1/designs", json=spec).content == before.content
    after = yard.ask("POST", "/v1/designs", json={**spec, "as_of": day(1)})
    assert after.headers["deck-price-book"] == f"{yard.book}@2"
    # the very same content is still the first version, though its days are fewer now
    assert yard.upload(prices(day(0))).json()["version"] == 1


@pytest.mark.parametrize(
    ("first", "last", "told"),
    [
        (-1, None, "is before today"),
        (20, None, "@2 holds from"),
        (25, 26, "to"),
        (15, None, "give effective_to"),
        (15, 20, "give effective_to"),
    ],
)
def test_days_gone_by_or_held_are_refused(yard: Yard, first: int, last: int | None, told: str) -> None:
    yard.upload(prices(day(0), day(9)))
    yard.upload(prices(day(20), day(30)))
    answer = yard.upload(prices(day(first), None if last is None else day(last), lines=[line(price="9.99")]))
    assert (answer.status_code, answer.json()["code"]) == (409, "publishing_conflict")
    assert told in answer.json()["detail"]
    assert [held[0] for held in days_held(yard)] == [1, 2]


def test_what_an_upload_says_of_itself_has_to_be_so(yard: Yard, other: Yard) -> None:
    wrong = {"id": other.book, "organisation": other.organisation}
    answer = yard.upload(prices(day(0), **wrong))
    assert [one["pointer"] for one in answer.json()["errors"]] == ["/id", "/organisation"]
    for key, value in (("version", 2), ("digest", "0" * 64)):
        answer = yard.upload(prices(day(0), **{key: value}))
        assert (answer.status_code, answer.json()["code"]) == (422, "invalid_upload")
        assert [one["pointer"] for one in answer.json()["errors"]] == [f"/{key}"]
    assert yard.upload(prices(day(0), id=yard.book, version=1)).status_code == 201


@pytest.mark.parametrize(
    ("body", "headers", "status", "code"),
    [
        (b"{", {"Content-Type": "application/json"}, 400, "not_json"),
        (b"\xff", CSV, 422, "invalid_upload"),
        (b"", CSV, 422, "invalid_upload"),
        (b"", {"Content-Type": "application/json"}, 400, "not_json"),
        (b"x", {"Content-Type": "application/xml"}, 415, "unsupported_media_type"),
        (b"x", {"Content-Type": "text/csv; charset=latin-1"}, 415, "unsupported_media_type"),
        (b" " * 8_388_609, CSV, 413, "too_large"),
    ],
)
def test_a_body_that_is_no_price_book(
    yard: Yard, body: bytes, headers: dict[str, str], status: int, code: str
) -> None:
    answer = yard.ask("POST", yard.versions, content=body, headers=headers)
    assert (answer.status_code, answer.json()["code"]) == (status, code)


def all_at_once(work: Callable[[int], Any], count: int) -> list[Any]:
    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(work, range(count)))


def test_of_uploads_for_the_same_days_one_wins_whole(
    yard: Yard, elsewhere: str, run_sql, owner_url: str
) -> None:
    """Sent through two services, each of which takes one upload at a time."""

    def upload(number: int) -> int:
        lines = [line(price=f"{number + 1}.50", length_ft=length) for length in range(8, 24)]
        sender = replace(yard, address=elsewhere) if number % 2 else yard
        return sender.upload(prices(day(0), day(90), lines=lines)).status_code

    assert sorted(all_at_once(upload, 6)) == [201, 409, 409, 409, 409, 409]
    kept = (
        f"select version, count(*) from price_book_line where price_book_id = '{yard.book}' group by version"  # noqa: S608
    )
    assert run_sql(owner_url, kept) == [(1, 16)]


def test_concurrent_uploads_of_one_content_make_one_version(yard: Yard, elsewhere: str) -> None:
    lines = [line(length_ft=length) for length in range(1, 99)]

    def upload(number: int) -> tuple[int, int]:
        sender = replace(yard, address=elsewhere) if number % 2 else yard
        found = sender.upload(prices(day(0), lines=lines))
        return found.status_code, found.json().get("version", 0)

    for _ in range(3):
        assert {version for _, version in all_at_once(upload, 4)} == {1}
    assert days_held(yard) == [(1, day(0), None)]


def test_an_upload_waits_for_the_one_before_it(yard: Yard, owner_url: str, run_sql) -> None:
    """Another process that is publishing a version of the same book, caught in the middle."""
    waiting = "select count(*) from pg_locks where locktype = 'advisory' and not granted"
    with psycopg.connect(owner_url) as other, ThreadPoolExecutor(1) as pool:
        other.execute("select pg_advisory_xact_lock(%s, hashtext(%s))", (BOOK_LOCK, yard.book))
        sent = pool.submit(yard.upload, prices(day(0)))
        until(lambda: run_sql(owner_url, waiting) == [(1,)])
        assert not sent.done()
        other.commit()
        assert sent.result().status_code == 201


def test_another_organisations_book_does_not_exist(
    database: EmbeddedServer, address: str, other: Yard
) -> None:
    """The same requests before the book is there and after: not one byte differs."""
    organisation = f"{other.organisation[:-1]}z"
    name = f"{organisation}-book"
    requests = [
        ("GET", f"/v1/price-books/{name}", {}),
        ("GET", f"/v1/price-books/{name}/versions", {}),
        ("GET", f"/v1/price-books/{name}/versions/1", {}),
        ("GET", f"/v1/price-books/{name}/versions/7", {}),
        ("POST", f"/v1/price-books/{name}/versions", {"json": prices(day(0))}),
        ("POST", "/v1/price-books", {"json": {"id": name}}),
        ("POST", "/v1/designs", {"json": {**DECK, "price_book": name}}),
        ("POST", "/v1/takeoffs", {"json": {**DECK, "price_book": f"{name}@1"}}),
        ("POST", "/v1/footing-comparisons", {"json": {**DECK, "price_book": f"{name}@7"}}),
        ("GET", f"/v1/options?price_book={name}", {}),
        ("GET", "/v1/options", {}),
        ("GET", "/health/ready", {}),
        ("GET", "/v1/price-books", {}),
    ]
    before = [without_id(other.ask(method, path, **sent)) for method, path, sent in requests]
    key = create_key(database.owner_url, organisation, ["prices:read", "prices:write"])
    owner = Yard(address, key, organisation, name)
    until(lambda: owner.ask("GET", "/v1/price-books").status_code == 200)
    assert owner.ask("POST", "/v1/price-books", json={"id": name}).status_code == 201
    assert owner.upload(prices(day(0))).status_code == 201
    assert owner.ask("GET", f"{owner.versions}/1").status_code == 200
    assert [without_id(other.ask(method, path, **sent)) for method, path, sent in requests] == before


def test_a_grant_lets_read_and_no_more(database: EmbeddedServer, yard: Yard, other: Yard) -> None:
    yard.upload(prices(day(0)))
    grant_price_book(database.owner_url, yard.book, other.organisation)
    until(lambda: other.ask("GET", yard.versions).status_code == 200)
    assert other.ask("GET", f"{yard.versions}/1").json()["lines"]
    spec = {**DECK, "price_book": yard.book, "as_of": day(0)}
    assert other.ask("POST", "/v1/designs", json=spec).status_code == 200
    refused = other.ask("POST", yard.versions, json=prices(day(1)))
    assert (refused.status_code, refused.json()["code"]) == (403, "scope_missing")
    assert "prices:write" in refused.json()["detail"]
    withdraw_grant(database.owner_url, yard.book, other.organisation)
    until(lambda: other.ask("GET", yard.versions).status_code == 404)


def test_each_call_needs_its_scope(database: EmbeddedServer, address: str) -> None:
    reader = new_yard(database, address, "prices:read")
    writer = new_yard(database, address, "prices:write")
    for yard, method, path, scope in (
        (reader, "POST", "/v1/price-books", "prices:write"),
        (reader, "POST", reader.versions, "prices:write"),
        (reader, "POST", "/v1/designs", "designs"),
        (writer, "GET", "/v1/price-books", "prices:read"),
        (writer, "GET", f"/v1/price-books/{writer.book}", "prices:read"),
        (writer, "GET", writer.versions, "prices:read"),
        (writer, "GET", f"{writer.versions}/1", "prices:read"),
        # also where there is no such book
        (writer, "GET", "/v1/price-books/nobody-at-all", "prices:read"),
    ):
        sent = {"json": DECK} if method == "POST" else {}
        answer = yard.ask(method, path, **sent)
        assert (answer.status_code, answer.json()["code"]) == (403, "scope_missing")
        assert scope in answer.json()["detail"]


def test_keys_that_are_not_good_are_refused_alike(database: EmbeddedServer, yard: Yard) -> None:
    revoked = create_key(database.owner_url, yard.organisation, ["prices:read", "designs"])
    until(lambda: yard.ask("GET", "/v1/price-books", headers=bearer(revoked)).status_code == 200)
    revoke_key(database.owner_url, revoked.split(".")[1])
    until(lambda: yard.ask("GET", "/v1/price-books", headers=bearer(revoked)).status_code == 401)
    kind, id, secret = yard.key.split(".")
    bad = {
        "revoked": bearer(revoked),
        "unknown": bearer(f"secret.{'0' * 16}.{secret}"),
        "wrong secret": bearer(f"secret.{id}.{'A' * 43}"),
        "wrong kind": bearer(f"publishable.{id}.{secret}"),
        "short": bearer(f"{kind}.{id}.{secret[:-1]}"),
        "basic": {"Authorization": f"Basic {yard.key}"},
        "empty": {"Authorization": ""},
    }
    for path in ("/v1/price-books", "/v1/options"):
        answers = {name: yard.ask("GET", path, headers=sent) for name, sent in bad.items()}
        assert {answer.status_code for answer in answers.values()} == {401}
        assert {answer.headers["www-authenticate"] for answer in answers.values()} == {"Bearer"}
        assert len({without_id(answer) for answer in answers.values()}) == 1
    refused = yard.ask("POST", "/v1/designs", json=DECK, headers=bad["revoked"])
    assert (refused.status_code, refused.json()["code"]) == (401, "unauthenticated")


def test_a_bound_book_prices_designs_that_name_none(database: EmbeddedServer, yard: Yard) -> None:
    yard.upload(prices(day(0)))
    bound = create_key(database.owner_url, yard.organisation, ["designs"], price_book=yard.book)
    until(
        lambda: (
            yard.ask(
                "POST", "/v1/stair-layouts", json={"risers_in": [7, 7]}, headers=bearer(bound)
            ).is_success
        )
    )
    spec = {**DECK, "as_of": day(0)}
    answer = yard.ask("POST", "/v1/designs", json=spec, headers=bearer(bound))
    assert answer.headers["deck-price-book"] == f"{yard.book}@1"
    assert answer.json()["resolved_spec"]["price_book"] == f"{yard.book}@1"
    named = yard.ask("POST", "/v1/designs", json={**spec, "price_book": yard.book}, headers=bearer(bound))
    assert named.content == answer.content
    public = {**spec, "price_book": "brindlemoor-yard"}
    chosen = yard.ask("POST", "/v1/designs", json=public, headers=bearer(bound))
    assert chosen.headers["deck-price-book"].startswith("brindlemoor-yard@")
    assert "deck-price-book" not in yard.ask("POST", "/v1/designs", json=spec).headers


def test_an_id_is_of_the_organisation(yard: Yard) -> None:
    for id in (f"{yard.organisation}y", "brindlemoor-yard", f"my-{yard.organisation}"):
        answer = yard.ask("POST", "/v1/price-books", json={"id": id})
        assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "/id")
    assert yard.ask("POST", "/v1/price-books", json={"id": yard.organisation}).status_code == 201
    assert yard.ask("POST", "/v1/price-books", json={"id": yard.book}).status_code == 200

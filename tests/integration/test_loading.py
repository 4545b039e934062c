"""Texts into the database and back: byte for byte, once, never changed; a damaged one stays behind."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from service.app import bundled_snapshot
from service.rules.faults import TableRefused
from service.rules.price_book import EXAMPLE
from service.rules.rulebook import build_rulebook
from service.store.bundled import bundled
from service.store.errors import DamagedVersion, LoadRefused, NotServed, PublishingConflict
from service.store.reader import load_snapshot
from service.store.rule_writer import withdraw_version
from service.store.texts import Bundle, NamedText, RulebookText, joined_lines, split_lines
from service.store.writer import load, load_bundled

TODAY = date(2026, 11, 25)
EXAMPLE_FILE = NamedText("example-yard@1.csv", EXAMPLE)
LATER_EXAMPLE = (
    EXAMPLE.replace("#version: 1", "#version: 2")
    .replace("2026-11-01", "2027-02-01")
    .replace("2027-01-31", "")
    .replace("14.20", "15.05")
)


@pytest.fixture(scope="module")
def bundle() -> Bundle:
    return bundled()


def rulebook_text(bundle: Bundle, id: str) -> RulebookText:
    return next(one for one in bundle.rulebooks if f'id = "{id}"' in one.meta)


def second_version(given: RulebookText) -> RulebookText:
    meta = given.meta.replace("\nversion = 1\n", "\nversion = 2\n").replace(
        "published_on = 2026-11-25", "published_on = 2027-03-01"
    )
    assert meta != given.meta
    return replace(given, meta=meta)


def with_changed_cell(given: RulebookText) -> RulebookText:
    text = given.tables["joist_spans"]
    header, rows = split_lines(text, 2)
    cells = rows[0].split(",")
    cells[5] = str(int(cells[5]) + 1)
    return replace(
        given, tables={**given.tables, "joist_spans": joined_lines(header, [",".join(cells), *rows[1:]])}
    )


def test_every_text_comes_back_byte_for_byte(service_url, bundle):
    snapshot = load_snapshot(service_url)
    for given in bundle.rulebooks:
        parsed = build_rulebook(given.meta, given.tables)
        served = snapshot.rulebook(f"{parsed.id}@{parsed.version}", TODAY)
        assert {name: table.text for name, table in served.tables.items()} == dict(given.tables)
        assert served.digest == parsed.digest == given.digest
    assert len(snapshot.rulebooks.versions) == len(bundle.rulebooks) >= 5
    assert len(snapshot.jurisdictions.versions) == len(bundle.jurisdictions) >= 4
    demo = [version for id, version in snapshot.price_books.versions if id == "brindlemoor-yard"]
    assert sorted(demo) == list(range(1, len(bundle.price_books) + 1))


def test_documents_and_metadata_come_back_byte_for_byte(service_url, run_sql, bundle):
    documents = {text for (text,) in run_sql(service_url, "select document from jurisdiction_version")}
    assert documents == {one.text for one in bundle.jurisdictions}
    metas = {text for (text,) in run_sql(service_url, "select meta from rulebook_version")}
    assert metas == {one.meta for one in bundle.rulebooks}


def test_loading_again_adds_nothing(owner_url, run_sql):
    written = "select max(xmin::text::bigint), count(*) from rule_row"
    before = run_sql(owner_url, written)
    assert load_bundled(owner_url) == []
    assert run_sql(owner_url, written) == before


def test_another_content_under_a_published_number_is_refused_and_nothing_else_written(empty_database, bundle):
    given = rulebook_text(bundle, "irc-2021")
    load(empty_database.owner_url, Bundle([given]))
    changed = Bundle([rulebook_text(bundle, "irc-2018"), with_changed_cell(given)])
    with pytest.raises(
        LoadRefused, match=r"irc-2021@1 is published .* give the text the next version number"
    ):
        load(empty_database.owner_url, changed)
    retitled = replace(given, meta=given.meta.replace("title =", "title  ="))
    with pytest.raises(LoadRefused, match="irc-2021@1 is published"):
        load(empty_database.owner_url, Bundle([retitled]))
    assert list(load_snapshot(empty_database.service_url).rulebooks.versions) == [("irc-2021", 1)]


def test_a_text_that_cannot_be_parsed_is_refused_with_its_line(empty_database, bundle):
    given = rulebook_text(bundle, "irc-2021")
    text = given.tables["joist_spans"]
    broken = replace(given, tables={**given.tables, "joist_spans": text + "not,enough,cells\n"})
    with pytest.raises(TableRefused, match=rf"joist_spans\.csv:{text.count(chr(10)) + 1}: "):
        load(empty_database.owner_url, Bundle([broken]))


def test_a_new_version_supersedes_and_the_old_one_stays_answerable(empty_database, run_sql, bundle):
    given = rulebook_text(bundle, "irc-2021")
    second = second_version(with_changed_cell(given))
    assert load(empty_database.owner_url, Bundle([given, second])) == ["irc-2021@1", "irc-2021@2"]
    states = run_sql(
        empty_database.service_url, "select version, state from rulebook_version order by version"
    )
    # the second begins later: what is stored does not change on that day, what is told does
    assert states == [(1, "in_force"), (2, "announced")]
    snapshot = load_snapshot(empty_database.service_url)
    by_day = {
        day: snapshot.rulebook("irc-2021", day).version for day in (date(2020, 1, 1), TODAY, date(2027, 3, 1))
    }
    assert list(by_day.values()) == [1, 1, 2]
    assert snapshot.rulebook("irc-2021@1", date(2030, 1, 1)).version == 1
    assert snapshot.latest_rulebooks["irc-2021"].version == 2


def test_price_books_answer_by_day_and_their_days_cannot_overlap(empty_database):
    second = NamedText("example-yard@2.csv", LATER_EXAMPLE)
    assert load(empty_database.owner_url, Bundle(price_books=[EXAMPLE_FILE, second])) == [
        "example-yard@1",
        "example-yard@2",
    ]
    snapshot = load_snapshot(empty_database.service_url)
    days = {date(2027, 1, 31): 1, date(2027, 2, 1): 2, date(2099, 12, 31): 2}
    assert {day: snapshot.price_book("example-yard", day).version for day in days} == days
    with pytest.raises(NotServed, match="example-yard with prices for 2026-10-31"):
        snapshot.price_book("example-yard", date(2026, 10, 31))
    assert snapshot.access.visible("") == ("example-yard",)
    third = NamedText("example-yard@3.csv", LATER_EXAMPLE.replace("#version: 2", "#version: 3"))
    with pytest.raises(LoadRefused, match="price_book_version_no_overlap"):
        load(empty_database.owner_url, Bundle(price_books=[third]))


def test_the_demo_book_has_six_versions_and_the_first_three_are_as_they_were(service_url, bundle):
    snapshot = load_snapshot(service_url)
    days = {
        date(2026, 1, 1): 1, date(2026, 11, 24): 1, date(2026, 11, 25): 2, date(2026, 11, 27): 2,
        date(2026, 11, 28): 4, date(2026, 12, 31): 4, date(2027, 1, 1): 3, date(2027, 1, 2): 5, date(2027, 1, 3): 6,
        date(2040, 1, 1): 6,
    }  # fmt: skip
    assert {day: snapshot.price_book("brindlemoor-yard", day).version for day in days} == days
    files = bundled_snapshot()
    for version in (1, 2, 3, 4, 5, 6):
        stored, own = (one.price_books.pinned("brindlemoor-yard", version) for one in (snapshot, files))
        assert (stored.effective_from, stored.effective_to) == (own.effective_from, own.effective_to)
        assert (stored.digest, stored.text) == (own.digest, own.text)
    digests = [snapshot.price_books.pinned("brindlemoor-yard", n).digest[:12] for n in (1, 2, 3)]
    assert digests == ["8269b4ae2c44", "16a586a7a70f", "6845c53874ab"]


def test_versions_that_come_later_end_the_one_in_force(empty_database, bundle, run_sql):
    """A database that was loaded with the first three versions takes the three that came after them."""
    url = empty_database.owner_url
    books = [one for one in bundle.price_books if one.name.startswith("brindlemoor-yard@")]
    assert load(url, Bundle(price_books=books[:3])) == [f"brindlemoor-yard@{n}" for n in (1, 2, 3)]
    before = load_snapshot(empty_database.service_url)
    assert before.price_book("brindlemoor-yard", date(2026, 12, 1)).version == 2
    assert before.price_book("brindlemoor-yard", date(2040, 1, 1)).version == 3
    (today,) = run_sql(url, "select (now() at time zone 'utc')::date")[0]
    added = load(url, Bundle(price_books=books))
    # Once 2026 is over, the fourth has no day left that was not answered with the second.
    assert added == [f"brindlemoor-yard@{n}" for n in ((4, 5, 6) if today <= date(2026, 12, 31) else (5, 6))]
    after = load_snapshot(empty_database.service_url, before)
    for day, version in ((date(2026, 1, 1), 1), (date(2026, 11, 25), 2), (date(2027, 1, 1), 3)):
        assert after.price_book("brindlemoor-yard", day).version == version
    latest = max(today, date(2027, 1, 3))
    assert after.price_book("brindlemoor-yard", latest).version == 6
    if today <= date(2026, 12, 31):
        assert after.price_book("brindlemoor-yard", max(today, date(2026, 11, 28))).version == 4
        assert after.price_book("brindlemoor-yard", today - timedelta(days=1)).version in (1, 2)
    assert load(url, Bundle(price_books=books)) == []


def test_only_the_owner_may_end_a_version_sooner_and_never_before_today(empty_database, run_sql):
    start, days = "update price_book_version set effective = daterange", "lower(effective)"
    (today,) = run_sql(empty_database.owner_url, "select (now() at time zone 'utc')::date")[0]
    last = today + timedelta(days=30)
    given = EXAMPLE.replace("2026-11-01", "2020-01-01").replace("2027-01-31", str(last))
    load(empty_database.owner_url, Bundle(price_books=[NamedText("example-yard@1.csv", given)]))
    sooner = f"{start}({days}, '{today + timedelta(days=5)}', '[)')"
    gone_by = f"{start}({days}, '{today - timedelta(days=1)}', '[)')"
    later = f"{start}({days}, '{today + timedelta(days=90)}', '[)')"
    for url, changed in (
        (empty_database.service_url, sooner),
        (empty_database.owner_url, gone_by),
        (empty_database.owner_url, later),
    ):
        with pytest.raises(Exception, match="a published version cannot be changed"):
            run_sql(url, changed)
    run_sql(empty_database.owner_url, f"{sooner} returning 1")
    assert load_snapshot(empty_database.service_url).price_books.pinned("example-yard", 1).effective_to == (
        today + timedelta(days=4)
    )


def test_a_version_loaded_late_begins_today(empty_database, run_sql):
    """What the database has answered for days gone by stays, though the text says otherwise."""
    (today,) = run_sql(empty_database.owner_url, "select (now() at time zone 'utc')::date")[0]
    first = EXAMPLE.replace("2026-11-01", "2020-01-01").replace("2027-01-31", "")
    second = first.replace("#version: 1", "#version: 2").replace("2020-01-01", "2020-06-01")
    load(empty_database.owner_url, Bundle(price_books=[NamedText("example-yard@1.csv", first)]))
    both = [NamedText("example-yard@1.csv", first), NamedText("example-yard@2.csv", second)]
    load(empty_database.owner_url, Bundle(price_books=both))
    snapshot = load_snapshot(empty_database.service_url)
    assert snapshot.price_book("example-yard", today - timedelta(days=1)).version == 1
    assert snapshot.price_book("example-yard", today).version == 2


def test_a_file_named_otherwise_than_it_says_is_refused(empty_database):
    with pytest.raises(LoadRefused, match=r"other@1\.csv: .* example-yard@1\.csv"):
        load(empty_database.owner_url, Bundle(price_books=[NamedText("other@1.csv", EXAMPLE)]))


DAMAGE = {
    ("irc-2015", 1): "update rule_row set line = replace(line, '1', '2') where {r} and position = 3",
    ("irc-2018", 1): "delete from rule_row where {r} and table_name = 'beam_spans' and position = 2",
    ("irc-2021", 1): "update rulebook_version set meta = replace(meta, 'Residential', 'Other') where {r}",
    ("dca-6", 1): "delete from rule_row where {r} and table_name = 'dca6_limits'; "
    "delete from rule_table where {r} and name = 'dca6_limits'",
    ("alder-county", 1): "update jurisdiction_version set document = replace(document, '3', '4') "
    "where jurisdiction_id = 'alder-county'",
    ("example-yard", 1): "update price_book_line set line = replace(line, '14.20', '4.20')",
}


def test_a_damaged_version_is_not_served_and_the_others_are(empty_database, run_sql, bundle):
    url = empty_database.owner_url
    load(url, replace(bundle, price_books=[EXAMPLE_FILE]))
    frozen = ("rulebook_version", "rule_table", "rule_row", "jurisdiction_version", "price_book_line")
    run_sql(url, *(f"alter table {table} disable trigger user" for table in frozen))
    for (id, version), statement in DAMAGE.items():
        run_sql(url, statement.format(r=f"rulebook_id = '{id}' and version = {version}"))
    snapshot = load_snapshot(empty_database.service_url)
    shelves = (snapshot.rulebooks, snapshot.jurisdictions, snapshot.price_books)
    assert {key for shelf in shelves for key in shelf.damaged} == set(DAMAGE)
    assert ("irc-2024", 1) in snapshot.rulebooks.versions
    assert snapshot.jurisdiction("sundrel-flats", TODAY).version == 1
    for reference in ("irc-2015", "irc-2015@1", "irc-2018", "irc-2021"):
        with pytest.raises(DamagedVersion, match=f"rulebook {reference[:8]}@1 is damaged in the database"):
            snapshot.rulebook(reference, TODAY)
    with pytest.raises(DamagedVersion, match="jurisdiction alder-county@1"):
        snapshot.jurisdiction("alder-county", TODAY)
    with pytest.raises(DamagedVersion, match="price book example-yard@1"):
        snapshot.price_book("example-yard", TODAY)


def test_an_older_version_does_not_stand_in_for_a_damaged_one(empty_database, run_sql, bundle):
    url = empty_database.owner_url
    given = rulebook_text(bundle, "irc-2021")
    load(url, Bundle([given, second_version(given)]))
    run_sql(
        url,
        "alter table rule_row disable trigger user",
        "delete from rule_row where version = 2 and position = 1",
    )
    snapshot = load_snapshot(empty_database.service_url)
    with pytest.raises(DamagedVersion, match="irc-2021@2"):
        snapshot.rulebook("irc-2021", date(2030, 1, 1))
    assert snapshot.rulebook("irc-2021@1", TODAY).version == 1


def test_a_withdrawn_version_is_only_had_by_its_number(empty_database, bundle):
    given = rulebook_text(bundle, "irc-2021")
    load(empty_database.owner_url, Bundle([given, second_version(with_changed_cell(given))]))
    withdraw_version(empty_database.owner_url, "rulebook", "irc-2021", 2, actor="operator test")
    snapshot = load_snapshot(empty_database.service_url)
    assert snapshot.rulebook("irc-2021@2", TODAY).version == 2
    assert snapshot.rulebook("irc-2021", date(2030, 1, 1)).version == 1
    assert snapshot.rulebooks.state_on(("irc-2021", 2), date(2030, 1, 1)) == "withdrawn"
    with pytest.raises(PublishingConflict, match="irc-2021@1"):
        withdraw_version(empty_database.owner_url, "rulebook", "irc-2021", 1, actor="operator test")


@pytest.mark.parametrize(
    "reference", ["irc-1999", "irc-2021@9", "irc-2021@0", "irc-2021@01", "IRC", "", "a@", "@1"]
)
def test_what_is_not_there_is_said_to_be_missing(service_url, reference):
    snapshot = load_snapshot(service_url)
    for look_up in (
        lambda: snapshot.rulebook(reference, TODAY),
        lambda: snapshot.jurisdiction(reference, TODAY),
        lambda: snapshot.price_book(reference, TODAY),
    ):
        with pytest.raises(NotServed):
            look_up()


def test_a_snapshot_cannot_be_changed(service_url):
    snapshot = load_snapshot(service_url)
    with pytest.raises(TypeError):
        snapshot.rulebooks.versions[("irc-2021", 2)] = snapshot.guide(TODAY)
    with pytest.raises(AttributeError):
        snapshot.rulebooks = snapshot.jurisdictions
    assert snapshot.guide(TODAY).kind == "guide"


def test_a_place_whose_time_zone_is_no_longer_known_stays_behind(service_url, monkeypatch):
    kept = load_snapshot(service_url).jurisdictions.versions
    place = kept["alder-county", 1]
    monkeypatch.setattr(
        "service.store.places.time_zones",
        lambda: {one.time_zone for one in kept.values()} - {place.time_zone},
    )
    snapshot = load_snapshot(service_url)
    assert ("alder-county", 1) not in snapshot.jurisdictions.versions
    assert f"no time zone {place.time_zone}" in snapshot.jurisdictions.damaged["alder-county", 1]
    assert len(snapshot.rulebooks.versions) >= 5

"""Rules from a draft to a version and back: by the store alone, in a real database."""

from __future__ import annotations

import re
import tomllib
from datetime import date, timedelta

import pytest

from service.rules.faults import TableRefused
from service.store.actor import key_actor
from service.store.database import transaction
from service.store.errors import ChangedSince, NotServed, PublishingConflict, SecondKeyNeeded
from service.store.key_writer import Bounds, create_key, rotate_key
from service.store.price_versions import today, today_furthest_east
from service.store.reader import load_snapshot
from service.store.rule_writer import (
    change_draft,
    create_draft,
    discard_draft,
    publish_draft,
    read_draft,
    read_drafts,
    withdraw_version,
)
from service.store.texts import RulebookText
from service.store.writer import load_bundled

WRITER, PUBLISHER = "key 00000000000000aa", "key 00000000000000bb"
CELL = re.compile(r"(?m)^(40,live,southern_pine,2x8,16,)142")


@pytest.fixture
def url(empty_database) -> str:
    load_bundled(empty_database.owner_url)
    return empty_database.service_url


@pytest.fixture
def day(url) -> date:
    with transaction(url) as connection:
        return today(connection)


def numbered(content, version: int):
    """The content under its new number, and with a shorter joist span where it is a rulebook's."""
    if isinstance(content, RulebookText):
        spans, changed = CELL.subn(r"\g<1>138", content.tables["joist_spans"])
        assert changed == 1
        tables = {**content.tables, "joist_spans": spans}
        return RulebookText(re.sub(r"(?m)^version = \d+", f"version = {version}", content.meta), tables)
    return re.sub(r"(?m)^version = \d+", f"version = {version}", content)


def drafted(url: str, kind: str = "rulebook", id: str = "irc-2021"):
    return create_draft(url, kind, id, numbered, actor=WRITER, based_on=(id, 1))


def published(url: str, draft, first: date):
    return publish_draft(url, draft.kind, draft.id, draft.version, draft.etag, first, actor=PUBLISHER)


def test_a_draft_is_seen_by_nobody_until_it_is_published_and_then_from_its_day_on(url, day):
    draft = drafted(url)
    assert (draft.reference, draft.based_on, draft.written_by) == ("irc-2021@2", "irc-2021@1", (WRITER,))
    with pytest.raises(NotServed):
        load_snapshot(url).rulebook("irc-2021@2", day)
    later = day + timedelta(days=30)
    published(url, draft, later)
    snapshot = load_snapshot(url)
    by_day = [
        snapshot.rulebook("irc-2021", one).version for one in (date(2015, 1, 1), later - timedelta(1), later)
    ]
    assert by_day == [1, 1, 2]
    states = [snapshot.rulebooks.state_on(("irc-2021", n), one) for one in (day, later) for n in (1, 2)]
    assert states == ["in_force", "announced", "superseded", "in_force"]
    assert snapshot.rulebook("irc-2021@2", day).digest == draft.digest
    assert read_drafts(url, "rulebook") == ()


def test_who_wrote_a_draft_does_not_publish_it(url, day):
    draft = drafted(url)
    with pytest.raises(SecondKeyNeeded):
        publish_draft(url, "rulebook", "irc-2021", 2, draft.etag, day, actor=WRITER)
    changed = change_draft(
        url, "rulebook", "irc-2021", 2, draft.etag, lambda one: one.content, actor=PUBLISHER
    )
    assert changed.written_by == (WRITER, PUBLISHER)
    with pytest.raises(SecondKeyNeeded):
        published(url, draft, day)


def test_a_key_made_in_the_place_of_the_writers_is_no_second_key(empty_database, url, day):
    named = Bounds(rules=["irc-2021"])
    scopes = ["rules:write", "rules:publish"]
    first, other = (create_key(empty_database.owner_url, "brook", scopes, bounds=named) for _ in range(2))
    second, _ = rotate_key(empty_database.owner_url, first.split(".")[1], timedelta(days=1))
    third, _ = rotate_key(empty_database.owner_url, second.split(".")[1], timedelta(days=1))
    writer, own, stranger = (key_actor(key.split(".")[1]) for key in (second, third, other))
    draft = create_draft(url, "rulebook", "irc-2021", numbered, actor=writer, based_on=("irc-2021", 1))
    with pytest.raises(SecondKeyNeeded):
        publish_draft(url, "rulebook", "irc-2021", 2, draft.etag, day, actor=own)
    assert publish_draft(url, "rulebook", "irc-2021", 2, draft.etag, day, actor=stranger).made.version == 2


def test_an_id_is_a_rulebooks_or_a_places(url):
    with pytest.raises(PublishingConflict, match="alder-county is the id of a jurisdiction"):
        create_draft(url, "rulebook", "alder-county", renumbered, actor=WRITER, based_on=("irc-2021", 1))
    with pytest.raises(PublishingConflict, match="irc-2021 is the id of a rulebook"):
        create_draft(url, "jurisdiction", "irc-2021", numbered, actor=WRITER, based_on=("alder-county", 1))
    create_draft(url, "jurisdiction", "brook-county", numbered, actor=WRITER, based_on=("alder-county", 1))
    with pytest.raises(PublishingConflict, match="brook-county is the id of a jurisdiction"):
        create_draft(url, "rulebook", "brook-county", renumbered, actor=WRITER, based_on=("irc-2021", 1))


def test_a_draft_is_changed_by_whoever_saw_it_last(url):
    draft = drafted(url)
    more = change_draft(url, "rulebook", "irc-2021", 2, draft.etag, without_posts, actor=WRITER)
    assert more.etag != draft.etag
    assert more.digest is None
    with pytest.raises(ChangedSince):
        change_draft(url, "rulebook", "irc-2021", 2, draft.etag, without_posts, actor=WRITER)
    with pytest.raises(TableRefused, match="post_heights"):
        published(url, more, date(2099, 1, 1))
    assert load_snapshot(url).rulebooks.states.keys() == load_snapshot(url).rulebooks.versions.keys()
    discard_draft(url, "rulebook", "irc-2021", 2, more.etag, actor=WRITER)
    with pytest.raises(NotServed):
        read_draft(url, "rulebook", "irc-2021", 2)
    assert drafted(url).version == 2


def without_posts(draft) -> RulebookText:
    tables = {name: text for name, text in draft.content.tables.items() if name != "post_heights"}
    return RulebookText(draft.content.meta, tables)


@pytest.mark.parametrize(("kind", "id"), [("rulebook", "irc-2021"), ("jurisdiction", "alder-county")])
def test_no_day_gone_by_is_touched(url, day, kind, id):
    draft = drafted(url, kind, id)
    with pytest.raises(PublishingConflict, match="before today"):
        published(url, draft, day - timedelta(days=1))
    published(url, draft, day)
    days = getattr(load_snapshot(url), f"{kind}s").days
    assert days[id, 1].after == days[id, 2].first == day
    assert read_draft_fails(url, kind, id)


def read_draft_fails(url: str, kind: str, id: str) -> bool:
    with pytest.raises(PublishingConflict, match="is published"):
        read_draft(url, kind, id, 2)
    return True


def test_a_version_published_today_is_followed_today_and_was_then_in_force_on_no_day(url, day):
    published(url, drafted(url), day)
    again = create_draft(url, "rulebook", "irc-2021", renumbered, actor=WRITER, based_on=("irc-2021", 2))
    published(url, again, day)
    snapshot = load_snapshot(url)
    assert snapshot.rulebook("irc-2021", day).version == 3
    assert ("irc-2021", 2) not in snapshot.rulebooks.days
    assert snapshot.rulebooks.state_on(("irc-2021", 2), day) == "superseded"
    assert snapshot.rulebook("irc-2021", day - timedelta(days=1)).version == 1


def renumbered(content, version: int) -> RulebookText:
    return RulebookText(re.sub(r"(?m)^version = \d+", f"version = {version}", content.meta), content.tables)


def test_a_version_between_two_others_and_one_withdrawn_leave_no_gap_and_no_overlap(url, day):
    far, near = day + timedelta(days=60), day + timedelta(days=20)
    published(url, drafted(url), far)
    between = create_draft(url, "rulebook", "irc-2021", renumbered, actor=WRITER, based_on=("irc-2021", 2))
    published(url, between, near)
    by_day = {one: load_snapshot(url).rulebook("irc-2021", one).version for one in (day, near, far)}
    assert by_day == {day: 1, near: 3, far: 2}
    same = create_draft(url, "rulebook", "irc-2021", renumbered, actor=WRITER, based_on=("irc-2021", 1))
    with pytest.raises(PublishingConflict, match="irc-2021@3 begins on"):
        published(url, same, near)
    withdraw_version(url, "rulebook", "irc-2021", 3, actor=PUBLISHER)
    by_day = {one: load_snapshot(url).rulebook("irc-2021", one).version for one in (day, near, far)}
    assert by_day == {day: 1, near: 1, far: 2}
    for number in (1, 3):
        with pytest.raises(PublishingConflict, match="not announced only"):
            withdraw_version(url, "rulebook", "irc-2021", number, actor=PUBLISHER)


def test_what_is_in_force_anywhere_is_not_withdrawn(url):
    """On a day that has begun in the east of the earth, though perhaps not yet in UTC."""
    with transaction(url) as connection:
        begun = today_furthest_east(connection)
    published(url, drafted(url), begun)
    with pytest.raises(PublishingConflict, match="not announced only"):
        withdraw_version(url, "rulebook", "irc-2021", 2, actor=PUBLISHER)


def test_a_place_answers_by_its_version_in_force(url, day):
    later = day + timedelta(days=10)
    draft = create_draft(
        url,
        "jurisdiction",
        "alder-county",
        lambda text, n: numbered(text, n).replace("frost_depth_in = 32", "frost_depth_in = 40"),
        actor=WRITER,
        based_on=("alder-county", 1),
    )
    published(url, draft, later)
    snapshot = load_snapshot(url)
    frost = [snapshot.jurisdiction("alder-county", one).site.frost_depth_in for one in (day, later)]
    assert frost == [32, 40]


def test_every_write_leaves_an_entry_with_who_what_and_digest(url, day, run_sql):
    draft = drafted(url)
    changed = change_draft(url, "rulebook", "irc-2021", 2, draft.etag, lambda one: one.content, actor=WRITER)
    published(url, changed, day + timedelta(days=5))
    withdraw_version(url, "rulebook", "irc-2021", 2, actor=PUBLISHER)
    entries = run_sql(url, "select actor, action, subject, digest from audit_entry order by id")
    about = [entry[:3] for entry in entries if entry[0].startswith("key ")]
    assert about == [
        (WRITER, "draft_created", "rulebook irc-2021@2"),
        (WRITER, "draft_changed", "rulebook irc-2021@2"),
        (PUBLISHER, "days_changed", "rulebook irc-2021@1"),
        (PUBLISHER, "published", "rulebook irc-2021@2"),
        (PUBLISHER, "draft_removed", "rulebook irc-2021@2"),
        (PUBLISHER, "state_withdrawn", "rulebook irc-2021@2"),
        (PUBLISHER, "days_changed", "rulebook irc-2021@1"),
    ]
    digests = {entry[3] for entry in entries if entry[2] == "rulebook irc-2021@2"}
    assert digests == {draft.digest}


def test_published_texts_are_kept_byte_for_byte(url, day):
    """What was drafted is what is served, and what is served of the version before did not change."""
    before = load_snapshot(url).rulebook("irc-2021@1", day)
    draft = drafted(url)
    published(url, draft, day)
    snapshot = load_snapshot(url)
    served = {name: table.text for name, table in snapshot.rulebook("irc-2021@2", day).tables.items()}
    assert served == dict(draft.content.tables)
    assert tomllib.loads(draft.content.meta)["version"] == 2
    after = snapshot.rulebook("irc-2021@1", day)
    assert {name: table.text for name, table in after.tables.items()} == {
        name: table.text for name, table in before.tables.items()
    }

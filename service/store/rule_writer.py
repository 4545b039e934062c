"""What is written of rules: drafts, their publication from a day on, and its withdrawal before that day.

Each function is one transaction, whole or not at all, and says who writes. The database keeps the same laws by itself:
it refuses a day gone by, a change of what is published, and a publication by a key that wrote the draft.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, Row, select, text, update

from service.rules.jurisdiction import Jurisdiction
from service.rules.rulebook import Rulebook, parse_meta
from service.store import tables
from service.store.actor import KEY, write_as
from service.store.drafts import matches
from service.store.errors import NotServed, PublishingConflict, SecondKeyNeeded
from service.store.price_versions import today, today_furthest_east
from service.store.price_writer import written
from service.store.rule_dates import Days, give_back_days, id_column, publish_dated
from service.store.rule_drafts import (
    VERSIONS,
    Draft,
    Kind,
    add,
    next_number,
    read,
    read_seen,
    remove,
    replace_content,
    take_turn,
)
from service.store.rule_drafts import read_all as read_all_drafts
from service.store.texts import RulebookText, joined_lines
from service.store.writer import add_jurisdiction_text, add_rulebook_texts

Content = RulebookText | str
Made = Rulebook | Jurisdiction
Check = Callable[[Made], None]


@dataclass(frozen=True)
class PublishedRules:
    """What a publication made: the version and the days it is in force for, the last one not among them."""

    made: Made
    days: Days


def no_check(_: Made) -> None:
    """Find nothing wrong."""


def create_draft(
    url: str,
    kind: Kind,
    id: str,
    write: Callable[[Content | None, int], Content],
    *,
    actor: str,
    based_on: tuple[str, int] | None = None,
) -> Draft:
    """Begin a draft, which takes the next number there is.

    Args:
        url: libpq URI of the role that serves, or of the owner
        kind: of a rulebook or a place
        id: whose version it is to be
        write: gives its content from that of the version it is based on, and its number
        actor: who writes
        based_on: id and number of a version or draft of the same kind

    Raises:
        NotServed: the version it is based on is not there
        StoreError: the database is away
    """
    with written(url) as connection:
        write_as(connection, actor)
        take_turn(connection, kind, id)
        _refuse_other_kind(connection, kind, id)
        base = None if based_on is None else read_content(connection, kind, *based_on)
        version = next_number(connection, kind, id)
        named = None if based_on is None else f"{based_on[0]}@{based_on[1]}"
        add(connection, kind, id, version, named, write(base, version))
        return read(connection, kind, id, version)


def change_draft(
    url: str,
    kind: Kind,
    id: str,
    version: int,
    etag: str | None,
    write: Callable[[Draft], Content],
    *,
    actor: str,
) -> Draft:
    """Change a draft that is still as its sender saw it.

    Raises:
        NotServed, PublishingConflict, ChangedSince: as for `rule_drafts.read_seen`
    """
    with written(url) as connection:
        write_as(connection, actor)
        take_turn(connection, kind, id)
        draft = read_seen(connection, kind, id, version, etag)
        replace_content(connection, draft, write(draft))
        return read(connection, kind, id, version)


def discard_draft(url: str, kind: Kind, id: str, version: int, etag: str | None, *, actor: str) -> None:
    """Take a draft away; errors as for `change_draft`."""
    with written(url) as connection:
        write_as(connection, actor)
        take_turn(connection, kind, id)
        remove(connection, read_seen(connection, kind, id, version, etag))


def read_draft(url: str, kind: Kind, id: str, version: int) -> Draft:
    """Return a draft; errors as for `rule_drafts.read`."""
    with written(url) as connection:
        return read(connection, kind, id, version)


def read_drafts(url: str, kind: Kind, id: str | None = None) -> tuple[Draft, ...]:
    """Return the drafts of a kind, of one id where it is given."""
    with written(url) as connection:
        return read_all_drafts(connection, kind, id)


def read_version(url: str, kind: Kind, id: str, version: int) -> Content:
    """Return the texts of a version, published or drafted; errors as for `read_content`."""
    with written(url) as connection:
        return read_content(connection, kind, id, version)


def publish_draft(
    url: str,
    kind: Kind,
    id: str,
    version: int,
    etag: str | None,
    first: date,
    *,
    actor: str,
    check: Check = no_check,
    own_too: bool = False,
) -> PublishedRules:
    """Publish a draft, in force from a day on; from then on it stays as it is.

    Args:
        url: libpq URI
        kind: of a rulebook or a place
        id: whose version it is
        version: number of the draft
        etag: entity tag its sender saw
        first: first day it is in force, today at the earliest
        actor: who publishes, none of those who wrote the draft
        check: finds what is wrong beyond the draft itself
        own_too: for the operator, who has every right: also what he wrote himself

    Raises:
        NotServed, PublishingConflict, ChangedSince: as for `rule_drafts.read_seen`, or the day is gone by or taken
        SecondKeyNeeded: who publishes wrote some of it
        TableRefused: with every fault of the draft
    """
    with written(url) as connection:
        write_as(connection, actor)
        take_turn(connection, kind, id)
        draft = read_seen(connection, kind, id, version, etag)
        if not own_too and _wrote(connection, actor, draft):
            raise SecondKeyNeeded(f"{draft.reference} was written with this key: another one publishes it")
        made = draft.built()
        check(made)
        _refuse_gone_by(connection, made, first)
        _write(connection, draft, made)
        key = {f"{kind}_id": id, "version": version}
        publish_dated(connection, VERSIONS[kind], key, first)
        remove(connection, draft)
        return PublishedRules(made, _row(connection, kind, id, version).in_force)


def withdraw_version(url: str, kind: Kind, id: str, version: int, *, actor: str) -> None:
    """Withdraw a published version before the day it comes into force; the one before it keeps its days.

    Raises:
        NotServed: there is no such published version
        PublishingConflict: it is in force, was, or is withdrawn already
    """
    with written(url) as connection:
        write_as(connection, actor)
        take_turn(connection, kind, id)
        row = _row(connection, kind, id, version)
        days: Days = row.in_force
        ahead = not days.isempty and days.lower is not None and days.lower > today_furthest_east(connection)
        if row.state != "announced" or not ahead:
            raise PublishingConflict(
                f"{id}@{version} is not announced only: it can be followed, not withdrawn"
            )
        versions = VERSIONS[kind]
        key = {f"{kind}_id": id, "version": version}
        connection.execute(update(versions).where(matches(versions, key)).values(state="withdrawn"))
        give_back_days(connection, versions, id, days)


def read_content(connection: Connection, kind: Kind, id: str, version: int) -> Content:
    """Return the texts of a version, published or drafted, byte for byte.

    Raises:
        NotServed: there is none
    """
    try:
        return read(connection, kind, id, version).content
    except PublishingConflict:
        return _published_content(connection, kind, id, version)


def _published_content(connection: Connection, kind: Kind, id: str, version: int) -> Content:
    row = _row(connection, kind, id, version)
    if kind == "jurisdiction":
        document: str = row.document
        return document
    owner, line = tables.rule_table, tables.rule_row
    texts: dict[str, str] = {}
    for table in connection.execute(
        select(owner).where(owner.c.rulebook_id == id, owner.c.version == version)
    ):
        rows = connection.execute(
            select(line.c.line)
            .where(line.c.rulebook_id == id, line.c.version == version, line.c.table_name == table.name)
            .order_by(line.c.position)
        )
        texts[table.name] = joined_lines(table.header, rows.scalars().all())
    return RulebookText(row.meta, texts)


def _row(connection: Connection, kind: Kind, id: str, version: int) -> Row[Any]:
    versions = VERSIONS[kind]
    chosen = select(versions).where(
        versions.c[id_column(versions)] == id,
        versions.c.version == version,
        versions.c.published_at.is_not(None),
    )
    row = connection.execute(chosen).one_or_none()
    if row is None:
        raise NotServed(f"there is no {kind} {id}@{version}")
    return row


def _refuse_other_kind(connection: Connection, kind: Kind, id: str) -> None:
    """An id is that of a rulebook or of a place, so that a key for the one is none for the other."""
    other: Kind = "jurisdiction" if kind == "rulebook" else "rulebook"
    identity = tables.metadata.tables[other]
    taken = connection.execute(select(identity.c.id).where(identity.c.id == id)).first()
    if taken is not None or read_all_drafts(connection, other, id):
        raise PublishingConflict(f"{id} is the id of a {other}: name the {kind} otherwise")


def _wrote(connection: Connection, actor: str, draft: Draft) -> bool:
    """Whether an actor wrote some of a draft; a key counts as those it was made in the place of."""
    return not _firsts(connection, [actor]).isdisjoint(_firsts(connection, draft.written_by))


def _firsts(connection: Connection, actors: Sequence[str]) -> set[str]:
    """Actors, each key as the first of its line."""
    key = tables.api_key
    ids = [actor.removeprefix(KEY) for actor in actors]
    line = {
        row.id: row.first_id or row.id
        for row in connection.execute(select(key.c.id, key.c.first_id).where(key.c.id.in_(ids)))
    }
    return {KEY + line.get(actor.removeprefix(KEY), actor.removeprefix(KEY)) for actor in actors}


def _refuse_gone_by(connection: Connection, made: Made, first: date) -> None:
    now = today(connection)
    if isinstance(made, Jurisdiction):
        local = text("select (now() at time zone :zone)::date")
        now = max(now, connection.execute(local, {"zone": made.time_zone}).scalar_one())
    if first < now:
        raise PublishingConflict(
            f"{first} is before today, {now}: what was answered for days gone by stays; name {now} at the earliest"
        )


def _write(connection: Connection, draft: Draft, made: Made) -> None:
    if isinstance(draft.content, RulebookText):
        add_rulebook_texts(connection, parse_meta(draft.content.meta), draft.content)
    elif isinstance(made, Jurisdiction):
        add_jurisdiction_text(connection, made, draft.content)

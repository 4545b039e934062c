"""What a running service writes: price books and versions of them, whole or not at all.

An answer for a day gone by never changes, so a version begins today at the earliest and never within the days of
another one. The one exception to a version's days: where it has no last day, the next one ends it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any, Literal

from sqlalchemy import Connection, Row, func, select, text
from sqlalchemy.dialects.postgresql import Range
from sqlalchemy.exc import DBAPIError, IntegrityError

from service.contract.faults import LAST_DAY
from service.rules.parse import digest_of
from service.rules.price_book import PriceBook, canonical_text, parse_price_book
from service.store import tables
from service.store.actor import write_as
from service.store.database import transaction
from service.store.drafts import add_identity
from service.store.errors import NotAsSaid, PublishingConflict, StoreError
from service.store.price_versions import (
    add_price_book_version,
    days_of,
    end_before,
    last_day,
    open_ended_before,
    today,
)

# Any number, as long as it stays the same: beside that of the book it names the lock of its one writer.
BOOK_LOCK = 1_731_026
PATIENCE = "20s"
Outcome = Literal["created", "existing", "would_create"]


@dataclass(frozen=True)
class Publication:
    """What an upload made, found or would make.

    Attributes:
        book: the version, with its number, days and digest
        outcome: which of the three
        ends: number of the open-ended version that ends where this one begins
    """

    book: PriceBook
    outcome: Outcome
    ends: int | None = None


def create_price_book(url: str, id: str, organisation: str, actor: str = "") -> bool:
    """Add a price book without versions; return whether it was new.

    Args:
        url: libpq URI of the role that serves
        id: of the book
        organisation: whose it is to be
        actor: who makes it; the role where nobody is named

    Raises:
        StoreError: the database is away
        PublishingConflict: the id is another organisation's
    """
    book = tables.price_book
    with written(url) as connection:
        write_as(connection, actor)
        owner = select(book.c.organisation_id).where(book.c.id == id)
        before = connection.execute(owner).scalar_one_or_none()
        if before is None:
            add_identity(connection, book, id=id, organisation_id=organisation)
        if connection.execute(owner).scalar_one() != organisation:
            raise PublishingConflict("this id cannot be had")
        return before is None


def publish_price_book(
    url: str, book: PriceBook, said: Mapping[str, Any], *, dry_run: bool = False, actor: str = ""
) -> Publication:
    """Publish a version of a price book, unless its very content is there already.

    Args:
        url: libpq URI of the role that serves
        book: the version with the book's id and organisation; its number and digest are settled here
        said: the number and digest the sender expects, where it said so
        dry_run: find out what would be made, and write nothing
        actor: who publishes; the role where nobody is named

    Raises:
        NotAsSaid: its number or digest is another than was said
        PublishingConflict: its days are gone by or another version's
        StoreError: the database is away
    """
    with written(url) as connection:
        write_as(connection, actor)
        _take_turn(connection, book.id)
        versions = _versions(connection, book.id)
        existing = _same_content(book, versions)
        if existing is not None:
            _check_said(existing, said)
            return Publication(existing, "existing")
        new, content = _numbered(book, _next_number(connection, book.id))
        _check_said(new, said)
        _check_days(new, versions, today(connection))
        parse_price_book(content, f"{new.id}@{new.version}.csv")
        before = open_ended_before(connection, new.id, new.effective_from)
        ends = None if before is None else int(before["version"])
        if dry_run:
            return Publication(new, "would_create", ends)
        if before is not None:
            end_before(connection, before, new.effective_from)
        add_price_book_version(connection, new, content, days_of(new))
        return Publication(new, "created", ends)


@contextmanager
def written(url: str) -> Iterator[Connection]:
    """A connection in a transaction whose failures are told as ours."""
    try:
        with transaction(url) as connection:
            connection.execute(text(f"set local lock_timeout = '{PATIENCE}'"))
            connection.execute(text(f"set local statement_timeout = '{PATIENCE}'"))
            yield connection
    except IntegrityError as fault:
        raise PublishingConflict(
            "another version was published in the same moment: look, and try again"
        ) from fault
    except DBAPIError as fault:
        raise StoreError(f"the database did not take it: {fault.orig}") from fault


def _take_turn(connection: Connection, book: str) -> None:
    """Wait until no other process publishes a version of this book; held until the transaction ends."""
    connection.execute(
        text("select pg_advisory_xact_lock(:lock, hashtext(:book))"), {"lock": BOOK_LOCK, "book": book}
    )


def _versions(connection: Connection, book: str) -> list[Row[Any]]:
    version = tables.price_book_version
    columns = (version.c.version, version.c.effective, version.c.state, version.c.digest)
    chosen = select(*columns).where(version.c.price_book_id == book, version.c.published_at.is_not(None))
    return list(connection.execute(chosen.order_by(version.c.version)))


def _next_number(connection: Connection, book: str) -> int:
    version = tables.price_book_version
    newest = select(func.max(version.c.version)).where(version.c.price_book_id == book)
    return int(connection.scalar(newest) or 0) + 1


def _same_content(book: PriceBook, versions: list[Row[Any]]) -> PriceBook | None:
    """The version that has this very content, apart from its number and from a last day set by the next one."""
    for row in versions:
        if row.effective.lower != book.effective_from or row.state == "withdrawn":
            continue
        ended = [None] if last_day(row.effective) == book.effective_to else []
        for last in (book.effective_to, *ended):
            content = canonical_text(replace(book, version=row.version, effective_to=last))
            if digest_of(content) == row.digest:
                return _as_stored(book, row)
    return None


def _as_stored(book: PriceBook, row: Row[Any]) -> PriceBook:
    return replace(book, version=row.version, digest=row.digest, effective_to=last_day(row.effective))


def _numbered(book: PriceBook, version: int) -> tuple[PriceBook, str]:
    content = canonical_text(replace(book, version=version))
    return replace(book, version=version, digest=digest_of(content)), content


def _check_said(book: PriceBook, said: Mapping[str, Any]) -> None:
    for key in ("version", "digest"):
        is_so = getattr(book, key)
        if key in said and said[key] != is_so:
            raise NotAsSaid(
                key, f"this content is {book.id}@{book.version} with {key} {is_so}: say so, or leave it out"
            )


def _check_days(book: PriceBook, versions: list[Row[Any]], now: date) -> None:
    if book.effective_from < now:
        raise PublishingConflict(
            f"effective_from {book.effective_from} is before today, {now} in UTC: what was answered for days gone "
            "by stays"
        )
    for row in versions:
        ended = row.effective.upper is None and row.effective.lower < book.effective_from
        if row.state != "withdrawn" and not ended and days_of(book).overlaps(row.effective):
            raise PublishingConflict(_overlap(book, row.version, row.effective))


def _overlap(book: PriceBook, version: int, days: Range[date]) -> str:
    last = last_day(days)
    held = f"{book.id}@{version} holds from {days.lower} {f'to {last}' if last else 'on'}"
    if days.lower is not None and book.effective_from < days.lower:
        return f"{held}: give effective_to, {days.lower - timedelta(days=1)} at the latest"
    if last == LAST_DAY:
        return f"{held}: no day is left after it"
    first = (last or book.effective_from) + timedelta(days=1)
    return f"{held}: give effective_from, {first} at the earliest"

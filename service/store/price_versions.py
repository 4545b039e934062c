"""Versions of a price book in the database, and the days each holds for."""

from __future__ import annotations

from datetime import date, timedelta

from sqlalchemy import Connection, func, select, text, update
from sqlalchemy.dialects.postgresql import Range

from service.rules.price_book import PriceBook
from service.store import tables
from service.store.drafts import add_draft, add_lines, matches, publish
from service.store.texts import PRICE_BOOK_HEADINGS, split_lines

VersionKey = dict[str, str | int]


def today(connection: Connection) -> date:
    """The day it is in UTC by the database's clock, which every process and the guard in the database share."""
    found: date = connection.execute(text("select (now() at time zone 'utc')::date")).scalar_one()
    return found


def today_furthest_east(connection: Connection) -> date:
    """The day it is where days begin first: nowhere has a later one begun."""
    first = text("select (now() at time zone 'utc' + interval '14 hours')::date")
    found: date = connection.execute(first).scalar_one()
    return found


def days_of(book: PriceBook) -> Range[date]:
    """The days a price book holds for, the last one among them."""
    after = None if book.effective_to is None else book.effective_to + timedelta(days=1)
    return Range(book.effective_from, after, bounds="[)")


def last_day(days: Range[date]) -> date | None:
    """The last day of a range; None where it has no end."""
    return None if days.upper is None else days.upper - timedelta(days=1)


def add_price_book_version(connection: Connection, book: PriceBook, text: str, days: Range[date]) -> str:
    """Write and publish a version; return its reference.

    Args:
        connection: in a transaction
        book: the version, its digest that of the text
        text: its canonical text, which is kept byte for byte
        days: when its prices hold
    """
    key: VersionKey = {"price_book_id": book.id, "version": book.version}
    header, rows = split_lines(text, PRICE_BOOK_HEADINGS)
    columns = {"currency": book.currency, "tax_included": book.tax_included, "digest": book.digest}
    add_draft(connection, tables.price_book_version, key, header=header, effective=days, **columns)
    add_lines(connection, tables.price_book_line, key, rows)
    return publish(connection, tables.price_book_version, key)


def open_ended_before(connection: Connection, id: str, day: date) -> VersionKey | None:
    """The version of a price book that began before a day and has no last one; at most one can."""
    version = tables.price_book_version
    chosen = select(version.c.version).where(
        version.c.price_book_id == id,
        version.c.published_at.is_not(None),
        version.c.state != "withdrawn",
        func.upper_inf(version.c.effective),
        func.lower(version.c.effective) < day,
    )
    found = connection.execute(chosen).scalar_one_or_none()
    return None if found is None else {"price_book_id": id, "version": found}


def in_force_on(connection: Connection, id: str, day: date) -> VersionKey | None:
    """The version of a price book that holds on a day and began before it; at most one can."""
    version = tables.price_book_version
    chosen = select(version.c.version).where(
        version.c.price_book_id == id,
        version.c.published_at.is_not(None),
        version.c.state != "withdrawn",
        version.c.effective.contains(day),
        func.lower(version.c.effective) < day,
    )
    found = connection.execute(chosen).scalar_one_or_none()
    return None if found is None else {"price_book_id": id, "version": found}


def end_before(connection: Connection, key: VersionKey, day: date) -> None:
    """Give a version the last day before `day`."""
    version = tables.price_book_version
    days = func.daterange(func.lower(version.c.effective), day, "[)")
    connection.execute(update(version).where(matches(version, key)).values(effective=days))

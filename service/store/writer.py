"""Writes rule, jurisdiction and price texts as published versions; a version once written stays as it is."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from sqlalchemy import Connection, Table, insert, select
from sqlalchemy.dialects.postgresql import Range
from sqlalchemy.exc import IntegrityError

from service.rules.jurisdiction import Jurisdiction
from service.rules.parse import digest_of
from service.rules.price_book import PriceBook, following, parse_price_book
from service.rules.rulebook import RulebookMeta, build_rulebook, parse_meta
from service.store import tables
from service.store.bundled import bundled
from service.store.database import LONG_PATIENCE_S, transaction
from service.store.drafts import add_draft, add_identity, add_lines, matches, reference
from service.store.errors import LoadRefused
from service.store.migrate import take_writer_lock
from service.store.places import read_place
from service.store.price_versions import (
    add_price_book_version,
    days_of,
    end_before,
    in_force_on,
    today,
)
from service.store.rule_dates import bundled_first_day, publish_dated
from service.store.texts import RULE_TABLE_HEADINGS, Bundle, NamedText, RulebookText, split_lines


def load_bundled(owner_url: str) -> list[str]:
    """Write what comes with the service; what is there already is left alone.

    Args:
        owner_url: libpq URI of the role that owns the tables

    Returns:
        The versions added, like `irc-2021@1`.

    Raises:
        TableRefused: a text cannot be parsed; names file and line
        LoadRefused: a text differs from the published version of the same number
    """
    return load(owner_url, bundled())


def load(owner_url: str, bundle: Bundle) -> list[str]:
    """Write a bundle of texts, all of it or none; see `load_bundled`."""
    with transaction(owner_url, patience_s=LONG_PATIENCE_S) as connection:
        take_writer_lock(connection)
        try:
            added = [_load_rulebook(connection, one) for one in bundle.rulebooks]
            added += [_load_jurisdiction(connection, one) for one in bundle.jurisdictions]
            added += _load_price_books(connection, bundle.price_books)
        except IntegrityError as fault:
            raise LoadRefused(f"the database refused a version: {fault.orig}") from fault
    return [name for name in added if name is not None]


def _load_rulebook(connection: Connection, given: RulebookText) -> str | None:
    meta = parse_meta(given.meta)
    key = {"rulebook_id": meta.id, "version": meta.version}
    digests = {"digest": given.digest, "meta_digest": digest_of(given.meta)}
    if _is_published(connection, tables.rulebook_version, key, digests):
        return None
    build_rulebook(given.meta, given.tables)
    add_rulebook_texts(connection, meta, given)
    first = bundled_first_day(connection, tables.rulebook_version, meta.id, meta.published_on)
    return publish_dated(connection, tables.rulebook_version, key, first)


def add_rulebook_texts(connection: Connection, meta: RulebookMeta, given: RulebookText) -> None:
    """Write the texts of a version that is not published yet."""
    key = {"rulebook_id": meta.id, "version": meta.version}
    digests = {"digest": given.digest, "meta_digest": digest_of(given.meta)}
    add_identity(connection, tables.rulebook, id=meta.id, kind=meta.kind, title=meta.title)
    add_draft(connection, tables.rulebook_version, key, edition=meta.edition, meta=given.meta, **digests)
    for name, text in given.tables.items():
        _add_rule_table(connection, key, name, text)


def _add_rule_table(connection: Connection, key: dict[str, Any], name: str, text: str) -> None:
    header, rows = split_lines(text, RULE_TABLE_HEADINGS)
    connection.execute(
        insert(tables.rule_table).values(name=name, digest=digest_of(text), header=header, **key)
    )
    add_lines(connection, tables.rule_row, {**key, "table_name": name}, rows)


def _load_jurisdiction(connection: Connection, given: NamedText) -> str | None:
    place = read_place(given.text, given.name)
    _check_name(given, f"{place.id}.toml", f"{place.id}@{place.version}.toml")
    key = {"jurisdiction_id": place.id, "version": place.version}
    if _is_published(connection, tables.jurisdiction_version, key, {"digest": place.digest}):
        return None
    add_jurisdiction_text(connection, place, given.text)
    first = bundled_first_day(connection, tables.jurisdiction_version, place.id, today(connection))
    return publish_dated(connection, tables.jurisdiction_version, key, first)


def add_jurisdiction_text(connection: Connection, place: Jurisdiction, text: str) -> None:
    """Write the text of a version of a place that is not published yet."""
    key = {"jurisdiction_id": place.id, "version": place.version}
    add_identity(connection, tables.jurisdiction, id=place.id)
    add_draft(connection, tables.jurisdiction_version, key, document=text, digest=place.digest)


def _load_price_books(connection: Connection, given: Sequence[NamedText]) -> list[str | None]:
    books = following([parse_price_book(one.text, one.name) for one in given])
    return [_load_price_book(connection, one, book) for one, book in zip(given, books, strict=True)]


def _load_price_book(connection: Connection, given: NamedText, book: PriceBook) -> str | None:
    _check_name(given, f"{book.id}@{book.version}.csv")
    key = {"price_book_id": book.id, "version": book.version}
    if _is_published(connection, tables.price_book_version, key, {"digest": book.digest}):
        return None
    days = _days(connection, book)
    if days is None:
        return None
    # The book that comes with the service is a demonstration: everyone may see it.
    add_identity(connection, tables.organisation, id=book.organisation, name=book.organisation)
    add_identity(connection, tables.price_book, id=book.id, organisation_id=book.organisation, public=True)
    return add_price_book_version(connection, book, given.text, days)


def _days(connection: Connection, book: PriceBook) -> Range[date] | None:
    """The days a version is to hold for, after the version in force when it begins has been ended.

    Loaded late into a database that has answered with another, it begins today: what was answered for days gone by
    stays. None where all its days are gone by: that database never had it.
    """
    days = days_of(book)
    first = max(book.effective_from, today(connection))
    before = in_force_on(connection, book.id, first)
    if before is None:
        return days
    if days.upper is not None and days.upper <= first:
        return None
    end_before(connection, before, first)
    return Range(first, days.upper, bounds="[)")


def _check_name(given: NamedText, *allowed: str) -> None:
    if given.name not in allowed:
        raise LoadRefused(f"{given.name}: by what it says this file is named {' or '.join(allowed)}")


def _is_published(
    connection: Connection, versions: Table, key: dict[str, Any], digests: dict[str, str]
) -> bool:
    found = connection.execute(select(*(versions.c[name] for name in digests)).where(matches(versions, key)))
    stored = found.mappings().one_or_none()
    if stored is None:
        return False
    if dict(stored) == digests:
        return True
    raise LoadRefused(
        f"{reference(key)} is published with digest {stored['digest']}, and its text now has another content "
        f"(digest {digests['digest']}): a published version never changes, so give the text the next version "
        "number"
    )

"""Writes rule, jurisdiction and price texts as published versions; a version once written stays as it is."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from sqlalchemy import Connection, Integer, Table, and_, func, insert, literal, select, update
from sqlalchemy import Text as SqlText
from sqlalchemy.dialects.postgresql import ARRAY, Range
from sqlalchemy.dialects.postgresql import insert as upsert
from sqlalchemy.exc import IntegrityError

from service.rules.jurisdiction import parse_jurisdiction
from service.rules.parse import digest_of
from service.rules.price_book import PriceBook, parse_price_book
from service.rules.rulebook import build_rulebook, parse_meta
from service.store import tables
from service.store.bundled import bundled
from service.store.database import transaction
from service.store.errors import LoadRefused
from service.store.migrate import take_writer_lock
from service.store.texts import (
    PRICE_BOOK_HEADINGS,
    RULE_TABLE_HEADINGS,
    Bundle,
    NamedText,
    RulebookText,
    split_lines,
)


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
    with transaction(owner_url) as connection:
        take_writer_lock(connection)
        try:
            added = [_load_rulebook(connection, one) for one in bundle.rulebooks]
            added += [_load_jurisdiction(connection, one) for one in bundle.jurisdictions]
            added += [_load_price_book(connection, one) for one in bundle.price_books]
        except IntegrityError as fault:
            raise LoadRefused(f"the database refused a version: {fault.orig}") from fault
    return [reference for reference in added if reference is not None]


def _load_rulebook(connection: Connection, given: RulebookText) -> str | None:
    meta = parse_meta(given.meta)
    key = {"rulebook_id": meta.id, "version": meta.version}
    digests = {"digest": given.digest, "meta_digest": digest_of(given.meta)}
    if _is_published(connection, tables.rulebook_version, key, digests):
        return None
    build_rulebook(given.meta, given.tables)
    _add_identity(connection, tables.rulebook, id=meta.id, kind=meta.kind, title=meta.title)
    _add_draft(connection, tables.rulebook_version, key, edition=meta.edition, meta=given.meta, **digests)
    for name, text in given.tables.items():
        _add_rule_table(connection, key, name, text)
    return _publish(connection, tables.rulebook_version, key)


def _add_rule_table(connection: Connection, key: dict[str, Any], name: str, text: str) -> None:
    header, rows = split_lines(text, RULE_TABLE_HEADINGS)
    connection.execute(
        insert(tables.rule_table).values(name=name, digest=digest_of(text), header=header, **key)
    )
    _add_lines(connection, tables.rule_row, {**key, "table_name": name}, rows)


def _load_jurisdiction(connection: Connection, given: NamedText) -> str | None:
    place = parse_jurisdiction(given.text, given.name)
    _check_name(given, f"{place.id}.toml", f"{place.id}@{place.version}.toml")
    key = {"jurisdiction_id": place.id, "version": place.version}
    if _is_published(connection, tables.jurisdiction_version, key, {"digest": place.digest}):
        return None
    _add_identity(connection, tables.jurisdiction, id=place.id)
    _add_draft(connection, tables.jurisdiction_version, key, document=given.text, digest=place.digest)
    return _publish(connection, tables.jurisdiction_version, key)


def _load_price_book(connection: Connection, given: NamedText) -> str | None:
    book = parse_price_book(given.text, given.name)
    _check_name(given, f"{book.id}@{book.version}.csv")
    key = {"price_book_id": book.id, "version": book.version}
    if _is_published(connection, tables.price_book_version, key, {"digest": book.digest}):
        return None
    header, rows = split_lines(given.text, PRICE_BOOK_HEADINGS)
    _add_price_book(connection, book)
    _add_draft(connection, tables.price_book_version, key, header=header, **_book_columns(book))
    _add_lines(connection, tables.price_book_line, key, rows)
    return _publish(connection, tables.price_book_version, key, supersede=False)


def _add_price_book(connection: Connection, book: PriceBook) -> None:
    # The book that comes with the service is a demonstration: everyone may see it.
    _add_identity(connection, tables.organisation, id=book.organisation, name=book.organisation)
    _add_identity(connection, tables.price_book, id=book.id, organisation_id=book.organisation, public=True)


def _book_columns(book: PriceBook) -> dict[str, Any]:
    after = None if book.effective_to is None else book.effective_to + timedelta(days=1)
    return {
        "currency": book.currency,
        "effective": Range(book.effective_from, after, bounds="[)"),
        "tax_included": book.tax_included,
        "digest": book.digest,
    }


def _check_name(given: NamedText, *allowed: str) -> None:
    if given.name not in allowed:
        raise LoadRefused(f"{given.name}: by what it says this file is named {' or '.join(allowed)}")


def _is_published(
    connection: Connection, versions: Table, key: dict[str, Any], digests: dict[str, str]
) -> bool:
    found = connection.execute(select(*(versions.c[name] for name in digests)).where(_matches(versions, key)))
    stored = found.mappings().one_or_none()
    if stored is None:
        return False
    if dict(stored) == digests:
        return True
    raise LoadRefused(
        f"{_reference(key)} is published with digest {stored['digest']}, and its text now has another content "
        f"(digest {digests['digest']}): a published version never changes, so give the text the next version "
        "number"
    )


def _reference(key: dict[str, Any]) -> str:
    identity, version = key.values()
    return f"{identity}@{version}"


def _matches(table: Table, key: dict[str, Any]) -> Any:
    return and_(*(table.c[name] == value for name, value in key.items()))


def _add_identity(connection: Connection, table: Table, **values: Any) -> None:
    connection.execute(upsert(table).values(values).on_conflict_do_nothing())


def _add_draft(connection: Connection, versions: Table, key: dict[str, Any], **values: Any) -> None:
    connection.execute(insert(versions).values(state="draft", **key, **values))


def _add_lines(connection: Connection, table: Table, key: dict[str, Any], lines: Sequence[str]) -> None:
    # One statement for all lines, numbered by the server.
    unnested = func.unnest(literal(list(lines), ARRAY(SqlText)))
    given = unnested.table_valued("line", with_ordinality="position").render_derived()
    columns = [literal(value, table.c[name].type) for name, value in key.items()]
    chosen = select(*columns, given.c.position.cast(Integer), given.c.line)
    connection.execute(insert(table).from_select([*key, "position", "line"], chosen))


def _publish(connection: Connection, versions: Table, key: dict[str, Any], *, supersede: bool = True) -> str:
    connection.execute(
        update(versions).where(_matches(versions, key)).values(state="in_force", published_at=func.now())
    )
    if supersede:
        _supersede_earlier(connection, versions, key)
    return _reference(key)


def _supersede_earlier(connection: Connection, versions: Table, key: dict[str, Any]) -> None:
    name, identity = next(iter(key.items()))
    in_force = and_(versions.c[name] == identity, versions.c.state == "in_force")
    newest = select(func.max(versions.c.version)).where(in_force).scalar_subquery()
    connection.execute(
        update(versions).where(in_force, versions.c.version < newest).values(state="superseded")
    )

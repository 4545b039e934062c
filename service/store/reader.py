"""Reads what is published into a snapshot: a few queries, every digest checked, then parsed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlalchemy import Connection, Row, Select, Table, and_, func, select
from sqlalchemy.exc import ProgrammingError

from service.rules.faults import TableRefused
from service.rules.jurisdiction import Jurisdiction, parse_jurisdiction
from service.rules.parse import digest_of
from service.rules.price_book import PriceBook, parse_price_book
from service.rules.rulebook import Rulebook, build_rulebook
from service.store import tables
from service.store.database import transaction
from service.store.errors import DamagedVersion, StoreError
from service.store.snapshot import Key, Shelf, Snapshot
from service.store.texts import joined_lines

Item = TypeVar("Item")
AnyRow = Row[Any]


@dataclass(frozen=True)
class _Published:
    """The rows of everything published, as one moment had them."""

    rulebooks: list[AnyRow]
    rule_tables: Mapping[Key, list[AnyRow]]
    jurisdictions: list[AnyRow]
    price_books: list[AnyRow]


def load_snapshot(service_url: str) -> Snapshot:
    """Everything published, checked and parsed.

    A version whose text no longer has its digest, or cannot be parsed, is left out and named in the
    shelf's `damaged`; the others are served.

    Args:
        service_url: libpq URI of the role that serves

    Raises:
        StoreError: the database cannot be reached, or lacks the tables or the right to read them
    """
    try:
        with transaction(service_url, read_only=True) as connection:
            published = _read(connection)
    except ProgrammingError as fault:
        raise StoreError(f"the database is not migrated, or not for this role: {fault.orig}") from fault
    return Snapshot(
        rulebooks=_shelf("rulebook", published.rulebooks, lambda row: _rulebook(row, published)),
        jurisdictions=_shelf("jurisdiction", published.jurisdictions, _jurisdiction),
        price_books=_shelf("price book", published.price_books, _price_book),
        public_price_books=frozenset(row.id for row in published.price_books if row.public),
    )


def _read(connection: Connection) -> _Published:
    rule_tables: dict[Key, list[AnyRow]] = {}
    for row in connection.execute(_rule_tables()):
        rule_tables.setdefault((row.rulebook_id, row.version), []).append(row)
    return _Published(
        rulebooks=list(connection.execute(_published(tables.rulebook_version, "rulebook_id"))),
        rule_tables=rule_tables,
        jurisdictions=list(connection.execute(_published(tables.jurisdiction_version, "jurisdiction_id"))),
        price_books=list(connection.execute(_price_books())),
    )


def _published(versions: Table, id_column: str) -> Select[Any]:
    return select(versions, versions.c[id_column].label("id")).where(versions.c.published_at.is_not(None))


def _rule_tables() -> Select[Any]:
    owner, row = tables.rule_table, tables.rule_row
    same = and_(
        row.c.rulebook_id == owner.c.rulebook_id,
        row.c.version == owner.c.version,
        row.c.table_name == owner.c.name,
    )
    return select(owner, _lines(row, same)).order_by(owner.c.name)


def _price_books() -> Select[Any]:
    owner, row = tables.price_book_version, tables.price_book_line
    same = and_(row.c.price_book_id == owner.c.price_book_id, row.c.version == owner.c.version)
    joined = owner.join(tables.price_book, tables.price_book.c.id == owner.c.price_book_id)
    columns = (owner, tables.price_book, _lines(row, same))
    return select(*columns).select_from(joined).where(owner.c.published_at.is_not(None))


def _lines(table: Table, same: Any) -> Any:
    ordered = select(table.c.line).where(same).order_by(table.c.position).scalar_subquery()
    return func.array(ordered).label("rows")


def _shelf(sort: str, rows: Iterable[AnyRow], parse: Callable[[AnyRow], Item]) -> Shelf[Item]:
    versions: dict[Key, Item] = {}
    states: dict[Key, str] = {}
    damaged: dict[Key, str] = {}
    for row in rows:
        key = (row.id, row.version)
        states[key] = row.state
        try:
            versions[key] = parse(row)
        except (DamagedVersion, TableRefused) as fault:
            damaged[key] = f"{sort} {row.id}@{row.version} is damaged in the database: {fault}"
    return Shelf(sort, versions, states, damaged)


def _rulebook(row: AnyRow, published: _Published) -> Rulebook:
    _check_digest("rulebook.toml", row.meta, row.meta_digest)
    texts: dict[str, str] = {}
    for table in published.rule_tables.get((row.id, row.version), ()):
        texts[table.name] = joined_lines(table.header, table.rows)
        _check_digest(f"table {table.name}", texts[table.name], table.digest)
    book = build_rulebook(row.meta, texts)
    _check_identity(row, book.id, book.version, book.digest)
    return book


def _jurisdiction(row: AnyRow) -> Jurisdiction:
    place = parse_jurisdiction(row.document, f"{row.id}.toml")
    _check_identity(row, place.id, place.version, place.digest)
    return place


def _price_book(row: AnyRow) -> PriceBook:
    text = joined_lines(row.header, row.rows)
    _check_digest("its text", text, row.digest)
    book = parse_price_book(text, f"{row.id}@{row.version}.csv")
    _check_identity(row, book.id, book.version, book.digest)
    return book


def _check_digest(what: str, text: str, digest: str) -> None:
    if digest_of(text) != digest:
        raise DamagedVersion(f"{what} has digest {digest_of(text)} where {digest} was published")


def _check_identity(row: AnyRow, id: str, version: int, digest: str) -> None:
    if (row.id, row.version) != (id, version):
        raise DamagedVersion(f"its text is that of {id}@{version}")
    if row.digest != digest:
        raise DamagedVersion(f"the whole has digest {digest} where {row.digest} was published")

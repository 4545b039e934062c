"""Reads what is published into a snapshot: a few queries, every digest checked, then parsed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date
from typing import Any, TypeVar

from sqlalchemy import Connection, Row, Select, Table, and_, case, func, select, tuple_
from sqlalchemy.dialects.postgresql import Range
from sqlalchemy.exc import DBAPIError, ProgrammingError

from service.rules.faults import TableRefused
from service.rules.jurisdiction import Jurisdiction
from service.rules.parse import digest_of
from service.rules.price_book import PriceBook, parse_price_book
from service.rules.rulebook import Rulebook, build_rulebook
from service.store import tables
from service.store.access import Access, ApiKey, BookHead
from service.store.database import LONG_READ_S, transaction
from service.store.errors import DamagedVersion, StoreError
from service.store.places import read_place
from service.store.price_versions import last_day
from service.store.snapshot import NOTHING, Days, Key, Shelf, Snapshot
from service.store.texts import joined_lines

Item = TypeVar("Item", Rulebook, Jurisdiction, PriceBook)
AnyRow = Row[Any]


@dataclass(frozen=True)
class _Published:
    """The rows of everything published, as one moment had them.

    Texts are missing where the snapshot before had them: a published one does not change.
    """

    rulebooks: list[AnyRow]
    rule_tables: Mapping[Key, list[AnyRow]]
    jurisdictions: list[AnyRow]
    price_books: list[AnyRow]
    access: Access
    changes: int


def load_snapshot(service_url: str, before: Snapshot = NOTHING) -> Snapshot:
    """Everything published, checked and parsed.

    A version whose text no longer has its digest, or cannot be parsed, is left out and named in the
    shelf's `damaged`; the others are served.

    Args:
        service_url: libpq URI of the role that serves
        before: an earlier snapshot, whose versions are taken over where their digest is still the same

    Raises:
        StoreError: the database cannot be reached, or lacks the tables or the right to read them
    """
    try:
        with transaction(service_url, read_only=True, patience_s=LONG_READ_S) as connection:
            published = _read(connection, before)
    except ProgrammingError as fault:
        raise StoreError(f"the database is not migrated, or not for this role: {fault.orig}") from fault
    except DBAPIError as fault:
        raise StoreError(f"the database cannot be read: {fault.orig}") from fault
    return Snapshot(
        rulebooks=_shelf(before.rulebooks, published.rulebooks, lambda row: _rulebook(row, published)),
        jurisdictions=_shelf(before.jurisdictions, published.jurisdictions, _jurisdiction),
        price_books=_price_shelf(before.price_books, published.price_books),
        access=published.access,
        changes=published.changes,
    )


def _read(connection: Connection, before: Snapshot) -> _Published:
    # The count comes first: the transaction sees the database as it was at this query.
    changes = read_changes(connection)
    rule_tables: dict[Key, list[AnyRow]] = {}
    for row in connection.execute(_rule_tables(before.rulebooks)):
        rule_tables.setdefault((row.rulebook_id, row.version), []).append(row)
    return _Published(
        rulebooks=list(connection.execute(_published(tables.rulebook_version, "rulebook_id"))),
        rule_tables=rule_tables,
        jurisdictions=list(connection.execute(_published(tables.jurisdiction_version, "jurisdiction_id"))),
        price_books=list(connection.execute(_price_books(before.price_books))),
        access=read_access(connection),
        changes=changes,
    )


def read_changes(connection: Connection) -> int:
    """How many changes of what a snapshot holds there have been."""
    return int(connection.scalar(select(tables.change_count.c.changes)) or 0)


def read_access(connection: Connection) -> Access:
    """Keys that are not revoked, price books and grants."""
    key, book, grant = tables.api_key, tables.price_book, tables.price_book_grant
    keys = connection.execute(select(key).where(key.c.revoked_at.is_(None)))
    return Access(
        keys={row.id: _key(row) for row in keys},
        books={
            row.id: BookHead(row.id, row.organisation_id, row.public)
            for row in connection.execute(select(book))
        },
        grants=frozenset(
            (row.price_book_id, row.organisation_id) for row in connection.execute(select(grant))
        ),
    )


def _key(row: AnyRow) -> ApiKey:
    return ApiKey(
        row.id,
        row.organisation_id,
        row.kind,
        frozenset(row.scopes),
        row.price_book_id,
        row.secret_digest,
        row.expires_at,
        frozenset(row.rules_bound),
        frozenset(row.origins),
    )


def _published(versions: Table, id_column: str) -> Select[Any]:
    return select(versions, versions.c[id_column].label("id")).where(versions.c.published_at.is_not(None))


def _rule_tables(before: Shelf[Rulebook]) -> Select[Any]:
    owner, row = tables.rule_table, tables.rule_row
    same = and_(
        row.c.rulebook_id == owner.c.rulebook_id,
        row.c.version == owner.c.version,
        row.c.table_name == owner.c.name,
    )
    new = tuple_(owner.c.rulebook_id, owner.c.version).not_in(list(before.versions))
    return select(owner, _lines(row, same)).where(new).order_by(owner.c.name)


def _price_books(before: Shelf[PriceBook]) -> Select[Any]:
    owner, row = tables.price_book_version, tables.price_book_line
    same = and_(row.c.price_book_id == owner.c.price_book_id, row.c.version == owner.c.version)
    had = tuple_(owner.c.price_book_id, owner.c.version).in_(list(before.versions))
    rows = case((had, None), else_=_lines(row, same)).label("rows")
    columns = (owner, owner.c.price_book_id.label("id"), rows)
    return select(*columns).where(owner.c.published_at.is_not(None))


def _lines(table: Table, same: Any) -> Any:
    ordered = select(table.c.line).where(same).order_by(table.c.position).scalar_subquery()
    return func.array(ordered).label("rows")


def _shelf(before: Shelf[Item], rows: Iterable[AnyRow], parse: Callable[[AnyRow], Item]) -> Shelf[Item]:
    sort = before.sort
    versions: dict[Key, Item] = {}
    states: dict[Key, str] = {}
    damaged: dict[Key, str] = {}
    days: dict[Key, Days] = {}
    published: dict[Key, date] = {}
    for row in rows:
        key = (row.id, row.version)
        states[key] = row.state
        published[key] = row.published_at.astimezone(UTC).date()
        in_force = getattr(row, "in_force", None)
        if in_force is not None and not in_force.isempty and row.state != "withdrawn":
            days[key] = Days(in_force.lower, in_force.upper)
        try:
            versions[key] = _taken_over(before, row) or parse(row)
        except (DamagedVersion, TableRefused) as fault:
            damaged[key] = f"{sort} {row.id}@{row.version} is damaged in the database: {fault}"
    return Shelf(sort, versions, states, damaged, days, published)


def _taken_over(before: Shelf[Item], row: AnyRow) -> Item | None:
    """The version of the earlier snapshot, which stands for its text; one of another digest is no such one."""
    had = before.versions.get((row.id, row.version))
    if had is not None and had.digest != row.digest:
        raise DamagedVersion(f"its digest is {row.digest} and was {had.digest}")
    return had


def _price_shelf(before: Shelf[PriceBook], rows: list[AnyRow]) -> Shelf[PriceBook]:
    """The price books, each for the days the database holds it for.

    These are the days of its text, until a later version ends one that had no last day.
    """
    days = {(row.id, row.version): row.effective for row in rows}
    shelf = _shelf(before, rows, _price_book)
    versions = {key: _for_days(book, days[key]) for key, book in shelf.versions.items()}
    return replace(shelf, versions=versions)


def _for_days(book: PriceBook, days: Range[date]) -> PriceBook:
    first, last = days.lower or book.effective_from, last_day(days)
    if (book.effective_from, book.effective_to) == (first, last):
        return book
    return replace(book, effective_from=first, effective_to=last)


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
    place = read_place(row.document, f"{row.id}.toml")
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

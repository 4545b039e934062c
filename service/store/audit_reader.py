"""The entries of the audit: every write with who made it, as the triggers of the database have kept it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Row, and_, func, literal, or_, select, text

from service.contract.audit import AuditEntry
from service.store import tables
from service.store.database import LONG_PATIENCE_S, transaction

PAGE = 100
# A service asks on behalf of a caller who waits.
PATIENCE = "5s"


def entries_since(url: str, since: datetime | None = None) -> tuple[AuditEntry, ...]:
    """Every entry from a moment on, in the order they were recorded."""
    entry = tables.audit_entry
    chosen = select(entry).order_by(entry.c.id)
    with transaction(url, read_only=True, patience_s=LONG_PATIENCE_S) as connection:
        rows = connection.execute(chosen if since is None else chosen.where(entry.c.at >= since)).all()
    return tuple(_entry(row) for row in rows)


def entries_of(url: str, organisation: str, after: int = 0, most: int = PAGE) -> tuple[AuditEntry, ...]:
    """The entries an organisation may see, in the order they were recorded.

    They are the writes its keys made, and those on its keys and its price books. Who else made one is told by kind
    alone: `operator`, `role`, `key`.

    Args:
        url: libpq URI of the role that serves
        organisation: who asks
        after: id of the last entry that was seen
        most: so many at a time
    """
    entry = tables.audit_entry
    chosen = select(entry, _by_own_key(organisation).label("own")).where(
        entry.c.id > after, or_(_by_own_key(organisation), _on_own(organisation))
    )
    with transaction(url, read_only=True) as connection:
        connection.execute(text(f"set local statement_timeout = '{PATIENCE}'"))
        rows = connection.execute(chosen.order_by(entry.c.id).limit(most)).all()
    return tuple(_entry(row, row.actor if row.own else row.actor.partition(" ")[0]) for row in rows)


def _by_own_key(organisation: str) -> ColumnElement[bool]:
    key = tables.api_key
    named = select(literal("key ").concat(key.c.id)).where(key.c.organisation_id == organisation)
    return tables.audit_entry.c.actor.in_(named)


def _on_own(organisation: str) -> ColumnElement[bool]:
    """The subject reads `price_book tollgate-yard@2`, `price_book tollgate-yard to oakline`, `key 0123 of tollgate`."""
    subject, book = tables.audit_entry.c.subject, tables.price_book
    kind, named = func.split_part(subject, " ", 1), func.split_part(subject, " ", 2)
    books = select(book.c.id).where(book.c.organisation_id == organisation)
    return or_(
        and_(kind == "price_book", func.split_part(named, "@", 1).in_(books)),
        and_(kind == "key", func.split_part(subject, " ", 4) == organisation),
    )


def _entry(row: Row[Any], actor: str | None = None) -> AuditEntry:
    return AuditEntry(
        id=row.id,
        at=row.at,
        actor=row.actor if actor is None else actor,
        action=row.action,
        subject=row.subject,
        digest=row.digest,
    )

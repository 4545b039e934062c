"""What is told of writes gone by."""

from __future__ import annotations

import datetime as dt

import msgspec


class AuditEntry(msgspec.Struct, frozen=True, kw_only=True):
    """One write: who, what, and when."""

    id: int
    at: dt.datetime
    actor: str
    action: str
    subject: str
    digest: str | None


class AuditEntryList(msgspec.Struct, frozen=True, kw_only=True):
    """Writes of an organisation's keys, and writes on its keys and price books, in the order they were recorded."""

    items: tuple[AuditEntry, ...]
    next: str | None

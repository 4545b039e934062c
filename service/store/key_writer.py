"""Organisations, their keys, and grants of price books: written by the role that owns the tables."""

from __future__ import annotations

import re
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, and_, delete, func, insert, select, update

from service.store import tables
from service.store.access import NO_BOOK, secret_digest
from service.store.database import transaction
from service.store.drafts import add_identity
from service.store.errors import StoreError
from service.store.migrate import take_writer_lock
from service.store.reader import read_access

SECRET_BYTES, ID_BYTES = 32, 8
_ID = re.compile(r"(?=.{3,40}\Z)[a-z][a-z0-9]*(-[a-z0-9]+)*")
_KEY_ID = re.compile("[0-9a-f]{16}")
_NAME = re.compile(r"[^\W_][^\x00-\x1f\x7f-\x9f]{0,119}|")


@dataclass(frozen=True)
class ListedKey:
    """A key as it is listed: without its secret, of which only a digest is kept."""

    id: str
    organisation: str
    name: str
    scopes: tuple[str, ...]
    price_book: str | None
    created_at: datetime
    revoked_at: datetime | None


def create_key(
    owner_url: str,
    organisation: str,
    scopes: Sequence[str],
    *,
    name: str = "",
    price_book: str | None = None,
) -> str:
    """Make a secret key and return it; it cannot be had again, since only its digest is kept.

    The organisation is made when it is first named.

    Args:
        owner_url: libpq URI of the role that owns the tables
        organisation: whose key it is
        scopes: what it may do, at least one
        name: what it is for, for people
        price_book: book its designs are priced with where none is named; one the organisation may read

    Raises:
        StoreError: names what cannot be used, and what can
    """
    _check_words(organisation, scopes, name)
    id, secret = secrets.token_hex(ID_BYTES), secrets.token_urlsafe(SECRET_BYTES)
    with transaction(owner_url) as connection:
        take_writer_lock(connection)
        _add_organisation(connection, organisation)
        if price_book is not None:
            _check_readable(connection, price_book, organisation)
        connection.execute(
            insert(tables.api_key).values(
                id=id,
                organisation_id=organisation,
                name=name,
                kind="secret",
                secret_digest=secret_digest(secret),
                scopes=sorted(set(scopes)),
                price_book_id=price_book,
            )
        )
    return f"secret.{id}.{secret}"


def revoke_key(owner_url: str, id: str) -> None:
    """Revoke a key for good; one that is revoked stays so.

    Raises:
        StoreError: there is no key of this id
    """
    if not _KEY_ID.fullmatch(id):
        raise StoreError("a key id is the 16 hex digits in the middle of a key")
    key = tables.api_key
    now = func.coalesce(key.c.revoked_at, func.now())
    with transaction(owner_url) as connection:
        found = connection.execute(update(key).where(key.c.id == id).values(revoked_at=now))
        if found.rowcount == 0:
            raise StoreError(f"there is no key {id}")


def list_keys(url: str) -> tuple[ListedKey, ...]:
    """Every key there is and was, by organisation and age."""
    key = tables.api_key
    with transaction(url, read_only=True) as connection:
        rows = connection.execute(
            select(key).order_by(key.c.organisation_id, key.c.created_at, key.c.id)
        ).all()
    return tuple(
        ListedKey(
            row.id,
            row.organisation_id,
            row.name,
            tuple(row.scopes),
            row.price_book_id,
            row.created_at,
            row.revoked_at,
        )
        for row in rows
    )


def grant_price_book(owner_url: str, price_book: str, organisation: str) -> None:
    """Let another organisation read a price book; done twice it is done once.

    Raises:
        StoreError: there is no such price book or organisation
    """
    with transaction(owner_url) as connection:
        take_writer_lock(connection)
        for table, id in ((tables.price_book, price_book), (tables.organisation, organisation)):
            if connection.execute(select(table.c.id).where(table.c.id == id)).first() is None:
                raise StoreError(f"there is no {table.name.replace('_', ' ')} {id}")
        add_identity(
            connection, tables.price_book_grant, price_book_id=price_book, organisation_id=organisation
        )


def withdraw_grant(owner_url: str, price_book: str, organisation: str) -> None:
    """Take a grant back; what was answered with it stays answered.

    Raises:
        StoreError: there is no such grant
    """
    grant = tables.price_book_grant
    same = and_(grant.c.price_book_id == price_book, grant.c.organisation_id == organisation)
    with transaction(owner_url) as connection:
        if connection.execute(delete(grant).where(same)).rowcount == 0:
            raise StoreError(f"{organisation} has no grant of {price_book}")


def _check_words(organisation: str, scopes: Sequence[str], name: str) -> None:
    if not _ID.fullmatch(organisation):
        raise StoreError(
            f"{organisation!r} is no id: 3 to 40 small letters and digits, parts joined by hyphens"
        )
    unknown = sorted(set(scopes) - set(tables.SCOPES))
    if unknown or not scopes:
        raise StoreError(f"scopes are {', '.join(tables.SCOPES)}; not {', '.join(unknown) or 'none'}")
    if not _NAME.fullmatch(name):
        raise StoreError("a name has at most 120 characters, of which the first is a letter or digit")


def _add_organisation(connection: Connection, id: str) -> None:
    """Add an organisation unless it is there.

    Ids of price books begin with that of their organisation. So that no book could be either of two, no id of an
    organisation is another one with a hyphen and more behind it.
    """
    there = connection.execute(select(tables.organisation.c.id)).scalars().all()
    if id in there:
        return
    like = [one for one in there if one.startswith(f"{id}-") or id.startswith(f"{one}-")]
    if like:
        raise StoreError(f"the id {id} cannot be told from that of {like[0]}: choose another")
    add_identity(connection, tables.organisation, id=id, name=id)


def _check_readable(connection: Connection, price_book: str, organisation: str) -> None:
    access = read_access(connection)
    if access.readable(price_book, organisation) is NO_BOOK:
        raise StoreError(f"there is no price book {price_book} that {organisation} may read")

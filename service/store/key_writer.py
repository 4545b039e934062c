"""Organisations, their keys, and grants of price books: written by the role that owns the tables."""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, and_, delete, func, insert, or_, select, update

from service.store import tables
from service.store.access import NO_BOOK, NO_ORGANISATION, secret_digest
from service.store.actor import operator, write_as
from service.store.database import LONG_PATIENCE_S, transaction
from service.store.drafts import add_identity
from service.store.errors import StoreError
from service.store.migrate import take_writer_lock
from service.store.origins import origin_of
from service.store.reader import read_access

SECRET_BYTES, ID_BYTES = 32, 8
LONGEST_OVERLAP = timedelta(days=90)
_KEPT_IN_ROTATION = ("organisation_id", "name", "kind", "scopes", "price_book_id", "rules_bound", "origins")
_ID = re.compile(r"(?=.{3,40}\Z)[a-z][a-z0-9]*(-[a-z0-9]+)*")
_KEY_ID = re.compile("[0-9a-f]{16}")
_NAME = re.compile(r"[^\W_][^\x00-\x1f\x7f-\x9f]{0,119}|")


@dataclass(frozen=True)
class Bounds:
    """What holds a key back besides its scopes; the usual key has none of it.

    Attributes:
        price_book: book its designs are priced with where none is named; one the organisation may read
        expires_at: from then on it is no longer in force
        rules: rulebooks and jurisdictions its `rules:` scopes are for; empty for all
    """

    price_book: str | None = None
    expires_at: datetime | None = None
    rules: Sequence[str] = ()


@dataclass(frozen=True)
class ListedKey:
    """A key as it is listed: without its secret, of which only a digest is kept."""

    id: str
    organisation: str
    name: str
    kind: str
    scopes: tuple[str, ...]
    price_book: str | None
    rules_bound: tuple[str, ...]
    origins: tuple[str, ...]
    created_at: datetime
    expires_at: datetime | None
    revoked_at: datetime | None


def create_key(
    owner_url: str,
    organisation: str,
    scopes: Sequence[str],
    *,
    name: str = "",
    price_book: str | None = None,
    bounds: Bounds | None = None,
) -> str:
    """Make a secret key and return it; it cannot be had again, since only its digest is kept.

    The organisation is made when it is first named.

    Args:
        owner_url: libpq URI of the role that owns the tables
        organisation: whose key it is
        scopes: what it may do, at least one
        name: what it is for, for people
        price_book: the same as in ``bounds``, for the usual case that it alone is bound
        bounds: what else holds it back

    Raises:
        StoreError: names what cannot be used, and what can
    """
    bounds = bounds or Bounds(price_book=price_book)
    _check_words(organisation, scopes, name)
    _check_rules(scopes, bounds.rules)
    with _as_operator(owner_url) as connection:
        _check_expiry(connection, bounds.expires_at)
        _add_organisation(connection, organisation)
        if bounds.price_book is not None:
            _check_readable(connection, bounds.price_book, organisation)
        return _insert(
            connection,
            organisation_id=organisation,
            name=name,
            kind="secret",
            scopes=sorted(set(scopes)),
            price_book_id=bounds.price_book,
            expires_at=bounds.expires_at,
            rules_bound=sorted(set(bounds.rules)),
            origins=[],
        )


def create_publishable_key(
    owner_url: str,
    organisation: str,
    price_book: str,
    origins: Sequence[str],
    *,
    name: str = "",
    expires_at: datetime | None = None,
) -> str:
    """Make a key that may stand in a page and return it: for designs with one public price book, from pages of its
    origins alone.

    Args:
        owner_url: libpq URI of the role that owns the tables
        organisation: whose key it is; made when it is first named
        price_book: the one book its designs are priced with; one that everyone may read
        origins: of the pages it may be sent from, at least one; see `origin_of`
        name: what it is for, for people
        expires_at: from then on it is no longer in force

    Raises:
        StoreError: names what cannot be used, and what can
    """
    _check_words(organisation, ("designs",), name)
    pages = sorted({origin_of(one) for one in origins})
    if not pages:
        raise StoreError("a publishable key needs the origin of a page, for example https://yard.example")
    with _as_operator(owner_url) as connection:
        _check_expiry(connection, expires_at)
        _add_organisation(connection, organisation)
        _check_public(connection, price_book)
        return _insert(
            connection,
            organisation_id=organisation,
            name=name,
            kind="publishable",
            scopes=["designs"],
            price_book_id=price_book,
            expires_at=expires_at,
            rules_bound=[],
            origins=pages,
        )


def rotate_key(
    owner_url: str, id: str, overlap: timedelta, *, expires_at: datetime | None = None
) -> tuple[str, datetime]:
    """Make a key that may do what another one may, and give that one an end; return the new key and that end.

    Both are in force until then, so that no call fails while the new one is put in the old one's place. The old
    one ends sooner where it would have expired sooner.

    Args:
        owner_url: libpq URI of the role that owns the tables
        id: of the key to be replaced
        overlap: for how long both are in force, nothing to `LONGEST_OVERLAP`
        expires_at: from when on the new one is no longer in force

    Raises:
        StoreError: no such key is in force, or the old one expires and it is not said when the new one does
    """
    if not timedelta(0) <= overlap <= LONGEST_OVERLAP:
        raise StoreError(f"keys overlap for 0 to {LONGEST_OVERLAP.days} days")
    key = tables.api_key
    with _as_operator(owner_url) as connection:
        row = _row_in_force(connection, id)
        if row.expires_at is not None and expires_at is None:
            raise StoreError(f"{id} expires on {row.expires_at:%Y-%m-%d}: say when the new key does")
        _check_expiry(connection, expires_at)
        end = func.least(key.c.expires_at, func.now() + overlap)
        ending = update(key).where(key.c.id == id).values(expires_at=end).returning(key.c.expires_at)
        ends_at: datetime = connection.execute(ending).scalar_one()
        values = {name: getattr(row, name) for name in _KEPT_IN_ROTATION}
        first = row.first_id or row.id
        return _insert(connection, **values, first_id=first, expires_at=expires_at), ends_at


def revoke_key(owner_url: str, id: str) -> None:
    """Revoke a key for good; one that is revoked stays so.

    Raises:
        StoreError: there is no key of this id
    """
    _check_key_id(id)
    key = tables.api_key
    now = func.coalesce(key.c.revoked_at, func.now())
    with _as_operator(owner_url) as connection:
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
    return tuple(_listed(row) for row in rows)


def has_key_in_force(url: str) -> bool:
    """Whether there is any key that could be used now."""
    with transaction(url, read_only=True) as connection:
        return connection.execute(select(tables.api_key.c.id).where(_in_force())).first() is not None


def grant_price_book(owner_url: str, price_book: str, organisation: str) -> None:
    """Let another organisation read a price book; done twice it is done once.

    Raises:
        StoreError: there is no such price book or organisation
    """
    with _as_operator(owner_url) as connection:
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
    with _as_operator(owner_url) as connection:
        if connection.execute(delete(grant).where(same)).rowcount == 0:
            raise StoreError(f"{organisation} has no grant of {price_book}")


@contextmanager
def _as_operator(owner_url: str) -> Iterator[Connection]:
    """A transaction in which nobody else writes keys."""
    with transaction(owner_url, patience_s=LONG_PATIENCE_S) as connection:
        take_writer_lock(connection)
        write_as(connection, operator())
        yield connection


def _insert(connection: Connection, **values: Any) -> str:
    id, secret = secrets.token_hex(ID_BYTES), secrets.token_urlsafe(SECRET_BYTES)
    connection.execute(insert(tables.api_key).values(id=id, secret_digest=secret_digest(secret), **values))
    return f"{values['kind']}.{id}.{secret}"


def _in_force() -> ColumnElement[bool]:
    key = tables.api_key
    return and_(key.c.revoked_at.is_(None), or_(key.c.expires_at.is_(None), key.c.expires_at > func.now()))


def _row_in_force(connection: Connection, id: str) -> Row[Any]:
    _check_key_id(id)
    row = connection.execute(select(tables.api_key).where(tables.api_key.c.id == id, _in_force())).first()
    if row is None:
        raise StoreError(f"no key {id} is in force")
    return row


def _listed(row: Row[Any]) -> ListedKey:
    return ListedKey(
        id=row.id,
        organisation=row.organisation_id,
        name=row.name,
        kind=row.kind,
        scopes=tuple(row.scopes),
        price_book=row.price_book_id,
        rules_bound=tuple(row.rules_bound),
        origins=tuple(row.origins),
        created_at=row.created_at,
        expires_at=row.expires_at,
        revoked_at=row.revoked_at,
    )


def _check_key_id(id: str) -> None:
    if not _KEY_ID.fullmatch(id):
        raise StoreError("a key id is the 16 hex digits in the middle of a key")


def _check_expiry(connection: Connection, expires_at: datetime | None) -> None:
    if expires_at is not None and expires_at <= connection.execute(select(func.now())).scalar_one():
        raise StoreError(f"{expires_at:%Y-%m-%d %H:%M} UTC is gone by: a key expires later than now")


def _check_rules(scopes: Sequence[str], ids: Sequence[str]) -> None:
    """Refuse rules scopes for everything; an id may be that of a rulebook or place there is none of yet."""
    if bool(ids) != any(one.startswith("rules:") for one in scopes):
        raise StoreError(
            "rules:write and rules:publish, and no other scopes, are for rulebooks and jurisdictions that are named"
        )
    malformed = [one for one in ids if not _ID.fullmatch(one)]
    if malformed:
        raise StoreError(f"{malformed[0]!r} is no id of a rulebook or jurisdiction")


def _check_public(connection: Connection, price_book: str) -> None:
    # one that is not public is told like one that is not there
    if read_access(connection).readable(price_book, NO_ORGANISATION) is NO_BOOK:
        raise StoreError(f"there is no price book {price_book} that everyone may read")


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

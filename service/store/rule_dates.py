"""The days versions of rulebooks and places are in force: a new one takes its days from the one it follows."""

from __future__ import annotations

from datetime import date
from typing import Any

from sqlalchemy import Connection, Row, Table, and_, func, literal, select, update
from sqlalchemy.dialects.postgresql import DATERANGE, Range

from service.store.drafts import matches, publish, reference
from service.store.errors import PublishingConflict
from service.store.price_versions import today

Days = Range[date]
NEVER: Days = Range(empty=True)


def id_column(versions: Table) -> str:
    """The column a version table names its owner in.

    >>> from service.store import tables
    >>> id_column(tables.rulebook_version)
    'rulebook_id'
    """
    return f"{versions.name.removesuffix('_version')}_id"


def answered_before(connection: Connection, versions: Table, id: str) -> bool:
    """Whether a version of an id was published before this transaction, so that answers may rest on it."""
    version = versions.c
    earlier = select(version.version).where(
        version[id_column(versions)] == id, version.published_at < func.now()
    )
    return connection.execute(earlier.limit(1)).first() is not None


def bundled_first_day(connection: Connection, versions: Table, id: str, said: date) -> date | None:
    """The first day of a version that comes with the service: None, all days before too, for the first of its id.

    Loaded late into a database that has answered by another, it begins today: what was answered stays.
    """
    if answered_before(connection, versions, id):
        return max(said, today(connection))
    return said if _published(connection, versions, id) else None


def take_days(connection: Connection, versions: Table, id: str, first: date | None) -> Days:
    """The days of a new version from its first on, taken from the version that had them until now.

    Raises:
        PublishingConflict: another version begins on that very day, which has not come yet
    """
    holder = next((row for row in _published(connection, versions, id) if _holds(row.in_force, first)), None)
    if holder is None:
        return _until_next(connection, versions, id, first)
    key = {id_column(versions): id, "version": holder.version}
    if holder.in_force.lower is not None and holder.in_force.lower == first:
        if first > today(connection):
            raise PublishingConflict(
                f"{reference(key)} begins on {first} already: withdraw it, or name another day"
            )
        _set_days(connection, versions, key, NEVER)
    else:
        _set_days(connection, versions, key, Range(holder.in_force.lower, first, bounds="[)"))
    return Range(first, holder.in_force.upper, bounds="[)")


def publish_dated(connection: Connection, versions: Table, key: dict[str, Any], first: date | None) -> str:
    """Publish a version from its first day on, None for all days before too; return its reference."""
    days = take_days(connection, versions, key[id_column(versions)], first)
    ahead = first is not None and first > today(connection)
    return publish(
        connection,
        versions,
        key,
        state="announced" if ahead else "in_force",
        in_force=literal(days, DATERANGE),
    )


def give_back_days(connection: Connection, versions: Table, id: str, days: Days) -> None:
    """Give the days of a version that is withdrawn to the one before it."""
    before = next(
        (row for row in _published(connection, versions, id) if row.in_force.upper == days.lower), None
    )
    if before is not None:
        key = {id_column(versions): id, "version": before.version}
        _set_days(connection, versions, key, Range(before.in_force.lower, days.upper, bounds="[)"))


def _until_next(connection: Connection, versions: Table, id: str, first: date | None) -> Days:
    begins = [row.in_force.lower for row in _published(connection, versions, id)]
    after = [day for day in begins if day is not None and (first is None or day > first)]
    return Range(first, min(after, default=None), bounds="[)")


def _holds(days: Days, day: date | None) -> bool:
    if days.isempty:
        return False
    return days.lower is None if day is None else bool(days.contains(day))


def _published(connection: Connection, versions: Table, id: str) -> list[Row[Any]]:
    version = versions.c
    chosen = select(version.version, version.in_force).where(
        and_(
            version[id_column(versions)] == id,
            version.published_at.is_not(None),
            version.state != "withdrawn",
        )
    )
    rows: list[Row[Any]] = list(connection.execute(chosen.order_by(version.version)))
    return [row for row in rows if not row.in_force.isempty]


def _set_days(connection: Connection, versions: Table, key: dict[str, Any], days: Days) -> None:
    connection.execute(
        update(versions).where(matches(versions, key)).values(in_force=literal(days, DATERANGE))
    )

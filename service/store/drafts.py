"""How a version comes into the database: a draft, its parts, then the publication."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Integer, Table, and_, func, insert, literal, select, update
from sqlalchemy import Text as SqlText
from sqlalchemy.dialects.postgresql import ARRAY
from sqlalchemy.dialects.postgresql import insert as upsert


def reference(key: dict[str, Any]) -> str:
    """The key of a version as it is written: id, @ and number."""
    identity, version = key.values()
    return f"{identity}@{version}"


def matches(table: Table, key: dict[str, Any]) -> Any:
    """The condition that a row has a key."""
    return and_(*(table.c[name] == value for name, value in key.items()))


def add_identity(connection: Connection, table: Table, **values: Any) -> None:
    """Add what versions belong to, unless it is there."""
    connection.execute(upsert(table).values(values).on_conflict_do_nothing())


def add_draft(connection: Connection, versions: Table, key: dict[str, Any], **values: Any) -> None:
    """Add a version that may still be changed."""
    connection.execute(insert(versions).values(state="draft", **key, **values))


def add_lines(connection: Connection, table: Table, key: dict[str, Any], lines: Sequence[str]) -> None:
    """Add the lines of a draft, numbered from 1."""
    # one statement for all lines, numbered by the server
    unnested = func.unnest(literal(list(lines), ARRAY(SqlText)))
    given = unnested.table_valued("line", with_ordinality="position").render_derived()
    columns = [literal(value, table.c[name].type) for name, value in key.items()]
    chosen = select(*columns, given.c.position.cast(Integer), given.c.line)
    connection.execute(insert(table).from_select([*key, "position", "line"], chosen))


def publish(connection: Connection, versions: Table, key: dict[str, Any], **values: Any) -> str:
    """Publish a version, which from then on stays as it is; return its reference."""
    said = {"state": "in_force", "published_at": func.now(), **values}
    connection.execute(update(versions).where(matches(versions, key)).values(**said))
    return reference(key)

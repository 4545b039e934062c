"""Drafts of rulebooks and places: what may become a version, kept apart from what is published.

A draft is changed as a whole, by whoever saw it last: its entity tag is the digest of its content.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, Row, Table, delete, func, insert, select, text, update

from service.rules.faults import TableFault, TableRefused
from service.rules.jurisdiction import Jurisdiction
from service.rules.parse import digest_of
from service.rules.rulebook import Rulebook, build_rulebook
from service.store import tables
from service.store.drafts import matches
from service.store.errors import ChangedSince, NotServed, PublishingConflict
from service.store.places import read_place
from service.store.rule_dates import id_column
from service.store.texts import RulebookText

Kind = Literal["rulebook", "jurisdiction"]
VERSIONS: dict[str, Table] = {
    "rulebook": tables.rulebook_version,
    "jurisdiction": tables.jurisdiction_version,
}
# Any number, as long as it stays the same: beside that of the id it names the lock of its one writer.
RULES_LOCK = 1_731_027


@dataclass(frozen=True)
class Draft:
    """A draft as it is stored.

    Attributes:
        kind: of a rulebook or of a place
        id: whose version it would be
        version: its number
        based_on: reference of the version it was begun from
        content: texts of a rulebook, or the document of a place
        etag: SHA-256 of the content; another one means that somebody changed it
        digest: that of the version it would be, null while it cannot be parsed
        written_by: who wrote any of it; none of them may publish it
    """

    kind: Kind
    id: str
    version: int
    based_on: str | None
    content: RulebookText | str
    etag: str
    digest: str | None
    written_by: tuple[str, ...]

    @property
    def reference(self) -> str:
        """Its id, @ and number."""
        return f"{self.id}@{self.version}"

    def built(self) -> Rulebook | Jurisdiction:
        """What it would be as a version.

        Raises:
            TableRefused: with every fault of it
        """
        return built(self.kind, self.id, self.version, self.content)


def built(kind: Kind, id: str, version: int, content: RulebookText | str) -> Rulebook | Jurisdiction:
    """Read a draft's content by the strict loader of its kind.

    Raises:
        TableRefused: with every fault, or because it says it is another version
    """
    made: Rulebook | Jurisdiction
    if isinstance(content, RulebookText):
        made, file = build_rulebook(content.meta, content.tables), "rulebook.toml"
    else:
        file = f"{id}.toml"
        made = read_place(content, file)
    if (made.id, made.version) != (id, version):
        text = f"says it is {made.id}@{made.version}, and this is {kind} {id}@{version}"
        raise TableRefused([TableFault(file, 1, "version", text)])
    return made


def take_turn(connection: Connection, kind: Kind, id: str) -> None:
    """Wait until no other process writes rules of this id; held until the transaction ends."""
    name = {"lock": RULES_LOCK, "name": f"{kind} {id}"}
    connection.execute(text("select pg_advisory_xact_lock(:lock, hashtext(:name))"), name)


def next_number(connection: Connection, kind: Kind, id: str) -> int:
    """The number of the next draft: above every version and every draft there is."""
    versions, draft = VERSIONS[kind], tables.rule_draft
    published = select(func.max(versions.c.version)).where(versions.c[id_column(versions)] == id)
    drafted = select(func.max(draft.c.version)).where(draft.c.kind == kind, draft.c.id == id)
    return max(int(connection.scalar(one) or 0) for one in (published, drafted)) + 1


def add(
    connection: Connection, kind: Kind, id: str, version: int, based_on: str | None, content: Any
) -> None:
    """Write a draft of a number that is free."""
    values = _values(kind, id, version, content)
    key = {"kind": kind, "id": id, "version": version}
    connection.execute(insert(tables.rule_draft).values(**key, based_on=based_on, **values))


def replace_content(connection: Connection, draft: Draft, content: RulebookText | str) -> None:
    """Put another content in the place of a draft's."""
    values = _values(draft.kind, draft.id, draft.version, content)
    connection.execute(update(tables.rule_draft).where(_is(draft)).values(**values))


def remove(connection: Connection, draft: Draft) -> None:
    """Take a draft away; its number becomes free."""
    connection.execute(delete(tables.rule_draft).where(_is(draft)))


def read(connection: Connection, kind: Kind, id: str, version: int) -> Draft:
    """Return a draft.

    Raises:
        NotServed: there is none
        PublishingConflict: it is published
    """
    key = {"kind": kind, "id": id, "version": version}
    row = connection.execute(select(tables.rule_draft).where(matches(tables.rule_draft, key))).one_or_none()
    if row is not None:
        return _draft(row)
    versions = VERSIONS[kind]
    published = select(versions.c.version).where(
        versions.c[id_column(versions)] == id, versions.c.version == version
    )
    if connection.execute(published).first() is not None:
        raise PublishingConflict(f"{id}@{version} is published: a correction is a new version")
    raise NotServed(f"there is no draft {id}@{version}")


def read_seen(connection: Connection, kind: Kind, id: str, version: int, etag: str | None) -> Draft:
    """Return a draft that is still the one its sender saw; None stands for whichever there is.

    Raises:
        NotServed, PublishingConflict: as for `read`
        ChangedSince: its entity tag is another
    """
    draft = read(connection, kind, id, version)
    if etag is not None and etag != draft.etag:
        raise ChangedSince(f"{draft.reference} was changed since: its entity tag is {draft.etag}")
    return draft


def read_all(connection: Connection, kind: Kind, id: str | None = None) -> tuple[Draft, ...]:
    """Return the drafts of a kind, of one id where it is given, in order."""
    draft = tables.rule_draft
    chosen = select(draft).where(draft.c.kind == kind).order_by(draft.c.id, draft.c.version)
    if id is not None:
        chosen = chosen.where(draft.c.id == id)
    return tuple(_draft(row) for row in connection.execute(chosen))


def _values(kind: Kind, id: str, version: int, content: RulebookText | str) -> dict[str, Any]:
    text = _as_text(content)
    try:
        digest = built(kind, id, version, content).digest
    except TableRefused:
        digest = None
    return {"content": text, "content_digest": digest_of(text), "digest": digest}


def _as_text(content: RulebookText | str) -> str:
    if isinstance(content, str):
        return content
    return json.dumps(
        {"meta": content.meta, "tables": dict(content.tables)}, sort_keys=True, ensure_ascii=False
    )


def _draft(row: Row[Any]) -> Draft:
    content: RulebookText | str = row.content
    if row.kind == "rulebook":
        held = json.loads(row.content)
        content = RulebookText(held["meta"], held["tables"])
    return Draft(
        row.kind,
        row.id,
        row.version,
        row.based_on,
        content,
        row.content_digest,
        row.digest,
        tuple(row.written_by),
    )


def _is(draft: Draft) -> Any:
    return matches(tables.rule_draft, {"kind": draft.kind, "id": draft.id, "version": draft.version})

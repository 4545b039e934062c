"""The tables, as SQLAlchemy Core; the migrations make them, and a test holds the two alike.

A version is a draft until `published_at` is set; from then on triggers (see the migrations) refuse any change
of it and of its parts, except its state moving forward. Texts are kept line by line, and put together again
byte for byte.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    DateTime,
    ForeignKey,
    ForeignKeyConstraint,
    Identity,
    Integer,
    MetaData,
    Table,
    Text,
    false,
    func,
    text,
    true,
)
from sqlalchemy.dialects.postgresql import ARRAY, DATERANGE, ExcludeConstraint
from sqlalchemy.schema import SchemaItem

ID_PATTERN = "^[a-z][a-z0-9]*(-[a-z0-9]+)*$"
STATES = ("draft", "announced", "in_force", "superseded", "withdrawn")
SCOPES = ("designs", "prices:read", "prices:write", "rules:write", "rules:publish", "admin")

metadata = MetaData(
    naming_convention={
        "pk": "%(table_name)s_pk",
        "fk": "%(table_name)s_%(referred_table_name)s_fk",
        "ck": "%(table_name)s_%(constraint_name)s_ck",
    }
)


def _id_column() -> Column[str]:
    return Column("id", Text, primary_key=True)


def _id_form() -> CheckConstraint:
    return CheckConstraint(f"id ~ '{ID_PATTERN}' and length(id) between 3 and 40", name="id_form")


def _version_number() -> Column[int]:
    return Column("version", Integer, primary_key=True, autoincrement=False)


def _quoted(words: tuple[str, ...]) -> str:
    return ", ".join(f"'{word}'" for word in words)


def _publication() -> tuple[SchemaItem, ...]:
    states = _quoted(STATES)
    return (
        Column("state", Text, nullable=False),
        Column("published_at", DateTime(timezone=True)),
        Column("digest", Text, nullable=False),
        CheckConstraint("version >= 1", name="version_counts"),
        CheckConstraint(f"state in ({states})", name="state_known"),
        CheckConstraint("(state = 'draft') = (published_at is null)", name="draft_until_published"),
        CheckConstraint("digest ~ '^[0-9a-f]{64}$'", name="digest_form"),
    )


def _days_told(column: str) -> CheckConstraint:
    """Days that an answer can tell."""
    first = f"lower_inf({column}) or lower({column}) >= '1900-01-01'"
    last = f"upper_inf({column}) or upper({column}) <= '2100-01-01'"
    return CheckConstraint(f"({first}) and ({last})", name="days_told")


def _in_force(table: str, id_column: str) -> tuple[SchemaItem, ...]:
    """The days a version is in force; null for a draft, empty for one that was followed on its own first day."""
    return (
        Column("in_force", DATERANGE),
        CheckConstraint("(published_at is null) = (in_force is null)", name="dated_when_published"),
        _days_told("in_force"),
        ExcludeConstraint(
            (id_column, "="),
            ("in_force", "&&"),
            name=f"{table}_no_overlap",
            where=text("state in ('announced', 'in_force', 'superseded')"),
        ),
    )


rulebook = Table(
    "rulebook",
    metadata,
    _id_column(),
    Column("kind", Text, nullable=False),
    Column("title", Text, nullable=False),
    _id_form(),
    CheckConstraint("kind in ('code', 'guide')", name="kind_known"),
)

rulebook_version = Table(
    "rulebook_version",
    metadata,
    Column("rulebook_id", Text, ForeignKey("rulebook.id"), primary_key=True),
    _version_number(),
    Column("edition", Text, nullable=False),
    Column("meta", Text, nullable=False),
    Column("meta_digest", Text, nullable=False),
    *_publication(),
    *_in_force("rulebook_version", "rulebook_id"),
)

rule_table = Table(
    "rule_table",
    metadata,
    Column("rulebook_id", Text, primary_key=True),
    _version_number(),
    Column("name", Text, primary_key=True),
    Column("digest", Text, nullable=False),
    Column("header", ARRAY(Text), nullable=False),
    ForeignKeyConstraint(
        ["rulebook_id", "version"], ["rulebook_version.rulebook_id", "rulebook_version.version"]
    ),
    CheckConstraint("digest ~ '^[0-9a-f]{64}$'", name="digest_form"),
)

rule_row = Table(
    "rule_row",
    metadata,
    Column("rulebook_id", Text, primary_key=True),
    _version_number(),
    Column("table_name", Text, primary_key=True),
    Column("position", Integer, primary_key=True, autoincrement=False),
    Column("line", Text, nullable=False),
    ForeignKeyConstraint(
        ["rulebook_id", "version", "table_name"],
        ["rule_table.rulebook_id", "rule_table.version", "rule_table.name"],
    ),
)

jurisdiction = Table("jurisdiction", metadata, _id_column(), _id_form())

jurisdiction_version = Table(
    "jurisdiction_version",
    metadata,
    Column("jurisdiction_id", Text, ForeignKey("jurisdiction.id"), primary_key=True),
    _version_number(),
    Column("document", Text, nullable=False),
    *_publication(),
    *_in_force("jurisdiction_version", "jurisdiction_id"),
)

# What may become a version: a rulebook's texts or a place's document in one text, with a digest of its own; `digest` is
# the one it would be published under, null while it cannot be parsed. `written_by` is kept by a trigger.
rule_draft = Table(
    "rule_draft",
    metadata,
    Column("kind", Text, primary_key=True),
    Column("id", Text, primary_key=True),
    _version_number(),
    Column("based_on", Text),
    Column("content", Text, nullable=False),
    Column("content_digest", Text, nullable=False),
    Column("digest", Text),
    Column("written_by", ARRAY(Text), nullable=False, server_default="{}"),
    Column("created_at", DateTime(timezone=True), nullable=False, server_default=func.now()),
    CheckConstraint("kind in ('rulebook', 'jurisdiction')", name="kind_known"),
    _id_form(),
    CheckConstraint("version between 1 and 999999", name="version_counts"),
)

organisation = Table("organisation", metadata, _id_column(), Column("name", Text, nullable=False), _id_form())

price_book = Table(
    "price_book",
    metadata,
    _id_column(),
    Column("organisation_id", Text, ForeignKey("organisation.id"), nullable=False),
    Column("public", Boolean, nullable=False, server_default=false()),
    _id_form(),
)

price_book_version = Table(
    "price_book_version",
    metadata,
    Column("price_book_id", Text, ForeignKey("price_book.id"), primary_key=True),
    _version_number(),
    Column("currency", Text, nullable=False),
    Column("effective", DATERANGE, nullable=False),
    Column("tax_included", Boolean, nullable=False),
    Column("header", ARRAY(Text), nullable=False),
    *_publication(),
    CheckConstraint("currency ~ '^[A-Z]{3}$'", name="currency_form"),
    CheckConstraint("not isempty(effective) and not lower_inf(effective)", name="effective_from_a_day"),
    _days_told("effective"),
    ExcludeConstraint(
        ("price_book_id", "="),
        ("effective", "&&"),
        name="price_book_version_no_overlap",
        where=text("state in ('announced', 'in_force', 'superseded')"),
    ),
)

price_book_line = Table(
    "price_book_line",
    metadata,
    Column("price_book_id", Text, primary_key=True),
    _version_number(),
    Column("position", Integer, primary_key=True, autoincrement=False),
    Column("line", Text, nullable=False),
    ForeignKeyConstraint(
        ["price_book_id", "version"], ["price_book_version.price_book_id", "price_book_version.version"]
    ),
)

price_book_grant = Table(
    "price_book_grant",
    metadata,
    Column("price_book_id", Text, ForeignKey("price_book.id"), primary_key=True),
    Column("organisation_id", Text, ForeignKey("organisation.id"), primary_key=True),
    Column("granted_at", DateTime(timezone=True), nullable=False, server_default=func.now()),
)

api_key = Table(
    "api_key",
    metadata,
    _id_column(),
    Column("organisation_id", Text, ForeignKey("organisation.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("secret_digest", Text, nullable=False),
    Column("scopes", ARRAY(Text), nullable=False),
    Column("price_book_id", Text, ForeignKey("price_book.id")),
    Column("created_at", DateTime(timezone=True), nullable=False, server_default=func.now()),
    Column("revoked_at", DateTime(timezone=True)),
    Column("expires_at", DateTime(timezone=True)),
    Column("first_id", Text),
    Column("rules_bound", ARRAY(Text), nullable=False, server_default="{}"),
    Column("origins", ARRAY(Text), nullable=False, server_default="{}"),
    CheckConstraint("id ~ '^[0-9a-f]{16}$'", name="id_form"),
    CheckConstraint("kind in ('secret', 'publishable')", name="kind_known"),
    CheckConstraint("secret_digest ~ '^[0-9a-f]{64}$'", name="digest_form"),
    CheckConstraint(f"cardinality(scopes) > 0 and scopes <@ array[{_quoted(SCOPES)}]", name="scopes_known"),
    CheckConstraint("kind = 'secret' or scopes <@ array['designs']", name="publishable_designs_only"),
    CheckConstraint(
        "revoked_at is not null or case kind when 'secret' then cardinality(origins) = 0 "
        "else cardinality(origins) > 0 and price_book_id is not null end",
        name="publishable_bound",
    ),
    CheckConstraint(
        "cardinality(rules_bound) = 0 or scopes && array['rules:write', 'rules:publish']",
        name="rules_bound_used",
    ),
)

# One row; triggers add one at every change of what a running service holds in memory.
change_count = Table(
    "change_count",
    metadata,
    Column("alone", Boolean, primary_key=True, server_default=true()),
    Column("changes", BigInteger, nullable=False),
    CheckConstraint("alone", name="one_row"),
)

# Who wrote what and when: written by triggers, changed by nobody.
audit_entry = Table(
    "audit_entry",
    metadata,
    Column("id", BigInteger, Identity(always=True), primary_key=True),
    Column("at", DateTime(timezone=True), nullable=False, server_default=func.clock_timestamp()),
    Column("actor", Text, nullable=False),
    Column("action", Text, nullable=False),
    Column("subject", Text, nullable=False),
    Column("digest", Text),
)

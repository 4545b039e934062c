"""Rulebooks, jurisdictions and price books, with published versions that cannot be changed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import ARRAY, DATERANGE, ExcludeConstraint

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

VERSION_TABLES = ("rulebook_version", "jurisdiction_version", "price_book_version")
PARTS = {"rule_table": "rulebook", "rule_row": "rulebook", "price_book_line": "price_book"}
IDENTITIES = ("rulebook", "jurisdiction", "organisation", "price_book")

FREEZE_VERSION = """
create function public.freeze_published_version() returns trigger
language plpgsql set search_path = pg_catalog, pg_temp as $$
begin
  if old.published_at is null then
    return case tg_op when 'DELETE' then old else new end;
  end if;
  if tg_op = 'UPDATE'
    and to_jsonb(new) - 'state' = to_jsonb(old) - 'state'
    and (old.state, new.state) in (
      ('announced', 'in_force'), ('in_force', 'superseded'),
      ('announced', 'withdrawn'), ('in_force', 'withdrawn'), ('superseded', 'withdrawn'))
  then
    return new;
  end if;
  raise exception '%: a published version cannot be changed', tg_table_name
    using errcode = 'restrict_violation';
end $$
"""

# The share lock makes a publication wait for a change of the draft's parts, and the other way round.
FREEZE_PART = """
create function public.freeze_published_{parent}_part() returns trigger
language plpgsql set search_path = pg_catalog, pg_temp as $$
begin
  if tg_op <> 'INSERT' then
    perform from public.{parent}_version
      where {parent}_id = old.{parent}_id and version = old.version and published_at is null for share;
    if not found then
      raise exception '%: a published version cannot be changed', tg_table_name
        using errcode = 'restrict_violation';
    end if;
  end if;
  if tg_op = 'DELETE' then
    return old;
  end if;
  perform from public.{parent}_version
    where {parent}_id = new.{parent}_id and version = new.version and published_at is null for share;
  if not found then
    raise exception '%: a published version cannot be changed', tg_table_name
      using errcode = 'restrict_violation';
  end if;
  return new;
end $$
"""

REFUSE_TRUNCATION = """
create function public.refuse_truncation() returns trigger
language plpgsql set search_path = pg_catalog, pg_temp as $$
begin
  raise exception '%: published versions cannot be removed', tg_table_name
    using errcode = 'restrict_violation';
end $$
"""


def upgrade() -> None:
    """Make the tables, then the triggers."""
    op.execute("create extension if not exists btree_gist with schema public")
    make_rulebooks()
    make_jurisdictions()
    make_price_books()
    make_triggers()


def downgrade() -> None:
    """Remove everything, the texts with it; the extension stays, since others may use it."""
    for table in (
        *reversed(PARTS),
        *VERSION_TABLES,
        "price_book",
        "organisation",
        "jurisdiction",
        "rulebook",
    ):
        op.drop_table(table)
    for function in (
        "freeze_published_version",
        "freeze_published_rulebook_part",
        "freeze_published_price_book_part",
        "refuse_truncation",
    ):
        op.execute(f"drop function public.{function}()")


def id_form(table: str) -> sa.CheckConstraint:
    """An id's form, as the wire has it."""
    return sa.CheckConstraint(
        "id ~ '^[a-z][a-z0-9]*(-[a-z0-9]+)*$' and length(id) between 3 and 40",
        name=op.f(f"{table}_id_form_ck"),
    )


def publication(table: str) -> tuple[sa.schema.SchemaItem, ...]:
    """The columns every version table has."""
    states = "'draft', 'announced', 'in_force', 'superseded', 'withdrawn'"
    return (
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("published_at", sa.DateTime(timezone=True)),
        sa.Column("digest", sa.Text, nullable=False),
        sa.CheckConstraint("version >= 1", name=op.f(f"{table}_version_counts_ck")),
        sa.CheckConstraint(f"state in ({states})", name=op.f(f"{table}_state_known_ck")),
        sa.CheckConstraint(
            "(state = 'draft') = (published_at is null)", name=op.f(f"{table}_draft_until_published_ck")
        ),
        digest_form(table),
    )


def digest_form(table: str) -> sa.CheckConstraint:
    """A digest's form: SHA-256 in small hexadecimal letters."""
    return sa.CheckConstraint("digest ~ '^[0-9a-f]{64}$'", name=op.f(f"{table}_digest_form_ck"))


def foreign_key(table: str, columns: list[str], parent: str, parent_columns: list[str]) -> sa.Constraint:
    """A reference to the parent table."""
    targets = [f"{parent}.{column}" for column in parent_columns]
    return sa.ForeignKeyConstraint(columns, targets, name=op.f(f"{table}_{parent}_fk"))


def primary_key(table: str, *columns: str) -> sa.Constraint:
    """The key of a table."""
    return sa.PrimaryKeyConstraint(*columns, name=op.f(f"{table}_pk"))


def make_rulebooks() -> None:
    """Rulebooks, their versions, tables and rows."""
    op.create_table(
        "rulebook",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        primary_key("rulebook", "id"),
        id_form("rulebook"),
        sa.CheckConstraint("kind in ('code', 'guide')", name=op.f("rulebook_kind_known_ck")),
    )
    op.create_table(
        "rulebook_version",
        sa.Column("rulebook_id", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("edition", sa.Text, nullable=False),
        sa.Column("meta", sa.Text, nullable=False),
        sa.Column("meta_digest", sa.Text, nullable=False),
        *publication("rulebook_version"),
        primary_key("rulebook_version", "rulebook_id", "version"),
        foreign_key("rulebook_version", ["rulebook_id"], "rulebook", ["id"]),
    )
    op.create_table(
        "rule_table",
        sa.Column("rulebook_id", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("header", ARRAY(sa.Text), nullable=False),
        primary_key("rule_table", "rulebook_id", "version", "name"),
        foreign_key("rule_table", ["rulebook_id", "version"], "rulebook_version", ["rulebook_id", "version"]),
        digest_form("rule_table"),
    )
    key = ["rulebook_id", "version", "table_name"]
    op.create_table(
        "rule_row",
        sa.Column("rulebook_id", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("table_name", sa.Text, nullable=False),
        sa.Column("position", sa.Integer, nullable=False),
        sa.Column("line", sa.Text, nullable=False),
        primary_key("rule_row", *key, "position"),
        foreign_key("rule_row", key, "rule_table", ["rulebook_id", "version", "name"]),
    )


def make_jurisdictions() -> None:
    """Jurisdictions and their versions, each a whole document."""
    op.create_table(
        "jurisdiction",
        sa.Column("id", sa.Text, nullable=False),
        primary_key("jurisdiction", "id"),
        id_form("jurisdiction"),
    )
    op.create_table(
        "jurisdiction_version",
        sa.Column("jurisdiction_id", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        *publication("jurisdiction_version"),
        primary_key("jurisdiction_version", "jurisdiction_id", "version"),
        foreign_key("jurisdiction_version", ["jurisdiction_id"], "jurisdiction", ["id"]),
    )


def make_price_books() -> None:
    """Organisations, their price books, versions and lines."""
    op.create_table(
        "organisation",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        primary_key("organisation", "id"),
        id_form("organisation"),
    )
    op.create_table(
        "price_book",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("organisation_id", sa.Text, nullable=False),
        sa.Column("public", sa.Boolean, nullable=False),
        primary_key("price_book", "id"),
        foreign_key("price_book", ["organisation_id"], "organisation", ["id"]),
        id_form("price_book"),
    )
    make_price_book_versions()
    op.create_table(
        "price_book_line",
        sa.Column("price_book_id", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("position", sa.Integer, nullable=False),
        sa.Column("line", sa.Text, nullable=False),
        primary_key("price_book_line", "price_book_id", "version", "position"),
        foreign_key(
            "price_book_line",
            ["price_book_id", "version"],
            "price_book_version",
            ["price_book_id", "version"],
        ),
    )


def make_price_book_versions() -> None:
    """Versions of a price book; the days two of them hold for cannot overlap."""
    op.create_table(
        "price_book_version",
        sa.Column("price_book_id", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("currency", sa.Text, nullable=False),
        sa.Column("effective", DATERANGE, nullable=False),
        sa.Column("tax_included", sa.Boolean, nullable=False),
        sa.Column("header", ARRAY(sa.Text), nullable=False),
        *publication("price_book_version"),
        primary_key("price_book_version", "price_book_id", "version"),
        foreign_key("price_book_version", ["price_book_id"], "price_book", ["id"]),
        sa.CheckConstraint("currency ~ '^[A-Z]{3}$'", name=op.f("price_book_version_currency_form_ck")),
        sa.CheckConstraint(
            "not isempty(effective) and not lower_inf(effective)",
            name=op.f("price_book_version_effective_from_a_day_ck"),
        ),
        ExcludeConstraint(
            ("price_book_id", "="),
            ("effective", "&&"),
            name="price_book_version_no_overlap",
            where=sa.text("state in ('announced', 'in_force', 'superseded')"),
        ),
    )


def make_triggers() -> None:
    """Freeze what is published; `always` holds even where a session plays a replica."""
    op.execute(FREEZE_VERSION)
    op.execute(REFUSE_TRUNCATION)
    for parent in ("rulebook", "price_book"):
        op.execute(FREEZE_PART.format(parent=parent))
    for table in VERSION_TABLES:
        make_trigger(table, "keep_published", "before update or delete", "row", "freeze_published_version")
    for table, parent in PARTS.items():
        function = f"freeze_published_{parent}_part"
        make_trigger(table, "keep_published", "before insert or update or delete", "row", function)
    for table in (*IDENTITIES, *VERSION_TABLES, *PARTS):
        make_trigger(table, "no_truncation", "before truncate", "statement", "refuse_truncation")


def make_trigger(table: str, name: str, moment: str, level: str, function: str) -> None:
    """One trigger, which fires whatever the session's replication role."""
    call = f"for each {level} execute function public.{function}()"
    op.execute(f"create trigger {name} {moment} on public.{table} {call}")
    op.execute(f"alter table public.{table} enable always trigger {name}")

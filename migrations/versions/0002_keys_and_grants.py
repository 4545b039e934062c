"""Keys, grants of price books, and a count of changes; a later version may close an open-ended one.

Only adds, so the version of the service before it goes on working beside it.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import ARRAY

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

SCOPES = "'designs', 'prices:read', 'prices:write', 'rules:write', 'rules:publish', 'admin'"
# What a running service keeps in memory; a change of any of them is counted.
COUNTED = (
    "rulebook_version", "jurisdiction_version", "price_book", "price_book_version", "price_book_grant", "api_key",
)  # fmt: skip

# Only the owner of the tables may load a text that was published elsewhere before, or change a state. The role
# that serves makes drafts, publishes them from today on, and gives an open-ended version its last day.
GUARD_PRICES = """
create function public.guard_price_book_version() returns trigger
language plpgsql set search_path = pg_catalog, pg_temp as $$
declare
  today constant date := (now() at time zone 'utc')::date;
  as_owner constant boolean := pg_has_role(
    current_user, (select relowner from pg_class where oid = tg_relid), 'usage');
begin
  if tg_op = 'INSERT' then
    if new.published_at is not null then
      raise exception 'price_book_version: a version begins as a draft' using errcode = 'restrict_violation';
    end if;
    return new;
  end if;
  if old.published_at is null then
    if tg_op = 'UPDATE' and new.published_at is not null and not as_owner
      and (lower(new.effective) < today or new.published_at <> now() or new.state <> 'in_force')
    then
      raise exception 'price_book_version: prices are published from today on'
        using errcode = 'restrict_violation';
    end if;
    return case tg_op when 'DELETE' then old else new end;
  end if;
  if tg_op = 'UPDATE' and (
    (to_jsonb(new) - 'effective' = to_jsonb(old) - 'effective'
      and upper_inf(old.effective) and not upper_inf(new.effective)
      and lower(new.effective) = lower(old.effective)
      and upper(new.effective) >= today)
    or (as_owner and to_jsonb(new) - 'state' = to_jsonb(old) - 'state'
      and (old.state, new.state) in (
        ('announced', 'in_force'), ('in_force', 'superseded'),
        ('announced', 'withdrawn'), ('in_force', 'withdrawn'), ('superseded', 'withdrawn')))
    )
  then
    return new;
  end if;
  raise exception '%: a published version cannot be changed', tg_table_name
    using errcode = 'restrict_violation';
end $$
"""

# Run as the owner, who alone may write the count; and at the end of a transaction, so that no two wait long.
COUNT_CHANGE = """
create function public.count_change() returns trigger
language plpgsql security definer set search_path = pg_catalog, pg_temp as $$
begin
  update public.change_count set changes = changes + 1;
  return null;
end $$
"""


def upgrade() -> None:
    """Make the tables, then the triggers."""
    op.alter_column("price_book", "public", server_default=sa.false())
    make_keys()
    make_grants()
    make_count()
    op.execute(GUARD_PRICES)
    keep_published("guard_price_book_version", "before insert or update or delete")


def downgrade() -> None:
    """Remove the tables; a closed version stays closed."""
    keep_published("freeze_published_version", "before update or delete")
    op.execute("drop function public.guard_price_book_version()")
    for table in COUNTED:
        op.execute(f"drop trigger count_change on public.{table}")
    op.execute("drop function public.count_change()")
    for table in ("change_count", "api_key", "price_book_grant"):
        op.drop_table(table)
    op.alter_column("price_book", "public", server_default=None)


def make_keys() -> None:
    """Keys: of the secret part only the SHA-256 is kept."""
    op.create_table(
        "api_key",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("organisation_id", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("secret_digest", sa.Text, nullable=False),
        sa.Column("scopes", ARRAY(sa.Text), nullable=False),
        sa.Column("price_book_id", sa.Text),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False, server_default=sa.func.now()),
        sa.Column("revoked_at", sa.DateTime(timezone=True)),
        sa.PrimaryKeyConstraint("id", name=op.f("api_key_pk")),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("api_key_organisation_fk")
        ),
        sa.ForeignKeyConstraint(["price_book_id"], ["price_book.id"], name=op.f("api_key_price_book_fk")),
        sa.CheckConstraint("id ~ '^[0-9a-f]{16}$'", name=op.f("api_key_id_form_ck")),
        sa.CheckConstraint("kind in ('secret', 'publishable')", name=op.f("api_key_kind_known_ck")),
        sa.CheckConstraint("secret_digest ~ '^[0-9a-f]{64}$'", name=op.f("api_key_digest_form_ck")),
        sa.CheckConstraint(
            f"cardinality(scopes) > 0 and scopes <@ array[{SCOPES}]", name=op.f("api_key_scopes_known_ck")
        ),
        sa.CheckConstraint(
            "kind = 'secret' or scopes <@ array['designs']", name=op.f("api_key_publishable_designs_only_ck")
        ),
    )


def make_grants() -> None:
    """Which organisations may read a price book besides its own."""
    op.create_table(
        "price_book_grant",
        sa.Column("price_book_id", sa.Text, nullable=False),
        sa.Column("organisation_id", sa.Text, nullable=False),
        sa.Column("granted_at", sa.DateTime(timezone=True), nullable=False, server_default=sa.func.now()),
        sa.PrimaryKeyConstraint("price_book_id", "organisation_id", name=op.f("price_book_grant_pk")),
        sa.ForeignKeyConstraint(
            ["price_book_id"], ["price_book.id"], name=op.f("price_book_grant_price_book_fk")
        ),
        sa.ForeignKeyConstraint(
            ["organisation_id"], ["organisation.id"], name=op.f("price_book_grant_organisation_fk")
        ),
    )


def make_count() -> None:
    """One row that tells a running service whether to read again."""
    op.create_table(
        "change_count",
        sa.Column("alone", sa.Boolean, nullable=False, server_default=sa.true()),
        sa.Column("changes", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("alone", name=op.f("change_count_pk")),
        sa.CheckConstraint("alone", name=op.f("change_count_one_row_ck")),
    )
    op.execute("insert into public.change_count (changes) values (0)")
    op.execute(COUNT_CHANGE)
    for table in COUNTED:
        op.execute(
            f"create constraint trigger count_change after insert or update or delete on public.{table} "
            "deferrable initially deferred for each row execute function public.count_change()"
        )
        op.execute(f"alter table public.{table} enable always trigger count_change")


def keep_published(function: str, moment: str) -> None:
    """Put a guard of published price book versions in the place of the one there is."""
    op.execute("drop trigger keep_published on public.price_book_version")
    call = f"for each row execute function public.{function}()"
    op.execute(f"create trigger keep_published {moment} on public.price_book_version {call}")
    op.execute("alter table public.price_book_version enable always trigger keep_published")

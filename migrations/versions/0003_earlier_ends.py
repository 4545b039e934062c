"""The owner of the tables may end a version of a price book sooner than was said, never before today.

A book that comes with the service may get a version between two that are there: the one in force then ends sooner.
What was answered for days gone by stays. The role that serves may still only end a version that had no last day.
"""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

GUARD_PRICES = """
create or replace function public.guard_price_book_version() returns trigger
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
      and (upper_inf(old.effective){sooner}) and not upper_inf(new.effective)
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
SOONER = " or (as_owner and upper(new.effective) < upper(old.effective))"


def upgrade() -> None:
    """Put the wider guard in the place of the one there is."""
    op.execute(GUARD_PRICES.replace("{sooner}", SOONER))


def downgrade() -> None:
    """Put the narrower guard back; a version that ended sooner stays so."""
    op.execute(GUARD_PRICES.replace("{sooner}", ""))

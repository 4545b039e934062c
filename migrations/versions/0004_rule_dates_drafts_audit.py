"""Rulebooks and places get in-force dates and drafts; every write leaves an entry that stays; changes are called out.

The release before this one goes on beside it: it serves what is `in_force` or `superseded` as before, and does not
see what is announced only.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import ARRAY, DATERANGE

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

DATED = ("rulebook_version", "jurisdiction_version")
AUDITED = (
    "rule_draft", "rulebook_version", "jurisdiction_version", "price_book", "price_book_version", "price_book_grant",
    "api_key",
)  # fmt: skip

# Days beyond what answers can tell, infinity among them, would keep every server from reading anything.
DAYS_TOLD = (
    "(lower_inf({days}) or lower({days}) >= '1900-01-01') "
    "and (upper_inf({days}) or upper({days}) <= '2100-01-01')"
)

# Which days a version published before is in force: until the next one begins, the first from ever on. A version
# that was followed on its own first day was in force on none; nor is one that is withdrawn, or that was announced for
# a day nobody knows any more.
FILL_DATES = """
with begun as (
  select {id}, version, {begins} as day,
    min({begins}) over (partition by {id} order by version rows between 1 following and unbounded following) as next,
    row_number() over (partition by {id} order by version) = 1 as first
  from public.{table} where state in ('in_force', 'superseded')
)
update public.{table} as one set in_force = case
    when begun.first then daterange(null, begun.next)
    when begun.next <= begun.day then 'empty'::daterange
    else daterange(begun.day, begun.next)
  end
from begun where begun.{id} = one.{id} and begun.version = one.version
"""
FILL_NO_DATES = (
    "update public.{table} set in_force = 'empty' where published_at is not null and in_force is null"
)

# The release before knows no days: what has come into force is told by the state alone, and what has not may not come
# into force by itself when the days are there again.
SETTLE_ANNOUNCED = """
update public.{table} set state = case
    when lower(in_force) <= (now() at time zone 'utc')::date then 'in_force' else 'withdrawn' end
where state = 'announced'
"""

# A version begins as a draft of the database, and is published in the same transaction, from today on; the first of
# its id may stand for all days before, since nothing was answered by another. Afterwards its days may end sooner or
# later, never so that a day gone by is touched. The role that serves publishes only what was drafted, and by another
# than those who drafted it.
GUARD_DATED = """
create function public.guard_dated_version() returns trigger
language plpgsql set search_path = pg_catalog, pg_temp as $$
declare
  -- not that of the transaction's start, which may lie days back
  today constant date := (clock_timestamp() at time zone 'utc')::date;
  as_owner constant boolean := pg_has_role(
    current_user, (select relowner from pg_class where oid = tg_relid), 'usage');
  kind constant text := replace(tg_table_name, '_version', '');
  actor constant text := nullif(current_setting('deck_framing.actor', true), '');
  new_id text;
  answered boolean;
begin
  if tg_op = 'INSERT' then
    if new.published_at is not null then
      raise exception '%: a version begins as a draft', tg_table_name using errcode = 'restrict_violation';
    end if;
    new_id := to_jsonb(new) ->> (kind || '_id');
    if not as_owner then
      perform from public.rule_draft as draft
        where draft.kind = replace(tg_table_name, '_version', '') and draft.id = new_id
          and draft.version = new.version;
      if not found then
        raise exception '%: a number is given to a draft first', tg_table_name
          using errcode = 'restrict_violation';
      end if;
    end if;
    return new;
  end if;
  if old.published_at is null then
    if tg_op = 'DELETE' then
      return old;
    end if;
    if new.published_at is null then
      return new;
    end if;
    new_id := to_jsonb(new) ->> (kind || '_id');
    execute format('select exists (select from public.%I where %I = $1 and published_at < now())',
      tg_table_name, kind || '_id') into answered using new_id;
    if new.published_at <> now() or isempty(new.in_force)
      or not (as_owner and not answered) and (lower_inf(new.in_force) or lower(new.in_force) < today)
    then
      raise exception '%: rules are published from today on', tg_table_name using errcode = 'restrict_violation';
    end if;
    if not as_owner then
      if new.state <> (case when lower(new.in_force) > today then 'announced' else 'in_force' end) then
        raise exception '%: the state of a version follows from its first day', tg_table_name
          using errcode = 'restrict_violation';
      end if;
      perform from public.rule_draft as draft
        where draft.kind = replace(tg_table_name, '_version', '') and draft.id = new_id
          and draft.version = new.version and draft.digest = new.digest
          and actor is not null and not (actor = any (draft.written_by));
      if not found then
        raise exception '%: what is published was drafted before, by another key', tg_table_name
          using errcode = 'restrict_violation';
      end if;
    end if;
    return new;
  end if;
  if tg_op = 'UPDATE' then
    if to_jsonb(new) - 'in_force' = to_jsonb(old) - 'in_force' and not isempty(old.in_force)
      and coalesce(upper(old.in_force), 'infinity') >= today
      and ((isempty(new.in_force) and lower(old.in_force) >= today)
        or (not isempty(new.in_force) and lower(new.in_force) is not distinct from lower(old.in_force)
          and coalesce(upper(new.in_force), 'infinity') >= today))
    then
      return new;
    end if;
    if to_jsonb(new) - 'state' = to_jsonb(old) - 'state' and (
      (old.state = 'announced' and new.state = 'withdrawn' and lower(old.in_force) > today)
      or (as_owner and (old.state, new.state) in (('announced', 'in_force'), ('in_force', 'superseded'))))
    then
      return new;
    end if;
  end if;
  raise exception '%: a published version cannot be changed', tg_table_name using errcode = 'restrict_violation';
end $$
"""

# Who wrote a draft is counted here, so that no writer can leave himself out.
SIGN_DRAFT = """
create function public.sign_rule_draft() returns trigger
language plpgsql set search_path = pg_catalog, pg_temp as $$
declare
  actor constant text := coalesce(nullif(current_setting('deck_framing.actor', true), ''), 'role ' || session_user);
begin
  if tg_op = 'UPDATE' and (new.kind, new.id, new.version) is distinct from (old.kind, old.id, old.version) then
    raise exception 'rule_draft: a draft keeps its name' using errcode = 'restrict_violation';
  end if;
  new.written_by := case tg_op when 'INSERT' then array[]::text[] else old.written_by end;
  if not (actor = any (new.written_by)) then
    new.written_by := new.written_by || actor;
  end if;
  return new;
end $$
"""

RECORD_WRITE = """
create function public.record_write() returns trigger
language plpgsql security definer set search_path = pg_catalog, pg_temp as $$
declare
  one constant jsonb := to_jsonb(case tg_op when 'DELETE' then old else new end);
  before constant jsonb := case tg_op when 'UPDATE' then to_jsonb(old) else '{}' end;
  kind constant text := replace(tg_table_name, '_version', '');
  id constant text := coalesce(one ->> (kind || '_id'), one ->> 'id');
  done text;
  about text;
begin
  if tg_table_name = 'rule_draft' then
    done := case tg_op when 'INSERT' then 'draft_created' when 'UPDATE' then 'draft_changed' else 'draft_removed' end;
    about := format('%s %s@%s', one ->> 'kind', one ->> 'id', one ->> 'version');
  elsif tg_table_name like '%_version' then
    if tg_op <> 'UPDATE' then
      return null;  -- a draft of the database, seen by nobody
    end if;
    done := case
      when before ->> 'published_at' is null and one ->> 'published_at' is not null then 'published'
      when before ->> 'state' <> one ->> 'state' then 'state_' || (one ->> 'state')
      when one ->> 'published_at' is not null then 'days_changed' end;
    if done is null then
      return null;
    end if;
    about := format('%s %s@%s', kind, id, one ->> 'version');
  elsif tg_table_name = 'price_book_grant' then
    done := case tg_op when 'INSERT' then 'granted' else 'grant_withdrawn' end;
    about := format('price_book %s to %s', one ->> 'price_book_id', one ->> 'organisation_id');
  elsif tg_table_name = 'api_key' then
    done := case when tg_op = 'INSERT' then 'key_created'
      when before ->> 'revoked_at' is null and one ->> 'revoked_at' is not null then 'key_revoked'
      else 'key_changed' end;
    about := format('key %s of %s', one ->> 'id', one ->> 'organisation_id');
  else
    done := case tg_op when 'INSERT' then 'created' else 'changed' end;
    about := format('%s %s', tg_table_name, one ->> 'id');
  end if;
  insert into public.audit_entry (actor, action, subject, digest) values (
    coalesce(nullif(current_setting('deck_framing.actor', true), ''), 'role ' || session_user),
    done, about, one ->> 'digest');
  return null;
end $$
"""

KEEP_ENTRIES = """
create function public.keep_audit_entries() returns trigger
language plpgsql set search_path = pg_catalog, pg_temp as $$
begin
  raise exception 'audit_entry: what was written stays' using errcode = 'restrict_violation';
end $$
"""

COUNT_CHANGE = """
create or replace function public.count_change() returns trigger
language plpgsql security definer set search_path = pg_catalog, pg_temp as $$
declare
  counted bigint;
begin
  update public.change_count set changes = changes + 1 returning changes into counted;
  {call}
  return null;
end $$
"""
CALL_OUT = "perform pg_notify('deck_framing_changes', counted::text);"


def upgrade() -> None:
    """Add columns and tables, then the guards."""
    # the count of changes is due at the end otherwise, and no table can be altered before that
    op.execute("set constraints all immediate")
    for table in DATED:
        add_dates(table)
    op.create_check_constraint(
        op.f("price_book_version_days_told_ck"), "price_book_version", DAYS_TOLD.format(days="effective")
    )
    make_drafts()
    make_audit()
    op.execute(GUARD_DATED)
    for table in DATED:
        guard(table, "guard_dated_version", "before insert or update or delete")
    op.execute(COUNT_CHANGE.replace("{call}", CALL_OUT))


def downgrade() -> None:
    """Take it all back: drafts, entries and dates are lost, and what was announced only is withdrawn."""
    for table in DATED:
        op.execute(SETTLE_ANNOUNCED.format(table=table))
    op.execute("set constraints all immediate")
    op.execute(COUNT_CHANGE.replace("{call}", ""))
    for table in DATED:
        guard(table, "freeze_published_version", "before update or delete")
    op.execute("drop function public.guard_dated_version()")
    for table in AUDITED:
        op.execute(f"drop trigger record_write on public.{table}")
    op.drop_constraint("price_book_version_days_told_ck", "price_book_version")
    op.drop_table("audit_entry")
    op.drop_table("rule_draft")
    for function in ("record_write", "keep_audit_entries", "sign_rule_draft"):
        op.execute(f"drop function public.{function}()")
    for table in DATED:
        op.drop_constraint(f"{table}_no_overlap", table)
        op.drop_constraint(f"{table}_days_told_ck", table)
        op.drop_constraint(f"{table}_dated_when_published_ck", table)
        op.drop_column(table, "in_force")


def add_dates(table: str) -> None:
    """The days a version is in force; two published versions of one id never share a day."""
    id = table.replace("_version", "_id")
    op.add_column(table, sa.Column("in_force", DATERANGE))
    op.execute(f"alter table public.{table} disable trigger keep_published")
    op.execute(FILL_DATES.format(table=table, id=id, begins=first_day(table)))
    op.execute(FILL_NO_DATES.format(table=table))
    op.execute(f"alter table public.{table} enable always trigger keep_published")
    op.create_check_constraint(
        op.f(f"{table}_dated_when_published_ck"), table, "(published_at is null) = (in_force is null)"
    )
    op.create_check_constraint(op.f(f"{table}_days_told_ck"), table, DAYS_TOLD.format(days="in_force"))
    op.create_exclude_constraint(
        f"{table}_no_overlap",
        table,
        (id, "="),
        ("in_force", "&&"),
        where=sa.text("state in ('announced', 'in_force', 'superseded')"),
        using="gist",
    )


def first_day(table: str) -> str:
    """The day a version began by the rules of the release before: a rulebook says its own."""
    published = "(published_at at time zone 'utc')::date"
    if table == "rulebook_version":
        return rf"coalesce(substring(meta from 'published_on = (\d{{4}}-\d\d-\d\d)')::date, {published})"
    return published


def make_drafts() -> None:
    """Drafts of rulebooks and places: apart from what is published, which no role that serves can then delete."""
    op.create_table(
        "rule_draft",
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("based_on", sa.Text),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("content_digest", sa.Text, nullable=False),
        sa.Column("digest", sa.Text),
        sa.Column("written_by", ARRAY(sa.Text), nullable=False, server_default="{}"),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False, server_default=sa.func.now()),
        sa.PrimaryKeyConstraint("kind", "id", "version", name=op.f("rule_draft_pk")),
        sa.CheckConstraint("kind in ('rulebook', 'jurisdiction')", name=op.f("rule_draft_kind_known_ck")),
        sa.CheckConstraint(
            "id ~ '^[a-z][a-z0-9]*(-[a-z0-9]+)*$' and length(id) between 3 and 40",
            name=op.f("rule_draft_id_form_ck"),
        ),
        sa.CheckConstraint("version between 1 and 999999", name=op.f("rule_draft_version_counts_ck")),
    )
    op.execute(SIGN_DRAFT)
    add_trigger("rule_draft", "sign", "before insert or update", "row", "sign_rule_draft")


def make_audit() -> None:
    """Entries of every write, which nobody can change; the triggers that make them run as the owner."""
    op.create_table(
        "audit_entry",
        sa.Column("id", sa.BigInteger, sa.Identity(always=True), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False, server_default=sa.func.clock_timestamp()),
        sa.Column("actor", sa.Text, nullable=False),
        sa.Column("action", sa.Text, nullable=False),
        sa.Column("subject", sa.Text, nullable=False),
        sa.Column("digest", sa.Text),
        sa.PrimaryKeyConstraint("id", name=op.f("audit_entry_pk")),
    )
    op.execute(KEEP_ENTRIES)
    add_trigger("audit_entry", "keep_rows", "before update or delete", "row", "keep_audit_entries")
    add_trigger("audit_entry", "no_truncation", "before truncate", "statement", "keep_audit_entries")
    op.execute(RECORD_WRITE)
    for table in AUDITED:
        add_trigger(table, "record_write", "after insert or update or delete", "row", "record_write")


def guard(table: str, function: str, moment: str) -> None:
    """Put a guard of published versions in the place of the one there is."""
    op.execute(f"drop trigger keep_published on public.{table}")
    add_trigger(table, "keep_published", moment, "row", function)


def add_trigger(table: str, name: str, moment: str, level: str, function: str) -> None:
    """One trigger, which fires whatever the session's replication role."""
    call = f"for each {level} execute function public.{function}()"
    op.execute(f"create trigger {name} {moment} on public.{table} {call}")
    op.execute(f"alter table public.{table} enable always trigger {name}")

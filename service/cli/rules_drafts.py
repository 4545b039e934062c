"""`deck-framing rules draft` and what follows: a draft is changed, validated, published, discarded, withdrawn."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import partial
from pathlib import Path

import click
import msgspec

from service.app import make_desk
from service.cli.database import owner_database
from service.cli.progress import teller
from service.cli.rule_texts import draft_in, found_in, named, read_text, texts_of
from service.cli.serve import DATA_DIR
from service.contract.rule_drafts import (
    JurisdictionDraftSpec,
    RulebookDraftChange,
    RulebookDraftSpec,
    TableSpec,
)
from service.contract.strict import decode
from service.rules.meta_text import numbered_text
from service.settings import read_settings
from service.store.actor import operator
from service.store.reader import load_snapshot
from service.store.rule_drafts import Draft
from service.store.rule_writer import (
    Content,
    change_draft,
    create_draft,
    discard_draft,
    publish_draft,
    withdraw_version,
)
from service.web.desk import Desk, utc_now
from service.web.rule_checks import check_of, refuse_beside
from service.web.rule_drafting import begun_place, begun_rulebook, changed_rulebook

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@contextmanager
def database(data_dir: Path | None) -> Iterator[str]:
    """Yield the URL of the database the commands work at, as its owner."""
    with owner_database(read_settings(), data_dir, teller()) as url:
        yield url


def desk_of(url: str) -> Desk:
    """Return what a draft is judged beside."""
    return make_desk(load_snapshot(url)).stopped()


@click.command()
@click.argument("id")
@click.option(
    "--from", "based_on", help="Version it begins from, like irc-2021@1; the newest of ID unless given."
)
@DATA_DIR
def draft(id: str, based_on: str | None, data_dir: Path | None) -> None:
    """Begin a draft of the rulebook or jurisdiction ID, and print its name.

    \b
    Example:
      deck-framing rules draft irc-2021 --from irc-2021@1 --data-dir ./deck-data
    """
    named(id)
    with database(data_dir) as url:
        kind, base, number = found_in(url, based_on or id)
        reference = f"{base}@{number}"
        write: Callable[[Content | None, int], Content]
        if kind == "rulebook":
            write = begun_rulebook(RulebookDraftSpec(based_on=reference), id, utc_now().date())
        else:
            write = begun_place(JurisdictionDraftSpec(based_on=reference))
        made = create_draft(url, kind, id, write, actor=operator(), based_on=(base, number))
    click.echo(made.reference)


@click.command()
@click.argument("draft")
@click.option(
    "--table", "tables", type=FILE, multiple=True, help="A whole table as it is printed; give one or more."
)
@click.option("--changes", type=FILE, help="JSON as PATCH takes it: rows, whole tables, title, notes.")
@click.option("--document", type=FILE, help="The whole document of a jurisdiction, as TOML.")
@DATA_DIR
def change(
    draft: str, tables: tuple[Path, ...], changes: Path | None, document: Path | None, data_dir: Path | None
) -> None:
    """Change DRAFT, named like irc-2021@2: whole tables first, then rows.

    \b
    Example:
      deck-framing rules change irc-2021@2 --table joist_spans.csv --data-dir ./deck-data
    """
    if not (tables or changes or document):
        raise click.UsageError("say what changes: --table, --changes or --document")
    with database(data_dir) as url:
        found = draft_in(url, draft)
        if document is not None:
            text = numbered_text(read_text(document), found.version)
            if found.kind != "jurisdiction" or tables or changes:
                raise click.UsageError("--document is for a jurisdiction, and comes alone")
            rewrite(url, found, lambda _: text)
        else:
            texts_of(found.content)
            rewrite(url, found, changed_rulebook(_change(tables, changes), utc_now().date()))
    click.echo(f"{found.reference} is changed")


def _change(tables: tuple[Path, ...], changes: Path | None) -> RulebookDraftChange:
    given = RulebookDraftChange() if changes is None else decode(changes.read_bytes(), RulebookDraftChange)
    whole = tuple(TableSpec(name=file.stem, text=read_text(file)) for file in tables)
    return msgspec.structs.replace(given, tables=(*whole, *given.tables))


def rewrite(url: str, draft: Draft, write: Callable[[Draft], Content]) -> None:
    """Change a draft that is still as it was read."""
    change_draft(url, draft.kind, draft.id, draft.version, draft.etag, write, actor=operator())


@click.command()
@click.argument("draft")
@DATA_DIR
def validate(draft: str, data_dir: Path | None) -> None:
    """Read DRAFT as strictly as its publication would, and print every fault.

    \b
    Example:
      deck-framing rules validate irc-2021@2 --data-dir ./deck-data
    """
    with database(data_dir) as url:
        found = check_of(draft_in(url, draft), desk_of(url))
    for fault in found.faults:
        place = f"{fault.table}.csv" if fault.table else "the draft"
        click.echo(f"{place}:{fault.line}: {f'{fault.column}: ' if fault.column else ''}{fault.text}")
    for lost in found.unapplied:
        click.echo(
            f"{lost.jurisdiction}: amendment {lost.amendment} finds no row: designs there need an engineer"
        )
    if not found.valid:
        raise click.ClickException(f"{draft} cannot be published: {len(found.faults)} faults")
    click.echo(f"{draft} can be published")


@click.command()
@click.argument("draft")
@click.option(
    "--in-force", "first", required=True, type=click.DateTime(["%Y-%m-%d"]), help="First day, from today on."
)
@DATA_DIR
def publish(draft: str, first: datetime, data_dir: Path | None) -> None:
    """Publish DRAFT, in force from a day on; from then on it never changes.

    Whoever runs this has the database's own rights, and may publish what he drafted;
    over HTTP it takes two keys.

    \b
    Example:
      deck-framing rules publish irc-2021@2 --in-force 2027-07-01 --data-dir ./deck-data
    """
    with database(data_dir) as url:
        found, desk = draft_in(url, draft), desk_of(url)
        made = publish_draft(
            url, found.kind, found.id, found.version, found.etag, first.date(),
            actor=operator(), check=partial(refuse_beside, desk=desk), own_too=True,
        )  # fmt: skip
    click.echo(f"{found.reference} {made.made.digest} in force from {made.days.lower}")


@click.command()
@click.argument("version")
@DATA_DIR
def withdraw(version: str, data_dir: Path | None) -> None:
    """Withdraw VERSION, named like irc-2021@2, before the day it comes into force.

    \b
    Example:
      deck-framing rules withdraw irc-2021@2 --data-dir ./deck-data
    """
    with database(data_dir) as url:
        kind, id, number = found_in(url, version)
        withdraw_version(url, kind, id, number, actor=operator())
    click.echo(f"{id}@{number} is withdrawn")


@click.command()
@click.argument("draft")
@DATA_DIR
def discard(draft: str, data_dir: Path | None) -> None:
    """Take DRAFT away, for good; its number becomes free.

    \b
    Example:
      deck-framing rules discard irc-2021@2 --data-dir ./deck-data
    """
    with database(data_dir) as url:
        found = draft_in(url, draft)
        discard_draft(url, found.kind, found.id, found.version, found.etag, actor=operator())
    click.echo(f"{found.reference} is discarded")

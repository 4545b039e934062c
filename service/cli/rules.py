"""`deck-framing rules`: the rule texts that come with the service, and those in a database."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from service.app import Version, bundled_facts, bundled_minutes, bundled_snapshot, bundled_timber
from service.cli.database import owner_database, prepare
from service.cli.progress import teller
from service.cli.rule_texts import KINDS
from service.cli.rules_compare import compare
from service.cli.rules_drafts import change, discard, draft, publish, validate, withdraw
from service.cli.rules_files import export_version, import_files
from service.cli.serve import DATA_DIR
from service.rules.amend import adoption_faults
from service.rules.faults import TableRefused
from service.rules.price_book import PriceBook
from service.settings import read_settings
from service.store.embedded import embedded_postgres
from service.store.reader import load_snapshot
from service.store.rule_writer import read_drafts
from service.store.snapshot import Key, Shelf, Snapshot
from service.web.desk import utc_now


@click.group()
def rules() -> None:
    """Check, load and list rulebooks, jurisdictions and price books.

    \b
    Example:
      deck-framing rules check
    """


@rules.command()
def check() -> None:
    """Read every text that comes with the service as strictly as a load would.

    A fault is named with file, line and column. No database is needed.

    \b
    Example:
      deck-framing rules check
    """
    snapshot = bundled_snapshot()
    bundled_facts()
    bundled_timber()
    bundled_minutes()
    faults = [
        fault
        for place in snapshot.jurisdictions.versions.values()
        for fault in adoption_faults(place, snapshot.latest_rulebooks)
    ]
    if faults:
        raise TableRefused(faults)
    _print(snapshot)
    click.echo("every text can be loaded")


@rules.command()
@DATA_DIR
def load(data_dir: Path | None) -> None:
    """Write what comes with the service into the database, as published versions.

    What is there already stays as it is; a changed text under the same version
    number is refused. Uses DATABASE_URL, or the embedded server.

    \b
    Example:
      deck-framing rules load --data-dir ./deck-data
    """
    settings, tell = read_settings(), teller()
    if settings.database_url is not None and settings.owner_url is not None:
        added = prepare(settings.owner_url, settings.database_url, tell)
    else:
        with embedded_postgres(
            data_dir or settings.data_dir, programs=settings.pg_bin, progress=tell
        ) as server:
            added = prepare(server.owner_url, server.service_url, tell)
    for version in added:
        click.echo(version)


@rules.command("list")
@DATA_DIR
def list_versions(data_dir: Path | None) -> None:
    """List every version and draft in the database: state, days in force, digest.

    Uses DATABASE_URL_OWNER, DATABASE_URL, or the embedded server, which may be
    running.

    \b
    Example:
      deck-framing rules list --data-dir ./deck-data
    """
    with owner_database(read_settings(), data_dir, teller()) as url:
        _print(load_snapshot(url))
        for kind in KINDS:
            for one in read_drafts(url, kind):
                click.echo(_row(kind, one.reference, "draft", "", one.digest or "faulty"))


for _command in (draft, change, import_files, export_version, validate, compare, publish, withdraw, discard):
    rules.add_command(_command)


def _print(snapshot: Snapshot) -> None:
    _print_shelf(snapshot.rulebooks)
    _print_shelf(snapshot.jurisdictions)
    _print_shelf(snapshot.price_books)


def _print_shelf(shelf: Shelf[Version]) -> None:
    today = utc_now().date()
    for key, item in sorted(shelf.versions.items(), key=lambda one: one[0]):
        state = shelf.state_on(key, today) if shelf.days else shelf.states[key]
        click.echo(_row(shelf.sort, f"{key[0]}@{key[1]}", state, _held(shelf, key, item), item.digest))
    for why in shelf.damaged.values():
        click.echo(f"{shelf.sort:13} {why}")


def _held(shelf: Shelf[Version], key: Key, item: Version) -> str:
    """The days a version holds for, in words."""
    if isinstance(item, PriceBook):
        return _days(item.effective_from, item.effective_to)
    days = shelf.days.get(key)
    return "on no day" if days is None else _days(days.first, days.last)


def _days(first: date | None, last: date | None) -> str:
    if first is None and last is None:
        return "on every day"
    return " ".join([*([f"from {first}"] if first else []), *([f"to {last}"] if last else [])])


def _row(sort: str, name: str, state: str, held: str, digest: str) -> str:
    return f"{sort:13} {name:24} {state:11} {held:29} {digest[:12]}"

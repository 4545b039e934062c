"""`deck-framing rules`: the rule texts that come with the service, and those in a database."""

from __future__ import annotations

from pathlib import Path

import click

from service.app import Version, bundled_facts, bundled_minutes, bundled_snapshot, bundled_timber
from service.cli.database import prepare, ready_database
from service.cli.progress import teller
from service.cli.rules_compare import compare
from service.cli.serve import DATA_DIR
from service.rules.amend import adoption_faults
from service.rules.faults import TableRefused
from service.settings import read_settings
from service.store.embedded import embedded_postgres
from service.store.reader import load_snapshot
from service.store.snapshot import Shelf, Snapshot


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
    """List every version in the database with its state and digest.

    Uses DATABASE_URL, or the embedded server.

    \b
    Example:
      deck-framing rules list --data-dir ./deck-data
    """
    settings = read_settings()
    with ready_database(settings, data_dir or settings.data_dir, teller()) as url:
        _print(load_snapshot(url))


rules.add_command(compare)


def _print(snapshot: Snapshot) -> None:
    _print_shelf(snapshot.rulebooks)
    _print_shelf(snapshot.jurisdictions)
    _print_shelf(snapshot.price_books)


def _print_shelf(shelf: Shelf[Version]) -> None:
    for (id, version), item in sorted(shelf.versions.items(), key=lambda one: one[0]):
        name = f"{id}@{version}"
        click.echo(f"{shelf.sort:13} {name:24} {shelf.states[id, version]:11} {item.digest[:12]}")
    for why in shelf.damaged.values():
        click.echo(f"{shelf.sort:13} {why}")

"""`deck-framing audit`: every write there was."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from service.cli.database import owner_database
from service.cli.progress import teller
from service.cli.serve import DATA_DIR
from service.settings import read_settings
from service.store.audit_reader import entries_since


@click.group()
def audit() -> None:
    """Show who wrote what and when; entries are kept for good.

    \b
    Example:
      deck-framing audit list --data-dir ./deck-data
    """


@audit.command("list")
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), help="First day (UTC) to show.")
@DATA_DIR
def list_them(since: datetime | None, data_dir: Path | None) -> None:
    """List the writes, oldest first: when, who, what was done, to what, digest.

    \b
    Example:
      deck-framing audit list --since 2027-01-01 --data-dir ./deck-data
    """
    first = None if since is None else since.replace(tzinfo=UTC)
    with owner_database(read_settings(), data_dir, teller()) as url:
        for one in entries_since(url, first):
            at = one.at.astimezone(UTC)
            line = f"{at:%Y-%m-%d %H:%M:%S} {one.actor:24} {one.action:16} {one.subject} {one.digest or ''}"
            click.echo(line.rstrip())

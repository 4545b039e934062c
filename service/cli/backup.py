"""`deck-framing backup` and `deck-framing restore`: the embedded database in one file, and back."""

from __future__ import annotations

from pathlib import Path

import click

from service.cli.progress import teller
from service.cli.serve import DATA_DIR
from service.settings import read_settings
from service.store.backup import back_up
from service.store.backup import restore as restore_database

_FILE = click.Path(dir_okay=False, path_type=Path)


@click.command()
@click.option("--out", "file", type=_FILE, required=True, help="File to write; not there yet.")
@DATA_DIR
def backup(file: Path, data_dir: Path | None) -> None:
    """Write the embedded database into one file, while it is served or not.

    The file holds every published version, key digests, grants and the audit
    entries, as they were at one moment; keep it as safe as the data folder.

    \b
    Example:
      deck-framing backup --data-dir ./deck-data --out deck.backup
    """
    settings = read_settings()
    if settings.database_url is not None:
        raise click.ClickException(
            "DATABASE_URL names a server of your own: back it up with its pg_dump; this is for the embedded one"
        )
    back_up(data_dir or settings.data_dir, file, programs=settings.pg_bin, progress=teller())
    click.echo(f"{file}: {file.stat().st_size / 1000:.0f} kB; every published text has its digest")


@click.command()
@click.argument("file", type=_FILE)
@click.option(
    "--data-dir",
    type=click.Path(file_okay=False, path_type=Path),
    required=True,
    help="Folder to make; empty or not there yet.",
)
def restore(file: Path, data_dir: Path) -> None:
    """Make a data folder of FILE, which `deck-framing backup` has written.

    The folder gets passwords of its own; keys go on working. Unless every
    published text has its digest, nothing is left behind.

    \b
    Example:
      deck-framing restore deck.backup --data-dir ./deck-restored
    """
    held = restore_database(file, data_dir, programs=read_settings().pg_bin, progress=teller())
    click.echo(
        f"{data_dir}: {held.versions} published versions, each with its digest; {held.keys} keys, "
        f"{held.grants} grants, {held.audit_entries} audit entries"
    )
    click.echo(f"Serve it: deck-framing serve --data-dir {data_dir}")

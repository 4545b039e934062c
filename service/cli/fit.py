"""`deck-framing fit`: the page that compares the published tables with calculation."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path

import click
import msgspec

from service.app import bundled_snapshot, bundled_timber
from service.cli.document import differences
from service.fit.page import Words, fit_page

PAGE = "fit.md"
_FOLDER = click.option(
    "--folder",
    default="openapi",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the page.",
)


@click.group()
def fit() -> None:
    """Write or check the page that compares tables with calculation.

    \b
    Example:
      deck-framing fit check
    """


@fit.command()
@_FOLDER
def write(folder: Path) -> None:
    """Calculate every cell of every table and write the page.

    \b
    Example:
      deck-framing fit write
    """
    folder.mkdir(parents=True, exist_ok=True)
    (folder / PAGE).write_text(page_text(), "utf-8")
    click.echo(f"wrote {folder / PAGE}")


@fit.command()
@_FOLDER
def check(folder: Path) -> None:
    """Fail when the page is not what `write` would write.

    \b
    Example:
      deck-framing fit check
    """
    stale = differences(folder / PAGE, page_text())
    if stale:
        raise click.ClickException("\n".join([*stale, "run: deck-framing fit write"]))
    click.echo("the fit page is up to date")


def page_text() -> str:
    """Return the page of the tables and design values that come with the service."""
    text = (files("service") / "fit" / "words.toml").read_text("utf-8")
    words = msgspec.convert(tomllib.loads(text), Words)
    return fit_page(bundled_snapshot().latest_rulebooks, bundled_timber(), words)

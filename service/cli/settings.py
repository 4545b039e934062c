"""`deck-framing settings`."""

from __future__ import annotations

import click

from service.settings import read_settings


@click.command()
def settings() -> None:
    """Show every setting, its meaning, its default and what holds now.

    Settings are environment variables; passwords are not shown. A variable goes
    before the file that another one names.

    \b
    Example:
      deck-framing settings
    """
    for one in read_settings().describe():
        click.echo(click.style(one.variable, bold=True))
        click.echo(f"  {one.meaning}")
        if one.file_variable:
            click.echo(f"  in a file: {one.file_variable} names it")
        click.echo(f"  default: {one.default}")
        click.echo(f"  now:     {one.value or '(not set)'}")

"""`deck-framing design FILE`."""

from __future__ import annotations

import sys
from pathlib import Path

import click
import msgspec

from service.app import bundled_snapshot, make_desk
from service.cli.item_names import item_names
from service.cli.printing import page
from service.cli.summary import print_summary
from service.pipeline import design as work_out
from service.web.resolve import context_of, read_spec


@click.command()
@click.argument("file", type=click.Path(allow_dash=True, exists=True, dir_okay=False, path_type=Path))
@click.option("--summary", is_flag=True, help="Print a summary for people in place of JSON.")
@click.option("--all", "everything", is_flag=True, help="Print all of the footing methods in the summary.")
def design(file: Path, summary: bool, everything: bool) -> None:
    """Design the deck in FILE (- for standard input) and print the report as JSON.

    Needs no server and no database: rules and prices are read from the files
    that come with the service.

    \b
    Example:
      deck-framing design openapi/examples/low-ground.json --summary
    """
    body = sys.stdin.buffer.read() if str(file) == "-" else file.read_bytes()
    desk = make_desk(bundled_snapshot())
    spec = read_spec(body, desk)
    report = work_out(spec, context_of(spec, desk), with_wishes=True)
    if summary or everything:
        print_summary(report, item_names(report, desk), page(), everything=everything)
    else:
        click.echo(msgspec.json.encode(report))

"""`deck-framing compare FILE`."""

from __future__ import annotations

import sys
from pathlib import Path

import click
import msgspec

from service.app import bundled_snapshot, make_desk
from service.cli.item_names import item_names
from service.cli.printing import page
from service.cli.summary import print_heading
from service.cli.summary_footings import print_comparison
from service.pipeline import design
from service.web.provenance import comparison_of
from service.web.resolve import context_of, read_spec


@click.command()
@click.argument("file", type=click.Path(allow_dash=True, exists=True, dir_okay=False, path_type=Path))
@click.option("--all", "everything", is_flag=True, help="Print everything, not one page of it.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, as POST /v1/footing-comparisons answers.")
def compare(file: Path, everything: bool, as_json: bool) -> None:
    """Compare the footing methods for the deck in FILE (- for standard input).

    Prints the deck's verdict, which method to take and why, what each costs
    and how many days it takes; with --all also tasks, risks, break-even,
    chances and what would turn it. Needs no server and no database.

    \b
    Example:
      deck-framing compare openapi/examples/ledger-composite.json
    """
    body = sys.stdin.buffer.read() if str(file) == "-" else file.read_bytes()
    desk = make_desk(bundled_snapshot())
    spec = read_spec(body, desk)
    report = design(spec, context_of(spec, desk), with_wishes=False)
    if as_json:
        click.echo(msgspec.json.encode(comparison_of(report)))
    else:
        console = page()
        print_heading(report, console)
        print_comparison(report.footing_comparison, item_names(report, desk), console, everything=everything)

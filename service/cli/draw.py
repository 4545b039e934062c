"""`deck-framing draw FILE --sheet SHEET --out FILE`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import get_args

import click

from service.app import bundled_snapshot, make_desk
from service.contract.choices import Sheet
from service.drawings.sheets import sheet_svg
from service.pipeline import design
from service.typesetting.sheets import set_sheets
from service.web.resolve import context_of, read_spec

SHEETS = get_args(Sheet)


@click.command()
@click.argument("file", type=click.Path(allow_dash=True, exists=True, dir_okay=False, path_type=Path))
@click.option("--sheet", type=click.Choice(SHEETS), default="framing_plan", help="Which sheet; all: a PDF.")
@click.option(
    "--out",
    required=True,
    type=click.Path(dir_okay=False, path_type=Path),
    help="File for it: .svg or .pdf.",
)
@click.option("--paper", type=click.Choice(["letter", "tabloid"]), default="letter", help="Paper.")
def draw(file: Path, sheet: str, out: Path, paper: str) -> None:
    """Draw the deck in FILE (- for standard input) true to scale.

    Needs no server and no database.

    \b
    Example:
      deck-framing draw openapi/examples/hillside.json --sheet section --out section.svg
    """
    if out.suffix not in (".svg", ".pdf") or (sheet == "all" and out.suffix == ".svg"):
        raise click.UsageError("--out ends in .svg or .pdf; all sheets go into a .pdf")
    body = sys.stdin.buffer.read() if str(file) == "-" else file.read_bytes()
    desk = make_desk(bundled_snapshot())
    spec = read_spec(body, desk)
    report = design(spec, context_of(spec, desk), with_wishes=False)
    drawn = (
        set_sheets(report, sheet, paper) if out.suffix == ".pdf" else sheet_svg(report, sheet, paper).encode()
    )
    out.write_bytes(drawn)
    click.echo(f"{out}: {report.verdict.status.replace('_', ' ')}, design {report.design_id}")

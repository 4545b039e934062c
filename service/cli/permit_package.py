"""`deck-framing permit-package FILE --out PDF`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from service.app import bundled_snapshot, make_desk
from service.pipeline import design
from service.web.permit_packages import package_pdf
from service.web.resolve import context_of, read_spec


@click.command("permit-package")
@click.argument("file", type=click.Path(allow_dash=True, exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--out", required=True, type=click.Path(dir_okay=False, path_type=Path), help="File for the PDF."
)
@click.option(
    "--paper", type=click.Choice(["letter", "tabloid"]), default="letter", help="Paper of the drawings."
)
def permit_package(file: Path, out: Path, paper: str) -> None:
    """Print the permit package of the deck in FILE (- for standard input).

    One PDF: cover, drawings, schedules, every check with its source, order,
    inspections, cautions. Needs no server and no database.

    \b
    Example:
      deck-framing permit-package openapi/examples/hillside.json --out deck.pdf
    """
    body = sys.stdin.buffer.read() if str(file) == "-" else file.read_bytes()
    desk = make_desk(bundled_snapshot())
    spec = read_spec(body, desk)
    report = design(spec, context_of(spec, desk), with_wishes=False)
    out.write_bytes(package_pdf(report, None, paper))
    click.echo(f"{out}: {report.verdict.status.replace('_', ' ')}, design {report.design_id}")

"""The command line: ``deck-framing``, or ``python -m service``."""

from __future__ import annotations

import click

from service import __version__
from service.cli.assets import assets
from service.cli.audit import audit
from service.cli.backup import backup, restore
from service.cli.compare import compare
from service.cli.design import design
from service.cli.document import openapi
from service.cli.draw import draw
from service.cli.failures import Failures
from service.cli.fit import fit
from service.cli.impact import impact
from service.cli.keys import keys
from service.cli.permit_package import permit_package
from service.cli.price_books import price_books
from service.cli.reprice import reprice
from service.cli.rules import rules
from service.cli.serve import serve
from service.cli.settings import settings
from service.cli.trial import trial


@click.group(cls=Failures, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(__version__, prog_name="deck-framing")
def main() -> None:
    """Frame a residential deck from published rule tables.

    Start with `deck-framing try`: it needs nothing else and shows a whole deck.
    """


for _command in (
    trial, serve, design, draw, permit_package, compare, reprice, impact, rules, keys, audit, price_books, openapi, fit,
    assets, backup, restore, settings,
):  # fmt: skip
    main.add_command(_command)

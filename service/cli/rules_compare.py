"""`deck-framing rules compare`: what differs between two versions."""

from __future__ import annotations

import click
import msgspec

from service.cli.printing import page
from service.cli.rule_texts import bundled_version
from service.cli.summary_rules import print_places, print_rulebooks
from service.rules.compare import RulebookTexts, compare_places, compare_rulebooks
from service.rules.jurisdiction import Jurisdiction


@click.command()
@click.argument("old")
@click.argument("new")
@click.option("--rows", "with_rows", is_flag=True, help="Print every row that differs, not counts alone.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, as the service answers.")
def compare(old: str, new: str, with_rows: bool, as_json: bool) -> None:
    """Tell what differs between the versions OLD and NEW, also of two editions.

    A version is named like irc-2021@1; without a number the newest is meant.
    Rows are paired by the key columns of their table.

    \b
    Example:
      deck-framing rules compare irc-2021@1 irc-2024@1
    """
    was, now = bundled_version(old), bundled_version(new)
    if isinstance(was, RulebookTexts) and isinstance(now, RulebookTexts):
        found = compare_rulebooks(was, now)
        if not as_json:
            print_rulebooks(found, page(), with_rows=with_rows)
            return
        click.echo(msgspec.json.encode(found))
    elif isinstance(was, Jurisdiction) and isinstance(now, Jurisdiction):
        places = compare_places(was, now)
        if not as_json:
            print_places(places, page())
            return
        click.echo(msgspec.json.encode(places))
    else:
        raise click.ClickException(f"{old} and {new} are a rulebook and a jurisdiction: name two of one sort")

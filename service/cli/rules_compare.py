"""`deck-framing rules compare`: what differs between two versions."""

from __future__ import annotations

from pathlib import Path

import click
import msgspec

from service.cli.database import owner_database
from service.cli.printing import page
from service.cli.progress import teller
from service.cli.rule_texts import Version, bundled_version, stored_version
from service.cli.serve import DATA_DIR
from service.cli.summary_rules import print_places, print_rulebooks
from service.rules.compare import RulebookTexts, compare_places, compare_rulebooks
from service.rules.jurisdiction import Jurisdiction
from service.settings import read_settings
from service.store.errors import NotServed


@click.command()
@click.argument("old")
@click.argument("new")
@click.option("--rows", "with_rows", is_flag=True, help="Print every row that differs, not counts alone.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, as the service answers.")
@DATA_DIR
def compare(old: str, new: str, with_rows: bool, as_json: bool, data_dir: Path | None) -> None:
    """Tell what differs between the versions OLD and NEW, also of two editions.

    A version is named like irc-2021@1; without a number the newest is meant.
    Rows are paired by the key columns of their table. Versions that come with
    the service need no database; others, and drafts, are looked up in it.

    \b
    Example:
      deck-framing rules compare irc-2021@1 irc-2024@1
    """
    was, now = _both(old, new, data_dir)
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


def _both(old: str, new: str, data_dir: Path | None) -> tuple[Version, Version]:
    settings = read_settings()
    if data_dir is None and settings.database_url is None:
        try:
            return bundled_version(old), bundled_version(new)
        except NotServed:
            if not settings.data_dir.exists():
                raise
    with owner_database(settings, data_dir, teller()) as url:
        return stored_version(url, old), stored_version(url, new)

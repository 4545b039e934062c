"""`deck-framing price-books`: who may read which."""

from __future__ import annotations

from pathlib import Path

import click

from service.cli.database import owner_database
from service.cli.progress import teller
from service.cli.serve import DATA_DIR
from service.settings import read_settings
from service.store.key_writer import grant_price_book, withdraw_grant
from service.store.reader import load_snapshot


@click.group("price-books")
def price_books() -> None:
    """Say which organisations may read a price book besides its own.

    Price books are uploaded over HTTP, with a key that has the scope prices:write.

    \b
    Example:
      deck-framing price-books list --data-dir ./deck-data
    """


@price_books.command("list")
@DATA_DIR
def list_them(data_dir: Path | None) -> None:
    """List every price book with its organisation and those that may read it.

    \b
    Example:
      deck-framing price-books list --data-dir ./deck-data
    """
    with owner_database(read_settings(), data_dir, teller()) as url:
        access = load_snapshot(url).access
        for id, head in sorted(access.books.items()):
            granted = sorted(organisation for book, organisation in access.grants if book == id)
            readers = "everyone" if head.public else ",".join(granted) or "nobody else"
            click.echo(f"{id:24} of {head.organisation:24} read by {readers}")


@price_books.command()
@click.argument("price_book")
@click.argument("organisation")
@click.option("--withdraw", is_flag=True, help="Take the grant back.")
@DATA_DIR
def grant(price_book: str, organisation: str, withdraw: bool, data_dir: Path | None) -> None:
    """Let ORGANISATION read PRICE_BOOK; it may not write to it.

    \b
    Example:
      deck-framing price-books grant brindlemoor-yard brindlemoor-timber --data-dir ./deck-data
    """
    with owner_database(read_settings(), data_dir, teller()) as url:
        change = withdraw_grant if withdraw else grant_price_book
        change(url, price_book, organisation)
    click.echo(f"{organisation} may {'no longer ' if withdraw else ''}read {price_book} by a grant")

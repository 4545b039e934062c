"""`deck-framing keys`: who may do what."""

from __future__ import annotations

from pathlib import Path

import click

from service.cli.database import owner_database
from service.cli.progress import teller
from service.cli.serve import DATA_DIR
from service.settings import read_settings
from service.store.key_writer import create_key, list_keys, revoke_key


@click.group()
def keys() -> None:
    """Make, revoke and list the keys that callers send.

    Uses DATABASE_URL_OWNER, DATABASE_URL, or the embedded server, which may be
    running. A running service sees a change within two seconds.

    \b
    Example:
      deck-framing keys list --data-dir ./deck-data
    """


@keys.command()
@click.option("--organisation", required=True, help="Whose key it is; made when first named.")
@click.option("--scope", "scopes", multiple=True, required=True, help="What it may do; give one or more.")
@click.option("--name", default="", help="What it is for, for people.")
@click.option("--price-book", help="Price book of its designs where they name none.")
@DATA_DIR
def create(
    organisation: str, scopes: tuple[str, ...], name: str, price_book: str | None, data_dir: Path | None
) -> None:
    """Make a key and print it. It is printed once: only a digest is kept.

    Scopes: designs, prices:read, prices:write, rules:write, rules:publish, admin.

    \b
    Example:
      deck-framing keys create --organisation tollgate --scope prices:write --scope designs --data-dir ./deck-data
    """
    with owner_database(read_settings(), data_dir, teller()) as url:
        click.echo(create_key(url, organisation, scopes, name=name, price_book=price_book))


@keys.command()
@click.argument("key_id")
@DATA_DIR
def revoke(key_id: str, data_dir: Path | None) -> None:
    """Revoke the key with KEY_ID, the 16 hex digits in its middle, for good.

    \b
    Example:
      deck-framing keys revoke 0123456789abcdef --data-dir ./deck-data
    """
    with owner_database(read_settings(), data_dir, teller()) as url:
        revoke_key(url, key_id)
    click.echo(f"{key_id} is revoked")


@keys.command("list")
@DATA_DIR
def list_them(data_dir: Path | None) -> None:
    """List every key with its organisation, scopes and state; never its secret.

    \b
    Example:
      deck-framing keys list --data-dir ./deck-data
    """
    with owner_database(read_settings(), data_dir, teller()) as url:
        for key in list_keys(url):
            state = f"revoked {key.revoked_at:%Y-%m-%d}" if key.revoked_at else "in force"
            book = f" price book {key.price_book}" if key.price_book else ""
            made = f"made {key.created_at:%Y-%m-%d}"
            click.echo(
                f"{key.id} {key.organisation:20} {state:19} {made} {','.join(key.scopes)}{book} {key.name}".rstrip()
            )

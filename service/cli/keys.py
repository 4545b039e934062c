"""`deck-framing keys`: who may do what."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import click

from service.cli.database import owner_database
from service.cli.progress import teller
from service.cli.serve import DATA_DIR
from service.settings import read_settings
from service.store.key_writer import (
    Bounds,
    ListedKey,
    create_key,
    create_publishable_key,
    list_keys,
    revoke_key,
    rotate_key,
)
from service.web.desk import utc_now

MOST_DAYS = 3650


class Expiry(click.ParamType[datetime]):
    """A day, at whose beginning in UTC a key ends, or a number of days from now."""

    name = "date|days"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> datetime:
        """Return the moment a text means."""
        if isinstance(value, datetime):
            return value
        try:
            if value.isascii() and value.isdigit() and 1 <= int(value) <= MOST_DAYS:
                return utc_now() + timedelta(days=int(value))
            return datetime.strptime(value, "%Y-%m-%d").replace(tzinfo=UTC)
        except ValueError:
            self.fail(f"{value!r} is neither a day like 2027-01-01 nor 1 to {MOST_DAYS} days", param, ctx)


EXPIRES = click.option(
    "--expires", type=Expiry(), help="First day (UTC) it is no longer in force, or days from now."
)


@click.group()
def keys() -> None:
    """Make, replace, revoke and list the keys that callers send.

    Uses DATABASE_URL_OWNER, DATABASE_URL, or the embedded server, which may be
    running. A running service sees a change within two seconds.

    \b
    Example:
      deck-framing keys list --data-dir ./deck-data
    """


@keys.command()
@click.option("--organisation", required=True, help="Whose key it is; made when first named.")
@click.option("--scope", "scopes", multiple=True, help="What it may do; give one or more.")
@click.option("--name", default="", help="What it is for, for people.")
@click.option("--price-book", help="Price book of its designs where they name none.")
@click.option(
    "--rules-of", multiple=True, help="Rulebook or jurisdiction its rules scopes are for; else all."
)
@click.option("--publishable", is_flag=True, help="A key that may stand in a page, for designs alone.")
@click.option("--origin", "origins", multiple=True, help="Page a publishable key may be sent from.")
@EXPIRES
@DATA_DIR
def create(
    organisation: str,
    scopes: tuple[str, ...],
    name: str,
    price_book: str | None,
    rules_of: tuple[str, ...],
    publishable: bool,
    origins: tuple[str, ...],
    expires: datetime | None,
    data_dir: Path | None,
) -> None:
    """Make a key and print it. It is printed once: only a digest is kept.

    Scopes: designs, prices:read, prices:write, rules:write, rules:publish, admin.

    A publishable key has no scope to choose: it reads the rules, and designs with
    one public price book, from pages of its origins alone. Anyone may see it.

    \b
    Examples:
      deck-framing keys create --organisation tollgate --scope prices:write --scope designs --data-dir ./deck-data
      deck-framing keys create --organisation oak --publishable --origin https://a.example --price-book brindlemoor-yard
    """
    if publishable:
        _check_publishable(scopes, rules_of, price_book)
    elif origins or not scopes:
        raise click.UsageError("a secret key needs --scope, and has no --origin")
    with owner_database(read_settings(), data_dir, teller()) as url:
        if publishable:
            book = price_book or ""
            made = create_publishable_key(url, organisation, book, origins, name=name, expires_at=expires)
        else:
            made = create_key(
                url, organisation, scopes, name=name, bounds=Bounds(price_book, expires, rules_of)
            )
        click.echo(made)


def _check_publishable(scopes: tuple[str, ...], rules_of: tuple[str, ...], price_book: str | None) -> None:
    if set(scopes) - {"designs"} or rules_of:
        raise click.UsageError("a publishable key is for designs alone: leave out --scope and --rules-of")
    if price_book is None:
        raise click.UsageError("a publishable key needs the one --price-book its designs are priced with")


@keys.command()
@click.argument("key_id")
@click.option(
    "--overlap-days", type=click.IntRange(0, 90), required=True, help="How long the old key stays in force."
)
@EXPIRES
@DATA_DIR
def rotate(key_id: str, overlap_days: int, expires: datetime | None, data_dir: Path | None) -> None:
    """Make a key that may do what the one with KEY_ID may, and print it, once.

    The old key ends after the overlap, or when it would have ended anyway.

    \b
    Example:
      deck-framing keys rotate 0123456789abcdef --overlap-days 7 --data-dir ./deck-data
    """
    with owner_database(read_settings(), data_dir, teller()) as url:
        made, ends_at = rotate_key(url, key_id, timedelta(days=overlap_days), expires_at=expires)
    click.echo(made)
    click.echo(f"{key_id} is in force until {_moment(ends_at)}", err=True)


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
        now = utc_now()
        for key in list_keys(url):
            click.echo(_line(key, now))


def _line(key: ListedKey, now: datetime) -> str:
    made = f"made {key.created_at:%Y-%m-%d}"
    bound = {
        "price book": [key.price_book] if key.price_book else [],
        "rules of": key.rules_bound,
        "pages of": key.origins,
    }
    bounds = "".join(f" {what} {','.join(ids)}" for what, ids in bound.items() if ids)
    head = f"{key.id} {key.organisation:20} {_state(key, now):22} {made} {key.kind}"
    return f"{head} {','.join(key.scopes)}{bounds} {key.name}".rstrip()


def _state(key: ListedKey, now: datetime) -> str:
    if key.revoked_at:
        return f"revoked {key.revoked_at:%Y-%m-%d}"
    if key.expires_at is None:
        return "in force"
    return f"{'expired' if key.expires_at <= now else 'in force to'} {key.expires_at:%Y-%m-%d}"


def _moment(at: datetime) -> str:
    return f"{at.astimezone(UTC):%Y-%m-%d %H:%M} UTC"

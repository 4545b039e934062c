"""Who writes: told to the database at the beginning of a transaction, and kept by its triggers with every write."""

from __future__ import annotations

import getpass
import os

from sqlalchemy import Connection, text

KEY = "key "


def write_as(connection: Connection, actor: str) -> None:
    """Say who makes the writes of a transaction, like `key 0123456789abcdef`."""
    connection.execute(text("select set_config('deck_framing.actor', :actor, true)"), {"actor": actor})


def key_actor(key_id: str) -> str:
    """How the holder of a key is named.

    >>> key_actor("0123456789abcdef")
    'key 0123456789abcdef'
    """
    return f"{KEY}{key_id}"


def operator() -> str:
    """How a person at the command line is named: by the user of the system."""
    return f"operator {_user()}"


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        # in a container a user may be a number alone
        return str(os.getuid())

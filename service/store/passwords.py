"""Passwords of the embedded server's roles: made once for a data folder, readable by its owner alone."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

import msgspec

from service.store.errors import EmbeddedServerError


class Passwords(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One password for each role of the embedded server."""

    superuser: str
    owner: str
    service: str


def make_passwords(file: Path) -> Passwords:
    """New random passwords, written to a file only its owner can read."""
    made = Passwords(*(secrets.token_urlsafe(24) for _ in range(3)))
    file.unlink(missing_ok=True)
    descriptor = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as stream:
        stream.write(msgspec.json.encode(made))
    return made


def read_passwords(file: Path) -> Passwords:
    """The passwords made for a data folder.

    Raises:
        EmbeddedServerError: the file is gone or damaged
    """
    try:
        return msgspec.json.decode(file.read_bytes(), type=Passwords)
    except (OSError, msgspec.MsgspecError) as fault:
        raise EmbeddedServerError(
            f"the passwords of this data folder cannot be read from {file}: {fault}; "
            "put the file back, or move the data folder away to begin a new one"
        ) from fault

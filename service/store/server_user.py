"""The operating-system user PostgreSQL runs as; it refuses to run as root."""

from __future__ import annotations

import os
import pwd
import stat
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from service.store.errors import EmbeddedServerError

UNPRIVILEGED_USER = "nobody"


@dataclass(frozen=True)
class ServerUser:
    """The user the server runs as, and whether that is another user than this process's."""

    name: str
    uid: int
    gid: int
    switched: bool

    def process_arguments(self) -> dict[str, Any]:
        """Arguments of `subprocess` that run a program as this user."""
        return {"user": self.uid, "group": self.gid, "extra_groups": []} if self.switched else {}

    def own(self, path: Path) -> None:
        """Hand a file or folder of ours to this user."""
        if self.switched:
            os.chown(path, self.uid, self.gid)

    def can_enter(self, folder: Path) -> bool:
        """Whether this user may pass through a folder and every folder above it."""
        return not self.switched or all(self._may_search(one) for one in (folder, *folder.parents))

    def _may_search(self, folder: Path) -> bool:
        found = folder.stat()
        if found.st_uid == self.uid:
            return bool(found.st_mode & stat.S_IXUSR)
        if found.st_gid == self.gid:
            return bool(found.st_mode & stat.S_IXGRP)
        return bool(found.st_mode & stat.S_IXOTH)


def server_user() -> ServerUser:
    """This process's user, or as root the system's unprivileged one; none is created."""
    uid = os.geteuid()
    if uid != 0:
        return ServerUser(_user_name(uid), uid, os.getegid(), switched=False)
    try:
        entry = pwd.getpwnam(UNPRIVILEGED_USER)
    except KeyError:
        raise EmbeddedServerError(
            f"PostgreSQL does not run as root and this system has no user {UNPRIVILEGED_USER!r}: "
            "start the service as an ordinary user, or set DATABASE_URL"
        ) from None
    return ServerUser(entry.pw_name, entry.pw_uid, entry.pw_gid, switched=True)


def _user_name(uid: int) -> str:
    # A container may run under a number that has no name.
    try:
        return pwd.getpwuid(uid).pw_name
    except KeyError:
        return f"user {uid}"

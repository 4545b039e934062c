"""The folder everything of one embedded server lies in, and the folder of its socket."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from service.store.errors import EmbeddedServerError
from service.store.server_user import ServerUser, server_user

# The kernel allows a socket's path some 107 bytes, of which PostgreSQL's file name takes 14.
LONGEST_SOCKET_FOLDER = 90


@dataclass(frozen=True)
class DataFolder:
    """Where everything of one embedded server lies, and who the server runs as."""

    path: Path
    user: ServerUser

    @property
    def cluster(self) -> Path:
        """PostgreSQL's own data folder."""
        return self.path / "cluster"

    @property
    def log_file(self) -> Path:
        """What the server reports about itself."""
        return self.path / "server.log"

    @property
    def password_file(self) -> Path:
        """The roles' passwords."""
        return self.path / "passwords.json"


def prepared_folder(data_dir: Path | None, stack: ExitStack) -> DataFolder:
    """The data folder, made if absent; a temporary one, removed when the stack is left, if None is given."""
    user = server_user()
    if data_dir is None:
        return DataFolder(stack.enter_context(_temporary_folder(user)), user)
    path = data_dir.resolve()
    refuse_unreachable(path, user)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if not path.exists():
            _make_enterable(path)
    except OSError as fault:
        raise EmbeddedServerError(
            f"cannot make the data folder {path}: {fault.strerror}; set DECK_FRAMING_DATA_DIR to another"
        ) from fault
    refuse_unreachable(path, user)
    return DataFolder(path, user)


def _make_enterable(folder: Path) -> None:
    folder.mkdir(mode=0o700, exist_ok=True)
    folder.chmod(0o711 if os.geteuid() == 0 else 0o700)


@contextmanager
def _temporary_folder(user: ServerUser) -> Iterator[Path]:
    bases = (Path(tempfile.gettempdir()), Path("/tmp"), Path("/var/tmp"))  # noqa: S108 - mkdtemp inside
    base = next((one for one in bases if one.is_dir() and user.can_enter(one.resolve())), bases[0])
    folder = Path(tempfile.mkdtemp(prefix="deck-framing-", dir=base)).resolve()
    _make_enterable(folder)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def refuse_unreachable(path: Path, user: ServerUser) -> None:
    """Refuse a data folder, made already or not, that lies where the server's user cannot go."""
    if not user.switched:
        return
    standing = next(one for one in (path, *path.parents) if one.exists())
    if not user.can_enter(standing):
        raise EmbeddedServerError(
            f"PostgreSQL must run as {user.name!r}, who cannot enter {standing}; "
            "set DECK_FRAMING_DATA_DIR to a folder that user can reach, such as /var/lib/deck-framing"
        )


@contextmanager
def socket_folder_of(folder: DataFolder) -> Iterator[Path]:
    """A new folder for the server's socket that only its user, and root, can enter."""
    path = folder.path / "socket"
    if len(os.fsencode(path)) > LONGEST_SOCKET_FOLDER:
        path = Path(tempfile.mkdtemp(prefix="deck-framing-", dir="/tmp"))
    empty_socket_folder(path, folder.user)
    try:
        yield path
    finally:
        shutil.rmtree(path, ignore_errors=True)


def empty_socket_folder(path: Path, user: ServerUser) -> None:
    """Make a server's socket folder anew: a killed one's socket keeps a mark of its own, which stops the next one."""
    shutil.rmtree(path, ignore_errors=True)
    path.mkdir(mode=0o700)
    user.own(path)

"""Runs PostgreSQL as a child of this process, out of the programs in a Python package or a system folder.

Decisions, and what each prevents:

- Connections come through a Unix socket in a folder of mode 0700, and never over TCP.
- Every role proves itself by a password (SCRAM) made for this data folder and kept in a 0600 file. The
  socket's folder already keeps other users out; the passwords keep a request-serving process, which is
  given only the service role's, from becoming the owner of the tables. Matching operating-system users
  to roles could not tell the two apart.
- Three roles: the superuser, used here to make the other two and the database, and then only to see
  whether the server takes connections at all; the owner, for migrations and loading; the service role,
  which owns nothing.
- Started as root, the server runs as `nobody`: no user is made, no mode of a folder above ours is changed.
- A lock on the data folder admits one process, so a start never stops another's live server.
- On Linux the server is told to stop when the thread that started it ends, however it ends; the start is
  therefore refused outside the main thread. One that is to be kept has a thread of its own, which ends after it.
- One that is kept and ends all the same, killed or out of memory, is started again on the same
  folders by that thread, later each time; the folder's lock is held all along.

Linux and macOS; measured on Linux only. One process owns the server: workers are given its URL.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from service.store.binaries import find_programs, reachable_programs
from service.store.cluster import DATABASE, OWNER, SERVICE, ready_cluster, ready_database, takes_connections
from service.store.data_folder import DataFolder, prepared_folder, socket_folder_of
from service.store.errors import EmbeddedServerError, FolderInUse
from service.store.folder_lock import held_folder
from service.store.keeper import kept
from service.store.passwords import read_passwords
from service.store.server_process import running_server
from service.store.server_user import server_user

FAST: Mapping[str, str] = {
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "autovacuum": "off",
}
"""Settings for tests: quick, and not safe against a crash of the machine."""


Progress = Callable[[str], None]


@dataclass(frozen=True)
class EmbeddedServer:
    """A running server.

    Attributes:
        owner_url: libpq URI of the role that owns the tables; for migrations and loading
        service_url: libpq URI of the role that serves; owns nothing
        data_dir: folder everything lies in
        log_file: the server's own log
        process_id: process number of the server, as it was first started
    """

    owner_url: str
    service_url: str
    data_dir: Path
    log_file: Path
    process_id: int


@contextmanager
def embedded_postgres(
    data_dir: Path | None = None,
    *,
    programs: Path | None = None,
    settings: Mapping[str, str] | None = None,
    progress: Progress | None = None,
    keep: bool = False,
) -> Iterator[EmbeddedServer]:
    """Run a server for as long as the block runs, and stop it after.

    Args:
        data_dir: folder for the data, made if absent; None for a temporary one, removed at the end
        programs: folder of PostgreSQL programs; None for those of the package embedded-postgres
        settings: PostgreSQL settings beyond the defaults here
        progress: told in a few words what is being done
        keep: start it again whenever it ends while the block runs

    Yields:
        The server, ready for connections.

    Raises:
        FolderInUse: another process runs a server in the folder; the message names it
        EmbeddedServerError: anything else that keeps it from starting, with the remedy
    """
    _refuse_other_threads()
    tell = progress or _silent
    with ExitStack() as stack:
        folder = prepared_folder(data_dir, stack)
        stack.enter_context(held_folder(folder.path))
        found = reachable_programs(find_programs(programs), folder.user, folder.path)
        tell(f"preparing the database in {folder.path}")
        passwords = ready_cluster(folder, found)
        socket_folder = stack.enter_context(socket_folder_of(folder))
        tell("starting PostgreSQL")
        asked = threading.Event()
        start = partial(running_server, folder, found, socket_folder, settings or {}, asked)
        answers = partial(takes_connections, socket_folder, passwords)
        process = stack.enter_context(kept(start, asked, answers) if keep else start())
        ready_database(socket_folder, passwords)
        tell("PostgreSQL is ready")
        yield EmbeddedServer(
            owner_url=_url(OWNER, passwords.owner, socket_folder),
            service_url=_url(SERVICE, passwords.service, socket_folder),
            data_dir=folder.path,
            log_file=folder.log_file,
            process_id=process.pid,
        )


def owner_url_of_running(data_dir: Path) -> str | None:
    """The URI of the owner's role of a server another process runs in a folder; None where none does.

    The folder's own files say where its socket is; only the user who started it can read them.
    """
    if not data_dir.is_dir():
        return None
    folder = DataFolder(data_dir.resolve(), server_user())
    try:
        with held_folder(folder.path):
            return None
    except FolderInUse:
        # the fifth line of what a running server writes about itself is the folder of its socket
        mark = folder.cluster / "postmaster.pid"
        written = mark.read_text().splitlines() if mark.is_file() else []
        if len(written) < 5:
            raise
        return _url(OWNER, read_passwords(folder.password_file).owner, Path(written[4]))


def _silent(_: str) -> None:
    return


def _url(role: str, password: str, socket_folder: Path) -> str:
    return f"postgresql://{role}:{password}@/{DATABASE}?host={socket_folder}"


def _refuse_other_threads() -> None:
    if threading.current_thread() is not threading.main_thread():
        raise EmbeddedServerError(
            "the embedded server stops with the thread that starts it: use the main thread"
        )

"""The server's process: how it is started, when it is ready, how it is stopped."""

from __future__ import annotations

import os
import signal
import subprocess
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from service.store.cluster import ENVIRONMENT
from service.store.data_folder import DataFolder, empty_socket_folder
from service.store.errors import EmbeddedServerError
from service.store.left_over import clear_left_over
from service.store.parent_death import signal_with_parent

# Each of 64 processes looks, listens, and reads what is new, all at once after a publication.
DEFAULTS: Mapping[str, str] = {"timezone": "UTC", "log_timezone": "UTC", "max_connections": "200"}
# After a crash it first reads what was written since its last checkpoint, and must not be kept from its end.
START_PATIENCE_S = 300.0
STOP_PATIENCE_S = 20.0


@contextmanager
def running_server(
    folder: DataFolder,
    programs: Path,
    socket_folder: Path,
    settings: Mapping[str, str],
    asked: threading.Event,
) -> Iterator[subprocess.Popen[bytes]]:
    """A server that is ready for connections, stopped when the block is left.

    Args:
        folder: of its data, whose lock is held; what an earlier server left there is cleared
        programs: folder of PostgreSQL programs
        socket_folder: of its socket, emptied first
        settings: PostgreSQL settings beyond the defaults here
        asked: set when it is to stop, though it may not be ready yet

    Raises:
        EmbeddedServerError: it does not start
    """
    clear_left_over(folder.cluster)
    empty_socket_folder(socket_folder, folder.user)
    process = _launched(folder, programs, socket_folder, settings)
    try:
        _await_ready(process, folder, asked)
        yield process
    finally:
        _stop(process)


def _launched(
    folder: DataFolder, programs: Path, socket_folder: Path, settings: Mapping[str, str]
) -> subprocess.Popen[bytes]:
    fixed = {**DEFAULTS, **settings, "listen_addresses": "", "unix_socket_directories": str(socket_folder)}
    options = [part for name, value in fixed.items() for part in ("-c", f"{name}={value}")]
    descriptor = os.open(folder.log_file, os.O_WRONLY | os.O_CREAT | os.O_APPEND | os.O_NOFOLLOW, 0o600)
    try:
        return subprocess.Popen(  # noqa: S603 - fixed program, no shell
            [programs / "postgres", "-D", folder.cluster, *options],
            env=ENVIRONMENT,
            cwd=folder.cluster,
            stdin=subprocess.DEVNULL,
            stdout=descriptor,
            stderr=descriptor,
            start_new_session=True,
            preexec_fn=signal_with_parent(signal.SIGINT, os.getpid()),
            **folder.user.process_arguments(),
        )
    except OSError as fault:
        raise EmbeddedServerError(
            f"cannot run {programs / 'postgres'} as {folder.user.name!r}: {fault}"
        ) from fault
    finally:
        os.close(descriptor)


def _await_ready(process: subprocess.Popen[bytes], folder: DataFolder, asked: threading.Event) -> None:
    deadline = time.monotonic() + START_PATIENCE_S
    while not _is_ready(process.pid, folder.cluster):
        if process.poll() is not None:
            made_by = (folder.cluster / "PG_VERSION").read_text().strip()
            raise EmbeddedServerError(
                f"PostgreSQL did not start on data made by version {made_by}; "
                f"the end of {folder.log_file}:\n{_tail(folder)}"
            )
        if time.monotonic() > deadline:
            raise EmbeddedServerError(
                f"PostgreSQL was not ready in {START_PATIENCE_S:.0f} s; see {folder.log_file}"
            )
        if asked.wait(0.005):
            raise EmbeddedServerError("PostgreSQL was asked to stop before it was ready")


def _is_ready(process_id: int, cluster: Path) -> bool:
    try:
        lines = (cluster / "postmaster.pid").read_text().splitlines()
    except FileNotFoundError:
        return False
    return len(lines) >= 8 and lines[0] == str(process_id) and lines[7].strip() == "ready"


def _tail(folder: DataFolder) -> str:
    return "\n".join(folder.log_file.read_text(errors="replace").splitlines()[-5:])


def _stop(process: subprocess.Popen[bytes]) -> None:
    for sign in (signal.SIGINT, signal.SIGQUIT, signal.SIGKILL):
        process.send_signal(sign)
        with suppress(subprocess.TimeoutExpired):
            process.wait(STOP_PATIENCE_S)
            return

"""One process at a time works in a data folder; the next one is told who holds it."""

from __future__ import annotations

import fcntl
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from service.store.errors import EmbeddedServerError, FolderInUse


@contextmanager
def held_folder(data_dir: Path) -> Iterator[None]:
    """Hold a data folder for as long as the block runs; the lock goes with the process, however it ends.

    Raises:
        FolderInUse: another process holds it; the message names the process
    """
    descriptor = _opened(data_dir / "lock")
    try:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise _in_use(data_dir, descriptor) from None
        os.ftruncate(descriptor, 0)
        os.pwrite(descriptor, f"process {os.getpid()} ({Path(sys.argv[0]).name})".encode(), 0)
        yield
    finally:
        os.close(descriptor)


def _opened(file: Path) -> int:
    try:
        return os.open(file, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o600)
    except OSError as fault:
        raise EmbeddedServerError(
            f"cannot work in {file.parent}: {fault.strerror}; set DECK_FRAMING_DATA_DIR to another folder"
        ) from fault


def _in_use(data_dir: Path, descriptor: int) -> FolderInUse:
    holder = os.pread(descriptor, 200, 0).decode(errors="replace") or "another process"
    return FolderInUse(
        f"{data_dir} is in use by {holder}; stop it, or set DECK_FRAMING_DATA_DIR to another folder"
    )

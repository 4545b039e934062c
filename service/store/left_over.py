"""Deals with a server that an earlier, killed process left behind in a data folder whose lock we hold."""

from __future__ import annotations

import os
import signal
import sys
import time
from contextlib import suppress
from pathlib import Path

from service.store.errors import EmbeddedServerError

PATIENCE_S = 20.0


def clear_left_over(cluster: Path) -> None:
    """Stop a server still running in a cluster folder, and remove the mark of one that is dead.

    The number in `postmaster.pid` alone proves nothing: a zombie still has it, and so may a stranger.
    On Linux every process of a server works in the cluster folder, which a zombie and a stranger do not,
    so the mark is removed only when no process does. Elsewhere PostgreSQL's own checks decide.

    Args:
        cluster: PostgreSQL's data folder

    Raises:
        EmbeddedServerError: a server process does not go away
    """
    mark = cluster / "postmaster.pid"
    if not mark.exists() or sys.platform != "linux":
        return
    leader = _marked_process(mark)
    deadline = time.monotonic() + PATIENCE_S
    while working := _processes_in(cluster):
        if leader in working:
            with suppress(ProcessLookupError):
                os.kill(leader, signal.SIGINT)
        if time.monotonic() > deadline:
            raise EmbeddedServerError(
                f"processes {sorted(working)} of an earlier server still run in {cluster}"
            )
        time.sleep(0.02)
    mark.unlink(missing_ok=True)


def _marked_process(mark: Path) -> int | None:
    first = mark.read_text().partition("\n")[0].strip()
    return int(first) if first.isdigit() else None


def _processes_in(cluster: Path) -> set[int]:
    numbers = (int(entry.name) for entry in Path("/proc").iterdir() if entry.name.isdigit())
    return {number for number in numbers if number != os.getpid() and _works_in(number, cluster)}


def _works_in(process: int, folder: Path) -> bool:
    # A zombie has no working folder any more; another user's cannot be read and is no server of ours.
    try:
        return Path(f"/proc/{process}/cwd").readlink() == folder
    except OSError:
        return False

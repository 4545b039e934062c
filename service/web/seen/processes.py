"""The processes of one service, by what they do: CPU and memory, looked up when somebody asks."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

import psutil

from service.web.seen import names
from service.web.seen.names import Metric

LAUNCHER, SERVER, BATCH = "launcher", "server", "batch"
ROLES = (LAUNCHER, SERVER, BATCH)
_BATCH_SIGN, _WORKER_SIGN = "service.web.streams.worker", "spawn_main"


class Processes:
    """The process this runs in and those it has started, directly or through others.

    A database it has started is not among them. What an ended process has used is kept as it was last seen, so that
    the sum never goes back.
    """

    def __init__(self) -> None:
        self._own = psutil.Process()
        self._cpu_s: dict[tuple[int, float], tuple[str, float]] = {}

    def look(self) -> dict[Metric, dict[str, float]]:
        """Return what is found now, by metric and role."""
        count, resident, cpu = (dict.fromkeys(ROLES, 0.0) for _ in range(3))
        for role, process in self._ours():
            # one that has ended meanwhile, or is about to
            with suppress(psutil.Error), process.oneshot():
                used = process.cpu_times()
                self._cpu_s[process.pid, process.create_time()] = role, used.user + used.system
                resident[role] += process.memory_info().rss
                count[role] += 1
        for role, seconds in self._cpu_s.values():
            cpu[role] += seconds
        return {names.PROCESSES: count, names.CPU_SECONDS: cpu, names.RESIDENT_BYTES: resident}

    def _ours(self) -> Iterator[tuple[str, psutil.Process]]:
        found = [(role, one) for one in self._own.children(recursive=True) if (role := _role(one))]
        serves_itself = not any(role == SERVER for role, _ in found)
        yield SERVER if serves_itself else LAUNCHER, self._own
        yield from found


def _role(process: psutil.Process) -> str:
    """What a process does, empty where it is none of ours."""
    try:
        line = " ".join(process.cmdline())
    except psutil.Error:
        return ""
    if _BATCH_SIGN in line:
        return BATCH
    return SERVER if _WORKER_SIGN in line else ""

"""Serves the metrics of all processes of one service, on an address of their own; by the process that started them.

Processes count in files of one folder in memory. The files of processes that have ended stay for what they counted,
but for their gauges, which go at the next look. A folder ends with its service; one left by a service that was killed
goes when the next one starts.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from platform import python_version
from typing import IO, Any

import psutil

from service import __version__
from service.web.seen import names
from service.web.seen.names import Metric
from service.web.seen.processes import Processes

FOLDER_VARIABLE = "PROMETHEUS_MULTIPROC_DIR"
PREFIX, LOCK = "deck-framing-metrics-", "lock"
# A file that is mapped must not run out of disk, and need not be written to one.
IN_MEMORY = Path("/dev/shm")  # noqa: S108 - a folder of its own is made there, for this user alone


@contextmanager
def counting_folder(parent: Path | None = None) -> Iterator[Path]:
    """Have a folder that all processes started within the block count in.

    Args:
        parent: where it is made: in memory where that can be had, else with temporary files
    """
    parent = parent or (IN_MEMORY if os.access(IN_MEMORY, os.W_OK) else Path(tempfile.gettempdir()))
    _remove_left(parent)
    folder, lock = _made(parent)
    os.environ[FOLDER_VARIABLE] = str(folder)  # noqa: TID251 - set for the client library and for workers
    try:
        yield folder
    finally:
        os.environ.pop(FOLDER_VARIABLE, None)  # noqa: TID251
        shutil.rmtree(folder, ignore_errors=True)
        if lock is not None:
            lock.close()


def _made(parent: Path) -> tuple[Path, IO[str] | None]:
    """A folder that is locked; another service may take one not locked yet for a left one, and remove it."""
    while True:
        folder = Path(tempfile.mkdtemp(prefix=PREFIX, dir=parent))
        with suppress(FileNotFoundError):
            return folder, _locked(folder)


def _locked(folder: Path) -> IO[str] | None:
    """The lock of a folder, held; None where a service that lives holds it."""
    file = (folder / LOCK).open("w")
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        file.close()
        return None
    return file


def _remove_left(parent: Path) -> None:
    for folder in parent.glob(f"{PREFIX}*"):
        with suppress(OSError):
            own = folder.stat().st_uid == os.getuid() and not folder.is_symlink()
            lock = _locked(folder) if own else None
            if lock is not None:
                shutil.rmtree(folder, ignore_errors=True)
                lock.close()


@contextmanager
def exposed(host: str, port: int, folder: Path) -> Iterator[None]:
    """Serve metrics as long as the block runs.

    Raises:
        OSError: the address cannot be listened on
    """
    from prometheus_client import CollectorRegistry, start_http_server

    registry = CollectorRegistry()
    registry.register(Collected(folder))
    server, thread = start_http_server(port, host, registry)
    try:
        yield
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


class Collected:
    """Collects what all processes have counted, and what is looked up when it is asked for."""

    def __init__(self, folder: Path) -> None:
        from prometheus_client.multiprocess import MultiProcessCollector

        self._folder = folder
        self._counted = MultiProcessCollector(None, str(folder))  # type: ignore[no-untyped-call]
        self._processes = Processes()

    def collect(self) -> Iterator[Any]:
        """Yield metric families."""
        self._forget_dead()
        for family in self._counted.collect():  # type: ignore[no-untyped-call]
            yield _age(family) if family.name == names.SNAPSHOT_SEEN_AT.name else family
        for metric, values in self._processes.look().items():
            yield _family(metric, {(role,): value for role, value in values.items()})
        yield _family(names.BUILD_INFO, {(__version__, python_version()): 1})

    def _forget_dead(self) -> None:
        """Drop the gauges of processes that live no more."""
        from prometheus_client.multiprocess import mark_process_dead

        for file in self._folder.glob("gauge_live*_*.db"):
            id = file.stem.rpartition("_")[2]
            if not psutil.pid_exists(int(id)):
                mark_process_dead(int(id), str(self._folder))  # type: ignore[no-untyped-call]


def _age(family: Any) -> Any:
    """The age of the snapshot, from the moment the store was last seen in the worker where that is longest ago."""
    now = time.monotonic()
    oldest = min(one.value for one in family.samples)
    return _family(names.SNAPSHOT_AGE, {(): max(0.0, now - oldest)})


def _family(metric: Metric, values: dict[tuple[str, ...], float]) -> Any:
    from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily

    made = CounterMetricFamily if metric.sort == "counter" else GaugeMetricFamily
    family = made(metric.name, metric.meaning, labels=metric.labels)
    for labels, value in values.items():
        family.add_metric(labels, value)
    return family

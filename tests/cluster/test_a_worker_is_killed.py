"""A real scheduler and two real worker processes, one of them killed while it works."""

from __future__ import annotations

import json
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from cluster.conftest import ENVIRONMENT, PARTITIONS, QUOTES, ROOT, command, files, rows, run
from distributed import Client

PATIENCE_S = 120


@dataclass
class Cluster:
    """The address of the scheduler, and its workers by name."""

    address: str
    workers: dict[str, subprocess.Popen[bytes]]


def _process(module: str, *arguments: str) -> subprocess.Popen[bytes]:
    line = [sys.executable, "-m", f"distributed.cli.{module}", *arguments]
    return subprocess.Popen(
        line, cwd=ROOT, env=ENVIRONMENT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


def _free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as server:
        return int(server.getsockname()[1])


@pytest.fixture
def cluster() -> Iterator[Cluster]:
    """A scheduler and two workers of one thread, without the nannies that would start a killed one again."""
    port = _free_port()
    address = f"tcp://127.0.0.1:{port}"
    scheduler = _process("dask_scheduler", "--host", "127.0.0.1", "--port", str(port), "--no-dashboard")
    fixed = ("--nthreads", "1", "--no-nanny", "--no-dashboard")
    workers = {name: _process("dask_worker", address, "--name", name, *fixed) for name in ("one", "two")}
    try:
        yield Cluster(address, workers)
    finally:
        for process in (*workers.values(), scheduler):
            process.kill()
            process.wait()


def _work_of(client: Client, name: str) -> tuple[list[str], list[str]]:
    """The partitions a worker has finished, and those it is at or has waiting."""
    info = client.scheduler_info(n_workers=-1)["workers"]
    address = next((at for at, one in info.items() if one["name"] == name), None)
    if address is None:
        return [], []
    has, at_work = client.has_what().get(address, ()), client.processing().get(address, ())
    return tuple([str(key) for key in keys if "reprice_partition" in str(key)] for keys in (has, at_work))


def _killed_mid_run(cluster: Cluster, target: Path) -> tuple[int, int, int]:
    """Kill a worker that has finished something and is at something else; return both counts and the files."""
    end = time.monotonic() + PATIENCE_S
    with Client(cluster.address, timeout=PATIENCE_S) as client:
        while time.monotonic() < end:
            finished, at_work = _work_of(client, "two")
            if finished and at_work:
                cluster.workers["two"].send_signal(signal.SIGKILL)
                cluster.workers["two"].wait()
                written = [
                    name for name in files(target) if not name.startswith((".", "_")) and "/." not in name
                ]
                return len(finished), len(at_work), len(written)
            time.sleep(0.02)
    raise AssertionError("the worker finished nothing, or everything, before it could be killed")


def test_one_worker_killed_mid_run_changes_nothing(
    cluster: Cluster, data_set: Path, alone: Path, tmp_path: Path
) -> None:
    target = tmp_path / "result"
    line = command(data_set, "--out", target, "--scheduler", cluster.address)
    with subprocess.Popen(line, cwd=ROOT, env=ENVIRONMENT, stderr=subprocess.PIPE, text=True) as going:
        finished, at_work, written = _killed_mid_run(cluster, target)
        _, told = going.communicate(timeout=PATIENCE_S)
    assert going.returncode == 0, told
    assert finished >= 1
    assert at_work >= 1
    assert 1 <= written < PARTITIONS
    assert cluster.workers["two"].returncode == -signal.SIGKILL
    assert cluster.workers["one"].poll() is None
    there = rows(target)
    assert len(there) == PARTITIONS * QUOTES == len({row["reference"] for row in there})
    assert there == rows(alone)
    assert files(target) == files(alone)
    counts = [json.loads((one / "_summary.json").read_text("utf-8"))["counts"] for one in (target, alone)]
    assert counts[0] == counts[1]
    again = run(data_set, "--out", target)
    assert again.returncode == 0, again.stderr
    assert json.loads((target / "_summary.json").read_text("utf-8"))["kept"] == PARTITIONS

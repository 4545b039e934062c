"""Metrics while workers are killed: what they counted stays, what they held goes, and no folder is left behind."""

from __future__ import annotations

import os
import signal
import subprocess
from pathlib import Path

import httpx
from prometheus_client.parser import text_string_to_metric_families

from service.web.seen.exposition import IN_MEMORY, PREFIX
from tests.faults.test_serve_is_stopped import ready
from tests.integration.test_cli_commands import argv, environment, folder
from tests.integration.test_serve_door import free_port
from tests.waiting import until

__all__ = ["folder"]
RISE = {"total_rise_in": 30, "rulebook": "irc-2021"}
REQUESTS = "deck_framing_http_requests_total"


def value(port: int, name: str, **labels: str) -> float:
    text = httpx.get(f"http://127.0.0.1:{port}/metrics", trust_env=False, timeout=30).text
    samples = (one for family in text_string_to_metric_families(text) for one in family.samples)
    return sum(one.value for one in samples if one.name == name and labels.items() <= one.labels.items())


def started(folder: Path, port: int, metrics_port: int) -> subprocess.Popen[bytes]:
    settings = {"WORKERS": "2", "DECK_FRAMING_METRICS_PORT": str(metrics_port)}
    command = argv(f"deck-framing serve --port {port} --data-dir ./data")
    return subprocess.Popen(
        command, cwd=folder, env={**environment(folder), **settings}, start_new_session=True
    )


def workers(server: int) -> list[int]:
    """The workers of a server."""
    children = Path(f"/proc/{server}/task/{server}/children").read_text().split()
    return [int(one) for one in children if b"spawn_main" in Path(f"/proc/{one}/cmdline").read_bytes()]


def folders() -> set[Path]:
    return set(IN_MEMORY.glob(f"{PREFIX}*"))


def test_killed_workers_leave_what_they_counted(folder: Path) -> None:
    port, metrics_port, before = free_port(), free_port(), folders()
    address = f"http://127.0.0.1:{port}"

    def ask(count: int) -> None:
        for _ in range(count):
            answer = httpx.post(f"{address}/v1/stair-layouts", json=RISE, trust_env=False, timeout=60)
            assert answer.status_code == 200

    with started(folder, port, metrics_port) as server:
        try:
            until(lambda: ready(address))
            until(lambda: value(metrics_port, "deck_framing_gate_limit", gate="uploads") == 16)
            ask(20)
            until(lambda: value(metrics_port, REQUESTS, operation="layoutStair") == 20)
            cpu_s = value(metrics_port, "deck_framing_process_cpu_seconds_total")
            killed = workers(server.pid)
            assert len(killed) == 2
            for one in killed:
                os.kill(one, signal.SIGKILL)
            until(lambda: not set(workers(server.pid)) & set(killed) and len(workers(server.pid)) == 2)
            until(lambda: ready(address))
            # counters of the dead stay, their gauges do not
            until(lambda: value(metrics_port, "deck_framing_gate_limit", gate="uploads") == 16)
            ask(5)
            until(lambda: value(metrics_port, REQUESTS, operation="layoutStair") == 25)
            assert value(metrics_port, "deck_framing_process_cpu_seconds_total") >= cpu_s
            (own,) = folders() - before
            assert not [one for one in own.glob("gauge_*") if int(one.stem.rpartition("_")[2]) in killed]
        finally:
            server.send_signal(signal.SIGTERM)
            server.wait(60)
    assert folders() == before


def test_a_service_killed_leaves_a_folder_until_the_next_one_starts(folder: Path) -> None:
    before = folders()
    server = started(folder, free_port(), metrics_port := free_port())
    until(lambda: folders() - before)
    os.killpg(server.pid, signal.SIGKILL)
    server.wait(60)
    (left,) = folders() - before
    with started(folder, free_port(), metrics_port) as other:
        try:
            until(lambda: not left.exists())
            assert folders() - before, "the folder of the one that runs"
        finally:
            other.send_signal(signal.SIGTERM)
            other.wait(60)
    assert folders() == before

"""`deck-framing serve` stopped in the middle of a batch: cut off after its patience, and nothing is left behind."""

from __future__ import annotations

import json
import signal
import socket
import subprocess
import time
from pathlib import Path

import httpx
import pytest

from tests.integration.test_cli_commands import argv, environment, folder
from tests.ndjson import DESIGNS, body, children, chunks, connected, head, spec, until

__all__ = ["folder"]
CONTENT = body(*(spec(number) for number in range(1000)))


@pytest.mark.parametrize("workers", ["1", "2"])
def test_serve_stopped_in_the_middle_of_a_batch(folder: Path, workers: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        address = f"http://127.0.0.1:{free.getsockname()[1]}"
    command = argv(f"deck-framing serve --port {address.rpartition(':')[2]} --data-dir ./data")
    with subprocess.Popen(
        command, cwd=folder, env={**environment(folder), "WORKERS": workers, "BATCH_WORKERS": "2"}
    ) as server:
        until(lambda: ready(address))
        with connected(address) as connection:
            connection.sendall(head(address, DESIGNS, len(CONTENT)) + CONTENT)
            coming = chunks(connection)
            got = [next(coming)]
            processes = [one for parent in family(server.pid) for one in children(parent)]
            assert processes
            server.send_signal(signal.SIGTERM)
            got += coming
        server.wait(60)
    assert json.loads(b"".join(got).splitlines()[-1])["kind"] == "result"
    until(lambda: not any(Path(f"/proc/{one}").exists() for one in processes))


def ready(address: str) -> bool:
    try:
        return httpx.get(f"{address}/health/ready", trust_env=False).status_code == 200
    except httpx.TransportError:
        time.sleep(0.1)
        return False


def family(parent: int) -> list[int]:
    """A process and those it has started, that these have started, and so on."""
    found = [parent]
    for process in found:
        for thread in Path(f"/proc/{process}/task").glob("*/children"):
            found += [int(one) for one in thread.read_text().split()]
    return found

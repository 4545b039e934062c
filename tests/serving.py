"""`deck-framing serve` as a process of its own, with a database of its own, and keys for it."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import httpx

COMMAND = [sys.executable, "-m", "service"]
ROOT = Path(__file__).parents[1]
PATIENCE_S = 300


class Served(NamedTuple):
    """A service that has begun to answer."""

    port: int
    process_id: int


@contextmanager
def served(folder: Path, **more: str) -> Iterator[Served]:
    """Run the service on a free port with its database in a new folder.

    Args:
        folder: of the database
        more: variables it is given
    """
    folder.parent.chmod(0o755)  # as root the database runs as another user, who has to enter it
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    command = [*COMMAND, "serve", "--port", str(port), "--data-dir", str(folder)]
    with subprocess.Popen(command, cwd=ROOT, env=environment(**more), stderr=subprocess.DEVNULL) as server:
        try:
            end = time.monotonic() + PATIENCE_S
            while server.poll() is None and not is_ready(port) and time.monotonic() < end:
                time.sleep(0.1)
            assert is_ready(port), "the service did not start"
            yield Served(port, server.pid)
        finally:
            server.send_signal(signal.SIGTERM)
            server.wait(60)


@contextmanager
def serving(folder: Path) -> Iterator[str]:
    """Run the service as `served` does; yield its address."""
    with served(folder) as found:
        yield f"http://127.0.0.1:{found.port}"


def environment(**more: str) -> dict[str, str]:
    """Return the variables of a process that is started: this one's, and those given."""
    return {**os.environ, "PYTHONPATH": str(ROOT), **more}  # noqa: TID251


def is_ready(port: int) -> bool:
    """Whether a service answers: of several workers the socket is there before any of them."""
    try:
        return httpx.get(f"http://127.0.0.1:{port}/health/ready", trust_env=False).status_code == 200
    except httpx.HTTPError:
        return False


def key_of(folder: Path, *scopes: str, rules_of: tuple[str, ...] = ()) -> str:
    """Return a new key of the organisation tollgate."""
    given = [part for scope in scopes for part in ("--scope", scope)]
    given += [part for one in rules_of for part in ("--rules-of", one)]
    command = [*COMMAND, "keys", "create", "--organisation", "tollgate", "--data-dir", str(folder), *given]
    done = subprocess.run(command, cwd=ROOT, env=environment(), check=True, capture_output=True, text=True)
    return done.stdout.strip()

"""Packages of the client tests put in place as they are locked, and a service of their own."""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.serving import key_of, serving

HERE = Path(__file__).parent
# Sources of programs that are run beside the clients made for them: they are no tests.
collect_ignore = ["python", "node_modules", "build"]
Run = Callable[..., str]


def run(*command: str | Path) -> str:
    """Run a program here; return what it says, or fail with it."""
    done = subprocess.run([str(one) for one in command], cwd=HERE, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout + done.stderr


@pytest.fixture(scope="session")
def npx() -> Run:
    """Run a program of the locked npm packages."""
    run("npm", "ci")
    return lambda *command: run("npx", "--no-install", *command)


@pytest.fixture(scope="session")
def service() -> Iterator[tuple[str, str]]:
    """Address of a running service with a database of its own, and a key for designs and prices."""
    with tempfile.TemporaryDirectory(prefix="deck-framing-test-") as name:
        data = Path(name) / "data"
        with serving(data) as address:
            yield address, key_of(data, "designs", "prices:read", "prices:write")

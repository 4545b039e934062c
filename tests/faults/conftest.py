"""A folder with a loaded database, made once and copied for each test, which may do with it what it likes."""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from service.cli.database import prepare
from service.settings import read_settings
from service.store.embedded import embedded_postgres
from tests.faults.yards import FaultYard, new_yards

YARDS = 4


@dataclass(frozen=True)
class Prepared:
    """A folder no service runs on, with the keys of those who have price books in it."""

    folder: Path
    yards: list[FaultYard]


@pytest.fixture(scope="session")
def prepared() -> Iterator[Prepared]:
    """The folder that is copied."""
    with tempfile.TemporaryDirectory(prefix="deck-faults-") as name:
        Path(name).chmod(0o711)
        folder = Path(name) / "data"
        with embedded_postgres(folder, programs=read_settings().pg_bin) as server:
            prepare(server.owner_url, server.service_url, lambda _: None)
            yards = new_yards(server.owner_url, server.service_url, YARDS)
        yield Prepared(folder, yards)


@contextmanager
def copied(prepared: Prepared) -> Iterator[Path]:
    """A copy, in a folder PostgreSQL's user can enter."""
    with tempfile.TemporaryDirectory(prefix="deck-fault-") as name:
        Path(name).chmod(0o711)
        # with its owner: the server's user is not the one who runs the tests, where that is root
        subprocess.run(["cp", "-a", str(prepared.folder), f"{name}/data"], check=True)
        yield Path(name) / "data"


@pytest.fixture
def data(prepared: Prepared) -> Iterator[Path]:
    """The folder of a test."""
    with copied(prepared) as folder:
        yield folder


@pytest.fixture(scope="module")
def module_data(prepared: Prepared) -> Iterator[Path]:
    """The folder of a test file."""
    with copied(prepared) as folder:
        yield folder


@pytest.fixture
def yards(prepared: Prepared) -> list[FaultYard]:
    """Who may publish prices in it."""
    return prepared.yards

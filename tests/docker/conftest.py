"""The image and what runs of it, made once: needs root, bubblewrap, iproute2, nginx, openssl and a package index."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.docker.image import Image, made
from tests.docker.stack import Stack, brought_up, start_proxy, start_replicas, until


@pytest.fixture(scope="session")
def image(tmp_path_factory: pytest.TempPathFactory) -> Image:
    return made(tmp_path_factory.mktemp("image"))


@pytest.fixture(scope="session")
def prepared(image: Image, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stack]:
    """The database with its roles, and the job done."""
    with brought_up(image, tmp_path_factory.mktemp("stack")) as stack:
        yield stack


@pytest.fixture(scope="session")
def keyless(prepared: Stack) -> str:
    """What a replica says that finds no key in force, before it ends."""
    prepared.start("replica-1")
    until(lambda: prepared.running["replica-1"].poll() is not None)
    assert prepared.running.pop("replica-1").returncode == 1
    return prepared.log("replica-1").read_text("utf-8")


@pytest.fixture(scope="session")
def key(prepared: Stack, keyless: str) -> str:
    assert keyless
    return prepared.run(
        "prepare", "keys", "create", "--organisation", "tollgate", "--scope", "designs"
    ).strip()


@pytest.fixture(scope="session")
def page_key(prepared: Stack, key: str) -> str:
    """A publishable key, which is counted by address."""
    assert key
    made = (
        "keys",
        "create",
        "--organisation",
        "tollgate",
        "--publishable",
        "--origin",
        "https://yard.example",
    )
    return prepared.run("prepare", *made, "--price-book", "brindlemoor-yard").strip()


@pytest.fixture(scope="session")
def stack(prepared: Stack, key: str, page_key: str) -> Stack:
    """Everything, as the compose file has it."""
    assert key != page_key
    start_replicas(prepared)
    start_proxy(prepared)
    return prepared


@pytest.fixture
def secrets(prepared: Stack) -> Path:
    return prepared.folder / "docker" / "secrets"

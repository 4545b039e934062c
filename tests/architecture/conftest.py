"""The project's own files, read once, for the tests that hold its shape."""

from __future__ import annotations

import ast
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import pytest

from service.app import bundled_snapshot, make_desk
from service.web.desk import Desk

ROOT = Path(__file__).parents[2]
LEFT_OUT = {"__pycache__", "build", "dist", "node_modules"}


@dataclass(frozen=True)
class Source:
    """One Python file: its place from the top, its text and its tree."""

    place: str
    text: str

    @cached_property
    def tree(self) -> ast.Module:
        return ast.parse(self.text)

    @property
    def package(self) -> str:
        """The package of `service` it belongs to, or the empty word."""
        parts = self.place.split("/")
        return parts[1].removesuffix(".py") if parts[0] == "service" and len(parts) > 1 else ""


def _inside(file: Path) -> bool:
    parts = file.relative_to(ROOT).parts
    return not any(
        part in LEFT_OUT or part.startswith(".") or part.endswith(".egg-info") for part in parts[:-1]
    )


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def files() -> list[Path]:
    """Every file of the agreed folders and the top, hidden and built ones left out."""
    folders = ("service", "tests", "migrations", "openapi", "docker", ".ci")
    found = [file for folder in folders for file in (ROOT / folder).rglob("*") if file.is_file()]
    tops = [file for file in ROOT.iterdir() if file.is_file()]
    return sorted(file for file in [*found, *tops] if folder_of(file) == ".ci" or _inside(file))


def folder_of(file: Path) -> str:
    return file.relative_to(ROOT).parts[0]


@pytest.fixture(scope="session")
def sources(files: list[Path]) -> list[Source]:
    return [
        Source(file.relative_to(ROOT).as_posix(), file.read_text(encoding="utf-8"))
        for file in files
        if file.suffix == ".py"
    ]


@pytest.fixture(scope="session")
def desk() -> Desk:
    return make_desk(bundled_snapshot())

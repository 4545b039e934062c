"""The top of the project holds what was agreed, and nothing else."""

from __future__ import annotations

from fnmatch import fnmatch
from pathlib import Path

import pytest

AGREED = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", "service", "migrations", "tests", "openapi", "docker",
}  # fmt: skip


def _strangers(names: list[str], ignored: list[str]) -> list[str]:
    return [
        name
        for name in names
        if name not in AGREED
        and not name.startswith(".")
        and not any(fnmatch(name, pattern) for pattern in ignored)
    ]


@pytest.fixture(scope="module")
def ignored(root: Path) -> list[str]:
    lines = (root / ".gitignore").read_text(encoding="utf-8").splitlines()
    return [line.rstrip("/") for line in lines if line and not line.startswith("#")]


def test_top_level_holds_only_the_agreed_entries(root: Path, ignored: list[str]) -> None:
    names = sorted(entry.name for entry in root.iterdir())
    assert not _strangers(names, ignored)
    assert {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"} <= set(names)


def test_a_stranger_at_the_top_is_found() -> None:
    assert _strangers(["README.md", "scripts", ".git", "x.egg-info"], ["*.egg-info"]) == ["scripts"]

"""The files of `docker/` as values: the steps of the Dockerfile by stage, what its context holds, the compose file."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).parents[2]
DOCKER = ROOT / "docker"


@dataclass(frozen=True)
class Step:
    """One instruction: its word, its options like `--from=build`, and the rest of it."""

    word: str
    options: dict[str, str]
    rest: str

    @property
    def words(self) -> list[str]:
        """The rest as a list: JSON where it is written so."""
        found: list[str] = json.loads(self.rest) if self.rest.startswith("[") else self.rest.split()
        return found


@dataclass(frozen=True)
class Stage:
    """The steps after one FROM."""

    name: str
    base: str
    steps: list[Step] = field(default_factory=list)

    def of(self, word: str) -> list[Step]:
        return [step for step in self.steps if step.word == word]

    @property
    def environment(self) -> dict[str, str]:
        pairs = [pair.partition("=") for step in self.of("ENV") for pair in step.words]
        return {name: value for name, _, value in pairs}


def stages(text: str) -> list[Stage]:
    """The stages of a Dockerfile, with ARGs of its head filled into their bases."""
    arguments: dict[str, str] = {}
    found: list[Stage] = []
    for step in _steps(text):
        if step.word == "ARG" and not found:
            name, _, value = step.rest.partition("=")
            arguments[name] = value
        elif step.word == "FROM":
            base, _, name = step.rest.partition(" AS ")
            found.append(Stage(name, re.sub(r"\$\{(\w+)\}", lambda one: arguments[one[1]], base)))
        else:
            found[-1].steps.append(step)
    return found


def _steps(text: str) -> Iterator[Step]:
    kept = "\n".join(line for line in text.splitlines() if line.strip() and not line.startswith("#"))
    for line in kept.replace("\\\n", " ").splitlines():
        word, _, rest = line.partition(" ")
        options: dict[str, str] = {}
        while found := re.match(r"--([a-z-]+)=(\S+)\s+", rest):
            options[found[1]] = found[2]
            rest = rest[found.end() :]
        yield Step(word, options, " ".join(rest.split()))


def context(to: Path) -> Path:
    """Copy what a build is sent: a list of what is let in, in `.dockerignore`, less what is left out of that."""
    lines = (ROOT / ".dockerignore").read_text("utf-8").split()
    assert lines[0] == "*"
    left_out = [line.removeprefix("**/") for line in lines if line.startswith("**/")]
    for line in lines:
        if line.startswith("!"):
            _copy(ROOT / line[1:], to / line[1:], left_out)
    return to


def _copy(source: Path, to: Path, left_out: list[str]) -> None:
    to.parent.mkdir(parents=True, exist_ok=True)
    if source.is_dir():
        shutil.copytree(source, to, ignore=lambda _, names: [n for n in names if _matches(n, left_out)])
    else:
        shutil.copy2(source, to)


def _matches(name: str, patterns: list[str]) -> bool:
    return any(fnmatch(name, pattern) for pattern in patterns)


def compose() -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load((DOCKER / "compose.yaml").read_text("utf-8"))
    return found


def dockerfile() -> list[Stage]:
    return stages((DOCKER / "Dockerfile").read_text("utf-8"))

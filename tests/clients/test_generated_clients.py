"""Clients made from the document by tools that are not ours: they compile, and do the main job on a real service."""

from __future__ import annotations

import compileall
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.clients.conftest import HERE, Run, run
from tests.serving import environment

DOCUMENT = HERE.parents[1] / "openapi" / "openapi.json"
BIN = Path(sys.executable).parent


def test_a_typescript_client_does_the_main_job(npx: Run, service: tuple[str, str]) -> None:
    built = HERE / "build"
    shutil.rmtree(built, ignore_errors=True)
    shutil.copytree(HERE / "typescript", built)
    # a field with a default may be left out of what is sent
    npx("openapi-typescript", DOCUMENT, "--default-non-nullable", "false", "--output", built / "api.d.ts")
    npx("tsc", "--project", "tsconfig.json")
    assert run("node", built / "main_job.js", *service) == "done\n"


@pytest.fixture(scope="module")
def python_client(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("python")
    shutil.copy(HERE / "python" / "main_job.py", folder)
    generator = (BIN / "openapi-python-client", "generate", "--path", DOCUMENT, "--meta", "none")
    # it puts its files in form with a program it looks for by name
    variables = environment(PATH=f"{BIN}:{environment()['PATH']}")
    command = [
        *generator,
        "--config",
        HERE / "python" / "generator.yaml",
        "--output-path",
        folder / "deck_client",
    ]
    done = subprocess.run(command, env=variables, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return folder


def test_a_python_client_compiles(python_client: Path) -> None:
    assert len(list((python_client / "deck_client" / "models").glob("*.py"))) > 300
    assert compileall.compile_dir(python_client, quiet=1, force=True)


def test_types_of_the_python_client_hold(python_client: Path) -> None:
    """Those of the calls and answers used; the generator's own code for asyncio does not pass."""
    command = [
        BIN / "mypy",
        "--strict",
        "--follow-imports",
        "silent",
        "--cache-dir",
        os.devnull,
        "main_job.py",
    ]
    done = subprocess.run(command, cwd=python_client, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_python_client_does_the_main_job(python_client: Path, service: tuple[str, str]) -> None:
    command = [sys.executable, "main_job.py", *service]
    done = subprocess.run(command, cwd=python_client, capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (0, "done\n"), done.stderr

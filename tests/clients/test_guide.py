"""Every example of the integrator's guide is run as it is printed, against a service."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from service.contract.vocabulary import PROBLEM_KINDS
from service.settings import VARIABLES
from tests.clients.conftest import HERE, Run, run
from tests.serving import environment

PAGE = HERE.parents[1] / "openapi" / "guide.md"
TEXT = PAGE.read_text("utf-8")
BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```$", TEXT, re.DOTALL | re.MULTILINE)
PYTHON = [body for language, body in BLOCKS if language == "python"]


def test_curl(service: tuple[str, str]) -> None:
    (command,) = (body for language, body in BLOCKS if language == "sh")
    here = command.replace("http://127.0.0.1:8000", service[0])
    done = subprocess.run(["bash", "-c", f"{here.strip()} --noproxy '*'"], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    assert json.loads(done.stdout)["verdict"]["status"] == "prescriptive"


@pytest.mark.parametrize("with_key", [True, False])
@pytest.mark.parametrize(("number", "lines"), [(0, 3), (1, 20)])
def test_python(service: tuple[str, str], number: int, lines: int, with_key: bool) -> None:
    given = {"SERVICE": service[0], "NO_PROXY": "*", **({"KEY": service[1]} if with_key else {})}
    command = [sys.executable, "-c", PYTHON[number]]
    done = subprocess.run(command, env=environment(**given), capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) >= lines, done.stdout


def test_typescript(npx: Run, service: tuple[str, str]) -> None:
    (code,) = (body for language, body in BLOCKS if language == "ts")
    built = HERE / "build"
    shutil.rmtree(built, ignore_errors=True)
    built.mkdir()
    (built / "guide.ts").write_text(code, "utf-8")
    document = HERE.parents[1] / "openapi" / "openapi.json"
    npx("openapi-typescript", document, "--default-non-nullable", "false", "--output", built / "api.d.ts")
    npx("tsc", "--project", "tsconfig.json")
    assert run("node", built / "guide.js", service[0]).startswith("prescriptive ")


def test_the_page_names_every_status_a_problem_has() -> None:
    rows = re.findall(r"^\| ([\d, ]+) \|", TEXT, re.MULTILINE)
    told = {int(status) for row in rows for status in row.split(",")}
    assert told == {kind.status for kind in PROBLEM_KINDS.values()}


def test_the_limits_told_are_those_in_force() -> None:
    default = {one.name: one.default for one in VARIABLES}
    assert f"{int(default['DECK_FRAMING_MAX_BODY_BYTES']):,} bytes" in TEXT
    assert f"{int(default['DECK_FRAMING_MAX_BATCH_BYTES']) >> 20} MiB" in TEXT


def test_links_lead_somewhere() -> None:
    links = re.findall(r"\]\(([^)#:]+)\)", TEXT)
    assert links
    assert not [link for link in links if not (PAGE.parent / Path(link)).exists()]

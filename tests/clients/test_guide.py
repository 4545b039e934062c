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
from service.web import gate
from service.web.gate import Gate
from service.web.outgoing import READER_PATIENCE_S
from service.web.price_books import UPLOAD_BYTES
from service.web.rates import Rates
from service.web.streams import answer, spool
from service.web.streams.lines import MOST_LINE_BYTES
from service.web.streams.spool import LEAST_BYTES_PER_S
from service.web.visit import BUSY_FACTOR, WORK_SECONDS
from tests.clients.conftest import HERE, Run, run
from tests.clients.troubled import RETRY_AFTER_S, cut_after, passed_on, refused, troubled
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


def test_a_nightly_run_goes_on_after_a_refusal_and_after_cuts(service: tuple[str, str]) -> None:
    """The service is busy, then the line is cut between two lines of the answer, then within one."""
    whole = subprocess.run(
        [sys.executable, "-c", PYTHON[1]],
        env=environment(SERVICE=service[0], NO_PROXY="*"),
        capture_output=True,
        text=True,
    )
    with troubled(service[0], [refused, cut_after(b"\n", 4), cut_after(b'"kind', 3), passed_on]) as (
        address,
        asked,
    ):
        given = environment(SERVICE=address, NO_PROXY="*")
        done = subprocess.run([sys.executable, "-c", PYTHON[1]], env=given, capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (0, whole.stdout), done.stderr
    assert [first for first, _ in asked] == ["1", "1", "5", "7"]
    assert asked[1][1] - asked[0][1] >= RETRY_AFTER_S


def test_a_nightly_run_ends_at_a_refusal_that_stays(service: tuple[str, str]) -> None:
    given = environment(SERVICE=service[0], NO_PROXY="*", KEY="nonsense")
    done = subprocess.run([sys.executable, "-c", PYTHON[1]], env=given, capture_output=True, text=True)
    assert done.returncode == 1
    assert "401" in done.stderr


def test_the_detail_of_a_refusal_is_shown(service: tuple[str, str]) -> None:
    """Where no field is to blame it is all there is."""
    wrong = PYTHON[0].replace('"width_ft": 16', '"width_ft": 1600')
    done = subprocess.run(
        [sys.executable, "-c", wrong.partition("drawing =")[0]],
        env=environment(SERVICE=service[0], NO_PROXY="*"),
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("invalid_spec 1 fault")
    assert "/levels/0/width_ft" in done.stdout


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
    assert f"{int(default['DECK_FRAMING_MAX_BATCH_BYTES']) >> 20} MiB*" in TEXT
    told = dict(re.findall(r"^\| ([a-z ]+) \| ([^|]+) \|", TEXT.partition("## Limits")[2], re.MULTILINE))
    assert told["work of one request"].startswith(f"{default['DECK_FRAMING_WORK_SECONDS']} s*")
    assert told["work of one line of a batch"].startswith(f"{WORK_SECONDS:g} s ")
    assert told["waiting for a turn"] == f"{gate.PATIENCE_S:g} s"
    assert told["body of a price book version"] == f"{UPLOAD_BYTES:,} bytes"
    assert told["line of a batch"] == f"{MOST_LINE_BYTES:,} bytes"
    pace = f"{LEAST_BYTES_PER_S * spool.PATIENCE_S:,.0f} bytes in each {spool.PATIENCE_S:g} s"
    assert told["pace of any body"].startswith(pace)
    turns = f"{Gate().most} in each process, {Gate().most_strangers} of them without"
    assert told["requests worked on or waiting"].startswith(turns)
    assert told["batches at a time"].startswith(f"{default['DECK_FRAMING_BATCH_CALLS']}* in each")
    of_a_page = int(default["DECK_FRAMING_PUBLISHABLE_PER_MINUTE"])
    assert told["requests with a publishable key"].startswith(f"{of_a_page} a minute*")
    assert Rates(of_a_page).headers("key", "192.0.2.1")["RateLimit-Policy"] in TEXT
    kept = f"{READER_PATIENCE_S:g} s; of a batch {answer.READER_PATIENCE_S:g} s"
    assert told["a reader that takes nothing"] == kept
    assert f"{gate.PATIENCE_S + BUSY_FACTOR * WORK_SECONDS + 10:g} s for one design" in TEXT


def test_links_lead_somewhere() -> None:
    links = re.findall(r"\]\(([^)#:]+)\)", TEXT)
    assert links
    assert not [link for link in links if not (PAGE.parent / Path(link)).exists()]

"""The command line as a person uses it: every example of every help text is run."""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import click
import httpx
import pytest
from click.testing import CliRunner

from service.cli import main
from service.cli.printing import PAGE_COLUMNS

ROOT = Path(__file__).parents[2]
WIDTH = 80  # of helps
PATIENCE_S = 240


def commands(group: click.Group = main, path: tuple[str, ...] = ()) -> Iterator[tuple[str, click.Command]]:
    for name, command in group.commands.items():
        yield " ".join((*path, name)), command
        if isinstance(command, click.Group):
            yield from commands(command, (*path, name))


def examples(command: click.Command) -> list[str]:
    return re.findall(r"^ +(deck-framing .+)$", command.help or "", flags=re.MULTILINE)


COMMANDS = dict(commands())


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder like a fresh clone as far as the examples read it; as root, PostgreSQL's user has to enter it."""
    with tempfile.TemporaryDirectory(prefix="deck-framing-test-") as name:
        Path(name).chmod(0o755)
        shutil.copytree(ROOT / "openapi", Path(name) / "openapi")
        yield Path(name)


def environment(folder: Path) -> dict[str, str]:
    """Nothing set but the path to the code and a home of its own."""
    names = ("PATH", "TMPDIR", "PG_BIN")
    kept = {name: value for name in names if (value := os.getenv(name))}  # noqa: TID251 - for a child process
    return {**kept, "PYTHONPATH": str(ROOT), "HOME": str(folder), "COLUMNS": str(WIDTH)}


def argv(line: str) -> list[str]:
    return [sys.executable, "-m", "service", *shlex.split(line)[1:]]


def run(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        argv(line), cwd=folder, env=environment(folder), capture_output=True, text=True, timeout=PATIENCE_S
    )


@pytest.mark.parametrize("name", COMMANDS)
def test_cli_help_has_an_example(name: str) -> None:
    assert examples(COMMANDS[name])


# These need a draft: test_rules_commands.py runs them.
OF_A_DRAFT = tuple(
    f"rules {name}" for name in ("change", "import", "validate", "publish", "withdraw", "discard")
)
# reprice needs the extra `cluster`: tests/cluster runs its example; refresh needs npm, and what it fetches is checked;
# backup and restore need a database, and have tests of their own
NOT_RUN = (
    "try",
    "serve",
    "reprice",
    "keys revoke",
    "keys rotate",
    "assets refresh",
    "backup",
    "restore",
    *OF_A_DRAFT,
)


# a group shows an example of one of its commands: each line is run once
LINES = dict.fromkeys(line for name in COMMANDS if name not in NOT_RUN for line in examples(COMMANDS[name]))


@pytest.mark.parametrize("line", LINES)
def test_cli_example_runs(line: str, folder: Path) -> None:
    if line.startswith("deck-framing openapi write"):
        _leave_two_examples(folder)
    if line.startswith("deck-framing impact"):
        _write_decks(folder)
    done = run(line, folder)
    assert done.returncode == 0, done.stderr


def _leave_two_examples(folder: Path) -> None:
    """What is written of every other deck is compared with what is there by the example of `openapi check`."""
    for file in (folder / "openapi" / "examples").glob("*.json"):
        if file.stem not in ("ledger-composite", "low-ground"):
            file.unlink()


def _write_decks(folder: Path) -> None:
    examples = folder / "openapi" / "examples"
    decks = [json.loads((examples / f"{name}.json").read_text("utf-8")) for name in ("hot-tub", "low-ground")]
    (folder / "decks.ndjson").write_text("".join(f"{json.dumps(deck)}\n" for deck in decks), "utf-8")


def test_cli_reprice_says_what_it_lacks(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules["service.cli.reprice"], "NEEDED", ("no_library_of_this_name",))
    done = CliRunner().invoke(main, ["reprice", str(folder), "--price-book", "brindlemoor-yard"])
    assert done.exit_code == 1
    assert "no_library_of_this_name not installed: pip install 'deck-framing[cluster]'" in done.output


def test_cli_try_shows_a_whole_deck(folder: Path) -> None:
    done = run(f"{examples(COMMANDS['try'])[0]} --out answer.json", folder)
    assert done.returncode == 0, done.stderr
    for heading in ("ATTACHMENT", "FRAME", "FOOTINGS", "CHECKS", "ORDER", "FOOTING METHODS", "MIND"):
        assert re.search(f"^{heading}", done.stdout, flags=re.MULTILINE), heading
    assert max(len(line) for line in done.stdout.splitlines() if "answer.json" not in line) <= PAGE_COLUMNS
    assert "deck-framing serve" in done.stdout
    report = json.loads((folder / "answer.json").read_text("utf-8"))
    assert report["reference"] == "EXAMPLE-LEDGER"
    assert report["takeoff"]["total"]["amount"] in done.stdout


def test_cli_serve_answers_and_stops_on_request(folder: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    line = examples(COMMANDS["serve"])[0].replace("8000", str(port))
    with subprocess.Popen(
        argv(line), cwd=folder, env=environment(folder), stderr=subprocess.PIPE, text=True
    ) as server:
        try:
            ready = _await(f"http://127.0.0.1:{port}/health/ready", server)
            assert ready["rulebooks"] == 5
            server.send_signal(signal.SIGTERM)
            assert server.wait(PATIENCE_S) == 0
        finally:
            server.kill()
    assert not list((folder / "deck-data").rglob("postmaster.pid"))


def test_cli_serve_on_a_busy_port_starts_no_database(folder: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        done = run(f"deck-framing serve --port {port} --data-dir ./deck-data", folder)
    assert done.returncode == 1
    assert f"port {port} on 127.0.0.1 is in use" in done.stderr
    assert "--port" in done.stderr
    assert not (folder / "deck-data").exists()


def test_cli_summary_reads_as_words(folder: Path) -> None:
    """Items by the price book's descriptions, no word broken at the edge, every caution ended."""
    done = run("deck-framing design openapi/examples/ledger-composite.json --summary", folder)
    assert done.returncode == 0, done.stderr
    assert "hot_dip" not in done.stdout
    assert "14 x lag screw 1/2 in" in done.stdout
    assert "Joist hanger 2x8 concealed flange hot-dip" in done.stdout
    assert "cost with footing work" in done.stdout
    mind = " ".join(done.stdout.partition("\nMIND\n")[2].split())
    assert all(item.strip().endswith(".") for item in mind.split("- ") if item.strip())


def test_cli_compare_prints_the_comparison_or_its_json(folder: Path) -> None:
    deck = "openapi/examples/footings-narrow-way-in.json"
    page, answer = (run(f"deck-framing compare {deck}{flag}", folder) for flag in (" --all", " --json"))
    assert (page.returncode, answer.returncode) == (0, 0), page.stderr
    found = json.loads(answer.stdout)["footing_comparison"]
    text = " ".join(page.stdout.split())
    assert f"Recommended: {found['recommended'].replace('_', ' ')}" in text
    assert "the way in is 30 in wide, the machine needs 48 in" in text.lower()
    lines = page.stdout.splitlines()
    # a long name goes on in the line below
    begun = [" ".join(one["method"].split("_")[:2]) for one in found["methods"]]
    assert all(any(line.startswith(name) for line in lines) for name in begun)
    assert max(map(len, page.stdout.splitlines())) <= PAGE_COLUMNS


def test_cli_compare_starts_with_the_verdict_of_the_deck(folder: Path) -> None:
    page = run("deck-framing compare openapi/examples/hot-tub.json", folder)
    assert page.returncode == 0, page.stderr
    verdict, _, rest = page.stdout.partition("FOOTING METHODS")
    assert "ENGINEER REQUIRED" in verdict
    assert "Hot tub of 4600 lb" in verdict
    assert "The deck itself needs an engineer:" in " ".join(rest.split())
    assert "BREAK-EVEN" not in rest
    everything = run("deck-framing design openapi/examples/hot-tub.json --summary --all", folder).stdout
    assert "HOW SURE THAT IS" in everything


def test_cli_summary_says_how_every_board_is_cut(folder: Path) -> None:
    """Board by board, a crew has every piece of the order: lengths as marked, what is left, what is kept."""
    deck = "openapi/examples/ledger-composite.json"
    printed = run(f"deck-framing design {deck} --summary", folder).stdout
    takeoff = json.loads(run(f"deck-framing design {deck}", folder).stdout)["takeoff"]
    shown = printed[printed.index("CUTTING") : printed.index("FOOTING METHODS")]
    assert "16 ft, 1 board: 3 x 48 in; 47 5/8 in left, keep it" in shown
    assert "12 ft, 13 boards: 141 in; 2 7/8 in of each left" in shown
    assert "144 (ends at 0 and 45 degrees) in" in shown
    boards = [int(count) for count in re.findall(r" ft, (\d+) boards?: ", shown)]
    assert sum(boards) == sum(line["count"] for line in takeoff["cutting_plan"])
    assert takeoff["cutting_bound"]["bound"]["amount"] in shown


def test_cli_summary_without_a_price_book_spells_items_out(folder: Path) -> None:
    spec = json.loads((folder / "openapi" / "examples" / "ledger-composite.json").read_text("utf-8"))
    del spec["price_book"]
    (folder / "deck.json").write_text(json.dumps(spec), "utf-8")
    done = run("deck-framing design deck.json --summary", folder)
    assert done.returncode == 0, done.stderr
    assert "lag screw, 1/2 in, 4 in, hot dip galvanized" in " ".join(done.stdout.split())


def _await(url: str, server: subprocess.Popen[str]) -> dict[str, int]:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end and server.poll() is None:
        try:
            return httpx.get(url, trust_env=False).json()
        except httpx.ConnectError:
            time.sleep(0.1)
    pytest.fail(f"the server did not answer: {server.stderr.read() if server.stderr else ''}")


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("deck-framing design nothing.json", "does not exist"),
        ("deck-framing design bad.json", "/levels/0/width_ft: 400 is not within 2 to 100 (out_of_range)"),
        ("deck-framing openapi check --folder nowhere", "is missing"),
        ("deck-framing openapi diff old.json", "POST /v1/barns is gone"),
    ],
)
def test_cli_failures_are_told_plainly(line: str, told: str, folder: Path) -> None:
    spec = {
        "jurisdiction": "alder-county",
        "levels": [{"width_ft": 400, "projection_ft": 12, "surface_height_in": 9}],
    }
    (folder / "bad.json").write_text(json.dumps(spec), "utf-8")
    (folder / "old.json").write_text(json.dumps({"paths": {"/v1/barns": {"post": {}}}}), "utf-8")
    done = run(line, folder)
    assert done.returncode in (1, 2)
    assert told in done.stdout + done.stderr
    assert "Traceback" not in done.stderr


def test_cli_wrong_setting_is_named(folder: Path) -> None:
    done = subprocess.run(
        argv("deck-framing settings"),
        cwd=folder, env={**environment(folder), "WORKERS": "many"}, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 1
    assert "WORKERS must be a whole number from 1 to 64" in done.stderr


def test_cli_design_reads_standard_input(folder: Path) -> None:
    deck = (ROOT / "openapi" / "examples" / "low-ground.json").read_text("utf-8")
    done = subprocess.run(
        argv("deck-framing design -"),
        cwd=folder,
        env=environment(folder),
        input=deck,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["reference"] == "EXAMPLE-LOW"


def test_cli_draw_refuses_all_sheets_in_one_svg(folder: Path) -> None:
    deck = "openapi/examples/low-ground.json"
    refused = run(f"deck-framing draw {deck} --sheet all --out all.svg", folder)
    assert (refused.returncode, "go into a .pdf" in refused.stderr) == (2, True)
    assert not (folder / "all.svg").exists()
    drawn = run(f"deck-framing draw {deck} --sheet all --out all.pdf", folder)
    assert drawn.returncode == 0, drawn.stderr
    assert (folder / "all.pdf").read_bytes().startswith(b"%PDF-")

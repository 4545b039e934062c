"""The commands that write rules, over a real database, from a folder of files to a version and back."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.cli import main
from service.settings import read_settings
from service.store.embedded import FAST, EmbeddedServer, embedded_postgres
from tests.integration.price_service import day
from tests.integration.rule_service import span

Run = Callable[..., str]
ROOT = Path(__file__).parents[2] / "service" / "rulebooks"
SHEET = (
    "Load PSF;Species group;Joist;Spacing (in);Max span (in);Note\r\n"
    "40;southern_pine;2x6;12;118;new\r\n40;southern_pine;2x6;16;107;\r\n\r\n"
)


def at(server: EmbeddedServer) -> Callable[..., Result]:
    """Run commands over a server's database."""
    names = {"DATABASE_URL": server.service_url, "DATABASE_URL_OWNER": server.owner_url}

    def run(*arguments: str) -> Result:
        return CliRunner(env=names).invoke(main, ["rules", *arguments])

    return run


@pytest.fixture(scope="module")
def command(spare_server: EmbeddedServer) -> Callable[..., Result]:
    run = at(spare_server)
    assert run("load").exit_code == 0
    return run


@pytest.fixture
def run(command: Callable[..., Result]) -> Run:
    def ask(*arguments: str) -> str:
        done = command(*arguments)
        assert done.exit_code == 0, done.output
        return done.stdout

    return ask


@pytest.fixture(scope="module")
def other_server() -> Iterator[EmbeddedServer]:
    with embedded_postgres(programs=read_settings().pg_bin, settings=FAST) as server:
        yield server


def files(folder: Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in sorted(folder.iterdir())}


@pytest.mark.parametrize("name", ["irc-2015", "irc-2018", "irc-2021", "irc-2024", "dca-6"])
def test_what_came_with_the_service_is_exported_byte_for_byte(run: Run, tmp_path: Path, name: str) -> None:
    run("export", f"{name}@1", "--out", str(tmp_path / name))
    assert files(tmp_path / name) == files(ROOT / name)


def test_a_version_goes_through_files_into_another_database_and_back(
    run: Run, other_server: EmbeddedServer, tmp_path: Path
) -> None:
    assert run("draft", "brook-code", "--from", "irc-2024@1") == "brook-code@1\n"
    run("publish", "brook-code@1", "--in-force", day(0))
    run("export", "brook-code@1", "--out", str(tmp_path / "first"))
    elsewhere = at(other_server)
    assert elsewhere("load").exit_code == 0
    assert elsewhere("import", str(tmp_path / "first")).stdout == "brook-code@1\n"
    assert elsewhere("publish", "brook-code@1", "--in-force", day(3)).exit_code == 0
    assert elsewhere("export", "brook-code", "--out", str(tmp_path / "second")).exit_code == 0
    assert files(tmp_path / "second") == files(tmp_path / "first")
    assert len(files(tmp_path / "first")) == 14
    listed = next(line for line in elsewhere("list").stdout.splitlines() if "brook-code" in line)
    assert listed.split()[1:5] == ["brook-code@1", "announced", "from", day(3)]


def test_a_place_goes_through_a_file_and_back(run: Run, tmp_path: Path) -> None:
    run("export", "sallowmere-bay@1", "--out", str(tmp_path))
    file = tmp_path / "sallowmere-bay.toml"
    assert file.read_bytes() == (ROOT / "jurisdictions" / file.name).read_bytes()
    assert run("import", str(file)) == "sallowmere-bay@2\n"
    run("export", "sallowmere-bay@2", "--out", str(tmp_path / "draft"))
    again = (tmp_path / "draft" / file.name).read_text()
    assert again == file.read_text().replace("version = 1", "version = 2")
    lower = tmp_path / "lower.toml"
    lower.write_text(again.replace("value = 42", "value = 40"))
    run("change", "sallowmere-bay@2", "--document", str(lower))
    assert "amendments[guards-42].value" in run("compare", "sallowmere-bay@1", "sallowmere-bay@2")
    run("publish", "sallowmere-bay@2", "--in-force", day(9))
    run("withdraw", "sallowmere-bay@2")
    assert "withdrawn" in next(line for line in run("list").splitlines() if "sallowmere-bay@2" in line)


def test_rows_tables_and_a_sheet_change_a_draft(
    run: Run, command: Callable[..., Result], tmp_path: Path
) -> None:
    draft = run("draft", "irc-2021").strip()
    changes, sheet = tmp_path / "changes.json", tmp_path / "county.csv"
    changes.write_text(json.dumps({"title": "Corrected", "changes": [span("138")]}))
    run("change", draft, "--changes", str(changes))
    compared = run("compare", "irc-2021@1", draft, "--rows")
    assert "max_span_in" in compared
    assert "Corrected" in compared
    sheet.write_text(SHEET)
    options = [
        "--table",
        "joist_spans",
        "--map",
        "Joist=nominal_size",
        "--map",
        "Note=",
    ]
    refused = command("import", draft, str(sheet), *options)
    assert refused.exit_code == 1
    assert "county.csv:1: load_kind: the sheet has no such column" in refused.output
    given = ["load_kind=live", "max_span_with_cantilever_in=", "max_cantilever_in=", "source_id=s008"]
    run("import", draft, str(sheet), *options, *(word for one in given for word in ("--set", one)))
    run("export", draft, "--out", str(tmp_path / "out"))
    text = (tmp_path / "out" / "joist_spans.csv").read_text()
    printed = (ROOT / "irc-2021" / "joist_spans.csv").read_text()
    assert text.splitlines()[:9] == printed.splitlines()[:9]
    assert text.splitlines()[9:] == [
        "40,live,southern_pine,2x6,12,118,,,s008",
        "40,live,southern_pine,2x6,16,107,,,s008",
    ]
    run("import", draft, str(tmp_path / "out" / "joist_spans.csv"), "--table", "joist_spans")
    run("export", draft, "--out", str(tmp_path / "out"))
    run("change", draft, "--table", str(ROOT / "irc-2021" / "joist_spans.csv"))
    assert run("validate", draft) == f"{draft} can be published\n"
    run("discard", draft)


def test_faults_are_told_by_file_line_and_column(
    run: Run, command: Callable[..., Result], tmp_path: Path
) -> None:
    draft = run("draft", "irc-2021").strip()
    broken = tmp_path / "joist_spans.csv"
    broken.write_text((ROOT / "irc-2021" / broken.name).read_text().replace("2x6,12,119", "2x6,12,long"))
    run("change", draft, "--table", str(broken))
    found = command("validate", draft)
    assert found.exit_code == 1
    assert "joist_spans.csv:10: max_span_in: 'long' is not a number" in found.output
    refused = command("publish", draft, "--in-force", day(1))
    assert "joist_spans.csv:10: max_span_in: 'long' is not a number" in refused.output
    listed = next(line for line in run("list").splitlines() if draft in line)
    assert "draft" in listed
    run("discard", draft)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("publish", "irc-2021@1", "--in-force", "2099-01-01"), "irc-2021@1 is published"),
        (("withdraw", "irc-2018@1"), "is not announced only"),
        (("draft", "irc-1999"), "the database has no rulebook, jurisdiction or draft irc-1999"),
        (("change", "irc-2021", "--changes", "x"), "does not exist"),
        (("validate", "irc-2021"), "names no draft: give its number too"),
        (("import", "nowhere"), "nowhere is no folder with a rulebook.toml"),
        (
            ("export", "irc-2021@7", "--out", "x"),
            "the database has no rulebook, jurisdiction or draft irc-2021@7",
        ),
    ],
)
def test_what_cannot_be_done_is_said(
    command: Callable[..., Result], arguments: tuple[str, ...], said: str
) -> None:
    done = command(*arguments)
    assert done.exit_code != 0
    assert said in " ".join(done.output.split())


def test_a_file_that_holds_something_else_is_left_alone(
    command: Callable[..., Result], tmp_path: Path
) -> None:
    (tmp_path / "joist_spans.csv").write_text("mine\n")
    done = command("export", "irc-2021@1", "--out", str(tmp_path))
    assert done.exit_code == 1
    assert "holds something else" in done.output
    assert (tmp_path / "joist_spans.csv").read_text() == "mine\n"


def test_a_day_gone_by_is_refused(run: Run, command: Callable[..., Result]) -> None:
    draft = run("draft", "irc-2018").strip()
    done = command("publish", draft, "--in-force", day(-1))
    assert done.exit_code == 1
    assert "is before today" in done.output
    run("discard", draft)

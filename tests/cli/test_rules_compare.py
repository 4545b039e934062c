"""`deck-framing rules compare` as a person reads it, and as a program does."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli import main
from service.cli.printing import PAGE_COLUMNS


def run(*arguments: str) -> str:
    done = CliRunner().invoke(main, ["rules", "compare", *arguments])
    assert done.exit_code == 0, done.output
    return done.output


def test_counts_by_table_fit_a_page_and_say_what_has_no_counterpart() -> None:
    page = run("irc-2021@1", "irc-2024@1")
    rows = {line.split()[0]: line.split()[1:] for line in page.splitlines() if line.strip()}
    assert rows["beam_spans"] == ["changed", "3456", "1008", "0", "0", "0", "0"]
    assert rows["post_heights_live_60"][:3] == ["removed", "0", "64"]
    assert "only one of the two prints the column joist_cantilever_ft" in page
    assert max(map(len, page.splitlines())) <= PAGE_COLUMNS


def test_rows_tell_old_and_new_cells() -> None:
    page = run("irc-2021", "irc-2024", "--rows")
    at = page.index("STAIR_AND_GUARD_LIMITS")
    assert "R311.7" in page[at:]
    assert "JOIST_SPANS" not in run("irc-2021", "irc-2024")


def test_json_is_what_the_service_answers() -> None:
    found = json.loads(run("irc-2021@1", "irc-2024@1", "--json"))
    assert (found["from"]["id"], found["to"]["version"]) == ("irc-2021", 1)
    spans = next(table for table in found["tables"] if table["name"] == "joist_spans")
    assert spans["rows"][0]["cells"][0]["column"] == "source_id"


def test_places_are_told_value_by_value() -> None:
    page = run("alder-county", "sallowmere-bay")
    assert "amendments[guards-42].value" in page
    assert "site.frost_depth_in" in page
    assert json.loads(run("alder-county", "sundrel-flats", "--json"))["changes"]
    assert "no value differs" in run("alder-county", "alder-county@1")


def test_what_cannot_be_compared_is_said(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("DECK_FRAMING_DATA_DIR", str(tmp_path / "none"))  # no database of this machine's
    for arguments, said in (
        (("irc-2021", "alder-county"), "name two of one sort"),
        (("irc-2021", "irc-2021@9"), "no rulebook or jurisdiction irc-2021@9"),
        (("irc-2021", "IRC"), "is not a name such as irc-2021"),
    ):
        done = CliRunner().invoke(main, ["rules", "compare", *arguments])
        assert done.exit_code == 1
        assert said in done.output

"""Twenty specs that pin every version: what the tables say of them stays equal under every later engine."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from table_checks import DECKS, FOLDER, desk, report_of, table_checks, write

from service.web.resolve import read_spec

NAMES = sorted(file.stem for file in FOLDER.glob("*.json"))


def kept(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text("utf-8"))
    return found


@pytest.mark.parametrize("name", NAMES)
def test_the_tables_say_what_they_said(name: str) -> None:
    pair = kept(name)
    report = report_of(read_spec(json.dumps(pair["spec"]).encode(), desk()))
    assert table_checks(report) == pair["checks"]


def test_there_are_twenty_pairs_and_each_pins_what_it_is_made_by() -> None:
    assert set(NAMES) == set(DECKS)
    assert len(NAMES) == 20
    specs = [kept(name)["spec"] for name in NAMES]
    assert all("@" in spec["rulebook"] and spec["as_of"] for spec in specs)
    assert {spec["rulebook"] for spec in specs} == {"irc-2015@1", "irc-2018@1", "irc-2021@1", "irc-2024@1"}
    assert {spec["jurisdiction"] for spec in specs if spec["jurisdiction"]} == {
        f"{name}@1" for name in
        ("alder-county", "ketterwick-township", "sallowmere-bay", "sundrel-flats", "fellmarch-borough")
    }  # fmt: skip
    assert all(spec["price_book"] is None or "@" in spec["price_book"] for spec in specs)


def test_a_pair_that_is_there_is_not_written_again(tmp_path: Path) -> None:
    name = NAMES[0]
    (tmp_path / f"{name}.json").write_text("{}")
    with pytest.raises(FileExistsError, match="stay equal under every later engine"):
        write(name, tmp_path)
    assert (tmp_path / f"{name}.json").read_text() == "{}"

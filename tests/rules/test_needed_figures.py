"""A rulebook without a figure that every design reads is refused when it is loaded, not met when a deck is designed."""

from __future__ import annotations

import pytest
from rules.conftest import ROOT

from service.rules.faults import TableRefused
from service.rules.rulebook import NEEDED_FIGURES, build_rulebook

FOLDER = ROOT / "irc-2021"
TEXTS = {file.stem: file.read_bytes().decode() for file in FOLDER.glob("*.csv")}
META = (FOLDER / "rulebook.toml").read_text()


def without(key: str) -> dict[str, str]:
    return {
        name: "".join(line for line in text.splitlines(keepends=True) if not line.startswith(f"{key},"))
        for name, text in TEXTS.items()
    }


@pytest.mark.parametrize("key", [*NEEDED_FIGURES, "ledger_size"])
def test_a_figure_that_is_gone_is_named(key: str) -> None:
    with pytest.raises(TableRefused) as caught:
        build_rulebook(META, without(key))
    assert [fault.column for fault in caught.value.faults] == [key]


def test_a_group_of_species_nobody_knows_is_named() -> None:
    spans = TEXTS["joist_spans"].replace(",southern_pine,", ",balsa,")
    with pytest.raises(
        TableRefused, match=r"joist_spans\.csv:1: species_group: 'balsa' is none of southern_pine"
    ):
        build_rulebook(META, {**TEXTS, "joist_spans": spans})

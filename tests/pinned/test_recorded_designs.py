"""Recorded designs: a change of any frame, check or order shows here, and is recorded again when it was meant.

How: `PYTHONPATH=.:tests python -m recorded` from the project's folder, and read the difference before keeping it.
"""

from __future__ import annotations

import json

import pytest
from recorded import DECKS, FOLDER, recorded


@pytest.mark.parametrize("name", DECKS)
def test_design_is_as_recorded(name: str) -> None:
    kept = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    now = recorded(name)
    assert {key: now[key] for key in kept} == kept


def test_nothing_else_is_recorded() -> None:
    assert {file.stem for file in FOLDER.glob("*.json")} == set(DECKS)

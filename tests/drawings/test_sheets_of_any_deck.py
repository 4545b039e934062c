"""Every sheet of decks nobody thought of: no text over another, none off the paper, none too small."""

from __future__ import annotations

from typing import Any

import pytest
from context import context, designed, spec_of
from deck_strategy import decks
from drawings.sheet_checks import PAPERS, faults
from hypothesis import given, settings

from service.drawings.sheets import sheet_svg, sheets_of


@pytest.mark.parametrize("paper", PAPERS)
@settings(max_examples=8, deadline=None)
@given(deck=decks())
def test_no_sheet_of_any_deck_has_a_fault(paper: str, deck: dict[str, Any]) -> None:
    report = designed(spec_of(**deck), context(None, deck["rulebook"]))
    assert {name: faults(sheet_svg(report, name, paper)) for name in sheets_of(report)} == {
        name: [] for name in sheets_of(report)
    }

"""All wishes and other frames of one design share a budget in counts: ordinary decks are far from it."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import Any

import pytest
from context import context, prices, spec_of

from service.choice.search import effort
from service.contract.report import DesignReport
from service.pipeline import design

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
HOUSE = {"wall": "wood_band", "door_sill_height_in": 37.5, "rim_depth_in": 11.25}


def rectangle(width_ft: float, projection_ft: float) -> dict[str, Any]:
    level = {"width_ft": width_ft, "projection_ft": projection_ft, "surface_height_in": 36}
    return {
        "jurisdiction": "alder-county",
        "price_book": "brindlemoor-yard",
        "house": HOUSE,
        "levels": [level],
    }


def saw_tooth(teeth: int) -> dict[str, Any]:
    """A deck whose yard edge steps out and in: every step is a section of its own."""
    steps = [(16 - 16 * n / teeth, 16 - 16 * (n + 1) / teeth, 12 if n % 2 == 0 else 11) for n in range(teeth)]
    yard = [[x, y] for near, far, y in steps for x in (near, far)]
    level = {"outline_ft": [[0, 0], [16, 0], *yard], "house_edges": [0], "surface_height_in": 36}
    return {**rectangle(16, 12), "levels": [level]}


def posted(given: dict[str, Any]) -> DesignReport:
    where = dataclasses.replace(context(given.get("jurisdiction"), given.get("rulebook")), prices=prices())
    return design(spec_of(**{**given, "price_book": "brindlemoor-yard"}), where, with_wishes=True)


def not_worked_out(report: DesignReport) -> list[str]:
    return [
        one.value
        for one in report.preference_costs
        if [why.code for why in one.why_not] == ["too_many_frames"]
    ]


def test_what_is_not_worked_out_says_so_and_wishes_in_fields_there_already_come_first(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """4x4 posts and other species are searched for anew: what is left does not do for that."""
    whole = posted(saw_tooth(6))
    assert not not_worked_out(whole)
    monkeypatch.setattr(effort, "MOST", 1500)
    report = posted(saw_tooth(6))
    left = not_worked_out(report)
    assert {"4x4", "douglas_fir_larch"} <= set(left)
    for one, before in zip(report.preference_costs, whole.preference_costs, strict=True):
        if one.value in left:
            assert (one.verdict, one.cost, one.footing_count, one.days) == (None, None, None, None)
            assert one.text.endswith(
                ": this deck has so many frames, footings and edges that not every wish was looked into."
            )
            assert ": not worked out: " in one.text
        else:
            assert one == before
    assert "other_frames_left_out" in [one.code for one in report.cautions]
    assert "other_frames_left_out" not in [one.code for one in whole.cautions]


def test_with_nothing_left_no_other_frame_is_sought_and_the_other_way_of_support_is_still_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(effort, "MOST", -1)
    report = posted(rectangle(16, 12))
    worked_out = [one.value for one in report.preference_costs if not one.already and not one.why_not]
    assert worked_out == ["freestanding"]
    assert [one.because for one in report.alternatives] == ["The other way of support: free-standing."]


DECKS = {path.stem: path for path in EXAMPLES.glob("*.json") if "answer" not in path.stem}


@pytest.mark.parametrize("name", ["two-levels", "l-round-a-corner", "wrap-of-two-walls", "40x20"])
def test_ordinary_decks_are_far_from_the_budget(name: str) -> None:
    given = rectangle(40, 20) if name == "40x20" else json.loads(DECKS[name].read_text("utf-8"))
    report = posted(given)
    assert not not_worked_out(report)
    assert "other_frames_left_out" not in [one.code for one in report.cautions]

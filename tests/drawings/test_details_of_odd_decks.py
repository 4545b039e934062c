"""Detail sheets of decks that have little to draw, or much."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import pytest
from drawings.sheet_checks import PAPERS, ROOT, Sheet, faults

from service.app import bundled_snapshot, make_desk
from service.contract.report import DesignReport
from service.drawings.sheets import sheet_svg
from service.pipeline import design
from service.web.resolve import context_of, read_spec

DETAILS = ("stair_detail", "ledger_detail", "bracing_detail")


def spec_of(surface_in: float, **level: Any) -> dict[str, Any]:
    """The composite deck at another height, its door with it."""
    spec: dict[str, Any] = json.loads((ROOT / "openapi" / "examples" / "ledger-composite.json").read_bytes())
    spec["levels"][0] |= {"surface_height_in": surface_in, **level}
    spec["house"]["door_sill_height_in"] = surface_in + 1.5
    return spec


def _low() -> dict[str, Any]:
    return spec_of(5.0) | {"stairs": []}


def _many_stairs() -> dict[str, Any]:
    stairs = [
        {"level": "main", "edge": 2, "offset_ft": 1 + 7 * n, "width_in": 36 + 2 * n, "down_to": "grade"}
        for n in range(8)
    ]
    return spec_of(60.0, width_ft=60) | {"stairs": stairs}


def _on_concrete() -> dict[str, Any]:
    spec = spec_of(36.0)
    spec["house"]["wall"] = "poured_concrete"
    return spec | {"framing": {**spec.get("framing", {}), "attachment": "ledger"}}


def _free() -> dict[str, Any]:
    spec = spec_of(72.0)
    return spec | {"framing": {**spec.get("framing", {}), "attachment": "freestanding"}}


DECKS = {"low": _low, "many_stairs": _many_stairs, "on_concrete": _on_concrete, "free": _free}


@cache
def report(deck: str) -> DesignReport:
    desk = make_desk(bundled_snapshot())
    spec = read_spec(json.dumps(DECKS[deck]()).encode(), desk)
    return design(spec, context_of(spec, desk), with_wishes=False)


def said(deck: str, name: str, paper: str = "letter") -> str:
    return " ".join(Sheet(sheet_svg(report(deck), name, paper)).said())


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", DETAILS)
@pytest.mark.parametrize("deck", DECKS)
def test_nothing_is_wrong_with_their_sheets(deck: str, name: str, paper: str) -> None:
    assert faults(sheet_svg(report(deck), name, paper)) == []


@pytest.mark.parametrize("name", DETAILS)
def test_a_deck_without_a_frame_says_so_with_the_reasons_of_its_verdict(name: str) -> None:
    texts = said("low", name)
    assert "NOT PERMITTED" in texts
    assert {"stair_detail": "No stair", "ledger_detail": "No ledger", "bracing_detail": "No bracing"}[
        name
    ] in texts
    reason = report("low").verdict.reasons[0].text
    assert reason.split()[0] in texts


def test_stairs_that_find_no_room_are_named() -> None:
    sheet = Sheet(sheet_svg(report("many_stairs"), "stair_detail", "letter"))
    texts = " ".join(sheet.said())
    stairs = report("many_stairs").stairs
    left = [stair.mark for stair in stairs if stair.id not in sheet.ids()]
    assert len(stairs) == 8
    assert left
    assert all(mark in texts.partition("No room on this paper for")[2] for mark in left)


def test_anchors_an_engineer_designs_are_not_drawn() -> None:
    sheet = Sheet(sheet_svg(report("on_concrete"), "ledger_detail", "letter"))
    (ledger,) = report("on_concrete").levels[0].ledgers
    assert list(sheet.group(f"{ledger.id}.fasteners")) == []
    assert "designed by an engineer" in " ".join(sheet.said())


def test_a_tall_free_deck_is_braced_both_ways() -> None:
    texts = said("free", "bracing_detail")
    assert "along the beam" in texts
    assert "across the beam" in texts

"""The example decks are answered as recorded beside them."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.contract.api import EXAMPLES, call, deck_names, example

RECORDED: list[dict[str, Any]] = json.loads((EXAMPLES / "answers.json").read_text("utf-8"))
# What each deck is there to show, written down apart from what is recorded.
SHOWN = {
    "clipped-corner": ("prescriptive", "ledger"),
    "footings-beside-basement": ("prescriptive", "freestanding"),
    "footings-in-water": ("engineer_required", "ledger"),
    "footings-large-idle-days": ("prescriptive", "ledger"),
    "footings-low-on-rock": ("engineer_required", "freestanding"),
    "footings-narrow-way-in": ("prescriptive", "ledger"),
    "footings-small-attached": ("prescriptive", "ledger"),
    "freestanding-veneer": ("prescriptive", "freestanding"),
    "hillside": ("prescriptive", "ledger"),
    "hot-tub": ("engineer_required", "ledger"),
    "l-round-a-corner": ("prescriptive", "ledger"),
    "ledger-composite": ("prescriptive", "ledger"),
    "low-ground": ("prescriptive", "freestanding"),
    "mild-coast": ("prescriptive", "ledger"),
    "snow-country": ("prescriptive", "ledger"),
    "two-levels": ("prescriptive", "ledger"),
    "wrap-of-two-walls": ("prescriptive", "freestanding"),
}


@pytest.mark.parametrize("recorded", RECORDED, ids=lambda one: one["example"])
def test_api_example_is_answered_as_recorded(recorded: dict[str, Any]) -> None:
    name = recorded["example"].removesuffix(".json")
    report = call("POST", "/v1/designs", json=example(name)).json()
    assert report["verdict"]["status"] == recorded["verdict"]
    assert report["attachment"]["kind"] == recorded["attachment"]
    assert (recorded["verdict"], recorded["attachment"]) == SHOWN[name]


def test_api_every_example_is_recorded() -> None:
    assert [one["example"].removesuffix(".json") for one in RECORDED] == deck_names() == sorted(SHOWN)

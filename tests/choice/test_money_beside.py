"""The money told of options, alternatives and wishes: one basis, found again when what is told is posted back.

The basis is that frames are compared by, ``search.cost``: nothing of it is worked out here but by posting.
"""

from __future__ import annotations

import dataclasses
import json
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from context import context, prices, spec_of

from service.contract.report import DesignReport
from service.pipeline import design

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
TUB = {
    "kind": "hot_tub", "level": "main", "x_ft": 8, "y_ft": 2, "width_ft": 7, "length_ft": 7, "filled_weight_lb": 4600,
    "people": 6,
}  # fmt: skip
HOUSE = {"wall": "wood_band", "door_sill_height_in": 37.5, "rim_depth_in": 11.25}
WITH_A_TUB: dict[str, Any] = {
    "jurisdiction": "alder-county", "price_book": "brindlemoor-yard", "house": HOUSE, "heavy_objects": [TUB],
    "levels": [{"id": "main", "width_ft": 16, "projection_ft": 12, "surface_height_in": 36}],
}  # fmt: skip


def request(name: str) -> dict[str, Any]:
    """A request by name: an example that is sent along, or one of this file."""
    if name == "with_a_tub":
        return WITH_A_TUB
    found: dict[str, Any] = json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))
    return found


def posted(name: str, *, wishes: bool = False, method: str | None = None, **framing: Any) -> DesignReport:
    """A design, with other wishes of its frame or of its footings."""
    given = {**request(name), "price_book": "brindlemoor-yard"}
    given["framing"] = {**given.get("framing", {}), **framing}
    if method:
        given["foundation"] = {**given.get("foundation", {}), "method": method}
    where = dataclasses.replace(context(given.get("jurisdiction"), given.get("rulebook")), prices=prices())
    return design(spec_of(**given), where, with_wishes=wishes)


@cache
def answered(name: str) -> DesignReport:
    return posted(name, wishes=True)


def compared(report: DesignReport) -> Decimal:
    """What a deck is compared by."""
    assert report.search is not None
    assert report.search.cost is not None
    return Decimal(report.search.cost.total.amount)


@pytest.mark.parametrize("name", ["with_a_tub", "hillside", "two-levels", "ledger-composite"])
def test_what_a_deck_is_compared_by_has_all_its_footings(name: str) -> None:
    report = answered(name)
    (method,) = [
        one
        for one in report.footing_comparison.methods
        if one.method in {footing.method for footing in report.footings} and one.footings
    ]
    assert report.search is not None
    assert report.search.cost is not None
    assert method.cost is not None
    assert report.search.cost.footings.amount == method.cost.likely


@pytest.mark.parametrize("method", ["belled_pier", "pad_and_pier", "helical_pile"])
def test_a_footing_method_under_a_tub_costs_what_the_deck_with_it_costs_more(method: str) -> None:
    ours = answered("with_a_tub")
    (wish,) = [one for one in ours.preference_costs if one.value == method]
    assert not wish.already
    again = posted("with_a_tub", method=method)
    assert wish.cost is not None
    assert Decimal(wish.cost.amount) == compared(again) - compared(ours)
    assert wish.footing_count == len(again.footings) - len(ours.footings)

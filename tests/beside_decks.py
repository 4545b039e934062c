"""Decks whose other frames and wishes are looked at, designed once."""

from __future__ import annotations

from functools import cache
from typing import Any

from context import context, spec_of

from service.contract.report import DesignReport
from service.contract.spec import DeckSpec
from service.pipeline import design

HOUSE = {"wall": "wood_band", "door_sill_height_in": 37.5, "rim_depth_in": 11.25}
CREW = {"currency": "USD", "size": 3, "hourly_rate": "48.00"}
PLAIN: dict[str, Any] = {
    "jurisdiction": "alder-county", "price_book": "brindlemoor-yard", "house": HOUSE, "crew": CREW,
    "levels": [{"width_ft": 14, "projection_ft": 10, "surface_height_in": 36}],
}  # fmt: skip
DECKS: dict[str, dict[str, Any]] = {
    "on_a_ledger": PLAIN,
    "on_veneer": {**PLAIN, "house": {**HOUSE, "wall": "brick_veneer"}},
    "low": {
        **PLAIN, "levels": [{"width_ft": 12, "projection_ft": 10, "surface_height_in": 20}], "house": {"wall": "none"},
    },
    "too_thin": {**PLAIN, "framing": {"joist_size": "2x6", "joist_spacing_in": 24}},
    "without_prices": {key: value for key, value in PLAIN.items() if key not in ("price_book", "crew")},
    "fewest": {**PLAIN, "framing": {"objective": "fewest_footings", "attachment": "freestanding"}},
}  # fmt: skip


def asked(name: str, **framing: Any) -> DeckSpec:
    """The spec of a deck, with other wishes of its frame or, as ``method``, of its footings."""
    given = dict(DECKS[name])
    method = framing.pop("method", None)
    given["framing"] = {**given.get("framing", {}), **framing}
    if method:
        given["foundation"] = {"method": method}
    return spec_of(**given)


@cache
def answered(name: str) -> DesignReport:
    """The answer to a deck."""
    return design(asked(name), context("alder-county", None, "price_book" in DECKS[name]), with_wishes=True)

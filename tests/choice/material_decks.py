"""Decks, price books and designs for tests of veneer lumber and light-gauge steel."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from functools import cache
from typing import Any

from context import context, designed, spec_of
from order_decks import HELD, REQUESTS

from service.choice.level.context import Context
from service.contract.report import DesignReport
from service.contract.report_choice import MaterialOption
from service.rules.price_book import PriceBook, parse_price_book
from service.rules.sections import STEEL, WOOD, SupplierSection
from service.store.bundled import bundled

MATERIALS = (WOOD, STEEL)
# the checks that rest on the values of what a member is of
BY_VALUES = ("bending", "shear", "bearing", "on_post", "deflection", "tip_load")
# 13 joists of 11 ft 9 in, a beam of 16 ft on two posts.
HAND = "plain"
DECKS = {
    **REQUESTS,
    HAND: {
        **REQUESTS["hand-counted"],
        "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}],
        "stairs": [],
        "foundation": {},
        "framing": {},
    },
}
# Below 30 in, so without guards; and so deep that a beam stands between.
LOW, DEEP, TALL = "low", "deep", "tall"
for _name, _deck in (
    (LOW, {"width_ft": 16, "projection_ft": 12, "surface_height_in": 24}),
    (DEEP, {"width_ft": 30, "projection_ft": 30, "surface_height_in": 24}),
    (TALL, {"width_ft": 16, "projection_ft": 12, "surface_height_in": 84}),
):
    _sill_in = float(_deck["surface_height_in"]) + 1.5
    _house = {**REQUESTS["hand-counted"].get("house", {}), "door_sill_height_in": _sill_in}
    DECKS[_name] = {**DECKS[HAND], "levels": [_deck], "house": _house}


@cache
def book() -> PriceBook:
    """The version of the demo book that has section tables."""
    one = next(one for one in bundled().price_books if one.name == "brindlemoor-yard@6.csv")
    return parse_price_book(one.text, one.name)


def where(request: dict[str, Any], prices: PriceBook | None) -> Context:
    found = context(request.get("jurisdiction"), request.get("rulebook"))
    return dataclasses.replace(found, prices=prices)


def asked(name: str, material: str | None, prices: PriceBook | None, **framing: Any) -> DesignReport:
    request = {key: value for key, value in DECKS[name].items() if key in HELD}
    wishes = {**request.get("framing", {}), **framing}
    if material is not None:
        wishes["material"] = material
    return designed(spec_of(**{**request, "framing": wishes}), where(request, prices))


@cache
def report(name: str, material: str | None) -> DesignReport:
    return asked(name, material, book())


def option(found: DesignReport, material: str) -> MaterialOption:
    return next(one for one in found.material_options if one.material == material)


def with_sections(sections: Iterable[SupplierSection]) -> PriceBook:
    return dataclasses.replace(book(), sections=tuple(sections))


def codes(found: DesignReport) -> set[str]:
    return {one.code for one in found.verdict.reasons}

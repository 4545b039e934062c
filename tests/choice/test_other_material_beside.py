"""A deck answered in a supplier's sections: what is told beside it is of sawn lumber, counted from what is answered."""

from __future__ import annotations

import dataclasses
from decimal import Decimal
from functools import cache
from typing import Any

import pytest
from context import context, spec_of

from service.contract.report import DesignReport
from service.pipeline import design
from service.rules.price_book import PriceBook, parse_price_book
from service.store.bundled import bundled

HOUSE = {"wall": "wood_band", "door_sill_height_in": 37.5, "rim_depth_in": 11.25}
PLAIN: dict[str, Any] = {
    "jurisdiction": "alder-county", "price_book": "brindlemoor-yard", "house": HOUSE,
    "levels": [{"id": "main", "width_ft": 16, "projection_ft": 12, "surface_height_in": 36}],
}  # fmt: skip
STEEL, VENEER = "light_gauge_steel", "laminated_veneer_lumber"


@cache
def book() -> PriceBook:
    """The version of the demo book that has section tables."""
    one = next(one for one in bundled().price_books if one.name == "brindlemoor-yard@6.csv")
    return parse_price_book(one.text, one.name)


@cache
def answered(material: str) -> DesignReport:
    where = dataclasses.replace(context("alder-county"), prices=book())
    return design(spec_of(**PLAIN, framing={"material": material}), where, with_wishes=True)


def more_than_sawn(material: str) -> Decimal:
    """What the material costs more, as it is offered beside the frame of sawn lumber."""
    offered = {one.material: one.cost_change for one in answered("sawn_lumber").material_options}
    found = offered[material]
    assert found is not None
    return Decimal(found.amount)


def money_of(report: DesignReport) -> dict[tuple[str, str], Decimal | None]:
    return {
        (one.preference, one.value): one.cost and Decimal(one.cost.amount) for one in report.preference_costs
    }


@pytest.mark.parametrize("material", [STEEL, VENEER])
def test_every_wish_is_counted_from_the_deck_answered(material: str) -> None:
    sawn, more = money_of(answered("sawn_lumber")), more_than_sawn(material)
    report = answered(material)
    wishes = [one for one in report.preference_costs if not one.already and one.verdict is not None]
    told = [one for one in wishes if one.preference not in ("material", "species", "grade")]
    assert len(told) >= 8
    for one in told:
        was = sawn[one.preference, one.value]
        assert was is not None
        assert one.cost is not None
        assert Decimal(one.cost.amount) == was - more, one.text
        assert ", of sawn lumber: " in one.text
        assert one.deflection_in is None


@pytest.mark.parametrize("material", [STEEL, VENEER])
def test_the_way_back_to_sawn_lumber_is_a_wish_and_another_frame(material: str) -> None:
    report, more = answered(material), more_than_sawn(material)
    (back,) = [one for one in report.preference_costs if one.value == "sawn_lumber"]
    assert (back.preference, back.verdict, back.already) == ("material", "prescriptive", False)
    assert back.cost is not None
    assert Decimal(back.cost.amount) == -more
    first = report.alternatives[0]
    assert (first.verdict, first.cost_change) == ("prescriptive", back.cost)
    assert first.differences == (f"material: treated sawn lumber instead of {material}",)
    assert first.gains[0] == "within the tables"
    other = next(one for one in (STEEL, VENEER) if one != material)
    (instead,) = [one for one in report.preference_costs if one.value == other]
    assert instead.cost is not None
    assert Decimal(instead.cost.amount) == more_than_sawn(other) - more


@pytest.mark.parametrize("material", [STEEL, VENEER])
def test_what_is_answered_is_what_the_options_count_from(material: str) -> None:
    """The order of the sections, and footings that are those of the sawn frame."""
    sawn, report = answered("sawn_lumber"), answered(material)
    assert report.search is not None
    assert report.search.deflection_in is None
    own, was = (
        next(one for one in found.attachment.options if one.kind == "ledger") for found in (report, sawn)
    )
    assert own.verdict == report.verdict.status == "engineer_required"
    assert own.cost is not None
    assert was.cost is not None
    assert report.takeoff.subtotal is not None
    assert sawn.takeoff.subtotal is not None
    orders = Decimal(report.takeoff.subtotal.amount) - Decimal(sawn.takeoff.subtotal.amount)
    assert Decimal(own.cost.amount) - Decimal(was.cost.amount) == orders
    free, was_free = (
        next(one for one in found.attachment.options if one.kind == "freestanding")
        for found in (report, sawn)
    )
    assert free.verdict == "prescriptive"
    assert free.cost_change is not None
    assert was_free.cost_change is not None
    more = more_than_sawn(material)
    assert Decimal(free.cost_change.amount) == Decimal(was_free.cost_change.amount) - more
    for one in report.alternatives:
        assert one.cost is not None
        assert one.cost_change is not None
        assert Decimal(one.cost.amount) == Decimal(own.cost.amount) + Decimal(one.cost_change.amount)


def test_in_sawn_lumber_no_way_back_is_told() -> None:
    assert "sawn_lumber" not in [one.value for one in answered("sawn_lumber").preference_costs]


def test_the_order_has_the_tape_that_is_promised_between_steel_and_treated_wood() -> None:
    """11 ft 9 in joists: a ledger and a rim of 16 ft, a steel beam of 16 ft, half a foot on each seat of a joist."""
    report = answered(STEEL)
    (level,) = report.levels
    seats = sum(line.quantity for line in report.takeoff.hardware if line.item.startswith("web_stiffener."))
    runs_ft = [16 * len(level.ledgers), 16 * len(level.rims), 16 * len(level.beams)]
    laid = next(line for line in report.takeoff.hardware if line.item.startswith("isolation_tape."))
    assert len(level.ledgers) == 1
    assert laid.unit == "lineal_ft"
    assert laid.quantity >= sum(runs_ft) + seats / 2
    text = next(
        change.text
        for one in report.material_options
        for change in one.fasteners
        if change.part == "isolation"
    )
    assert "along the ledgers and rims" in text

"""What may win: a method that may not be built wins nothing, and a dearer case never comes out cheaper."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from service.comparison.compare import compare
from service.comparison.told import told
from service.contract.report_comparison import FootingComparison
from service.contract.spec import CrewSpec, DeckSpec
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.rules.price_book import PriceBook, PriceBreak
from service.sizing.criteria import Criteria

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]
Build = Callable[..., DeckSpec]


@pytest.fixture
def answer(
    criteria: Make, demand: Ask, spec: Build, prices: PriceBook, facts: FoundationFacts
) -> Callable[..., FootingComparison]:
    def go(book: PriceBook = prices, **foundation: object) -> FootingComparison:
        asked = spec(
            crew=CrewSpec(currency="USD", size=1, hourly_rate="48.00", crew_day_value="900.00"), **foundation
        )
        demands = [demand(1800.0 + 300.0 * n, n) for n in range(1, 7)]
        found = compare(demands, criteria(), asked, book, facts)
        return told(found, asked, book, facts)

    return go


def with_breaks(book: PriceBook, start: str, *breaks: PriceBreak) -> PriceBook:
    lines = tuple(replace(x, breaks=breaks) if x.item.startswith(start) else x for x in book.lines)
    return replace(book, lines=lines)


@pytest.mark.parametrize("start", ["rental.auger", "rental.mixer", "pile_extension", "concrete.bag.80lb"])
def test_a_lower_price_for_more_keeps_every_range_in_order(
    answer: Callable[..., FootingComparison], prices: PriceBook, start: str
) -> None:
    cheap = with_breaks(prices, start, PriceBreak(2, Decimal("20.00")), PriceBreak(8, Decimal("1.00")))
    for method in answer(cheap).methods:
        ranges = [method.cost, *(part.cost for part in method.cost_parts)]
        for one in (one for one in ranges if one is not None):
            assert Decimal(one.low) <= Decimal(one.likely) <= Decimal(one.high), (method.method, one)


def test_what_may_not_be_built_wins_nothing(answer: Callable[..., FootingComparison]) -> None:
    found = answer(pier_diameter_in=8)
    forbidden = {one.method for one in found.methods if one.feasible and one.verdict == "not_permitted"}
    assert "tube_form_pier" in forbidden
    assert not forbidden & {one.method for one in found.probability_cheapest}
    assert sum(one.probability for one in found.probability_cheapest) == pytest.approx(1.0)
    assert not forbidden & {one.method for row in found.by_count for one in row.methods}
    assert found.break_even is None or not forbidden & set(found.break_even.methods)
    assert found.recommended not in forbidden

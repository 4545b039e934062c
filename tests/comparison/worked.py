"""Comparisons worked out and told for the tests of their money."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import Any, NamedTuple

import msgspec

from service.comparison.compare import compare
from service.comparison.result import Comparison, MethodResult
from service.comparison.told import told
from service.contract.report_comparison import FootingComparison, MethodComparison
from service.contract.spec import CrewSpec, DeckSpec, FoundationSpec, LevelSpec
from service.foundations.facts import FoundationFacts, parse_facts
from service.rules.price_book import PriceBook, parse_price_book
from tests.comparison import conftest

LOADS = (1200.0, 2600.0, 1200.0)
METHODS = (
    "tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad", "helical_pile", "pier_block_on_grade",
)  # fmt: skip
PAIR = ("tube_form_pier", "helical_pile")
CREW = CrewSpec(currency="USD", hourly_rate="48.00", crew_day_value="1450.00")
WAGES = CrewSpec(
    currency="USD", hourly_rate="48.00", crew_day_value="400.00", time_counted="wages_plus_idle_days"
)


class Ran(NamedTuple):
    """A comparison worked out, and as it is told."""

    worked: Comparison
    wire: FootingComparison

    def of(self, method: str) -> MethodResult:
        found = self.worked.result(method)
        assert found
        return found

    def told(self, method: str) -> MethodComparison:
        return next(one for one in self.wire.methods if one.method == method)


@cache
def facts() -> FoundationFacts:
    return parse_facts(
        {file.stem: file.read_text("utf-8") for file in (conftest.ROOT / "foundations").glob("*.csv")}
    )


@cache
def book() -> PriceBook:
    """The newest version of the demo book, which has something for every method."""
    file = max((conftest.ROOT / "price_books").glob("brindlemoor-yard@*.csv"), key=lambda one: one.name)
    return parse_price_book(file.read_text("utf-8"), file.name)


def priced(item: str, price: Any) -> PriceBook:
    """The book with another price of one item, whatever the quantity."""
    return replace(
        book(), lines=tuple(replace(line, unit_price=price, breaks=()) if line.item == item else line
                            for line in book().lines)
    )  # fmt: skip


def run(
    loads: Sequence[float] = LOADS,
    prices: PriceBook | None = None,
    crew: CrewSpec | None = CREW,
    only: Sequence[str] = METHODS,
    known: FoundationFacts | None = None,
    y_ft: float = 10.0,
    unpriced: bool = False,
    wish: Any = None,
    **ground: Any,
) -> Ran:
    """Compare for posts of these loads; ``only`` names the methods the place allows."""
    criteria = conftest._criteria(**ground)
    if criteria.jurisdiction is not None:
        no = tuple(method for method in METHODS if method not in only)
        place = msgspec.structs.replace(criteria.jurisdiction, methods_not_allowed=no)
        criteria = replace(criteria, jurisdiction=place)
    level = LevelSpec(width_ft=16.0, projection_ft=12.0, surface_height_in=36.0)
    spec = DeckSpec(levels=(level,), crew=crew, foundation=FoundationSpec(**(wish or {})))
    demands = [conftest._demand(load, n, y_ft=y_ft) for n, load in enumerate(loads, start=1)]
    used, told_with = known or facts(), None if unpriced else prices or book()
    worked = compare(demands, criteria, spec, told_with, used)
    return Ran(worked, told(worked, spec, told_with, used))

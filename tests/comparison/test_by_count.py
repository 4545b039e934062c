"""The table over numbers of footings, against comparisons worked out for those numbers."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.contract.report_comparison import CountRow
from service.contract.spec import CrewSpec
from service.takeoff.concrete import SHORT_LOAD
from tests.comparison.worked import CREW, METHODS, PAIR, WAGES, Ran, book, run

LOAD = 2300.0
CREWS = {"day-holds-wages": CREW, "wages-and-idle-days": WAGES, "no-crew": None,
         "odd-cents": CrewSpec(currency="USD", hourly_rate="33.37", crew_day_value="777.79",
                               time_counted="wages_plus_idle_days", size=2)}  # fmt: skip


def _row(ran: Ran, count: int) -> CountRow:
    return next(row for row in ran.wire.by_count if row.footings == count)


@pytest.mark.parametrize("crew", CREWS.values(), ids=CREWS)
@pytest.mark.parametrize("supply", ["auto", "bagged", "ready_mix"])
@pytest.mark.parametrize("count", [4, 7, 11, 16])
def test_own_count_has_the_cost_itself(count: int, supply: str, crew: CrewSpec | None) -> None:
    loads = [1200.0 + 170.0 * n for n in range(count)]
    found = run(loads=loads, crew=crew, wish={"concrete_supply": supply})
    row = _row(found, count)
    assert len(row.methods) >= 2
    for one in row.methods:
        method = found.of(one.method)
        told = found.told(one.method)
        assert told.cost
        assert one.cost.amount == told.cost.likely
        assert one.days == pytest.approx(method.likely_days)


@pytest.mark.parametrize("count", range(4, 17))
def test_other_counts_cost_what_a_deck_of_that_many_would(count: int) -> None:
    row = _row(run(loads=(LOAD,) * 6), count)
    real = run(loads=(LOAD,) * count)
    for one in row.methods:
        cost, method = real.told(one.method).cost, real.of(one.method)
        assert cost
        assert one.days == pytest.approx(method.likely_days)
        # Cut goods come in whole pieces for the whole deck, six footings here; the piece not cut up grows with them.
        cut = [line.unit_price or Decimal(0) for line in method.lines if line.unit == "piece"]
        stone = [line.unit_price or Decimal(0) for line in method.lines if line.kind == "aggregate"]
        slack = (sum(cut) + sum(stone)) * max(Decimal(1), Decimal(count) / 6) + Decimal("0.05")
        assert abs(Decimal(one.cost.amount) - Decimal(cost.likely)) <= slack
        if not cut and not stone:
            assert one.cost.amount == cost.likely


def test_short_load_is_charged_up_to_the_load_from_which_there_is_no_fee() -> None:
    lines = [replace(line, pack_quantity=2) if line.item == SHORT_LOAD else line for line in book().lines]
    spared = replace(book(), lines=tuple(lines))
    wish = {"concrete_supply": "ready_mix"}
    charged = set()
    for count in range(4, 17):
        found = run(loads=(LOAD,) * count, prices=spared, crew=None, wish=wish, only=("tube_form_pier",))
        (one,) = _row(found, count).methods
        cost = found.told("tube_form_pier").cost
        assert cost
        assert one.cost.amount == cost.likely
        charged.add(any(line.item == SHORT_LOAD for line in found.of("tube_form_pier").lines))
    assert charged == {True, False}


def test_table_runs_from_4_to_16_and_names_the_cheapest() -> None:
    rows = run(loads=(LOAD,) * 6, only=PAIR).wire.by_count
    assert [row.footings for row in rows] == list(range(4, 17))
    for row in rows:
        amounts = {one.method: Decimal(one.cost.amount) for one in row.methods}
        assert amounts[row.cheapest] == min(amounts.values())
    # A pile costs several times a pier and its days are few: the more footings, the less it can win.
    assert [rows[0].cheapest, rows[-1].cheapest] == ["helical_pile", "tube_form_pier"]


def test_table_holds_feasible_methods_with_a_price_alone() -> None:
    found = run(loads=(LOAD,) * 6, only=("tube_form_pier",))
    assert {one.method for row in found.wire.by_count for one in row.methods} == {"tube_form_pier"}
    no_pile = replace(
        book(), lines=tuple(line for line in book().lines if not line.item.startswith("service."))
    )
    names = {
        one.method for row in run(loads=(LOAD,) * 6, prices=no_pile).wire.by_count for one in row.methods
    }
    assert "helical_pile" not in names
    assert names <= set(METHODS)
    assert run(unpriced=True).wire.by_count == ()


def test_supply_changes_where_the_truck_pays() -> None:
    few, many = (
        run(loads=(1100.0,) * 6, crew=None, wish={"concrete_supply": one}) for one in ("bagged", "ready_mix")
    )
    both = run(loads=(1100.0,) * 6, crew=None)
    cheaper = set()
    for row in both.wire.by_count:
        costs = [
            Decimal(
                next(
                    one.cost.amount
                    for one in _row(ran, row.footings).methods
                    if one.method == "tube_form_pier"
                )
            )
            for ran in (few, many)
        ]
        ours = next(one.cost.amount for one in row.methods if one.method == "tube_form_pier")
        assert Decimal(ours) == min(costs)
        cheaper.add(costs[0] < costs[1])
    assert cheaper == {True, False}

"""What a cost is made of: its parts, its ranges, and the concrete as the order has it."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.comparison.bought import Bought, bought
from service.comparison.mix import mixes
from service.contract.report_frame import Footing
from service.contract.spec import CrewSpec
from service.foundations.method import Need
from service.takeoff.concrete import SHORT_LOAD, concrete
from tests.comparison.worked import CREW, LOADS, WAGES, book, priced, run

CREWS = {"day-holds-wages": CREW, "wages-and-idle-days": WAGES, "no-crew": None,
         "no-day-value": CrewSpec(currency="USD", hourly_rate="33.33"),
         "no-rate": CrewSpec(currency="USD", crew_day_value="777.77", time_counted="wages_plus_idle_days")}  # fmt: skip


@pytest.mark.parametrize("crew", CREWS.values(), ids=CREWS)
def test_parts_add_up_to_the_cost_to_the_cent(crew: CrewSpec | None) -> None:
    methods = [one for one in run(crew=crew).wire.methods if one.cost]
    assert len(methods) >= 2
    for one in methods:
        assert one.cost
        for case in ("low", "likely", "high"):
            parts = [Decimal(getattr(part.cost, case)) for part in one.cost_parts]
            assert sum(parts) == Decimal(getattr(one.cost, case))
        assert Decimal(one.cost.low) <= Decimal(one.cost.likely) <= Decimal(one.cost.high)
        assert all(part.text.endswith(".") for part in one.cost_parts)


def test_crew_time_is_never_counted_twice() -> None:
    for crew, parts in ((CREW, {"crew_days"}), (WAGES, {"labour", "crew_days"}), (None, set())):
        for one in run(crew=crew).wire.methods:
            if one.cost:
                assert {part.part for part in one.cost_parts} & {"labour", "crew_days"} == parts
    wages = run(crew=WAGES).of("tube_form_pier")
    assert wages.cost
    assert wages.table
    # Wages pay every hour of work, so a day's value may only count the days without any.
    assert wages.cost.days[1] == (Decimal(400) * Decimal(str(round(wages.table.idle_days[1], 6)))).quantize(
        Decimal("0.01")
    )
    assert wages.table.idle_days[1] < wages.table.elapsed_days[1]


def test_crew_time_is_told_with_both_ways() -> None:
    for crew, word, other in ((CREW, "day_value_includes_wages", "wages_plus_idle_days"),
                              (WAGES, "wages_plus_idle_days", "day_value_includes_wages")):  # fmt: skip
        found = run(crew=crew)
        said = found.wire.crew_time
        assert said
        assert (said.time_counted, other in said.other_way) == (word, True)
        best = found.of(found.wire.recommended or "")
        assert best.table
        assert best.cost
        assert f"{best.cost.days[1]:.2f}" in said.text
        assert f"{best.table.crew_hours[1]:.1f} hours" in f"{said.text} {said.other_way}"


@given(volume=st.floats(0.5, 220.0))
def test_concrete_costs_what_the_order_says(volume: float) -> None:
    pier = run(loads=LOADS[:1]).of("tube_form_pier").sized[0].footing
    footing = _of_volume(pier, volume)
    for supply in ("bagged", "ready_mix"):
        lines, _ = concrete([footing], book(), supply)
        ours = mixes(volume, supply, book())[0]
        assert [(one.item, one.quantity, one.unit, one.extended) for one in ours] == [
            (one.item, one.quantity, one.unit, Decimal(one.extended.amount) if one.extended else None)
            for one in lines
        ]
        least, likely, most = (sum(one.range[case] for one in ours) for case in range(3))
        assert least <= likely <= most


def _of_volume(footing: Footing, volume: float) -> Footing:
    assert footing.concrete
    return msgspec.structs.replace(
        footing, concrete=msgspec.structs.replace(footing.concrete, volume_cuft=volume)
    )


def test_waste_makes_the_range_of_bags() -> None:
    # 12 in tube, 32 in deep: 2.094 cu ft, 4.65 bags of 60 lb (0.45 cu ft): 5 % 4.89, 10 % 5.12, 25 % 5.82.
    # 2.9 cu ft, 6.44 bags: 5 % 6.77, 10 % 7.09, 25 % 8.06. Whole bags, by hand.
    only = replace(book(), lines=tuple(line for line in book().lines if line.item != "concrete.bag.80lb"))
    for volume, bags in ((math.pi * 0.25 * 32 / 12, [5, 6, 6]), (2.9, [7, 8, 9])):
        (bag,) = mixes(volume, "bagged", only)[0]
        assert bag.unit_price is not None
        assert [one / bag.unit_price for one in bag.range] == bags
        assert bag.quantity == bags[1]


def test_short_load_fee_is_paid_once() -> None:
    pier = run(wish={"concrete_supply": "ready_mix"}).told("tube_form_pier")
    paid = {line.item: line.paid for line in pier.quantities}
    assert paid[SHORT_LOAD] == "once"
    assert paid["concrete.ready_mix.3000psi"] == "each"
    assert paid["rental.auger.day"] == "once"
    pile = {line.item: line.paid for line in run().told("helical_pile").quantities}
    assert pile["service.helical_pile.mobilise"] == "once"
    assert pile["service.helical_pile.install"] == "each"


def test_rental_is_paid_for_whole_days_in_each_case() -> None:
    pier = run().of("tube_form_pier")
    assert pier.table
    (auger,) = [line for line in pier.lines if line.item == "rental.auger.day"]
    days = pier.table.task_range("dig")
    assert auger.unit_price
    assert [one / auger.unit_price for one in auger.range] == [max(1, -(-round(day, 9) // 1)) for day in days]


def test_more_of_a_thing_in_the_bad_case_is_in_the_high_cost() -> None:
    need = Need("service.helical_pile.install", 3.0, "each", True, most=5.0)
    (line,) = bought([need], book())
    assert line.extended
    assert line.range == (line.extended, line.extended, line.extended / 3 * 5)


def test_both_supplies_are_told_with_cost_and_days() -> None:
    found = run()
    pier = found.told("tube_form_pier")
    assert {one.supply for one in pier.supplies} == {"bagged", "ready_mix"}
    (taken,) = [one for one in pier.supplies if one.chosen]
    assert taken.supply == pier.supply
    assert taken.cost == pier.cost
    assert all(one.cost and one.first_framing_working_day for one in pier.supplies)
    least = min(Decimal(one.cost.likely) for one in pier.supplies if one.cost)
    assert taken.cost
    assert Decimal(taken.cost.likely) == least
    dear = run(prices=priced("concrete.ready_mix.3000psi", Decimal("900.00"))).told("tube_form_pier")
    assert dear.supply == "bagged"
    assert not run().told("helical_pile").supplies


def test_bought_without_price_has_no_amount() -> None:
    line = Bought("x.y", 1.0, "each", True).on_the_wire("USD")
    assert (line.unit_price, line.extended, line.paid) == (None, None, "each")

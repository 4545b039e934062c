"""Methods side by side: cost, break-even, ranking, recommendation, choice."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any, NamedTuple

import msgspec
import pytest

from service.comparison.compare import compare
from service.comparison.recommend import choose_method, unserved
from service.comparison.result import Comparison, MethodResult
from service.comparison.told import told
from service.contract.report_comparison import FootingComparison
from service.contract.spec import CrewSpec, DeckSpec
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.rules.price_book import PriceBook
from service.sizing.criteria import Criteria

Make = Callable[..., Criteria]
Ask = Callable[..., Demand]
Build = Callable[..., DeckSpec]
LOADS = (1200.0, 2600.0, 1200.0)
PAIR = ("tube_form_pier", "helical_pile")
METHODS = (*PAIR, "pad_and_pier", "belled_pier", "post_on_buried_pad", "pier_block_on_grade")


class Ran(NamedTuple):
    """A comparison worked out, and as it is told."""

    worked: Comparison
    wire: FootingComparison


@pytest.fixture
def run(
    criteria: Make, demand: Ask, spec: Build, prices: PriceBook, facts: FoundationFacts
) -> Callable[..., Ran]:
    def go(
        y_ft: float = 10.0,
        book: PriceBook | None = prices,
        wish: Any = None,
        loads: Any = LOADS,
        only: Sequence[str] = PAIR,
        **ground: Any,
    ) -> Ran:
        demands = [demand(load, n, y_ft=y_ft) for n, load in enumerate(loads, start=1)]
        asked = spec(**(wish or {}))
        worked = compare(demands, allowing(criteria(**ground), only), asked, book, facts)
        return Ran(worked, told(worked, asked, book, facts))

    return go


def of(ran: Ran, method: str) -> MethodResult:
    found = ran.worked.result(method)
    assert found is not None
    return found


def allowing(here: Criteria, only: Sequence[str]) -> Criteria:
    """The place with these methods alone allowed; every other is still worked out."""
    if here.jurisdiction is None:
        return here
    no = tuple(method for method in METHODS if method not in only)
    return replace(here, jurisdiction=msgspec.structs.replace(here.jurisdiction, methods_not_allowed=no))


def cheap_days(value: str) -> dict[str, Any]:
    return {"crew": CrewSpec(currency="USD", hourly_rate="48.00", crew_day_value=value)}


def without(book: PriceBook, start: str) -> PriceBook:
    return replace(book, lines=tuple(line for line in book.lines if not line.item.startswith(start)))


def test_same_posts_and_loads_for_every_method(run: Callable[..., Ran]) -> None:
    methods = run(only=METHODS).wire.methods
    assert {method.method for method in methods} == set(METHODS)
    serving = [method for method in methods if method.feasible]
    # Blocks on the ground may not carry a deck that hangs on the house.
    assert {method.method for method in serving} == set(METHODS) - {"pier_block_on_grade"}
    for method in serving:
        assert [footing.load_lb for footing in method.footings] == list(LOADS)
        assert method.schedule


def test_cost_adds_up_by_hand_day_value_with_wages(run: Callable[..., Ran]) -> None:
    pier = of(run(), "tube_form_pier")
    assert pier.cost
    assert pier.table
    lines = sum(line.extended for line in pier.lines if line.extended)
    days = Decimal("1450") * Decimal(str(round(pier.table.elapsed_days[1], 6)))
    assert pier.cost.likely == pytest.approx(lines + days)
    assert pier.cost
    low, likely, high = pier.cost.total
    assert low < likely < high


def test_cost_counts_wages_and_idle_days_once(run: Callable[..., Ran]) -> None:
    crew = CrewSpec(
        currency="USD", hourly_rate="50.00", crew_day_value="400.00", time_counted="wages_plus_idle_days"
    )
    pier = of(run(wish={"crew": crew}), "tube_form_pier")
    assert pier.cost
    assert pier.table
    assert pier.cost.wages[1] == pytest.approx(Decimal(50) * Decimal(str(pier.table.crew_hours[1])))
    assert pier.cost.days[1] == pytest.approx(Decimal(400) * Decimal(str(round(pier.table.idle_days[1], 6))))


def test_day_value_that_holds_the_wages_adds_no_hours(run: Callable[..., Ran]) -> None:
    pier = of(run(), "tube_form_pier")
    assert pier.cost
    assert pier.cost.wages == (0, 0, 0)


def test_break_even_turns_the_ranking(run: Callable[..., Ran]) -> None:
    even = run().wire.break_even
    assert even
    assert even.crew_day_value
    assert even.methods == ("helical_pile", "tube_form_pier")
    value = Decimal(even.crew_day_value.amount)
    under, over = (run(wish=cheap_days(f"{value + step:.2f}")) for step in (-2, 2))
    assert under.wire.recommended == "tube_form_pier"
    assert over.wire.recommended == "helical_pile"
    steps = {step.symbol: step.value for step in even.working}
    assert steps["X"] == pytest.approx(
        steps["M_1"] - steps["M_2"] + steps["N"] * (steps["c_1"] - steps["c_2"])
    )
    assert steps["V_even"] == pytest.approx(steps["X"] / steps["DD"])
    assert "N_even'" not in steps
    assert even.footing_count == pytest.approx(
        (steps["V"] * steps["DD"] - (steps["M_1"] - steps["M_2"])) / (steps["c_1"] - steps["c_2"])
    )


def test_count_that_breaks_even_is_of_the_supply_at_the_value_given(run: Callable[..., Ran]) -> None:
    # The truck is cheaper at the value given, bags, which wait for no slot, at the value that turns the ranking.
    even = run(loads=(5000.0,) * 16, wish=cheap_days("300.00")).wire.break_even
    assert even
    steps = {step.symbol: step.value for step in even.working}
    assert (
        even.footing_count
        == steps["N_even'"]
        == pytest.approx(
            (steps["V"] * steps["DD'"] - (steps["M_1'"] - steps["M_2'"])) / (steps["c_1'"] - steps["c_2'"])
        )
    )


def test_no_price_book_no_money(run: Callable[..., Ran]) -> None:
    found = run(book=None)
    assert found.wire.recommended is None
    assert found.wire.break_even is None
    assert all(method.cost is None for method in found.wire.methods)
    assert all(line.extended is None for method in found.wire.methods for line in method.quantities)
    serving = [method.method for method in found.wire.methods if method.feasible]
    assert serving == ["helical_pile", "tube_form_pier"]  # by days
    chosen = choose_method(found.worked, "auto")
    assert chosen
    assert chosen.method == "tube_form_pier"


def test_missing_price_is_named_never_guessed(run: Callable[..., Ran], prices: PriceBook) -> None:
    found = run(book=without(prices, "service.helical_pile.install"))
    pile = of(found, "helical_pile")
    assert pile.cost is None
    assert pile.feasible
    (risk,) = [risk for risk in pile.risks if risk.code == "price_missing"]
    assert "service.helical_pile.install" in risk.text
    assert found.wire.recommended == "tube_form_pier"
    assert any(
        "not weighed" in said and "service.helical_pile.install" in said for said in found.wire.because
    )
    assert found.wire.break_even is None
    chosen = choose_method(found.worked, "auto")
    assert chosen
    assert chosen.method == "tube_form_pier"


def test_piles_win_where_piers_would_stand_on_fill(run: Callable[..., Ran]) -> None:
    found = run(y_ft=3.0, wish=cheap_days("0.00"))
    assert of(found, "tube_form_pier").status == "engineer_required"
    assert of(found, "helical_pile").status == "prescriptive"
    assert found.wire.recommended == "helical_pile"
    chosen = choose_method(found.worked, "auto")
    assert chosen
    assert chosen.method == "helical_pile"


def test_passing_through_fill_beats_standing_on_it_at_the_same_verdict(
    run: Callable[..., Ran],
) -> None:
    found = run(y_ft=3.0, wish=cheap_days("0.00"), place=None)
    assert {of(found, method).status for method in PAIR} == {"engineer_required"}
    chosen = choose_method(found.worked, "auto")
    assert chosen
    assert chosen.method == "helical_pile"


def test_pinned_method_is_drawn_with_its_reasons(run: Callable[..., Ran]) -> None:
    found = run(y_ft=3.0)
    chosen = choose_method(found.worked, "tube_form_pier")
    assert chosen
    assert chosen.method == "tube_form_pier"
    assert "ground_not_undisturbed" in {reason.code for reason in chosen.reasons}
    narrow = run(rig_access_width_in=30.0)
    pile = choose_method(narrow.worked, "helical_pile")
    assert pile
    assert pile.method == "helical_pile"
    assert not pile.feasible
    assert pile.status == "engineer_required"
    assert "rig_too_wide" in {said.code for said in pile.why_not}
    assert "method_cannot_serve" in {reason.code for reason in pile.reasons}


def test_method_the_place_does_not_allow(
    run: Callable[..., Ran],
    criteria: Make,
    demand: Ask,
    spec: Build,
    prices: PriceBook,
    facts: FoundationFacts,
) -> None:
    place = criteria()
    worked = compare([demand(1200.0)], allowing(place, ["tube_form_pier"]), spec(), prices, facts)
    found = Ran(worked, told(worked, spec(), prices, facts))
    pile = of(found, "helical_pile")
    assert (pile.feasible, pile.status) == (False, "not_permitted")
    assert [said.code for said in pile.why_not] == ["not_allowed_here"]
    assert [reason.code for reason in pile.reasons] == ["method_not_allowed_here"]
    assert pile.sized
    assert found.wire.recommended == "tube_form_pier"


def test_too_narrow_a_pin_is_not_permitted(run: Callable[..., Ran]) -> None:
    pier = of(run(wish={"pier_diameter_in": 10.0}), "tube_form_pier")
    assert pier.status == "not_permitted"


def test_no_pile_carries_it(run: Callable[..., Ran]) -> None:
    found = run(loads=(9000.0,))
    pile = of(found, "helical_pile")
    assert not pile.sized
    assert pile.table is None
    assert [said.code for said in pile.why_not] == ["bearing_too_low"]
    assert found.wire.recommended == "tube_form_pier"


def test_pinned_that_cannot_serve_says_why(run: Callable[..., Ran]) -> None:
    heavy = run(loads=(9000.0,), wish={"method": "helical_pile"})
    assert [reason.code for reason in unserved(heavy.worked, "helical_pile")] == ["method_cannot_serve"]
    assert unserved(run().worked, "tube_form_pier") == unserved(run().worked, "auto") == ()


def test_concrete_is_the_same_as_in_the_order(run: Callable[..., Ran]) -> None:
    for supply, item in (("bagged", "concrete.bag"), ("ready_mix", "concrete.ready_mix")):
        pier = of(run(wish={"concrete_supply": supply}), "tube_form_pier")
        assert any(line.item.startswith(item) for line in pier.lines)
        assert any(line.item == "rental.mixer.day" for line in pier.lines) == (supply == "bagged")
    truck = of(run(wish={"concrete_supply": "ready_mix"}), "tube_form_pier")
    assert "short_load" in {risk.code for risk in truck.risks}


def test_same_input_same_bytes(run: Callable[..., Ran]) -> None:
    first, second = (msgspec.json.encode(run().wire) for _ in range(2))
    assert first == second
    assert msgspec.json.decode(first, type=FootingComparison) == run().wire


def test_more_load_never_less_concrete(run: Callable[..., Ran]) -> None:
    volumes = []
    for load in range(600, 6000, 400):
        pier = of(run(loads=(float(load),)), "tube_form_pier")
        assert pier.sized[0].footing.concrete
        volumes.append(pier.sized[0].footing.concrete.volume_cuft)
    assert volumes[0] < volumes[-1]

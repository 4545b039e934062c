"""Where the ranking of two methods turns over, against a table worked by hand with invented prices."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.comparison.break_even import Duel, Duels, Side, break_even
from service.contract.spec import CrewSpec
from tests.comparison.worked import CREW, PAIR, WAGES, run

D = Decimal
# Pier material 90, a pile installed 300 to 400, nothing paid once (invented); piers also 3 h at 50 where wages are
# charged. Columns: footings, extra with the low and the high pile price, and for each number of days saved the value
# of a crew-day that pays for it. A: the day holds the wages; B: wages charged, idle days counted.
HAND = {
    ("A", 6): ((1260, 1860), {3: (420, 620), 2: (630, 930)}),
    ("A", 9): ((1890, 2790), {3: (630, 930), 2: (945, 1395)}),
    ("A", 12): ((2520, 3720), {3: (840, 1240), 2: (1260, 1860)}),
    ("B", 6): ((360, 960), {2: (180, 480), 1: (360, 960)}),
    ("B", 9): ((540, 1440), {2: (270, 720), 1: (540, 1440)}),
    ("B", 12): ((720, 1920), {2: (360, 960), 1: (720, 1920)}),
}


def duel(count: int, pile: int, pier: int, saved: int, value: int | None = None, fixed: int = 0) -> Duel:
    quick, slow = (
        Side("helical_pile", D(fixed), D(pile), D(1)),
        Side("tube_form_pier", D(0), D(pier), D(1 + saved)),
    )
    return Duel(quick, slow, count, D(value) if value is not None else None)


@pytest.mark.parametrize(("way", "count"), HAND)
def test_value_of_a_crew_day_by_hand(way: str, count: int) -> None:
    extra, values = HAND[way, count]
    pier = 90 if way == "A" else 90 + 3 * 50
    for place, pile in enumerate((300, 400)):
        for saved, value in values.items():
            fight = duel(count, pile, pier, saved)
            assert fight.extra == extra[place]
            assert fight.even_value == value[place]
            assert break_even(Duels(fight, fight), "USD").crew_day_value
            # The count at which that very value breaks even is the count it was found for.
            assert duel(count, pile, pier, saved, value[place]).even_count == count


def test_a_fixed_charge_adds_its_share_of_a_day() -> None:
    assert duel(6, 300, 90, 3, fixed=600).even_value == D(420) + D(600) / 3


@pytest.mark.parametrize(
    ("fight", "value", "count", "said"),
    [
        (duel(6, 80, 90, 3, 500), None, None, "win whatever a crew-day is worth"),
        (duel(6, 90, 90, 3, 500), D(0), None, "number decides nothing"),
        (duel(6, 300, 90, 0, 500), None, None, "value decides nothing"),
        (duel(6, 300, 90, 3, 50), D(420), None, "below one"),
        (duel(6, 300, 90, 3, 500, fixed=5000), D(6260) / 3, None, "below one"),
        (duel(6, 80, 90, 3, 0, fixed=600), D(540) / 3, D(60), "above it"),
        (duel(6, 300, 90, 3), D(420), None, "not given"),
    ],
    ids=["quicker-and-cheaper", "same-cost", "same-days", "count-below-one", "dear-machine", "quicker-wins-many",
         "no-day-value"],
)  # fmt: skip
def test_edges_are_said(fight: Duel, value: Decimal | None, count: Decimal | None, said: str) -> None:
    assert (fight.even_value, fight.even_count) == (value, count)
    told = break_even(Duels(fight, fight), "USD")
    assert (told.crew_day_value is None) == (value is None)
    assert told.footing_count == (float(count) if count else None)
    assert any(said in f"{step.source} {step.value_text}" for step in told.working)


@pytest.mark.parametrize("crew", [CREW, WAGES], ids=["day-holds-wages", "wages-and-idle-days"])
def test_working_leads_to_the_answer(crew: object) -> None:
    even = run(loads=(1200.0, 2600.0) * 3, crew=crew, only=PAIR).wire.break_even  # type: ignore[arg-type]
    assert even
    assert even.crew_day_value
    said = {step.symbol: step.value or 0.0 for step in even.working}
    assert said["X"] == pytest.approx(said["M_1"] - said["M_2"] + said["N"] * (said["c_1"] - said["c_2"]))
    assert said["DD"] == pytest.approx(said["D_2"] - said["D_1"])
    assert float(even.crew_day_value.amount) == pytest.approx(said["X"] / said["DD"], abs=0.005)


def test_no_break_even_with_one_method_or_no_money() -> None:
    assert run(only=("helical_pile",)).wire.break_even is None
    assert run(unpriced=True).wire.break_even is None


def test_value_of_a_day_that_holds_the_wages_is_set_against_goods_alone() -> None:
    # Without a day value the hours are in the cost; the value asked for would hold them, so X may not.
    crew = CrewSpec(currency="USD", hourly_rate="48.00")
    found = run(loads=(1200.0, 2600.0) * 3, crew=crew, only=PAIR)
    even = found.wire.break_even
    assert even
    assert even.crew_day_value
    said = {step.symbol: step.value for step in even.working}
    quick, slow = (found.of(method) for method in even.methods)
    assert quick.cost
    assert quick.table
    assert quick.cost.wages[1] > 0
    assert said["c_1"] == pytest.approx(float(quick.cost.each))
    assert said["D_1"] == pytest.approx(quick.table.elapsed_days[1])
    assert any(way.cost and said["c_2"] == pytest.approx(float(way.cost.each)) for way in slow.ways)

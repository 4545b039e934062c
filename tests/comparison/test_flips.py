"""Every turn of the recommendation, posted back: just short of it nothing turns, just past it the other wins."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import msgspec
import pytest

from service.comparison.cost import crew_time
from service.comparison.flips import turns
from service.contract.report import DesignReport
from service.contract.report_comparison import Flip
from service.contract.spec import CrewSpec
from service.foundations.facts import FoundationFacts
from tests.comparison.worked import CREW, METHODS, PAIR, WAGES, Ran, book, facts, priced, run
from tests.context import context, designed, spec_of

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
LOADS = (1200.0, 2600.0) * 3
DECKS: dict[str, dict[str, Any]] = {
    "piles-win": {"loads": LOADS, "only": PAIR},
    "piers-win": {"loads": LOADS, "only": PAIR, "crew": msgspec.structs.replace(CREW, crew_day_value="900.00")},
    "wages": {"loads": LOADS, "only": PAIR, "crew": WAGES},
    "wages-dear-days": {"loads": LOADS[:4], "only": PAIR,
                        "crew": msgspec.structs.replace(WAGES, crew_day_value="1700.00", hourly_rate="25.00")},
    "no-day-value": {"loads": LOADS, "only": PAIR, "crew": CrewSpec(currency="USD", hourly_rate="48.00")},
    "no-crew": {"loads": LOADS, "only": PAIR, "crew": None},
    # Piles win by so much that an inspector who came at once would turn nothing: the forms take their time too.
    "form-beside-the-wait": {"loads": LOADS, "only": PAIR,
                             "crew": msgspec.structs.replace(CREW, crew_day_value="1490.00")},
    "no-crew-every-method": {"loads": LOADS, "only": METHODS, "crew": None},
    "no-crew-few": {"loads": LOADS[:3], "only": METHODS, "crew": None},
    "twelve": {"loads": LOADS * 2, "only": PAIR},
    "every-method": {"loads": LOADS, "only": METHODS},
}  # fmt: skip


def _waiting(task: str, change: float) -> FoundationFacts:
    """The facts with a wait so many days longer; one that may not be shorter than nothing is nothing."""
    tasks = {"inspection_wait": ("inspection_wait",), "cure": ("cure", "pad_cure")}[task]

    def longer(row: Any) -> Any:
        chosen = row.task == tasks[0] or (row.task in tasks and tasks[0] not in names[row.method])
        if not chosen:
            return row
        days = max(0.0, row.days_likely + change)
        return msgspec.structs.replace(
            row, days_likely=days, days_low=min(row.days_low, days), days_high=max(row.days_high, days)
        )

    known = facts()
    names: dict[str, set[str]] = {}
    for row in known.tasks:
        names.setdefault(row.method, set()).add(row.task)
    return replace(known, tasks=tuple(longer(row) for row in known.tasks))


def _with(deck: dict[str, Any], flip: Flip, value: float) -> Ran:
    """The deck worked out with the input of a turn at another value."""
    if flip.item is not None:
        return run(**deck, prices=priced(flip.item, Decimal(f"{value:.4f}")))
    if flip.input in ("inspection_wait", "cure"):
        return run(**deck, known=_waiting(flip.input, value - flip.now))
    crew = msgspec.structs.replace(deck.get("crew", CREW), **{flip.input: f"{value:.2f}"})
    return run(**{**deck, "crew": crew})


def _small(flip: Flip) -> float:
    """A step past the rounding of a line to the cent."""
    return 0.05 if flip.unit == "USD" else 0.001


def _cases() -> Iterator[Any]:
    for name, deck in DECKS.items():
        for flip in run(**deck).wire.flips:
            if flip.input != "footing_count":
                yield pytest.param(
                    deck, flip, id=f"{name}-{flip.input}-{flip.item}-{'up' if flip.at > flip.now else 'down'}"
                )


@pytest.mark.parametrize(("deck", "flip"), list(_cases()))
def test_recommendation_turns_just_past_it_and_not_before(deck: dict[str, Any], flip: Flip) -> None:
    before = run(**deck).wire.recommended
    way = 1 if flip.at > flip.now else -1
    short, past = (_with(deck, flip, flip.at + way * step * _small(flip)) for step in (-1, 1))
    assert short.wire.recommended == before
    assert past.wire.recommended == flip.to_method != before


def test_every_kind_of_input_was_posted_back() -> None:
    flips = [flip for deck in DECKS.values() for flip in run(**deck).wire.flips]
    assert {flip.input for flip in flips} >= {
        "crew_day_value", "hourly_rate", "unit_price", "inspection_wait", "cure", "footing_count"
    }  # fmt: skip
    assert {flip.item.partition(".")[0] for flip in flips if flip.item} >= {"service", "helical_pile"}


@pytest.mark.parametrize("deck", DECKS.values(), ids=DECKS)
def test_turns_stand_nearest_first_within_what_is_allowed(deck: dict[str, Any]) -> None:
    flips = run(**deck).wire.flips
    assert len(flips) <= 8
    changes = [abs(flip.change_percent) for flip in flips if flip.change_percent is not None]
    assert changes == sorted(changes)
    for flip in flips:
        assert flip.at != flip.now
        assert flip.at >= 0
        assert flip.change_percent == pytest.approx((flip.at - flip.now) / flip.now * 100)
        assert (flip.pointer is None) or flip.pointer in ("/crew/crew_day_value", "/crew/hourly_rate")
        assert flip.text.endswith(".")


@pytest.mark.parametrize("count", [5, 8, 12])
def test_number_of_footings_that_turns_it(count: int) -> None:
    found = run(loads=(2300.0,) * count, only=PAIR)
    flips = [flip for flip in found.wire.flips if flip.input == "footing_count"]
    assert flips
    for flip in flips:
        assert flip.now == count
        step = 1 if flip.at > count else -1
        real = [run(loads=(2300.0,) * int(n), only=PAIR).wire.recommended for n in (flip.at - step, flip.at)]
        assert real == [found.wire.recommended, flip.to_method]


def test_no_turn_without_a_rival_or_money() -> None:
    assert run(only=("helical_pile",)).wire.flips == ()
    assert run(unpriced=True).wire.flips == ()


def test_turn_never_leads_to_a_worse_verdict() -> None:
    # On dug-up ground the piers need an engineer: no price makes them the recommendation.
    found = run(y_ft=3.0, loads=LOADS, only=PAIR)
    assert found.of("tube_form_pier").status == "engineer_required"
    assert found.wire.recommended == "helical_pile"
    assert found.wire.flips == ()


@pytest.mark.parametrize(
    ("day_value", "turning"), [("1110.00", True), ("1075.00", False)], ids=["near", "far"]
)
def test_dearer_bag_turns_it_only_where_no_other_bag_is_cheaper(day_value: str, turning: bool) -> None:
    crew = msgspec.structs.replace(CREW, crew_day_value=day_value)
    deck: dict[str, Any] = {"loads": LOADS, "only": PAIR, "crew": crew, "wish": {"concrete_supply": "bagged"}}
    found = run(**deck)
    pier, pile = found.of("tube_form_pier"), found.of("helical_pile")
    assert found.wire.recommended == "tube_form_pier"
    (bag,) = [line for line in pier.lines if line.kind == "concrete"]
    turns_it = [one for one in turns(pier, [pile], book(), crew_time(crew)) if one.input.item == bag.item]
    assert bool(turns_it) == turning
    dear = [
        run(**deck, prices=priced(bag.item, Decimal(price))).wire.recommended for price in ("9.00", "90.00")
    ]
    assert dear == ["helical_pile" if turning else "tube_form_pier"] * 2
    for one in turns_it:
        past = [
            run(**deck, prices=priced(bag.item, Decimal(f"{one.at + step:.4f}"))) for step in (-0.01, 0.01)
        ]
        assert [ran.wire.recommended for ran in past] == ["tube_form_pier", "helical_pile"]


def test_whole_design_is_drawn_the_other_way_just_past_its_turn() -> None:
    given = json.loads((EXAMPLES / "footings-small-attached.json").read_text("utf-8"))

    def designed_at(value: str) -> DesignReport:
        crew = {**given["crew"], "crew_day_value": value}
        return designed(spec_of(**{**given, "crew": crew}), context(given["jurisdiction"]))

    now = designed_at(given["crew"]["crew_day_value"])
    (flip,) = [
        one
        for one in now.footing_comparison.flips
        if one.pointer == "/crew/crew_day_value" and one.to_method == "helical_pile"
    ]
    for step, method in ((-0.5, now.footing_comparison.recommended), (0.5, "helical_pile")):
        found = designed_at(f"{flip.at + step:.2f}")
        assert found.footing_comparison.recommended == method
        assert {footing.method for footing in found.footings} == {method}

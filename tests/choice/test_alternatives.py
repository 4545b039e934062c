"""Which other frames are told: the best within a bound, none that another is as good as, eight at most.

The small fields are made by hand or by hypothesis; what is best in them is found again here by plain loops.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import numpy as np
import pytest
from beside_decks import DECKS, answered
from hypothesis import given
from hypothesis import strategies as st

from service.choice.wishes.alternatives import (
    MOST_TOLD,
    Bound,
    Offer,
    Told,
    alternative,
    bounded,
    worth_telling,
)
from service.choice.wishes.figures import Figures
from service.contract.money import Money
from service.contract.report import DesignReport
from service.contract.report_choice import Alternative
from service.contract.report_comparison import Status

RANK: dict[Status, int] = {"prescriptive": 0, "engineer_required": 1, "not_permitted": 2}
VERDICTS = st.sampled_from(list(RANK))


@dataclass(frozen=True)
class MadeField:
    """A few frames in columns, as a search holds them."""

    frames: tuple[Figures, ...]

    @property
    def footings(self) -> np.ndarray:
        return np.array([one.footings for one in self.frames], dtype=np.int64)

    @property
    def deflection_in(self) -> np.ndarray:
        return np.array([one.deflection_in for one in self.frames], dtype=float)

    @property
    def head_room_in(self) -> np.ndarray:
        return np.array([one.head_room_in for one in self.frames], dtype=float)

    def best(self, bound: Bound) -> Offer[int] | None:
        """The cheapest of the best verdict within a bound."""
        rows = np.flatnonzero(bound.mask(self))
        found = min(
            rows, key=lambda row: (RANK[self.frames[row].verdict], self.frames[row].cost), default=None
        )
        return None if found is None else Offer(self.frames[found], int(found))


def figures(verdict: Status, cost: int, footings: int, bends: int, room: int) -> Figures:
    return Figures(verdict, cost * 10_000, footings, None, bends / 100, float(room))


FRAMES = st.builds(
    figures, VERDICTS, st.integers(100, 120), st.integers(3, 9), st.integers(5, 40), st.integers(0, 30)
)
FIELDS = st.lists(FRAMES, min_size=1, max_size=40).map(lambda frames: MadeField(tuple(frames)))


def beats(one: Figures, other: Figures) -> bool:
    """Whether one is nowhere worse than the other, told without the service's own comparison."""
    assert one.cost is not None
    assert other.cost is not None
    assert one.deflection_in is not None
    assert other.deflection_in is not None
    assert one.head_room_in is not None
    assert other.head_room_in is not None
    return (
        RANK[one.verdict] <= RANK[other.verdict]
        and one.cost <= other.cost
        and one.footings <= other.footings
        and one.deflection_in <= other.deflection_in
        and one.head_room_in >= other.head_room_in
    )


@given(FIELDS)
def test_what_is_told_is_best_in_something_and_no_worse_by_the_rules(field: MadeField) -> None:
    answered = field.best(Bound())
    assert answered is not None
    ours = answered.figures
    told = worth_telling(ours, bounded(ours, field.best))
    assert len(told) <= MOST_TOLD
    for one in told:
        assert RANK[one.figures.verdict] <= RANK[ours.verdict]
        # The answered frame is the cheapest of its verdict: another has to give something for its price.
        assert not beats(ours, one.figures)
        assert one.figures.cost is not None
        same = [f for f in field.frames if f.verdict == one.figures.verdict and f != one.figures]
        cheaper = [f for f in same if beats(f, one.figures) and f.cost != one.figures.cost]
        assert not cheaper, "a cheaper frame is as good in all else"
    pairs = [(a, b) for a in told for b in told if a is not b]
    assert not any(beats(a.figures, b.figures) for a, b in pairs)


@given(FIELDS)
def test_a_lower_count_that_stands_no_worse_is_never_left_out(field: MadeField) -> None:
    answered = field.best(Bound())
    assert answered is not None
    ours = answered.figures
    fewer = [one for one in field.frames if one.verdict == ours.verdict and one.footings < ours.footings]
    told = worth_telling(ours, bounded(ours, field.best))
    assert any(one.figures.footings < ours.footings for one in told) == bool(fewer)


@given(st.lists(FRAMES, max_size=30), FRAMES)
def test_of_any_offers_none_beats_another_and_the_first_of_those_alike_is_kept(
    frames: list[Figures], ours: Figures
) -> None:
    offers = [Offer(one, place) for place, one in enumerate(frames)]
    told = worth_telling(ours, offers)
    best = [
        one
        for place, one in enumerate(offers)
        if not beats(ours, one.figures)
        and not any(
            beats(other.figures, one.figures) and (other.figures != one.figures or at < place)
            for at, other in enumerate(offers)
        )
    ]
    assert [one.frame for one in told] == [one.frame for one in best][:MOST_TOLD]


def test_a_figure_that_is_not_known_is_as_good_as_no_other() -> None:
    """A price that is missing is not a low one, nor a high one."""
    cheap, unpriced = Figures("prescriptive", 200_000, 4), Figures("prescriptive", None, 4)
    assert not unpriced.as_good_as(cheap)
    assert not cheap.as_good_as(unpriced)
    assert unpriced.as_good_as(unpriced)
    flat, bends = (
        Figures("prescriptive", 1, 4, None, None, 9.0),
        Figures("prescriptive", 1, 4, None, 0.4, None),
    )
    assert not flat.as_good_as(bends)
    assert not bends.as_good_as(flat)
    ours = Figures("prescriptive", 100_000, 6)
    told = worth_telling(ours, [Offer(unpriced, "unpriced"), Offer(cheap, "priced")])
    assert [one.frame for one in told] == ["unpriced", "priced"]


def test_a_bound_looks_at_the_columns_it_names() -> None:
    field = MadeField((figures("prescriptive", 1, 4, 20, 10), figures("prescriptive", 1, 6, 10, 20)))
    assert Bound(most_footings=5).mask(field).tolist() == [True, False]
    assert Bound(most_deflection_in=0.1).mask(field).tolist() == [False, True]
    assert Bound(least_room_in=20.0).mask(field).tolist() == [False, True]
    assert Bound().mask(field).tolist() == [True, True]


def test_what_is_told_adds_up_and_says_what_is_won_and_what_it_takes() -> None:
    ours = Figures("prescriptive", 36_251_049, 6, 4.0, 0.31, 12.0)
    other = Figures("prescriptive", 39_375_050, 4, 2.5, 0.25, 9.25)
    whole = Money("USD", "5499.80")
    offer = Offer(other, None, "The cheapest frame on 4 footings.")
    told = alternative(ours, whole, "USD", offer, Told("ledger, 2x8", ("joists: 2x8",)))
    assert told.cost_change == Money("USD", "312.41")  # 3937.51 less 3625.10, each to the cent
    assert told.cost == Money("USD", "5812.21")
    assert told.gains == ("2 footings fewer", "framing starts 1.5 days sooner", "deflects 0.06 in less")
    assert told.gives_up == ("+312.41 USD at list prices by the piece", "2 3/4 in less room under the beams")
    assert (told.footing_count, told.days, told.deflection_in, told.head_room_in) == (4, 2.5, 0.25, 9.25)


@pytest.mark.parametrize("whole", [None, Money("USD", "100.00")])
def test_without_prices_no_money_is_told(whole: Money | None) -> None:
    ours, other = Figures("prescriptive", None, 6), Figures("prescriptive", None, 4)
    told = alternative(ours, whole, None, Offer(other, None), Told("", ()))
    assert told.cost is None
    assert told.cost_change is None
    assert told.gains == ("2 footings fewer",)
    assert told.gives_up == ()


@given(FRAMES, FRAMES, st.integers(0, 10**6))
def test_the_cost_told_is_that_answered_and_the_change(ours: Figures, other: Figures, cents: int) -> None:
    whole = Money("USD", f"{Decimal(cents) / 100:.2f}")
    told = alternative(ours, whole, "USD", Offer(other, None), Told("", ()))
    assert told.cost is not None
    assert told.cost_change is not None
    assert Decimal(told.cost.amount) == Decimal(whole.amount) + Decimal(told.cost_change.amount)


# -- of whole decks, as they are sent -----------------------------------------------------------------------------


def wire(one: Alternative) -> tuple[float, ...]:
    """What is compared of a frame as it is sent, less is better."""
    assert one.deflection_in is not None
    assert one.head_room_in is not None
    money = Decimal(one.cost_change.amount) if one.cost_change else Decimal(0)
    return (RANK[one.verdict], float(money), one.footing_count, one.deflection_in, -one.head_room_in)


def wire_of(report: DesignReport) -> tuple[float, ...]:
    """The same of the frame answered."""
    assert report.search is not None
    assert report.search.deflection_in is not None
    room = min(level.clearance.lowest_beam_above_grade_in or 0.0 for level in report.levels)
    return (RANK[report.verdict.status], 0.0, len(report.footings), report.search.deflection_in, -room)


@pytest.mark.parametrize("name", list(DECKS))
def test_of_a_deck_none_told_is_as_good_in_everything_as_another(name: str) -> None:
    report = answered(name)
    assert 0 < len(report.alternatives) <= MOST_TOLD
    every = [wire_of(report), *map(wire, report.alternatives)]
    for place, one in enumerate(every[1:], start=1):
        for other in every[:place] + every[place + 1 :]:
            assert not all(a <= b for a, b in zip(other, one, strict=True)), (name, other, one)
    assert len({one.summary for one in report.alternatives}) == len(report.alternatives)


@pytest.mark.parametrize("name", list(DECKS))
def test_of_a_deck_each_says_what_it_gains_and_why_it_is_told(name: str) -> None:
    for one in answered(name).alternatives:
        assert one.gains, one.summary
        assert one.because, one.summary
        assert one.differences, one.summary


@pytest.mark.parametrize("name", list(DECKS))
def test_the_cost_of_each_is_that_of_the_deck_and_its_change(name: str) -> None:
    report = answered(name)
    own = next(one.cost for one in report.attachment.options if one.kind == report.attachment.kind)
    for one in report.alternatives:
        if own is None:
            assert (one.cost, one.cost_change) == (None, None)
        else:
            assert one.cost is not None
            assert one.cost_change is not None
            assert Decimal(one.cost.amount) == Decimal(own.amount) + Decimal(one.cost_change.amount)


def test_where_pins_cannot_stand_the_nearest_frame_that_does_comes_first() -> None:
    report = answered("too_thin")
    assert report.verdict.status == "not_permitted"
    nearest = report.alternatives[0]
    assert nearest.verdict == "prescriptive"
    assert nearest.gains[0] == "within the tables"

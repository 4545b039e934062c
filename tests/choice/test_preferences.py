"""What a wish changes: signs, the sentence, and that what the frame answered has changes nothing."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.choice.figures import Figures
from service.choice.preferences import Outcome, Wished, preference
from service.contract.report_comparison import CodedText

CLOSE = Wished("joist_spacing_in", "12", "12 in spacing")
OURS = Figures("prescriptive", 36_250_000, 6, 4.0, 0.31, 12.0)
FIGURES = st.builds(
    Figures,
    st.sampled_from(["prescriptive", "engineer_required"]),
    st.integers(0, 10**9),
    st.integers(0, 40),
    st.floats(0, 60).map(lambda days: round(days, 2)),
    st.floats(0, 2),
    st.floats(0, 200),
)


def test_the_sentence_says_what_it_costs_and_what_it_gains() -> None:
    other = Figures("prescriptive", 39_374_000, 6, 4.0, 0.25, 12.0)
    found = preference(CLOSE, OURS, Outcome(other, "a frame"), "USD", already=False)
    assert found.text == "12 in spacing: +312.40 USD, same footings, deflects 0.06 in less."
    assert (found.verdict, found.summary, found.why_not) == ("prescriptive", "a frame", ())


@pytest.mark.parametrize(
    ("other", "text"),
    [
        (Figures("prescriptive", 36_250_000, 6, 4.0, 0.31, 12.0), "same cost, same footings"),
        (Figures("prescriptive", 35_000_000, 5, 4.0, 0.31, 12.0), "-125.00 USD, 1 footing fewer"),
        (Figures("prescriptive", 36_250_000, 8, 5.0, 0.31, 12.0),
         "same cost, 2 footings more, framing starts 1 day later"),
        (Figures("engineer_required", 36_250_000, 6, 3.5, 0.36, 14.0),
         "an engineer has to look at it, same cost, same footings, framing starts 0.5 days sooner, deflects 0.05 in "
         "more, 2 in more room under the beams"),
        (Figures("prescriptive", None, 6, None, None, None), "same footings"),
    ],
)  # fmt: skip
def test_every_difference_is_said_once(other: Figures, text: str) -> None:
    assert preference(CLOSE, OURS, Outcome(other), "USD", already=False).text == f"12 in spacing: {text}."


@given(FIGURES, FIGURES)
def test_every_figure_is_the_others_less_ours(ours: Figures, other: Figures) -> None:
    found = preference(CLOSE, ours, Outcome(other), "USD", already=False)
    assert found.cost is not None
    assert ours.amount is not None
    assert other.amount is not None
    assert Decimal(found.cost.amount) == other.amount - ours.amount
    assert found.footing_count == other.footings - ours.footings
    for got, theirs, own in (
        (found.days, other.days, ours.days),
        (found.deflection_in, other.deflection_in, ours.deflection_in),
        (found.head_room_in, other.head_room_in, ours.head_room_in),
    ):
        assert got is not None
        assert theirs is not None
        assert own is not None
        assert got == pytest.approx(theirs - own, abs=1.1e-4)


@given(FIGURES, FIGURES)
def test_there_and_back_again_comes_to_nothing(ours: Figures, other: Figures) -> None:
    there = preference(CLOSE, ours, Outcome(other), "USD", already=False)
    back = preference(CLOSE, other, Outcome(ours), "USD", already=False)
    assert there.cost is not None
    assert back.cost is not None
    assert Decimal(there.cost.amount) + Decimal(back.cost.amount) == 0
    assert there.footing_count == -(back.footing_count or 0)
    assert there.deflection_in == pytest.approx(-(back.deflection_in or 0.0), abs=1e-9)


@given(FIGURES)
def test_what_the_frame_answered_has_changes_nothing(ours: Figures) -> None:
    found = preference(CLOSE, ours, Outcome(ours, "ours"), "USD", already=True)
    assert found.already
    assert found.text == "12 in spacing: as in the frame answered."
    assert found.cost is not None
    assert found.cost.amount == "0.00"
    assert (found.footing_count, found.days, found.deflection_in, found.head_room_in) == (0, 0.0, 0.0, 0.0)
    assert found.verdict == ours.verdict


def test_where_no_frame_with_it_stands_every_figure_is_null_and_the_reason_is_given() -> None:
    why = (CodedText("ledger_on_veneer", "A ledger may not bear on brick veneer."),)
    found = preference(
        Wished("attachment", "ledger", "On a ledger"), OURS, Outcome(None, None, why), "USD", already=False
    )
    assert found.text == "On a ledger: not here: a ledger may not bear on brick veneer."
    assert found.why_not == why
    figures = (
        found.verdict,
        found.cost,
        found.footing_count,
        found.days,
        found.deflection_in,
        found.head_room_in,
    )
    assert figures == (None,) * 6

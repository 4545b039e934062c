"""What a wish changes: signs, the sentence, and that what the frame answered has changes nothing."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from beside_decks import DECKS, answered, asked
from context import context
from hypothesis import given
from hypothesis import strategies as st

from service.choice.wishes.figures import BY_ORDER, Figures
from service.choice.wishes.preferences import Outcome, Wished, preference
from service.contract.report import DesignReport
from service.contract.report_choice import PreferenceCost
from service.contract.report_comparison import CodedText
from service.contract.vocabulary import known
from service.pipeline import design

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
    assert (
        found.text
        == "12 in spacing: +312.40 USD at list prices by the piece, same footings, deflects 0.06 in less."
    )
    assert (found.verdict, found.summary, found.why_not) == ("prescriptive", "a frame", ())


@pytest.mark.parametrize(
    ("other", "text"),
    [
        (Figures("prescriptive", 36_250_000, 6, 4.0, 0.31, 12.0), "same cost, same footings"),
        (Figures("prescriptive", 35_000_000, 5, 4.0, 0.31, 12.0),
         "-125.00 USD at list prices by the piece, 1 footing fewer"),
        (Figures("prescriptive", 36_250_000, 8, 5.0, 0.31, 12.0),
         "same cost, 2 footings more, framing starts 1 day later"),
        (Figures("engineer_required", 36_250_000, 6, 3.5, 0.36, 14.0),
         "an engineer has to look at it, same cost, same footings, framing starts 0.5 days sooner, deflects 0.05 in "
         "more, 2 in more room under the beams"),
        (Figures("prescriptive", None, 6, None, None, None), "same footings"),
        (Figures("prescriptive", None, 6, unpriced=("post.6x6", "form.12in.tube", "form.14in.tube")),
         "price not known: post.6x6, form.12in.tube and 1 more, same footings"),
        (Figures("prescriptive", 50_163_000, 6, 4.0, 0.31, 12.0, method="helical_pile"),
         "+1391.30 USD at list prices by the piece, as many footings"),
    ],
)  # fmt: skip
def test_every_difference_is_said_once(other: Figures, text: str) -> None:
    assert preference(CLOSE, OURS, Outcome(other), "USD", already=False).text == f"12 in spacing: {text}."


def test_the_sentence_names_what_the_wish_brings_along_and_how_money_is_counted() -> None:
    other = Figures("prescriptive", 39_374_000, 6, 4.0, 0.31, 12.0)
    outcome = Outcome(other, besides=("beams 2-ply 2x8 instead of 3-ply 2x10",), basis=BY_ORDER)
    wished = Wished("objective", "stiffness", "The stiffest frame", "for a tenth over the cheapest at most")
    assert preference(wished, OURS, outcome, "USD", already=False).text == (
        "The stiffest frame: +312.40 USD in the order, same footings; beams 2-ply 2x8 instead of 3-ply 2x10 "
        "(for a tenth over the cheapest at most)."
    )


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
        Wished("attachment", "ledger", "On a ledger"), OURS, Outcome(None, why_not=why), "USD", already=False
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


# -- of whole decks, as they are sent -----------------------------------------------------------------------------

# Each wish as the spec asks for it: what it costs is what the deck designed with it costs more.
ASKED: list[tuple[str, str, dict[str, Any]]] = [
    ("one_size", "true", {"one_size": True}),
    ("joist_spacing_in", "12", {"joist_spacing_in": 12}),
    ("beam_plies", "3", {"beam_plies": 3}),
    ("attachment", "freestanding", {"attachment": "freestanding"}),
    ("post_size", "4x4", {"post_size": "4x4"}),
    ("species", "douglas_fir_larch", {"species": "douglas_fir_larch"}),
    ("footing_method", "tube_form_pier", {"method": "tube_form_pier"}),
    ("footing_method", "belled_pier", {"method": "belled_pier"}),
    ("objective", "fewest_footings", {"objective": "fewest_footings"}),
]


def told(report: DesignReport, name: str, value: str) -> PreferenceCost:
    (found,) = [one for one in report.preference_costs if (one.preference, one.value) == (name, value)]
    return found


def total(report: DesignReport) -> Decimal:
    assert report.search is not None
    assert report.search.cost is not None
    return Decimal(report.search.cost.total.amount)


def ordered(report: DesignReport) -> Decimal:
    """What a deck comes to by its own order, its footings and the time on its frame."""
    own = next(one.cost for one in report.attachment.options if one.kind == report.attachment.kind)
    assert own is not None
    assert report.search is not None
    assert report.search.cost is not None
    return Decimal(own.amount) + Decimal(report.search.cost.labour.amount)


def more_of(name: str, with_it: DesignReport, ours: DesignReport) -> Decimal:
    """What one deck costs more; of other wood by both orders, as all of it is another."""
    by_order = name in ("species", "grade")
    return ordered(with_it) - ordered(ours) if by_order else total(with_it) - total(ours)


@pytest.mark.parametrize(("name", "value", "framing"), ASKED, ids=[f"{one[0]}-{one[1]}" for one in ASKED])
def test_a_wish_costs_what_the_deck_designed_with_it_costs_more(
    name: str, value: str, framing: dict[str, Any]
) -> None:
    ours = answered("on_a_ledger")
    wish = told(ours, name, value)
    with_it = design(asked("on_a_ledger", **framing), context("alder-county"), with_wishes=False)
    assert with_it.search is not None
    assert ours.search is not None
    assert wish.verdict == with_it.verdict.status
    assert wish.cost is not None
    assert Decimal(wish.cost.amount) == more_of(name, with_it, ours)
    assert wish.footing_count == len(with_it.footings) - len(ours.footings)
    assert wish.deflection_in is not None
    assert ours.search.deflection_in is not None
    assert wish.deflection_in == pytest.approx(
        (with_it.search.deflection_in or 0) - ours.search.deflection_in, abs=2e-4
    )


@pytest.mark.parametrize("name", list(DECKS))
def test_of_a_deck_what_it_has_already_changes_nothing(name: str) -> None:
    report = answered(name)
    has = [one for one in report.preference_costs if one.already]
    assert {one.preference for one in has} >= {"attachment", "footing_method"}
    for one in has:
        assert one.cost is None or Decimal(one.cost.amount) == 0
        assert (one.footing_count, one.days, one.deflection_in, one.head_room_in) == (0, 0, 0, 0), one.text
        assert one.verdict == report.verdict.status


@pytest.mark.parametrize("name", list(DECKS))
def test_of_a_deck_figures_are_all_there_or_a_reason_is(name: str) -> None:
    for one in answered(name).preference_costs:
        assert (one.verdict is None) == bool(one.why_not), one.text
        assert (one.footing_count is None) == (one.verdict is None), one.text
        assert one.verdict != "not_permitted" or answered(name).verdict.status == "not_permitted", one.text
        assert one.preference in known("preference")
        assert one.text.endswith(".")


def test_without_prices_no_wish_tells_money_and_none_is_for_other_wood() -> None:
    wishes = answered("without_prices").preference_costs
    assert all(one.cost is None for one in wishes)
    assert not {"species", "grade", "objective"} & {one.preference for one in wishes}


def test_a_wall_that_takes_no_ledger_says_so() -> None:
    wish = told(answered("on_veneer"), "attachment", "ledger")
    assert [one.code for one in wish.why_not] == ["ledger_on_veneer"]
    assert [one.code for one in told(answered("low"), "attachment", "ledger").why_not] == [
        "ledger_without_wall"
    ]


def test_an_item_that_only_the_frame_answered_has_is_said_to_be_its() -> None:
    ours = Figures("prescriptive", None, 6, unpriced=("post.6x6", "form.12in"))
    other = Figures("prescriptive", None, 6, unpriced=("form.12in",))
    found = preference(CLOSE, ours, Outcome(other), "USD", already=False)
    assert "price not known: form.12in, post.6x6 of the frame answered, same footings" in found.text


def test_where_sizes_are_pinned_no_frame_is_said_to_stand_with_these() -> None:
    """Beams of one 2x6 do not stand: another frame does, and is told as the nearest, with sizes free to choose."""
    pins = {
        "joist_size": "2x6",
        "joist_spacing_in": 24,
        "beam_size": "2x6",
        "beam_plies": 1,
        "post_size": "4x4",
    }
    report = design(asked("on_a_ledger", **pins), context("alder-county"), with_wishes=True)
    assert report.alternatives[0].because == "The nearest frame that stands, with sizes free to choose."
    wishes = report.preference_costs
    refused = [why.text for one in wishes for why in one.why_not if why.code == "no_frame_found"]
    assert refused
    assert set(refused) == {"No frame with it stands with these sizes pinned."}


def test_a_ledger_that_no_joist_ends_at_has_no_figures() -> None:
    """Joists along the house end at no wall: what is framed where a ledger is asked for stands free."""
    report = design(
        asked("on_a_ledger", attachment="ledger", joist_direction="along_house"),
        context("alder-county"),
        with_wishes=True,
    )
    wish = told(report, "attachment", "ledger")
    assert not [one for one in report.levels if one.ledgers]
    assert (wish.cost, wish.footing_count, wish.verdict) == (None, None, None)
    assert [one.code for one in wish.why_not] == ["ledger_without_wall"]


def test_joists_away_from_the_house_are_said_to_be_the_only_ones_tried() -> None:
    """14 ft by 10 ft: those away from the house stand. Joists along it that are asked for are not said so."""
    for value in ("cost", "fewest_footings"):
        assert "joists away from the house" in told(answered("on_a_ledger"), "objective", value).text
    along = design(
        asked("on_a_ledger", joist_direction="along_house"), context("alder-county"), with_wishes=True
    )
    assert "joists away from the house" not in told(along, "objective", "cost").text

"""Which method is recommended, never against the verdict, and what is said with it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from service.comparison.method_words import NAMES, name, plain
from service.comparison.recommend import choice, choose_method, held_back
from service.comparison.result import MethodResult
from service.contract.report import Reason
from service.rules.price_book import PriceBook
from tests.comparison.made_results import Made
from tests.comparison.named import named
from tests.comparison.worked import CREW, METHODS, PAIR, Ran, book, run

LOADS = (1200.0, 2600.0) * 3


def without(*starts: str) -> PriceBook:
    return replace(book(), lines=tuple(line for line in book().lines if not line.item.startswith(starts)))


def said(ran: Ran) -> str:
    return "\n".join(ran.wire.because)


def test_reasons_carry_their_numbers() -> None:
    found = run(loads=LOADS)
    best = found.of(found.wire.recommended or "")
    assert (best.method, best.status) == ("helical_pile", "prescriptive")
    assert best.cost
    assert best.table
    text = said(found)
    assert f"Helical piles cost {best.cost.likely:.2f} USD" in text
    next_best = min(
        (
            one
            for one in found.worked.results
            if one.verdict_key == best.verdict_key and one.cost and one is not best
        ),
        key=lambda one: one.cost.likely if one.cost else Decimal(0),
    )
    assert next_best.cost
    assert f"{next_best.cost.likely - best.cost.likely:.2f} USD more" in text
    assert f"framing starts on day {best.table.first_framing_day[1]:g}" in text
    (chance,) = [one.of_equals for one in found.wire.probability_cheapest if one.method == best.method]
    assert chance
    assert f"Of these equals helical piles come out cheapest in {chance * 100:.0f} of 100 jobs" in text
    assert found.wire.flips[0].text in text
    assert "Pier blocks on the ground are out:" in text
    assert "200 sq ft" in text


def test_recommended_costs_least_of_the_best_verdict() -> None:
    for y_ft in (3.0, 10.0):
        for crew in (CREW, None):
            found = run(loads=LOADS, y_ft=y_ft, crew=crew)
            best = found.of(found.wire.recommended or "")
            assert best.cost
            for other in found.worked.results:
                if other.feasible and other.cost and other is not best:
                    worse = other.verdict_key > best.verdict_key or other in held_back(found.worked.results)
                    assert worse or other.cost.likely >= best.cost.likely


def test_cheaper_method_of_a_worse_verdict_is_named_and_not_taken() -> None:
    found = run(loads=LOADS, y_ft=3.0, crew=None)
    pier, pile = found.of("tube_form_pier"), found.of("helical_pile")
    assert pier.cost
    assert pile.cost
    assert pier.cost.likely < pile.cost.likely
    assert (pier.status, pile.status) == ("engineer_required", "prescriptive")
    assert found.wire.recommended == "helical_pile"
    less = pile.cost.likely - pier.cost.likely
    (line,) = [one for one in found.wire.because if "need an engineer" in one]
    assert f"oured tube piers ({less:.2f} USD less)" in line
    assert all(plain(one) in line.lower() for one in ("belled_pier", "pad_and_pier", "post_on_buried_pad"))
    assert line.count("house") == 1


def test_engineer_is_said_first_where_no_method_does_without() -> None:
    found = run(loads=LOADS, y_ft=3.0, place=None)
    assert {one.status for one in found.worked.results if one.feasible} == {"engineer_required"}
    assert found.wire.recommended == "helical_pile"
    assert found.wire.because[0].startswith("No method stays within the tables here.")
    assert "need an engineer's word first" in found.wire.because[0]


def test_wood_in_the_ground_is_never_taken_for_its_price_alone() -> None:
    found = run(loads=LOADS, crew=None)
    post, pier = found.of("post_on_buried_pad"), found.of("tube_form_pier")
    assert post.cost
    assert pier.cost
    assert post.status == pier.status == "prescriptive"
    assert post.cost.likely < pier.cost.likely
    assert found.wire.recommended == "tube_form_pier"
    chosen = choose_method(found.worked, "auto")
    assert chosen
    assert chosen.method == "tube_form_pier"
    less = pier.cost.likely - post.cost.likely
    assert f"Posts on buried pads would cost {less:.2f} USD less, but" in said(found)
    assert "decays" in said(found)
    alone = run(loads=LOADS, crew=None, only=("post_on_buried_pad",))
    assert alone.wire.recommended == "post_on_buried_pad"


def test_method_without_a_price_is_named_and_stops_nothing() -> None:
    whole = run(loads=LOADS, crew=None, prices=without("form.18in.bell", "form.20in.bell", "form.24in.bell"))
    assert whole.wire.recommended == "tube_form_pier"
    found = run(loads=LOADS, crew=None, prices=without("anchor."))
    assert [found.of(one).cost for one in ("tube_form_pier", "pad_and_pier")] == [None, None]
    assert found.wire.recommended == "helical_pile"
    assert "Poured tube piers are not weighed: no price for anchor.1-2in.10in" in said(found)
    chosen = choose_method(found.worked, "auto")
    assert chosen
    assert chosen.method == "helical_pile"


def test_no_recommendation_where_no_method_has_a_price() -> None:
    found = run(loads=LOADS, prices=without("anchor.", "service.", "post_base."))
    level = [one for one in found.worked.results if one.verdict_key == found.worked.results[0].verdict_key]
    assert len(level) > 1
    assert all(one.cost is None for one in level)
    assert found.wire.recommended is None
    assert found.wire.because[0].startswith("A price is missing for every method that would do")
    chosen = choose_method(found.worked, "auto")
    assert chosen
    assert chosen.method == "tube_form_pier"


def test_charge_of_an_office_not_in_the_book_is_left_out_and_said() -> None:
    found = run(loads=LOADS, only=PAIR, prices=without("fee."))
    assert found.wire.recommended == "helical_pile"
    assert "Not in any cost here, for the price book has no price: fee.inspection." in said(found)
    pier = found.told("tube_form_pier")
    (fees,) = [part for part in pier.cost_parts if part.part == "fees"]
    assert fees.cost.likely == "0.00"
    assert "Not counted" in fees.text
    assert "price_missing" in {risk.code for risk in pier.risks}


def test_nothing_that_may_not_be_built_is_recommended() -> None:
    found = run(loads=LOADS, only=("tube_form_pier",), wish={"pier_diameter_in": 10.0})
    assert found.of("tube_form_pier").status == "not_permitted"
    assert found.wire.recommended is None
    assert any(one.startswith("Poured tube piers are out: footing") for one in found.wire.because)


def test_goods_alone_never_decide_for_more_work() -> None:
    found = run(loads=LOADS, crew=None, only=(*PAIR, "pad_and_pier"))
    pad, pier = found.of("pad_and_pier"), found.of("tube_form_pier")
    assert pad.cost
    assert pier.cost
    assert pad.cost.likely < pier.cost.likely
    assert pad.likely_days > pier.likely_days
    assert found.wire.recommended == "tube_form_pier"
    less = pier.cost.likely - pad.cost.likely
    assert f"Piers on poured pads cost {less:.2f} USD less in goods, but take" in said(found)
    assert all(flip.to_method != "pad_and_pier" for flip in found.wire.flips)
    assert (
        run(loads=LOADS, crew=None, only=("helical_pile", "pad_and_pier")).wire.recommended == "pad_and_pier"
    )


def test_days_that_weigh_nothing_are_said_to() -> None:
    assert "saved days weigh nothing" in said(run(loads=LOADS, crew=None))
    assert "saved days weigh nothing" not in said(run(loads=LOADS))


def test_ground_that_stays_a_risk_is_named() -> None:
    found = run(loads=LOADS, only=("tube_form_pier",), crew=None, water_table_depth_in=20.0)
    assert "hole_floods" in {risk.code for risk in found.of("tube_form_pier").risks}
    assert "Mind this: ground water at 20 in" in said(found)


@pytest.mark.parametrize("method", METHODS)
def test_every_method_has_a_name_in_words(method: str) -> None:
    assert "_" not in NAMES[method]
    assert name(method)[0].isupper()


def made(method: str, status: Any, likely: str | None) -> MethodResult:
    """A method of a verdict and a cost, all else as piles have it."""
    pile = run(loads=LOADS[:2]).of("helical_pile")
    (way,) = pile.ways
    assert way.cost
    amount = Decimal(likely or 0)
    cost = replace(way.cost, goods=(amount,) * 3, wages=(Decimal(0),) * 3, days=(Decimal(0),) * 3)
    refusals = (
        (Reason(code="wants_engineer", text="too much for the table"),) if status != "prescriptive" else ()
    )
    return replace(
        pile,
        method=method,
        maker=named(method),
        status=status,
        refusals=refusals,
        pricing=Made(replace(way, cost=cost if likely else None)),
    )


@pytest.mark.parametrize(
    ("given", "best", "rivals"),
    [
        ([("a", "engineer_required", "100.00"), ("b", "prescriptive", "900.00")], "b", []),
        ([("a", "prescriptive", None), ("b", "prescriptive", "900.00")], "b", []),
        ([("a", "prescriptive", None), ("b", "engineer_required", "100.00")], None, []),
        ([("a", "prescriptive", None), ("b", "prescriptive", None), ("c", "engineer_required", "9.00")], None, []),
        ([("a", "prescriptive", "5.00"), ("b", "prescriptive", "4.00"), ("c", "prescriptive", "6.00")],
         "b", ["a", "c"]),
        ([("a", "not_permitted", "5.00")], None, []),
    ],
    ids=["verdict-before-price", "unpriced-beside-priced", "alone-within-the-tables", "engineer-never-for-a-price",
         "cheapest", "forbidden"],
)  # fmt: skip
def test_choice_by_verdict_then_price(
    given: list[tuple[str, str, str | None]], best: str | None, rivals: list[str]
) -> None:
    found = choice([made(*one) for one in given], priced=True)
    assert (found.best.method if found.best else None) == best
    assert [one.method for one in found.rivals] == rivals
    assert (found.best is None) == bool(found.why_none)
